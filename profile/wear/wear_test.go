package wear_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"wornway/profile/bed"
	"wornway/profile/wear"
)

func build(t testing.TB, z []float64, curves map[bed.Curve][]float64) *wear.Wear {
	t.Helper()
	w, err := wear.New(z, curves)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func near(t testing.TB, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s = %.12g, want %.12g within %g", what, got, want, within)
	}
}

func TestNewRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for what, c := range map[string]struct{ z, y []float64 }{
		"nothing": {}, "one knot": {[]float64{0}, []float64{0}}, "no ascent": {[]float64{0, 0}, []float64{0, 0}},
		"descent": {[]float64{0, 2, 1}, []float64{0, 0, 0}}, "NaN position": {[]float64{0, nan}, []float64{0, 0}},
		"infinite position": {[]float64{0, inf}, []float64{0, 0}}, "NaN value": {[]float64{0, 1}, []float64{0, nan}},
		"infinite value": {[]float64{0, 1}, []float64{-inf, 0}}, "too few values": {[]float64{0, 1}, []float64{0}},
		"slope past all numbers": {[]float64{0, 1e-300, 1}, []float64{0, 1e100, 0}},
	} {
		if _, err := wear.New(c.z, map[bed.Curve][]float64{bed.Front: c.y}); err == nil {
			t.Errorf("%s was taken", what)
		}
	}
	if _, err := wear.New([]float64{0, 1}, map[bed.Curve][]float64{bed.Curves: {0, 0}}); err == nil {
		t.Error("a curve that does not exist was taken")
	}
}

// A wear does not follow its builder's slices.
func TestNewKeepsItsOwn(t *testing.T) {
	z, y := []float64{0, 10, 20}, []float64{0, 0.05, 0}
	w := build(t, z, map[bed.Curve][]float64{bed.Front: y})
	z[1], y[1] = 19, 7
	near(t, "value", w.Value(bed.At(bed.Front, 0), 10), 0.05, 0)
}

func TestValueBeyondTheEnds(t *testing.T) {
	w := build(t, []float64{-10, 0, 50}, map[bed.Curve][]float64{bed.Front: {0.01, 0.05, 0.02}})
	for z, want := range map[float64]float64{-1e6: 0.01, -10: 0.01, 50: 0.02, 51: 0.02, 1e6: 0.02} {
		near(t, "value", w.Value(bed.At(bed.Front, 0), z), want, 0)
	}
	near(t, "a curve that was not given", w.Value(bed.At(bed.Rear, 0), 3), 0, 0)
	from, to := w.Range()
	near(t, "first", from, -10, 0)
	near(t, "last", to, 50, 0)
}

func TestScalars(t *testing.T) {
	plain := build(t, []float64{0, 1}, nil)
	w := plain.WithScalar(bed.Twist, 2e-6)
	near(t, "twist at 300", w.Value(bed.Of(bed.Twist), 300), 6e-4, 1e-18)
	near(t, "the wear it came from", plain.Value(bed.Of(bed.Twist), 300), 0, 0)
	near(t, "another scalar", w.Value(bed.Of(bed.LeanOut), 300), 0, 0)
}

// Breaks by hand: knots 0, 10, 25 under bearings 4 before and 6 after pass at 4, 14, 29 and −6, 4, 19.
func TestBreaks(t *testing.T) {
	w := build(t, []float64{0, 10, 25}, map[bed.Curve][]float64{bed.Front: {0, 1, 0}})
	s := bed.Saddle{BearingLength: 10, ToolOffset: -1}.Mean(bed.Front, -1) // from −4 to +6
	if got, want := w.Breaks(-100, 100, s), []float64{-6, 4, 14, 19, 29}; !slices.Equal(got, want) {
		t.Errorf("breaks %v, want %v", got, want)
	}
	if got, want := w.Breaks(4, 29, s), []float64{14, 19}; !slices.Equal(got, want) {
		t.Errorf("breaks strictly within %v, want %v", got, want)
	}
	if got := w.Breaks(-100, 100, bed.At(bed.Rear, 0), bed.Of(bed.Twist)); len(got) != 0 {
		t.Errorf("a curve that is zero breaks at %v", got)
	}
}

