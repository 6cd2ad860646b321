package estimate

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/bed"
)

// What is left of a normal density above a limit, against draws of it that are kept where they comply: brute force.
func TestCutAboveAgainstDraws(t *testing.T) {
	rng := rand.New(rand.NewPCG(20261128, 7))
	for _, x := range []struct {
		name   string
		places int
		reach  float64 // in places
		mean   float64 // of all, in standard deviations above the limit
	}{
		{"two places", 2, 2, 0.5},
		{"close together", 8, 6, 0},
		{"far apart", 5, 0.7, 0.3},
		{"far below", 4, 3, -1.2},
	} {
		cov := mat.NewSymDense(x.places, nil)
		mean := make([]float64, x.places)
		for i := range x.places {
			mean[i] = x.mean + 0.3*math.Sin(float64(i))
			for j := i; j < x.places; j++ {
				cov.SetSym(i, j, smooth(float64(j-i), x.reach))
			}
			cov.SetSym(i, i, cov.At(i, i)+1e-9)
		}
		got := cutAbove(mean, cov, 0, cutDraws)
		share, m, v := drawn(rng, mean, cov, 400000)
		near(t, x.name+": share", math.Exp(got.share), share, 0.04*share+3*math.Sqrt(share/400000))
		var taken mat.Dense
		taken.Mul(got.root, cov)
		for i := range x.places {
			moved, variance := mean[i], cov.At(i, i)
			for j := range x.places {
				moved += cov.At(i, j) * got.pull[j]
				variance -= taken.At(j, i) * taken.At(j, i)
			}
			near(t, x.name+": mean", moved, m[i], 0.03)
			near(t, x.name+": standard deviation", math.Sqrt(variance), math.Sqrt(v[i]), 0.03)
		}
	}
}

// drawn returns which share of the draws of a normal density has no value below 0, and mean and variance of those.
func drawn(rng *rand.Rand, mean []float64, cov *mat.SymDense, draws int) (share float64, m, v []float64) {
	n := len(mean)
	var chol mat.Cholesky
	chol.Factorize(cov)
	var lower mat.TriDense
	chol.LTo(&lower)
	sum, square := make([]float64, n), make([]float64, n)
	kept := 0.0
	z, x := make([]float64, n), make([]float64, n)
draw:
	for range draws {
		for i := range n {
			z[i] = rng.NormFloat64()
			x[i] = mean[i]
			for j := range i + 1 {
				x[i] += lower.At(i, j) * z[j]
			}
			if x[i] < 0 {
				continue draw
			}
		}
		kept++
		for i := range n {
			sum[i] += x[i]
			square[i] += x[i] * x[i]
		}
	}
	for i := range n {
		sum[i] /= kept
		square[i] = square[i]/kept - sum[i]*sum[i]
	}
	return kept / float64(draws), sum, square
}

// Equal wear of both flanks shifts an unequal V with its drop. Where the drops are read and the shift is not, it is
// expected at that share of the front's drop: what the flanks wear apart may go either way.
func TestShiftFollowsTheDrop(t *testing.T) {
	in := sights[3].input()
	in.Surveys, in.Follows = in.Surveys[:2], 0.36
	for k := range in.Surveys {
		for i := range in.Surveys[k].Equations {
			in.Surveys[k].Equations[i].Reading = 0.1
		}
	}
	r, err := Estimate(in)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "shift", r.Wear.Value(bed.At(bed.Shift, 0), 130), 0.36*r.Wear.Value(bed.At(bed.Front, 0), 130), 1e-4)
}
