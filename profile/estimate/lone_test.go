package estimate

import (
	"testing"

	"wornway/profile/bed"
	"wornway/profile/wear"
)

// A point's wear by itself is the mixture of that point alone, in which its covariance is made whole: in values and
// covariances of single curves, of their differences, and of the scalars.
func TestLoneIsMixtureOfOne(t *testing.T) {
	p := mustProblem(t, leaning(0.02)) // the limits cut here
	f := fix(t, p, 200, 0.05, 0.025, 0.015)
	alone := f.point
	alone.weight = 1
	whole, err := p.wear([]point{alone})
	if err != nil {
		t.Fatal(err)
	}
	lone, err := p.lone(alone)
	if err != nil {
		t.Fatal(err)
	}
	apart := bed.At(bed.Front, -40).Plus(bed.At(bed.Rear, 60).Times(-1))
	sums := []bed.Sum{bed.At(bed.Front, 0), bed.At(bed.Rear, 10), bed.At(bed.Shift, 0), apart, bed.Of(bed.Twist)}
	const value, square = 1e-12, 1e-15 // mm and mm²: rounding
	for _, z := range []float64{20, 130, 211} {
		var weights []*wear.Weights
		for _, s := range sums {
			near(t, "value", lone.Value(s, z), whole.Value(s, z), value)
			var g wear.Weights
			whole.Weigh(&g, s, z, 1)
			weights = append(weights, &g)
		}
		got, want := lone.Covariances(weights), whole.Covariances(weights)
		for i := range weights {
			for j := range weights {
				near(t, "covariance", got.At(i, j), want.At(i, j), square)
			}
		}
	}
}