func TestDeepestAndAbove(t *testing.T) {
	w := build(t, []float64{0, 10, 20, 30, 40}, map[bed.Curve][]float64{bed.Front: {0, 0.04, 0.1, 0.1, 0},
		bed.Rear: {0.2, 0.1, 0, 0.15, 0.3}})
	if z, d := w.Deepest(bed.Front); z != 20 || d != 0.1 {
		t.Errorf("deepest %g at %g", d, z)
	}
	if z, d := w.Deepest(bed.Shift); z != 0 || d != 0 {
		t.Errorf("deepest of nothing %g at %g", d, z)
	}
	if way, z, d := w.WornDeepest(); way != bed.Rear || z != 40 || d != 0.3 {
		t.Errorf("deepest of both: %v, %g at %g", way, d, z)
	}
	from, to, ok := w.Above(bed.Front, 0.01)
	front := bed.At(bed.Front, 0)
	if !ok || from <= 0 || from >= 10 || to <= 30 || to >= 40 {
		t.Fatalf("above 0.01 from %g to %g, %v", from, to, ok)
	}
	near(t, "at the beginning", w.Value(front, from), 0.01, 1e-12)
	near(t, "at the end", w.Value(front, to), 0.01, 1e-12)
	if from, to, ok = w.Above(bed.Rear, 0.05); from != 0 || to != 40 || !ok { // first to last, whatever lies between
		t.Errorf("above 0.05 from %g to %g, %v", from, to, ok)
	}
	if _, _, ok = w.Above(bed.Front, 0.1); ok {
		t.Error("the curve exceeds its greatest value")
	}
	if _, _, ok = w.Above(bed.Shift, -1); ok {
		t.Error("a curve that was not given exceeds a level")
	}
}

// dense finds a sum's weights without Weights: by asking what the sum makes of a straight-line tent of height one at
// each knot in turn.
type dense struct {
	knots  []float64
	curves []bed.Curve
}

// at is the straight-line curve through the knots' values.
func straight(z, y []float64, p float64) float64 {
	i, _ := slices.BinarySearch(z, p)
	if i == 0 {
		return y[0]
	}
	if i == len(z) {
		return y[i-1]
	}
	t := (p - z[i-1]) / (z[i] - z[i-1])
	return y[i-1]*(1-t) + y[i]*t
}

// value takes one term on the straight-line curve, exactly: on each straight piece the mean and the moment in closed
// form.
func value(z, y []float64, t bed.Term, at float64) float64 {
	a, b := at+t.From, at+t.To
	if a == b {
		return t.Mean * straight(z, y, a)
	}
	cuts := []float64{a}
	for _, k := range z {
		if k > a && k < b {
			cuts = append(cuts, k)
		}
	}
	cuts = append(cuts, b)
	var area, moment float64
	for i := 0; i+1 < len(cuts); i++ {
		p, q := cuts[i], cuts[i+1]
		u, v := straight(z, y, p), straight(z, y, q)
		h := q - p
		area += (u + v) / 2 * h
		// ∫ (u + (v−u)·x/h)·(p + x − middle) dx over 0 … h
		c := p - (a+b)/2
		moment += u*(c*h+h*h/2) + (v-u)*(c*h/2+h*h/3)
	}
	return t.Mean*area/(b-a) + t.Slope*12*moment/math.Pow(b-a, 3)
}

// vector returns the sum's weight on each unknown: the curves' knots, one knot after the other, then the scalars.
func (d dense) vector(s bed.Sum, at float64) []float64 {
	n := len(d.knots)
	v := make([]float64, n*int(bed.Curves)+int(bed.Scalars))
	for _, t := range s.Terms {
		if !slices.Contains(d.curves, t.Curve) {
			continue
		}
		for k := range n {
			tent := make([]float64, n)
			tent[k] = 1
			v[k*int(bed.Curves)+int(t.Curve)] += value(d.knots, tent, t, at)
		}
	}
	for k, per := range s.PerLength {
		v[n*int(bed.Curves)+k] = per * at
	}
	return v
}

// unknowns lists them in the vector's order.
func (d dense) unknowns() (of []wear.Unknown) {
	for k := range d.knots {
		for c := range bed.Curves {
			of = append(of, wear.Unknown{Knot: k, Curve: c})
		}
	}
	for k := range bed.Scalars {
		of = append(of, wear.Unknown{Knot: -1, Scalar: k})
	}
	return of
}

