package compensate

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"wornway/profile/bed"
	"wornway/profile/wear"
	_ "wornway/testdata/steady"
)

// straightBed is a lathe with a point saddle and as many rows of shift, the only thing that its tool feels to first
// order, each known by itself to u, mm.
func straightBed(t testing.TB, knots []float64, u float64) Machine {
	t.Helper()
	w, err := wear.New(knots, map[bed.Curve][]float64{bed.Shift: make([]float64, len(knots))})
	if err != nil {
		t.Fatal(err)
	}
	cov := wear.Stationary{Reach: 10} // no two rows are so near to each other
	cov.Place[bed.Shift][bed.Shift] = u * u
	return Machine{Lathe: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100}, Wear: w.WithCovariance(cov),
		Axis: SpindleAxis()}
}

func cut(at, off []float64, u float64) TestCut {
	t := TestCut{At: at, U: u, HeldAt: math.NaN(), SetAt: math.NaN()}
	for _, d := range off {
		t.Diameter = append(t.Diameter, 30+d)
	}
	return t
}

// By hand: a tool that goes out by a shift makes a diameter twice that bigger. On a bed with no wear, known to 1 µm in
// each row, and diameters measured to 1 µm, each difference to the last has, from the wear, twice the root of two, and
// from the measuring, the root of two: together √10 µm. Two such differences have half of their variance in common,
// from what they are compared with; of 5 and 10 µm the chi-square is, by the inverse of 10·(1, ½; ½, 1), (4/3)(25
// − 50 + 100)/10 = 10, with two degrees of freedom exp(−5) by chance.
func TestCheckByHand(t *testing.T) {
	const um = 1e-3
	m := straightBed(t, []float64{0, 100, 200}, um)
	k, err := m.Check(cut([]float64{200, 0, 100}, []float64{0, 10 * um, 5 * um}, um))
	if err != nil {
		t.Fatal(err)
	}
	first, last := k.Stations[0], k.Stations[2]
	if k.Set != 2 || last.U != 0 || last.Difference != 0 || !math.IsNaN(last.En) {
		t.Errorf("where it was set: %d, %+v", k.Set, last)
	}
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"measured", first.Measured, 10 * um}, {"predicted", first.Predicted, 0},
		{"difference", first.Difference, 10 * um},
		{"u measured", first.UMeasured, math.Sqrt(2) * um}, {"u predicted", first.UPredicted, 2 * math.Sqrt(2) * um},
		{"u", first.U, math.Sqrt(10) * um},
		{"E_n", first.En, 10 / (2 * math.Sqrt(10))}, {"chi-square", k.Whole.ChiSquare, 10},
		{"by chance", k.Whole.Probability, math.Exp(-5)},
		{"slope", k.Straight.Terms[0].Value, -0.05 * um}, {"straight", k.Straight.ChiSquare, 0},
	} {
		if math.Abs(c.got-c.want) > 1e-6 {
			t.Errorf("%s is %.9f, by hand %.9f", c.what, c.got, c.want)
		}
	}
	if k.Verdict != Tapers {
		t.Errorf("verdict %s", k.Verdict)
	}
}

// How a part as a whole compares does not depend on where the dial was set, nor on the order of the measurements; and
// its covariance is that of the single stations.
func TestCheckInvariance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		n := rapid.IntRange(3, 7).Draw(t, "n")
		knots, at, off := []float64{-500, 1000}, make([]float64, n), make([]float64, n)
		w, err := wear.New(knots, map[bed.Curve][]float64{bed.Shift: {0, 0}, bed.Front: {0, 0}, bed.Rear: {0, 0}})
		if err != nil {
			t.Fatal(err)
		}
		cov := wear.Stationary{Reach: 300}
		for _, c := range []bed.Curve{bed.Shift, bed.Front, bed.Rear} {
			cov.Place[c][c] = 1e-6
		}
		m := Machine{Lathe: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100}, Wear: w.WithCovariance(cov),
			Axis: SpindleAxis()}
		for i := range n {
			at[i], off[i] = 40*float64(i)+r.Float64(), 2e-3*r.NormFloat64()
		}
		a := cut(at, off, 1e-3)
		a.Shared = []Influence{{Of: make([]float64, n), U: 3e-3}}
		for i := range n {
			a.Shared[0].Of[i] = r.NormFloat64()
		}
		b := a
		b.SetAt = at[rapid.IntRange(0, n-1).Draw(t, "set")]
		b.At, b.Diameter, b.Shared = nil, nil, []Influence{{U: 3e-3}}
		for _, i := range r.Perm(n) {
			b.At, b.Diameter, b.Shared[0].Of = append(b.At, a.At[i]), append(b.Diameter, a.Diameter[i]),
				append(b.Shared[0].Of, a.Shared[0].Of[i])
		}
		x, err := m.Check(a)
		if err != nil {
			t.Fatal(err)
		}
		y, err := m.Check(b)
		// To first order alone: the wear's gradient is taken about another setting and another diameter.
		if err != nil || math.Abs(x.Whole.ChiSquare-y.Whole.ChiSquare) > 1e-3*(1+x.Whole.ChiSquare) ||
			x.Verdict != y.Verdict && math.Abs(x.Whole.Probability-0.05) > 1e-3 &&
				math.Abs(x.Straight.Probability-0.05) > 1e-3 {
			t.Fatalf("%v: %+v %s, set elsewhere %+v %s", err, x.Whole, x.Verdict, y.Whole, y.Verdict)
		}
		at = nil
		for _, s := range y.Stations {
			at = append(at, s.Position)
		}
		c := y.Curve.Covariance(at)
		for i, s := range y.Stations {
			if math.Abs(math.Sqrt(c.At(i, i))-s.UPredicted) > 1e-12 {
				t.Fatalf("covariance %v, ± %v", c.At(i, i), s.UPredicted)
			}
		}
	})
}

