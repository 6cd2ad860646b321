package bed_test

import (
	"math"
	"testing"

	"wornway/profile/bed"
)

// section is a saddle on its ways seen along the bed, with no small motions assumed. Coordinates in mm: across, plus
// toward the operator, and up, from the point where the normals through the middles of the flanks' contacts meet. The
// saddle's three pads are points of it; each lies on its way: outer and inner flank, and the level rear way.
type section struct {
	outer, inner, spacing, span, height, setback float64
}

// place is where the saddle has gone: its guide point moved across and up, then turned about it, top toward the
// operator.
type place struct{ across, up, roll float64 }

func (p place) carry(x, y float64) (float64, float64) {
	s, c := math.Sincos(p.roll)
	return p.across + x*c + y*s, p.up - x*s + y*c
}

// gaps returns how far each pad stands off its worn way, normal to it.
func (s section) gaps(p place, lostOuter, lostInner, rearDrop float64) [3]float64 {
	so, co := math.Sincos(s.outer)
	si, ci := math.Sincos(s.inner)
	depth := s.spacing / (math.Tan(s.outer) + math.Tan(s.inner))
	ox, oy := depth*math.Tan(s.outer), depth
	ix, iy := -depth*math.Tan(s.inner), depth
	x, y := p.carry(ox, oy)
	g0 := (x-ox)*so + (y-oy)*co + lostOuter
	x, y = p.carry(ix, iy)
	g1 := -(x-ix)*si + (y-iy)*ci + lostInner
	_, y = p.carry(-s.span, depth) // the rear way in the plane of the front contacts
	return [3]float64{g0, g1, y - depth + rearDrop}
}

// settle finds the place in which all three pads touch, by Newton's method with a numeric Jacobian.
func (s section) settle(t *testing.T, lostOuter, lostInner, rearDrop float64) place {
	t.Helper()
	var p place
	for range 50 {
		g := s.gaps(p, lostOuter, lostInner, rearDrop)
		if math.Abs(g[0])+math.Abs(g[1])+math.Abs(g[2]) < 1e-13 {
			return p
		}
		const e = 1e-6
		var j [3][3]float64
		for k, q := range []place{{p.across + e, p.up, p.roll}, {p.across, p.up + e, p.roll},
			{p.across, p.up, p.roll + e}} {
			h := s.gaps(q, lostOuter, lostInner, rearDrop)
			for i := range 3 {
				j[i][k] = (h[i] - g[i]) / e
			}
		}
		d := solve3(j, g)
		p.across, p.up, p.roll = p.across-d[0], p.up-d[1], p.roll-d[2]
	}
	g := s.gaps(p, lostOuter, lostInner, rearDrop)
	if math.Abs(g[0])+math.Abs(g[1])+math.Abs(g[2]) > 1e-11 {
		t.Fatalf("the saddle finds no place: gaps %g", g)
	}
	return p
}

// solve3 solves three linear equations by Cramer's rule.
func solve3(a [3][3]float64, b [3]float64) (x [3]float64) {
	det := func(m [3][3]float64) float64 {
		return m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) - m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) +
			m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])
	}
	for k := range 3 {
		m := a
		for i := range 3 {
			m[i][k] = b[i]
		}
		x[k] = det(m) / det(a)
	}
	return x
}

