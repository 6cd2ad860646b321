package wear

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"wornway/profile/bed"
)

// The limits of a normal value and one that lies evenly over a width, against a million draws.
func TestNormalAndEvenAgainstDraws(t *testing.T) {
	r := rand.New(rand.NewPCG(20261129, 31))
	for _, x := range [][2]float64{{1, 0.5}, {1, 3}, {0.2, 3}, {0, 1}} {
		draws := make([]float64, 1000000)
		for i := range draws {
			draws[i] = x[0]*r.NormFloat64() + x[1]*r.Float64()
		}
		slices.Sort(draws)
		below, above := normalAndEven(x[0], x[1])
		if math.Abs(below+draws[25000]) > 0.015 || math.Abs(above-draws[975000]) > 0.015 {
			t.Errorf("%v: %.3f below and %.3f above, by draws %.3f and %.3f", x, below, above, -draws[25000],
				draws[975000])
		}
	}
}

// Limits go to the side to which a stiff saddle moves the value, and are alike where how it sits is known or hardly
// matters. By hand: the rear way differs by 0.1 mm under the ends of a saddle 200 mm long, on a span of 200 mm, which a
// stiff saddle makes a roll of half of 0.1/200.
func TestSkewedToTheStiffSide(t *testing.T) {
	w, err := New([]float64{0, 100, 200}, map[bed.Curve][]float64{bed.Front: {0, 0, 0}, bed.Rear: {0, 0.05, 0.1}})
	if err != nil {
		t.Fatal(err)
	}
	roll := bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100, Saddle: bed.Saddle{BearingLength: 200}}.Roll()
	of := func(sitsU, u, f float64) (below, above float64, skewed bool) {
		s := Stationary{Reach: 75}
		s.Place[bed.Rear][bed.Rear] = u * u
		s.Scalars[bed.Seating] = sitsU * sitsU
		known := w.WithCovariance(s)
		var g Weights
		known.Weigh(&g, roll, 100, f)
		return known.Skewed(&g, 0)
	}
	const stiff = 0.1 / 200 / 2
	open := 1 / math.Sqrt(3)
	for _, f := range []float64{1, -1} {
		below, above, skewed := of(open, 1e-6, f)
		if stiffAbove := roll.Rocks[0].Per*f > 0; !stiffAbove {
			below, above = above, below
		}
		if !skewed || math.Abs(above-0.975*stiff) > 0.01*stiff || below != 0 {
			t.Errorf("%g times: %.3g below, %.3g above, skewed %v; stiff %.3g", f, below, above, skewed, stiff)
		}
	}
	if _, _, skewed := of(0, 1e-6, 1); skewed {
		t.Error("skewed though it is known how the saddle sits")
	}
	if _, _, skewed := of(open, 0.1, 1); skewed {
		t.Error("skewed though how the saddle sits hardly matters beside the ways' ±")
	}
}