// Errors that are as the ± has them are called no agreement once in twenty, and twice E_n is standard normal.
func TestCheckProbability(t *testing.T) {
	m := straightBed(t, []float64{0, 50, 100, 150, 200}, 2e-3)
	at := []float64{0, 50, 100, 150, 200}
	r := rand.New(rand.NewPCG(20260314, 3))
	const tries = 3000
	not, squares := 0, 0.0
	for range tries {
		off := make([]float64, len(at))
		for i := range off {
			off[i] = 2*2e-3*r.NormFloat64() + 1e-3*r.NormFloat64()
		}
		k, err := m.Check(cut(at, off, 1e-3))
		if err != nil {
			t.Fatal(err)
		}
		if k.Verdict != Agrees {
			not++
		}
		squares += 4 * k.Stations[1].En * k.Stations[1].En
	}
	if far := distuv.UnitNormal.Quantile(0.9999) * math.Sqrt(tries*0.05*0.95); math.Abs(float64(not)-0.05*tries) > far {
		t.Errorf("%d of %d do not agree", not, tries)
	}
	if spread := math.Sqrt(squares / tries); math.Abs(spread-1) > 0.05 {
		t.Errorf("twice E_n scatters by %v", spread)
	}
}

// What differences look like is said only where it alone explains them.
func TestCheckLooks(t *testing.T) {
	const um = 1e-3
	at := []float64{50, 100, 150, 200, 250}
	for _, c := range []struct {
		what  string
		off   []float64 // µm
		looks Looks
		size  float64 // µm
	}{
		{"one collar", []float64{0, 40, 0, 0, 0}, OneStation, 40},
		{"where it was set", []float64{40, 40, 40, 40, 0}, OneStation, -40},
		{"push-off", []float64{0.4, 3.2, 10.8, 25.6, 50}, PushOff, 50}, // 50·(z/250)³
		// no push-off: it never pulls. What is near it serves
		{"the other way round", []float64{-0.4, -3.2, -10.8, -25.6, -50}, MoreBarrel, 0},
		{"barrel", []float64{0, 30, 40, 30, 0}, MoreBarrel, 40},
		{"waist and taper", []float64{20, -20, -40, -40, -20}, MoreWaist, -40},
		{"nothing in particular", []float64{0, 40, -40, 40, 0}, LooksNone, 0},
	} {
		off := make([]float64, len(at))
		for i := range off {
			off[i] = c.off[i] * um
		}
		u := 1.0 * um
		if c.size == 0 && c.looks != LooksNone {
			u = 3 * um
		}
		k, err := straightBed(t, append([]float64{0}, at...), 0.1*um).Check(cut(at, off, u))
		if err != nil {
			t.Fatal(err)
		}
		if k.Verdict != Differs || k.Sign.Looks != c.looks || c.size != 0 && math.Abs(k.Sign.Size/um-c.size) > 3 {
			t.Errorf("%s: %s, looks like %q by %v", c.what, k.Verdict, k.Sign.Looks, k.Sign.Size/um)
		}
	}
}

func TestCheckRefuses(t *testing.T) {
	m := straightBed(t, []float64{0, 300}, 1e-3)
	var few TooFewError
	if _, err := m.Check(cut([]float64{100, 100}, []float64{0, 0}, 1e-3)); !errors.As(err, &few) || few.Places != 1 ||
		few.Needed != 2 {
		t.Errorf("one place: %v", err)
	}
	centres := cut([]float64{100, 200}, []float64{0, 0}, 1e-3)
	centres.Loose = [][]float64{{100, 200}}
	if _, err := m.Check(centres); !errors.As(err, &few) || few.Needed != 3 {
		t.Errorf("two places between centres: %v", err)
	}
	var outside OutsideError
	if _, err := m.Check(cut([]float64{100, 400}, []float64{0, 0}, 1e-3)); !errors.As(err, &outside) {
		t.Errorf("beyond the bed: %v", err)
	}
}
