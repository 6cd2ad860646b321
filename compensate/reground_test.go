package compensate_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// A regrind takes wear and twist away and leaves the spindle's lean, with how well it is known. By hand: an axis that
// runs 3e-5 toward the operator takes 0.006 mm off the radius over 200 mm, 0.012 mm on the diameter; 1e-5 of standard
// uncertainty is 0.004 mm there. Rising by 4e-5 lifts it by 0.008 mm, which adds 0.008²/12.5 = 5.1e-6 mm (Pythagoras).
func TestReground(t *testing.T) {
	l := bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100, Saddle: bed.Saddle{BearingLength: 280}}
	worn := mustWear(t, []float64{-200, 200, 1000}, map[bed.Curve][]float64{bed.Front: {0, 0.1, 0},
		bed.Rear: {0, 0.03, 0}, bed.Shift: {0, 0.02, 0}}).
		WithScalar(bed.Twist, 1e-6).WithScalar(bed.LeanOut, 3e-5).WithScalar(bed.LeanUp, 4e-5)
	rows := wear.Stationary{Reach: 75}
	rows.Place[bed.Front][bed.Front] = 1e-4
	rows.Scalars[bed.Twist], rows.Scalars[bed.LeanOut] = 1e-14, 1e-10
	cut := compensate.Cut{Feature: work.Feature{From: 0, To: 200, Diameter: 25}, SetAt: 200}
	for _, stated := range []bool{false, true} {
		w := worn
		if stated {
			w = worn.WithCovariance(rows)
		}
		m, err := compensate.Machine{Lathe: l, Wear: w, Axis: compensate.SpindleAxis()}.Reground()
		if err != nil {
			t.Fatal(err)
		}
		c, err := m.Curve(cut)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "spread", c.Spread(), 0.012+0.008*0.008/12.5, 1e-6)
		s := c.Station(0)
		if s.Stated != stated {
			t.Errorf("stated is %v", s.Stated)
		}
		if stated {
			near(t, "its uncertainty", s.Uncertainty, 0.004, 1e-5)
		}
		from, to := m.Wear.Range()
		if from != -200 || to != 1000 {
			t.Errorf("known from %g to %g", from, to)
		}
	}
	// Leans that hang together, as a survey leaves them, do so still.
	cov := mat.NewSymDense(2, []float64{4e-10, -1e-10, -1e-10, 9e-10})
	full := wear.NewFull(3, []wear.Unknown{{Knot: -1, Scalar: bed.LeanOut}, {Knot: -1, Scalar: bed.LeanUp}}, cov)
	m, err := compensate.Machine{Lathe: l, Wear: worn.WithCovariance(full)}.Reground()
	if err != nil {
		t.Fatal(err)
	}
	var a, b wear.Weights
	m.Wear.Weigh(&a, bed.Of(bed.LeanOut), 1, 1)
	m.Wear.Weigh(&b, bed.Of(bed.LeanUp), 1, 1)
	for _, x := range []struct {
		p, q *wear.Weights
		want float64
	}{{&a, &a, 4e-10}, {&a, &b, -1e-10}, {&b, &b, 9e-10}} {
		if got, ok := m.Wear.CovarianceOf(x.p, x.q); !ok || math.Abs(got-x.want) > 1e-20 {
			t.Errorf("a covariance of the leans is %g, was %g", got, x.want)
		}
	}
}