func TestFullAgainstDenseMatrix(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 7).Draw(t, "knots")
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		z := make([]float64, n)
		for i := range z {
			z[i] = float64(i)*10 + r.Float64()*8
		}
		values := map[bed.Curve][]float64{}
		d := dense{knots: z}
		for c := range bed.Curves {
			if r.IntN(4) > 0 {
				values[c] = make([]float64, n)
				d.curves = append(d.curves, c)
			}
		}
		of := d.unknowns()
		root := mat.NewDense(len(of), len(of), nil)
		for i := range of {
			for j := range of {
				root.Set(i, j, r.NormFloat64())
			}
		}
		m := mat.NewSymDense(len(of), nil)
		m.SymOuterK(0.1, root)
		w, err := wear.New(z, values)
		if err != nil {
			t.Fatal(err)
		}
		w = w.WithCovariance(wear.NewFull(n, of, m))

		sum := func() (*wear.Weights, *mat.VecDense) {
			var into wear.Weights
			v := mat.NewVecDense(n*int(bed.Curves)+int(bed.Scalars), nil)
			for range 1 + r.IntN(3) {
				saddle := bed.Saddle{BearingLength: []float64{0, 5, 30, 200}[r.IntN(4)],
					Bearing: bed.Bearing(r.IntN(2)), ToolOffset: r.Float64()*20 - 10}
				l := bed.Lathe{CentreHeight: 3, Span: 4, Setback: 2, Saddle: saddle}
				s := []bed.Sum{l.ToolOut(), l.ToolDrop(1), l.FrontShift(),
					saddle.Line(bed.TailRear, 3).Plus(bed.Of(bed.LeanUp))}[r.IntN(4)]
				at, f := r.Float64()*120-30, r.NormFloat64()
				w.Weigh(&into, s, at, f)
				v.AddScaledVec(v, f, mat.NewVecDense(v.Len(), d.vector(s, at)))
			}
			return &into, v
		}
		a, va := sum()
		b, vb := sum()
		var mb mat.VecDense
		mb.MulVec(m, vb)
		want := mat.Dot(va, &mb)
		scale := 0.0
		for i := range va.Len() {
			for j := range vb.Len() {
				scale += math.Abs(va.AtVec(i) * m.At(i, j) * vb.AtVec(j))
			}
		}
		for _, p := range [][2]*wear.Weights{{a, b}, {b, a}, {a, b}} {
			got, ok := w.CovarianceOf(p[0], p[1])
			if !ok || math.Abs(got-want) > 1e-11*(1+scale) {
				t.Fatalf("covariance %.15g, want %.15g", got, want)
			}
		}
		got := w.Covariances([]*wear.Weights{b, a, b})
		for _, v := range []float64{got.At(0, 1), got.At(1, 2)} {
			if math.Abs(v-want) > 1e-11*(1+scale) {
				t.Fatalf("covariance among others %.15g, want %.15g", v, want)
			}
		}
		var ma mat.VecDense
		ma.MulVec(m, va)
		u, ok := w.Uncertainty(a)
		if !ok || math.Abs(u*u-mat.Dot(va, &ma)) > 1e-9*(1+math.Abs(mat.Dot(va, &ma))) {
			t.Fatalf("u² = %g, want %g", u*u, mat.Dot(va, &ma))
		}
	})
}

// weightsOf returns a sum's weights on the curves' values at the knots.
func weightsOf(w *wear.Wear, n int, s bed.Sum, z float64) (perKnot [bed.Curves][]float64) {
	var g wear.Weights
	w.Weigh(&g, s, z, 1)
	for c := range bed.Curves {
		perKnot[c] = make([]float64, n)
	}
	g.Each(func(u wear.Unknown, weight float64) {
		if u.Knot >= 0 {
			perKnot[u.Curve][u.Knot] = weight
		}
	})
	return perKnot
}

// The weights on knots that lie on a straight line give just what Value gives, since there the cubic is the straight
// line too.
func TestWeightsGiveTheValueOfStraightCurves(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 300 {
		n := 2 + r.IntN(8)
		z := make([]float64, n)
		values := map[bed.Curve][]float64{}
		for i := range z {
			z[i] = float64(i)*20 + r.Float64()*15
		}
		for c := range bed.Curves {
			a, b := r.NormFloat64()*0.05, r.NormFloat64()*0.001
			for _, p := range z {
				values[c] = append(values[c], a+b*p)
			}
		}
		w := build(t, z, values)
		saddle := bed.Saddle{BearingLength: []float64{0, 7, 60}[r.IntN(3)], Bearing: bed.Bearing(r.IntN(2)),
			ToolOffset: r.Float64()*30 - 15}
		l := bed.Lathe{CentreHeight: 150, Span: 200, Setback: 110, Saddle: saddle}
		at := z[0] + r.Float64()*(z[n-1]-z[0])
		for _, s := range []bed.Sum{l.ToolOut(), l.ToolDrop(30), saddle.Line(bed.TailFront, 5)} {
			got := 0.0
			for c, per := range weightsOf(w, n, s, at) {
				for k, f := range per {
					got += f * values[bed.Curve(c)][k]
				}
			}
			near(t, "weighted knots", got, w.Value(s, at), 1e-12)
		}
		// A mean's weights sum to one, a line's too, wherever it lies: it must give a level bed's own level.
		for _, s := range []bed.Sum{saddle.Mean(bed.Front, 4), saddle.Line(bed.Front, -9)} {
			total := 0.0
			for _, f := range weightsOf(w, n, s, at)[bed.Front] {
				total += f
			}
			near(t, "sum of weights", total, 1, 1e-12)
		}
	}
}