// The linear weights against the saddle that really settles on its worn ways: the difference is of second order, so
// that halving the wear quarters it.
func TestLinearWeightsAgainstRigidSaddle(t *testing.T) {
	const diameter = 40.0
	for _, c := range []struct {
		name string
		s    section
		wear [3]float64 // outer, inner, rear
		rear bool
	}{
		{"symmetric V, contacts in its apex", section{45 * degree, 45 * degree, 0, 220, 150, 110},
			[3]float64{0.10, 0.03, 0.02}, false},
		{"symmetric V, contacts apart", section{45 * degree, 45 * degree, 14, 220, 150, 110},
			[3]float64{0.10, 0.03, 0.02}, false},
		{"unequal V, contacts apart", section{60 * degree, 30 * degree, 14, 220, 150, 110},
			[3]float64{0.02, 0.11, 0.05}, false},
		{"steep inner flank", section{25 * degree, 70 * degree, 20, 180, 130, 95}, [3]float64{0.12, 0.07, 0.03}, false},
		{"rear post", section{50 * degree, 40 * degree, 14, 220, 150, 110}, [3]float64{0.09, 0.02, 0.10}, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := bed.V{Outer: c.s.outer, Inner: c.s.inner, ContactSpacing: c.s.spacing}
			l := bed.Lathe{CentreHeight: c.s.height - v.GuideDepth(), Span: c.s.span, Setback: c.s.setback, V: &v,
				RearPost: c.rear}
			near(t, "guide height", l.GuideHeight(), c.s.height, 1e-12)
			setting := setTo(t, diameter, 0)

			differ := func(scale float64) (across, drop, error float64) {
				o, i, r := c.wear[0]*scale, c.wear[1]*scale, c.wear[2]*scale
				d, e := v.Motion(o, i)
				is := func(x float64) func(float64) float64 { return func(float64) float64 { return x } }
				curves := map[bed.Curve]func(float64) float64{bed.Front: is(d), bed.Shift: is(e), bed.Rear: is(r)}
				out := take(l.ToolOut(), 0, curves, [bed.Scalars]float64{})
				down := take(l.ToolDrop(diameter), 0, curves, [bed.Scalars]float64{})

				p := c.s.settle(t, o, i, r)
				x0, y0 := -c.s.setback+l.Post()*diameter/2, c.s.height
				x, y := p.carry(x0, y0)
				exactOut, exactDown := l.Post()*(x-x0), y0-y
				// The work's radius from the axis, which stands still.
				radius := math.Hypot(x-(-c.s.setback), y-c.s.height)
				return out - exactOut, down - exactDown, setting.DiameterError(out, down) - 2*(radius-diameter/2)
			}
			full := make([]float64, 3)
			half := make([]float64, 3)
			full[0], full[1], full[2] = differ(1)
			half[0], half[1], half[2] = differ(0.5)
			compared := 0
			for k, what := range []string{"tool out", "tool drop", "diameter error"} {
				if math.Abs(full[k]) > 1e-4 { // wear of 0.1 at arms of 0.1 m: the square over the arm
					t.Errorf("%s is off by %g", what, full[k])
				}
				if math.Abs(full[k]) < 1e-8 {
					continue // nothing of second order to be halved
				}
				compared++
				if ratio := full[k] / half[k]; math.Abs(ratio-4) > 0.05 {
					t.Errorf("%s: halving the wear divides the difference by %g, want 4 (%g, %g)", what, ratio, full[k],
						half[k])
				}
			}
			if compared == 0 {
				t.Error("no difference was big enough to compare")
			}
		})
	}
}

// A roll, derived by exact rotation about the rear way: span 300, axis 200 up at mid-span, the front sinks 0.03, tool
// point 170 from the rear way, R 20. The exact diameter error is 0.040012737, the linear weights' 0.0400144.
func TestRollAgainstExactRotation(t *testing.T) {
	l := bed.Lathe{CentreHeight: 200, Span: 300, Setback: 150}
	curves := map[bed.Curve]func(float64) float64{bed.Front: func(float64) float64 { return 0.03 }}
	none := [bed.Scalars]float64{}
	near(t, "roll in seconds of arc", take(l.Roll(), 0, curves, none)/degree*3600, 20.63, 0.005)
	out, down := take(l.ToolOut(), 0, curves, none), take(l.ToolDrop(40), 0, curves, none)
	near(t, "tool out", out, 0.019999150, 2e-6)
	near(t, "tool drop", down, 0.017001000, 2e-6)
	got := setTo(t, 40, 0).DiameterError(out, down)
	near(t, "diameter error", got, 0.0400144, 5e-8)
	near(t, "diameter error against the exact one", got, 0.040012737, 2e-6)

	// The same exact rotation again, written out here.
	roll := math.Asin(0.03 / 300)
	s, c := math.Sincos(roll)
	dx, dy := 170*c+200*s-170, -170*s+200*c-200
	near(t, "exact out", dx, 0.019999150, 6e-10)
	near(t, "exact rise", dy, -0.017001000, 6e-10)
	near(t, "exact diameter error", 2*(math.Hypot(20+dx, dy)-20), 0.040012737, 6e-10)
}

// Height over span two thirds: a front that sinks 0.01 moves the tool out 0.006667 (arithmetic).
func TestHeightOverSpan(t *testing.T) {
	l := bed.Lathe{CentreHeight: 200, Span: 300, Setback: 150}
	curves := map[bed.Curve]func(float64) float64{bed.Front: func(float64) float64 { return 0.01 }}
	near(t, "tool out", take(l.ToolOut(), 0, curves, [bed.Scalars]float64{}), 0.006667, 5e-7)
}
