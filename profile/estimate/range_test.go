package estimate

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"wornway/profile/bed"
)

// leaning are readings of a level on the saddle on a bed of the kinds of sight, as if the front way had sunk by so much
// more than the rear one in the middle, mm.
func leaning(most float64) Input {
	in := sights[0].input()
	in.OnlyLost = true
	for i, e := range in.Surveys[0].Equations {
		d := (e.Position - 130) / 80
		in.Surveys[0].Equations[i].Reading = most / usual.Span * math.Exp(-d*d)
	}
	return in
}

// What one point of the mixture leaves possible of a way's drop, and the mean and the ± of that, against brute force:
// a great many curves drawn from its normal density, of which those are kept that nowhere stand more than proud above
// new.
func TestRangeAgainstDraws(t *testing.T) {
	for _, x := range []struct{ apart, z float64 }{{0, 130}, {0.02, 130}, {0.02, 300}} {
		in := leaning(x.apart)
		f := fix(t, mustProblem(t, in), 200, 0.05, 0.025, 0.015)
		free, err := f.point.space.unheld(f.point.at)
		if err != nil {
			t.Fatal(err)
		}
		held := f
		f.post = free
		weights := [][]float64{f.weigh(bed.At(bed.Front, 0), x.z)}
		for _, o := range f.point.space.floors {
			w := make([]float64, f.p.wanted())
			w[o.curve*len(f.p.knots)+o.knot] = 1
			weights = append(weights, w)
		}
		n := len(weights)
		cov := mat.NewDense(n, n, nil)
		mean := make([]float64, n)
		for i, w := range weights {
			mean[i] = f.value(w)
			for j, v := range weights {
				cov.Set(i, j, f.covariance(w, v))
			}
		}
		root := lower(cov)
		r := rand.New(rand.NewPCG(20261129, 15))
		var kept []float64
		z := make([]float64, n)
	draw:
		for len(kept) < 20000 {
			for i := range z {
				z[i] = r.NormFloat64()
			}
			for i := 1; i < n; i++ {
				if mean[i]+dot(root.RawRowView(i), z) < -proud {
					continue draw
				}
			}
			kept = append(kept, mean[0]+dot(root.RawRowView(0), z))
		}
		m, v := stat.MeanVariance(kept, nil)
		near(t, "mean", held.value(weights[0]), m, 0.002)
		near(t, "standard deviation", math.Sqrt(held.covariance(weights[0], weights[0])), math.Sqrt(v), 0.002)
		t.Logf("%+v: %.4f ± %.4f, of draws %.4f ± %.4f, as if metal could be gained %.4f ± %.4f", x,
			held.value(weights[0]), math.Sqrt(held.covariance(weights[0], weights[0])), m, math.Sqrt(v),
			f.value(weights[0]), math.Sqrt(f.covariance(weights[0], weights[0])))
		slices.Sort(kept)
		all, err := f.point.possible()
		if err != nil {
			t.Fatal(err)
		}
		var of []entry
		for c, v := range weights[0] {
			if v != 0 {
				of = append(of, entry{c, v})
			}
		}
		low, high := middle95(all.draw(of, nil, nil))
		near(t, "lower limit", low, kept[len(kept)*25/1000], 0.004)
		near(t, "upper limit", high, kept[len(kept)*975/1000], 0.008)
	}
}

// Where the ± would have a way stand above new the range does not, and it goes at least as far down as the ±; where
// the ± stays below new there is no range.
func TestRangeWhereSkewed(t *testing.T) {
	level, err := Estimate(leaning(0.01))
	if err != nil {
		t.Fatal(err)
	}
	low, high, skewed := level.Range(bed.Rear, 130)
	v, u := level.Wear.Value(bed.At(bed.Rear, 0), 130), standard(level.Wear, bed.At(bed.Rear, 0), 130)
	if !skewed || low != 0 || high < v+2*u || v-2*u > 0 {
		t.Errorf("rear %.4f ± %.4f: from %.4f to %.4f, skewed %v", v, 2*u, low, high, skewed)
	}
	in := sights[3].input() // each way by itself, 0.1 mm deep
	in.OnlyLost = true
	for k := range 2 {
		for i := range in.Surveys[k].Equations {
			in.Surveys[k].Equations[i].Reading = 0.1
		}
	}
	each, err := Estimate(in)
	if err != nil {
		t.Fatal(err)
	}
	if low, high, skewed := each.Range(bed.Front, 130); skewed {
		t.Errorf("a way read 0.1 mm deep within 0.004 lies from %.4f to %.4f", low, high)
	}
}
