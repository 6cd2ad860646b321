package estimate

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"wornway/profile/bed"
	"wornway/profile/survey"
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

// The greatest drop of either way by one point of the mixture, wherever it is, against brute force: curves drawn at the
// knots of both ways, of which those are kept that nowhere stand more than proud above new. At the estimate's deepest
// place alone it is less: the deepest place of the draws is now here and now there. Over a short reach it hangs on what
// lies between the places at which metal is known to be lost, too.
func TestGreatestAgainstDraws(t *testing.T) {
	for _, reach := range []float64{200, 40} {
		greatestAgainstDraws(t, reach)
	}
}

func greatestAgainstDraws(t *testing.T, reach float64) {
	t.Helper()
	in := leaning(0.02)
	f := fix(t, mustProblem(t, in), reach, 0.05, 0.025, 0.015)
	free, err := f.point.space.unheld(f.point.at)
	if err != nil {
		t.Fatal(err)
	}
	f.post = free
	m := len(f.p.knots)
	var columns []int
	for _, c := range []bed.Curve{bed.Front, bed.Rear} {
		for k := range m {
			columns = append(columns, f.p.curveAt(c)+k)
		}
	}
	n := len(columns)
	unit := func(i int) []float64 {
		w := make([]float64, f.p.wanted())
		w[columns[i]] = 1
		return w
	}
	cov := mat.NewDense(n, n, nil)
	for i := range n {
		for j := range i + 1 {
			v := f.covariance(unit(i), unit(j))
			cov.Set(i, j, v)
			cov.Set(j, i, v)
		}
	}
	root := lower(cov)
	r := rand.New(rand.NewPCG(20261129, 16))
	var kept []float64
	z, v := make([]float64, n), make([]float64, n)
draw:
	for len(kept) < 5000 {
		for i := range z {
			z[i] = r.NormFloat64()
		}
		for i := range v {
			v[i] = free.mean[columns[i]] + dot(root.RawRowView(i), z)
		}
		for _, o := range f.point.space.floors {
			if i := slices.Index(columns, o.curve*m+o.knot); v[i] < -proud {
				continue draw
			}
		}
		kept = append(kept, slices.Max(v))
	}
	slices.Sort(kept)
	all, err := f.point.possible()
	if err != nil {
		t.Fatal(err)
	}
	low, high := middle95(all.greatest(rand.New(rand.NewPCG(depthSeed, 0))))
	t.Logf("reach %g mm: %.4f to %.4f, by brute force %.4f to %.4f", reach, low, high, kept[125], kept[4875])
	near(t, "lower limit", low, kept[125], 0.002)
	near(t, "upper limit", high, kept[4875], 0.002)
}

// The limits of the greatest drop are nowhere within the ± at the deepest place, nor within those of what is usual
// where nothing tells how far both ways have sunk together. Where each way is read by itself the ± says it.
func TestDepth(t *testing.T) {
	level, err := Estimate(leaning(0.02))
	if err != nil {
		t.Fatal(err)
	}
	way, z, drop := level.Wear.WornDeepest()
	u := standard(level.Wear, bed.At(way, 0), z)
	low, high, open := level.Depth()
	l, h := level.beside(way, z)
	if !open || low > math.Max(0, drop-2*u) || high < drop+2*u || low > l || high < h {
		t.Errorf("%.4f ± %.4f, usual %.4f to %.4f: from %.4f to %.4f, open %v", drop, 2*u, l, h, low, high, open)
	}
	in := sights[3].input()
	in.OnlyLost, in.Surveys = true, nil
	for k, curve := range []bed.Curve{bed.Front, bed.Rear} { // each way by itself, the front one 0.1 mm deep
		var rows []survey.Equation
		for z := -100.0; z <= 320; z += 20 {
			d := (z - 130) / 80
			e := frontAt(z, 0.1*math.Exp(-d*d)/float64(1+k), 0.004, survey.Value)
			e.Parts[0].Sum = bed.At(curve, 0)
			rows = append(rows, e)
		}
		in.Surveys = append(in.Surveys, direct(rows...))
	}
	each, err := Estimate(in)
	if err != nil {
		t.Fatal(err)
	}
	_, _, drop = each.Wear.WornDeepest()
	if low, high, open := each.Depth(); open && (low < drop-0.01 || high > drop+0.01) {
		t.Errorf("a way read %.4f mm deep within 0.004 lies from %.4f to %.4f", drop, low, high)
	}
	if low, high, open := (&Result{}).Depth(); low != 0 || high != 0 || open {
		t.Errorf("of nothing read: %g to %g, %v", low, high, open)
	}
}

// What no reading tells is as great as wear usually is there: at a quarter of the bed from the spindle's nose as strong
// as the strength says, one width on 0.15 + 0.85·e^(−1/2) = 0.6656 of that, at the far end 0.15 and a little. By hand.
func TestWearLiesWhereItUsuallyDoes(t *testing.T) {
	far := frontAt(0, 0, 0.01, survey.Value)
	far.Parts[0].Sum = bed.At(bed.Shift, 0) // nothing of the rear way
	in := Input{Bed: [2]float64{0, 1000}, Surveys: []survey.Set{direct(far)}}
	f := fix(t, mustProblem(t, in), 200, 0.05, 0.03, 0.01)
	for _, x := range []struct{ z, share float64 }{{250, 1}, {430, 0.6656}, {70, 0.6656}, {1000, 0.1501}} {
		w := f.weigh(bed.At(bed.Rear, 0), x.z)
		near(t, "rear", math.Sqrt(f.covariance(w, w)), 0.03*x.share, 0.03*0.005)
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
