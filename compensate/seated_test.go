package compensate_test

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
)

// A saddle that rides more or less on one end of the rear way, against the plain calculation: the error anywhere, and
// the extremes over a length, which lie where no polynomial is smooth. The grid steps over a tip by half a step at
// most.
func TestSeatingAgainstPlain(t *testing.T) {
	r := rand.New(rand.NewPCG(2026, 15))
	bent := 0
	for i := range 150 {
		b := randomBench(r, 6+r.IntN(30))
		b.lathe.Saddle.BearingLength, b.lathe.Saddle.Bearing = 80+r.Float64()*200, bed.Ends
		b.scalars[bed.Seating] = []float64{1, r.Float64()}[i%2]
		cut := b.randomCut(r, 50+r.Float64()*300)
		c, want := mustCurve(t, b.machine(t), cut), b.plain().errors(cut)
		for range 20 {
			z := cut.From + r.Float64()*(cut.To-cut.From)
			near(t, "error", c.At(z, 0), want(z, 0), 1e-11)
		}
		even := b
		even.scalars[bed.Seating] = 0
		if math.Abs(want(cut.From, 0)-even.plain().errors(cut)(cut.From, 0)) > 1e-3 {
			bent++
		}
		lo, hi := sampled(cut.From, cut.To, 20000, func(z float64) float64 { return want(z, 0) })
		least, greatest := c.Extremes(cut.From, cut.To, 0)
		const grid = 1e-5 // mm: half a step of some 0.02 mm, at the steepest the wear is
		if least.Value > lo+1e-9 || least.Value < lo-grid || greatest.Value < hi-1e-9 || greatest.Value > hi+grid {
			t.Errorf("bench %d: extremes %.9g and %.9g, the grid has %.9g and %.9g", i, least.Value, greatest.Value, lo,
				hi)
		}
	}
	if bent < 20 {
		t.Errorf("how the saddle sits mattered in %d of 150 benches only", bent)
	}
}

// A saddle known to give has the answers of one of which nothing is said, to the last digit, and a ± that only grows
// where its seating is not known.
func TestSpringySaddleIsTheMean(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 15))
	grew := 0
	for range 60 {
		b := randomBench(r, 12)
		b.lathe.Saddle.BearingLength, b.lathe.Saddle.Bearing = 150, bed.Ends
		cut := b.randomCut(r, 200)
		m := b.machine(t)
		known := rowsOf(12, 0.003)
		open := seatedRowsOf(12, 0.003, 1.0/3)
		m.Wear = m.Wear.WithCovariance(known)
		a := mustCurve(t, m, cut)
		m.Wear = m.Wear.WithCovariance(open)
		c := mustCurve(t, m, cut)
		for _, h := range a.Spaced() {
			x, y := a.Station(h.Position), c.Station(h.Position)
			want := b.plain().errors(cut)(h.Position, 0)
			near(t, "error", x.DiameterError, want, 1e-11)
			near(t, "error of a seating not known", y.DiameterError, x.DiameterError, 0)
			if y.Uncertainty < x.Uncertainty-1e-15 {
				t.Errorf("u fell from %g to %g", x.Uncertainty, y.Uncertainty)
			}
			if y.Uncertainty > 1.1*x.Uncertainty {
				grew++
			}
		}
	}
	if grew < 100 {
		t.Errorf("u grew at %d places only", grew)
	}
}

// Brute force: seatings drawn evenly between 0 and 1 and wears as they are stated, each put through the exact model
// anew. The root mean square of how far the error lies from the prediction is the ±. 20,000 draws give it to 0.5 %;
// that |p − q| is taken as it is about the estimate leaves some per cent, 8 at the worst of these places. The limits
// that leave out 2.5 % at either end are unlike to both sides. A probability takes a normal distribution of the same
// second moment: where seatings are drawn so, a tolerance on two places is kept as often as is said. Of
// seatings drawn evenly, which all act to one side, more keep one that lies on that side, and fewer one on the other;
// without its seating open the answer would be certain of both.
func TestSeatingAgainstMonteCarlo(t *testing.T) {
	r := rand.New(rand.NewPCG(77, 15))
	b := bench{lathe: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100,
		Saddle: bed.Saddle{BearingLength: 200, ToolOffset: 0}}, values: map[bed.Curve][]float64{}}
	for i := range 13 {
		p := float64(i) * 50
		b.z = append(b.z, p)
		b.values[bed.Front] = append(b.values[bed.Front], 0.12*math.Exp(-(p-150)*(p-150)/2e4))
		b.values[bed.Shift] = append(b.values[bed.Shift], 0)
		b.values[bed.Rear] = append(b.values[bed.Rear], 0.02*math.Exp(-(p-150)*(p-150)/2e4))
	}
	const u, draws = 0.002, 20000
	cut := compensate.Cut{Feature: work.Feature{From: 100, To: 300, Diameter: 30}, SetAt: 300}
	m := b.machine(t)
	m.Wear = m.Wear.WithCovariance(seatedRowsOf(13, u, 1.0/3))
	c := mustCurve(t, m, cut)
	at := []float64{100, 150, 200, 250}
	squares, errors := make([]float64, len(at)), make([][]float64, len(at))
	tolerance := math.Abs(c.At(150, 0)) + 0.02
	within := 0
	for range draws {
		drawn := bench{lathe: b.lathe, z: b.z, values: map[bed.Curve][]float64{}}
		for _, k := range slices.Sorted(maps.Keys(b.values)) { // in one order, so that a draw is the same in every run
			for _, y := range b.values[k] {
				drawn.values[k] = append(drawn.values[k], y+u*r.NormFloat64())
			}
		}
		drawn.scalars[bed.Seating] = r.Float64()
		f := drawn.plain().errors(cut)
		normal := drawn
		normal.scalars[bed.Seating] = r.NormFloat64() / math.Sqrt(3)
		g := normal.plain().errors(cut)
		for i, z := range at {
			d := f(z, 0) - c.At(z, 0)
			squares[i] += d * d
			errors[i] = append(errors[i], f(z, 0))
		}
		if math.Abs(g(150, 0)-g(300, 0)) <= tolerance {
			within++
		}
	}
	for i, z := range at {
		want := math.Sqrt(squares[i] / draws)
		got := c.Station(z).Uncertainty
		t.Logf("at %g: u %.5f mm, by brute force %.5f", z, got, want)
		near(t, "u", got, want, 0.1*want)
		slices.Sort(errors[i])
		least, most := errors[i][draws*25/1000], errors[i][draws*975/1000]
		low, high, skewed := c.Skewed(z)
		t.Logf("from %.4f to %.4f mm, by brute force from %.4f to %.4f", low, high, least, most)
		if e := c.At(z, 0); skewed != (math.Max(most-e, e-least) > 1.5*math.Min(most-e, e-least)) {
			t.Errorf("at %g limits that lie alike to both sides: %v", z, !skewed)
		}
		if skewed {
			near(t, "lower limit", low, least, 0.1*(most-least))
			near(t, "upper limit", high, most, 0.1*(most-least))
		}
	}
	p, _ := c.AlikeWithin(compensate.Spot{Position: 150}, compensate.Spot{Position: 300}, tolerance)
	t.Logf("within %.3f mm: %.3f, by brute force %.3f", tolerance, p, float64(within)/draws)
	near(t, "probability", p, float64(within)/draws, 0.03)
	m.Wear = m.Wear.WithCovariance(rowsOf(13, u))
	if known := mustCurve(t, m, cut); known.Station(150).Uncertainty > 0.8*c.Station(150).Uncertainty {
		t.Error("what is not known of the seating hardly matters here")
	}
}
