package compensate_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// By hand: only the shift wears, u = 0.003 on each of two knots, independent. At a quarter of the way from the
// tailstock knot, set at that knot, the difference is 0.25·(a − b) in shift and twice that on diameter: u =
// 2·0.25·√2·0.003. The slope of a straight line between the knots, 2·(b − a)/100: u = 2·√2·0.003/100.
func TestUncertaintyByHand(t *testing.T) {
	m := guided(t, []float64{0, 100}, []float64{0, 0})
	c := mustCurve(t, m, compensate.Cut{Feature: work.Feature{From: 0, To: 100, Diameter: 30}, SetAt: 100})
	if s := c.Station(75); s.Stated || s.Uncertainty != 0 {
		t.Errorf("nobody stated an uncertainty of %g", s.Uncertainty)
	}
	m.Wear = m.Wear.WithCovariance(rowsOf(2, 0.003))
	c = mustCurve(t, m, compensate.Cut{Feature: work.Feature{From: 0, To: 100, Diameter: 30}, SetAt: 100})
	s := c.Station(75)
	near(t, "u", s.Uncertainty, 2*0.25*math.Sqrt2*0.003, 1e-15)
	near(t, "u where it was set", c.Station(100).Uncertainty, 0, 1e-15)
	tp := c.Taper()
	near(t, "u of the ends", tp.UEnds, 2*math.Sqrt2*0.003, 1e-15)
	near(t, "u of the slope", tp.USlope, 2*math.Sqrt2*0.003/100, 1e-15)
	if !s.Stated || !tp.Stated {
		t.Error("the uncertainty was stated")
	}

	// The lean's own: u 2e-5 per mm over 60 mm is 2·2e-5·60 on diameter.
	rows := wear.Stationary{Reach: 75}
	rows.Scalars[bed.LeanOut] = 4e-10
	m.Wear = m.Wear.WithCovariance(rows)
	c = mustCurve(t, m, compensate.Cut{Feature: work.Feature{From: 0, To: 100, Diameter: 30}, SetAt: 100})
	near(t, "u of the lean", c.Station(40).Uncertainty, 2*2e-5*60, 1e-15)
}

// Drawn wears, each put through the exact model anew, scatter as the gradients say. The values lie on straight lines,
// where the cubic and the straight-line weights agree best; 4000 draws give a standard deviation to 1.1 %, and the
// cubic's own weights differ from straight ones by several per cent between knots, so that the stations stand on knots
// with a point saddle.
func TestUncertaintyAgainstMonteCarlo(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 3))
	b := bench{lathe: bed.Lathe{CentreHeight: 120, Span: 180, Setback: 90}, values: map[bed.Curve][]float64{}}
	for i := range 9 {
		p := float64(i) * 50
		b.z = append(b.z, p)
		b.values[bed.Front] = append(b.values[bed.Front], 0.1*math.Exp(-p/200))
		b.values[bed.Shift] = append(b.values[bed.Shift], 0.02-p*4e-5)
		b.values[bed.Rear] = append(b.values[bed.Rear], 0.02)
	}
	const u, draws = 0.002, 4000
	cut := compensate.Cut{Feature: work.Feature{From: 0, To: 400, Diameter: 6}, SetAt: 350, ToolHeight: -0.8}
	m := b.machine(t)
	m.Wear = m.Wear.WithCovariance(rowsOf(9, u))
	c := mustCurve(t, m, cut)
	places := []float64{0, 100, 300, 400}
	var sum, square [4]float64
	for range draws {
		drawn := bench{lathe: b.lathe, z: b.z, values: map[bed.Curve][]float64{}}
		for c := range bed.Curves { // in order, so that each run draws the same
			for _, y := range b.values[c] {
				drawn.values[c] = append(drawn.values[c], y+u*r.NormFloat64())
			}
		}
		f := drawn.plain().errors(cut)
		for i, z := range places {
			d := f(z, 0)
			sum[i] += d
			square[i] += d * d
		}
	}
	for i, z := range places {
		got := c.Station(z).Uncertainty
		want := math.Sqrt((square[i] - sum[i]*sum[i]/draws) / (draws - 1))
		near(t, "u", got, want, 0.05*want) // four standard deviations of the estimate and the second order
	}
}

// Two positions, one of them where the tool was set: the spread is the size of one normal difference d ~ N(μ, σ). Its
// quantiles and P(|d| ≤ T) in closed form by the error function; the form of two points is nothing.
func TestSampleClosedForm(t *testing.T) {
	phi := func(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }
	for _, c := range []struct{ shift, u float64 }{{0, 0.002}, {0.004, 0.002}, {0.0005, 0.003}} {
		m := guided(t, []float64{0, 100}, []float64{c.shift, 0})
		m.Wear = m.Wear.WithCovariance(rowsOf(2, c.u))
		k := mustCurve(t, m, compensate.Cut{Feature: work.Feature{From: 0, To: 100, Diameter: 30}, SetAt: 100})
		mu, sigma := 2*c.shift, 2*math.Sqrt2*c.u
		inside := func(x float64) float64 { return phi((x-mu)/sigma) - phi((-x-mu)/sigma) }
		const tolerance = 0.006
		at := []compensate.Spot{{Position: 0}, {Position: 100}}
		s, ok := k.Sample(at, tolerance)
		if !ok {
			t.Fatal("the uncertainty was stated")
		}
		// 4,000 draws: a probability p is known to √(p(1 − p)/4,000), here within four times that.
		near(t, "within", s.Within, inside(tolerance), 4*0.008)
		near(t, "below the interval", inside(s.Spread[0]), 0.025, 4*0.0025)
		near(t, "up to its end", inside(s.Spread[1]), 0.975, 4*0.0025)
		near(t, "form", s.Form[1], 0, 1e-12)
		again, _ := k.Sample(at, tolerance)
		if again != s {
			t.Errorf("the same question twice: %+v, %+v", s, again)
		}
		// A setting moves one of them: turned in by half the mean difference, the mean spread is gone.
		held, _ := k.Sample([]compensate.Spot{{Position: 0, Setting: mu / 2}, {Position: 100}}, tolerance)
		near(t, "within, corrected", held.Within, phi(tolerance/sigma)-phi(-tolerance/sigma), 4*0.008)
	}
	bare := mustCurve(t, guided(t, []float64{0, 100}, []float64{0, 0}),
		compensate.Cut{Feature: work.Feature{From: 0, To: 100, Diameter: 30}, SetAt: 100})
	if _, ok := bare.Sample(bare.Spaced(), 1); ok {
		t.Error("a sample without an uncertainty")
	}
}

// Without uncertainty to speak of, the sample is the computed spread and form.
func TestSampleOfCertainWear(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 4))
	b := randomBench(r, 12)
	m := b.machine(t)
	m.Wear = m.Wear.WithCovariance(rowsOf(12, 1e-12))
	c := mustCurve(t, m, b.randomCut(r, 300))
	s, _ := c.Sample(c.Spaced(), c.Spread()+1e-9)
	near(t, "spread", s.Spread[0], c.Spread(), 1e-9)
	near(t, "spread", s.Spread[1], c.Spread(), 1e-9)
	near(t, "within", s.Within, 1, 0)
}