// By hand: knots 0 and 10 with u = 2 each, independent. A value a quarter of the way is 0.75·a + 0.25·b: u² =
// 4·(0.5625 + 0.0625). Its difference to the value three quarters of the way is 0.5·(a − b): u² = 4·0.5. The
// covariance of the two: 4·(0.75·0.25 + 0.25·0.75).
func TestDifferencesByHand(t *testing.T) {
	rows := wear.NewFull(2, []wear.Unknown{{Knot: 0, Curve: bed.Front}, {Knot: 1, Curve: bed.Front}},
		mat.NewSymDense(2, []float64{4, 0, 0, 4}))
	w := build(t, []float64{0, 10}, map[bed.Curve][]float64{bed.Front: {0, 1}}).WithCovariance(rows)
	front := bed.At(bed.Front, 0)
	var a, b, difference, nothing wear.Weights
	w.Weigh(&a, front, 2.5, 1)
	w.Weigh(&b, front, 7.5, 1)
	w.Weigh(&difference, front, 2.5, 1)
	w.Weigh(&difference, front, 7.5, -1)
	w.Weigh(&nothing, front, 4, 1)
	w.Weigh(&nothing, front, 4, -1)
	u, ok := w.Uncertainty(&a)
	near(t, "u", u, math.Sqrt(2.5), 1e-15)
	if !ok || !w.Stated() {
		t.Error("the uncertainty was stated")
	}
	u, _ = w.Uncertainty(&difference)
	near(t, "u of the difference", u, math.Sqrt2, 1e-15)
	u, _ = w.Uncertainty(&nothing)
	near(t, "u of a value against itself", u, 0, 0)
	cov, _ := w.CovarianceOf(&a, &b)
	near(t, "covariance", cov, 1.5, 1e-15)

	var later wear.Weights // weights may be read and then built on
	w.Weigh(&later, front, 2.5, 1)
	w.Uncertainty(&later)
	w.Weigh(&later, front, 7.5, -1)
	u, _ = w.Uncertainty(&later)
	near(t, "u of the difference, read in between", u, math.Sqrt2, 1e-15)

	bare := build(t, []float64{0, 10}, nil)
	if _, ok := bare.Uncertainty(&a); ok || bare.Stated() {
		t.Error("an uncertainty appeared that nobody stated")
	}
	if _, ok := bare.CovarianceOf(&a, &b); ok {
		t.Error("a covariance appeared that nobody stated")
	}
	if bare.Covariances([]*wear.Weights{&a, &b}) != nil {
		t.Error("covariances appeared that nobody stated")
	}
}

// Weights gathered in very many parts are the same as in one: a value added 40,000 times a forty-thousandth.
func TestManyWeights(t *testing.T) {
	rows := wear.Stationary{Reach: 10}
	rows.Place[bed.Front][bed.Front], rows.Place[bed.Rear][bed.Rear], rows.Scalars[bed.Twist] = 4, 9, 1e-6
	curves := map[bed.Curve][]float64{bed.Front: {0, 1, 0}, bed.Rear: {0, 1, 0}}
	w := build(t, []float64{0, 10, 30}, curves).WithCovariance(rows)
	l := bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100, Saddle: bed.Saddle{BearingLength: 8}}
	var one, many wear.Weights
	w.Weigh(&one, l.ToolOut(), 12, 1)
	for range 40_000 {
		w.Weigh(&many, l.ToolOut(), 12, 1.0/40_000)
	}
	a, _ := w.Uncertainty(&one)
	b, _ := w.Uncertainty(&many)
	near(t, "u", b, a, 1e-11)
	c, _ := w.CovarianceOf(&one, &many)
	near(t, "covariance", c, a*a, 1e-11)
	near(t, "covariance among others", w.Covariances([]*wear.Weights{&one, &many}).At(0, 1), a*a, 1e-11)
}
