package compensate_test

import (
	"math"
	"testing"

	"wornway/compensate"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// Judged at once, one part gives what it gives by itself. Two that lie on stretches of a bed that have no row in
// common, each set by itself, have nothing that goes together: their chi-squares and degrees of freedom add up. Two on
// the same stretch share the wear, and theirs do not.
func TestCheckAll(t *testing.T) {
	knots := []float64{0, 100, 200, 300, 400, 500, 600, 700}
	w, err := wear.New(knots, map[bed.Curve][]float64{bed.Front: {0, 0.01, 0.02, 0.03, 0.03, 0.02, 0.01, 0}})
	if err != nil {
		t.Fatal(err)
	}
	rows := wear.Stationary{Reach: 75}
	rows.Place[bed.Front][bed.Front] = 0.003 * 0.003
	m := compensate.Machine{Lathe: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100}, Wear: w.WithCovariance(rows),
		Axis: compensate.SpindleAxis()}
	const u = 0.002
	check := func(at ...float64) *compensate.Check {
		part := compensate.TestCut{U: u, HeldAt: math.NaN(), SetAt: math.NaN(), At: at}
		for i := range at {
			part.Diameter = append(part.Diameter, 40+0.004*float64(i))
		}
		k, err := m.Check(part)
		if err != nil {
			t.Fatal(err)
		}
		return k
	}
	all := func(checks ...*compensate.Check) (chiSquare float64, freedom int) {
		r, stated, err := compensate.CheckAll(checks, u)
		if err != nil || !stated {
			t.Fatal(stated, err)
		}
		return r.ChiSquare, r.Freedom
	}
	a, b := check(100, 150, 200, 300), check(400, 520, 600)
	if chi, n := all(a); math.Abs(chi-a.Whole.ChiSquare) > 1e-9*chi || n != a.Whole.Freedom {
		t.Errorf("one by itself: %v with %d, expected %v with %d", chi, n, a.Whole.ChiSquare, a.Whole.Freedom)
	}
	if chi, n := all(a, b); math.Abs(chi-a.Whole.ChiSquare-b.Whole.ChiSquare) > 1e-9*chi || n != 5 {
		t.Errorf("two apart: %v with %d, expected %v and %v with 5", chi, n, a.Whole.ChiSquare, b.Whole.ChiSquare)
	}
	if chi, n := all(a, a); n != 6 || chi > 1.9*a.Whole.ChiSquare {
		t.Errorf("two on the same stretch: %v with %d, by itself %v", chi, n, a.Whole.ChiSquare)
	}
	m.Wear = w
	if _, stated, err := compensate.CheckAll([]*compensate.Check{check(100, 200)}, u); stated || err != nil {
		t.Errorf("without a ±: %v, %v", stated, err)
	}
}

// The difference of two ends is one number that is as good as normal: the probability that it keeps within a limit is
// the normal distribution's, to what drawing leaves open (10,000 draws: 0.5 % standard at the most).
func TestAlikeWithin(t *testing.T) {
	w, err := wear.New([]float64{0, 500}, map[bed.Curve][]float64{bed.Front: {0, 0.01}})
	if err != nil {
		t.Fatal(err)
	}
	rows := wear.Stationary{Reach: 75}
	rows.Place[bed.Front][bed.Front] = 0.003 * 0.003
	m := compensate.Machine{Lathe: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100}, Wear: w.WithCovariance(rows),
		Axis: compensate.SpindleAxis()}
	var cut compensate.Cut
	cut.From, cut.To, cut.SetAt, cut.Diameter = 0, 500, 500, 50
	c, err := m.Curve(cut)
	if err != nil {
		t.Fatal(err)
	}
	ends := c.Ends()
	k := c.Taper()
	normal := func(x float64) float64 { return 0.5 * math.Erfc(-(x-k.Ends)/k.UEnds/math.Sqrt2) }
	for _, limit := range []float64{0.005, 0.015, 0.02} {
		got, stated := c.AlikeWithin(ends[0], ends[1], limit)
		if expected := normal(limit) - normal(-limit); !stated || math.Abs(got-expected) > 0.02 {
			t.Errorf("within %v: %v, expected %v", limit, got, expected)
		}
	}
	// A setting on the one end that makes up for the difference leaves only chance: 2·Φ(limit/u) − 1.
	ends[0].Setting = k.Ends / 2
	if got, _ := c.AlikeWithin(ends[0], ends[1], k.UEnds); math.Abs(got-0.6827) > 0.02 {
		t.Errorf("corrected, within one standard uncertainty: %v, expected 0.683", got)
	}
}
