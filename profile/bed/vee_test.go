package bed_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"wornway/profile/bed"
)

const degree = math.Pi / 180

func near(t testing.TB, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s = %.12g, want %.12g within %g", what, got, want, within)
	}
}

// The table of motions of a raised V, derived in closed form (not published): a way that slides by x away from the worn
// flank's side and by z up, with flank angles α, β and metal lost u₁, u₂ normal to them. Here α and u₁ are the
// outer flank's, β and u₂ the inner's, shift is −x and drop −z.
func TestVMotionAgainstDerivedTable(t *testing.T) {
	for _, c := range []struct{ alpha, beta, u1, u2, x, z float64 }{
		{45, 45, .01, .01, 0, -0.0141421},
		{45, 45, .01, 0, 0.0070711, -0.0070711},
		{60, 30, .01, 0, 0.0086603, -0.0050000},
		{60, 30, .01, .01, 0.0036603, -0.0136603},
	} {
		v := bed.V{Outer: c.alpha * degree, Inner: c.beta * degree}
		drop, shift := v.Motion(c.u1, c.u2)
		near(t, "shift", shift, -c.x, 5e-8)
		near(t, "drop", drop, -c.z, 5e-8)
	}
}

// A symmetric 45° V whose outer flank has lost 0.010: by hand 0.010·sin 45°/sin 90° both ways.
func TestOuterWearShiftsInAndSinks(t *testing.T) {
	drop, shift := bed.V{Outer: 45 * degree, Inner: 45 * degree}.Motion(0.010, 0)
	near(t, "shift", shift, -0.010*math.Sqrt2/2, 1e-15)
	near(t, "drop", drop, 0.010*math.Sqrt2/2, 1e-15)
}

func TestVRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := bed.V{Outer: rapid.Float64Range(20, 75).Draw(t, "outer") * degree,
			Inner: rapid.Float64Range(20, 75).Draw(t, "inner") * degree}
		o, i := rapid.Float64Range(-1, 1).Draw(t, "o"), rapid.Float64Range(-1, 1).Draw(t, "i")
		gotO, gotI := v.Normal(v.Motion(o, i))
		if math.Abs(gotO-o) > 1e-13 || math.Abs(gotI-i) > 1e-13 {
			t.Fatalf("lost %v, %v came back as %v, %v", o, i, gotO, gotI)
		}
		// The saddle's V moved by (shift, −drop) must lie on both worn flanks: its motion along each flank's outward
		// normal is what was lost.
		drop, shift := v.Motion(o, i)
		outward := shift*math.Sin(v.Outer) - drop*math.Cos(v.Outer)
		inward := -shift*math.Sin(v.Inner) - drop*math.Cos(v.Inner)
		if math.Abs(outward+o) > 1e-13 || math.Abs(inward+i) > 1e-13 {
			t.Fatalf("along the normals %v, %v, want %v, %v", outward, inward, -o, -i)
		}
	})
}

// The guide point by elementary geometry: with both flanks at 45° the normals through two contacts 10 apart meet 5
// below; at 60° and 30° where depth·(tan 60° + tan 30°) is the spacing.
func TestGuideHeight(t *testing.T) {
	for _, c := range []struct{ outer, inner, spacing, want float64 }{
		{45, 45, 10, 5}, {45, 45, 0, 0}, {60, 30, 10, 10 / (math.Sqrt(3) + 1/math.Sqrt(3))},
	} {
		l := bed.Lathe{CentreHeight: 150, V: &bed.V{Outer: c.outer * degree, Inner: c.inner * degree,
			ContactSpacing: c.spacing}}
		near(t, "guide height", l.GuideHeight(), 150+c.want, 1e-12)
	}
	near(t, "guide height of a flat way", bed.Lathe{CentreHeight: 150}.GuideHeight(), 150, 0)
}

func TestCurveNames(t *testing.T) {
	for c, want := range map[bed.Curve]string{bed.Front: "front", bed.Shift: "shift", bed.Rear: "rear",
		bed.TailFront: "tail-front", bed.TailRear: "tail-rear",
		bed.Curves: "?", -1: "?", 99: "?"} {
		if got := c.String(); got != want {
			t.Errorf("curve %d is called %q, want %q", int(c), got, want)
		}
	}
}
