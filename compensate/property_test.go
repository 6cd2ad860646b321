package compensate_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"wornway/compensate"
	"wornway/profile/bed"
)

// scaled returns the same lathe in a unit k times smaller: every length k times as many. Lean is a length per length
// and stays; twist is an angle per length.
func (b bench) scaled(k float64) bench {
	s := b
	s.lathe.CentreHeight, s.lathe.Span, s.lathe.Setback = k*b.lathe.CentreHeight, k*b.lathe.Span, k*b.lathe.Setback
	s.lathe.Saddle.BearingLength, s.lathe.Saddle.ToolOffset = k*b.lathe.Saddle.BearingLength,
		k*b.lathe.Saddle.ToolOffset
	if b.lathe.V != nil {
		v := *b.lathe.V
		v.ContactSpacing *= k
		s.lathe.V = &v
	}
	s.z, s.values = times(k, b.z), map[bed.Curve][]float64{}
	for c, v := range b.values {
		s.values[c] = times(k, v)
	}
	s.scalars[bed.Twist] /= k
	return s
}

func times(k float64, v []float64) []float64 {
	out := make([]float64, len(v))
	for i := range v {
		out[i] = k * v[i]
	}
	return out
}

func scaledCut(c compensate.Cut, k float64) compensate.Cut {
	c.From, c.To, c.Diameter, c.SetAt, c.ToolHeight = k*c.From, k*c.To, k*c.Diameter, k*c.SetAt, k*c.ToolHeight
	return c
}

// Inches or millimetres: nothing but the lengths changes.
func TestScale(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 1))
	for range 60 {
		b := randomBench(r, 3+r.IntN(20))
		cut := b.randomCut(r, 50+r.Float64()*400)
		const k = 25.4
		a, s := mustCurve(t, b.machine(t), cut), mustCurve(t, b.scaled(k).machine(t), scaledCut(cut, k))
		for range 5 {
			z := cut.From + r.Float64()*(cut.To-cut.From)
			near(t, "error", s.At(k*z, k*0.01)/k, a.At(z, 0.01), 1e-11)
			near(t, "roll", s.Station(k*z).Roll, a.Station(z).Roll, 1e-13)
		}
		ta, ts := a.Taper(), s.Taper()
		near(t, "slope", ts.Line.Slope, ta.Line.Slope, 1e-9)
		near(t, "ends", ts.Ends/k, ta.Ends, 1e-11)
		near(t, "form", ts.Form/k, ta.Form, 2e-7)
		near(t, "spread", ts.Spread/k, ta.Spread, 2e-7)
	}
}

func TestCorrectAndPlaceScale(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 2))
	const k = 25.4
	for range 12 {
		b := randomBench(r, 3+r.IntN(20))
		cut := b.randomCut(r, 100+r.Float64()*300)
		o := compensate.CorrectOptions{Dial: compensate.Dial{Division: 0.01, Finest: 0.5}, Allow: 0.0123,
			Every: []float64{cut.From, (cut.From + cut.To) / 2, cut.To}}
		so := o
		so.Dial.Division, so.Allow, so.Every = k*o.Dial.Division, k*o.Allow, times(k, o.Every)
		m, sm := b.machine(t), b.scaled(k).machine(t)
		x, err := m.Correct(cut, o)
		y, scaledErr := sm.Correct(scaledCut(cut, k), so)
		if err != nil || scaledErr != nil {
			t.Fatal(err, scaledErr)
		}
		if len(x.Moves) != len(y.Moves) || x.Feed != y.Feed {
			t.Fatalf("%d moves in one unit, %d in another", len(x.Moves), len(y.Moves))
		}
		for i := range x.Moves {
			near(t, "position", y.Moves[i].Position/k, x.Moves[i].Position, 1e-4)
			if x.Moves[i].Setting != y.Moves[i].Setting {
				t.Errorf("setting %d in one unit, %d in another", x.Moves[i].Setting, y.Moves[i].Setting)
			}
		}
		near(t, "table", y.TableSpread/k, x.TableSpread, 1e-6)

		p := compensate.PlaceOptions{Length: 100, Work: cut.Feature, From: b.z[0], To: b.z[len(b.z)-1]}
		sp := p
		sp.Length, sp.Work, sp.From, sp.To = k*p.Length, scaledCut(cut, k).Feature, k*p.From, k*p.To
		px, err := m.Place(p)
		py, scaledErr := sm.Place(sp)
		if err != nil || scaledErr != nil {
			t.Fatal(err, scaledErr)
		}
		near(t, "best", py.Best.Spread/k, px.Best.Spread, 2e-5)
		near(t, "worst", py.Worst.Spread/k, px.Worst.Spread, 2e-5)
	}
}

// The same bed counted from elsewhere.
func TestShiftOfPositions(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 3))
	for range 60 {
		b := randomBench(r, 3+r.IntN(20))
		b.scalars = [bed.Scalars]float64{} // these act from position zero
		cut := b.randomCut(r, 200)
		moved, there := b, cut
		moved.z = nil
		for _, z := range b.z {
			moved.z = append(moved.z, z+512)
		}
		there.From, there.To, there.SetAt = cut.From+512, cut.To+512, cut.SetAt+512
		a, s := mustCurve(t, b.machine(t), cut), mustCurve(t, moved.machine(t), there)
		z := cut.From + r.Float64()*200
		near(t, "error", s.At(z+512, 0), a.At(z, 0), 1e-11)
		near(t, "slope", s.Taper().Line.Slope, a.Taper().Line.Slope, 1e-10)
	}
}

// A lathe and its mirror image: the axis at mid-span, the ways exchanged, shift and lean toward the other side, the
// tool at the other post. Both turn the same work.
func TestMirroredLathe(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 4))
	for range 60 {
		b := randomBench(r, 3+r.IntN(20))
		b.lathe.Setback = b.lathe.Span / 2
		// it turns about the front way: the image would need it to turn about the rear one
		b.scalars[bed.Twist] = 0
		// the front way's line is taken at the tool, the rear way's mean is not: with an offset the mirror is none
		b.lathe.Saddle.ToolOffset = 0
		cut := b.randomCut(r, 200)
		m := b
		m.lathe.RearPost = !b.lathe.RearPost
		m.values = map[bed.Curve][]float64{bed.Front: b.values[bed.Rear], bed.Rear: b.values[bed.Front],
			bed.Shift: times(-1, b.values[bed.Shift])}
		m.scalars[bed.LeanOut] = -b.scalars[bed.LeanOut]
		a, s := mustCurve(t, b.machine(t), cut), mustCurve(t, m.machine(t), cut)
		for range 5 {
			z := cut.From + r.Float64()*200
			near(t, "error", s.At(z, 0), a.At(z, 0), 1e-11)
		}
	}
}

// Ways that have sunk alike leave nothing but the second order of the drop: drop²/R on diameter for a tool on centre
// (the sagitta, h²/R).
func TestEqualWearLeavesNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 5))
	for range 60 {
		b := randomBench(r, 3+r.IntN(20))
		b.scalars = [bed.Scalars]float64{}
		b.lathe.Saddle.ToolOffset = 0
		delete(b.values, bed.Shift)
		b.values[bed.Rear] = b.values[bed.Front]
		cut := b.randomCut(r, 200)
		cut.ToolHeight = 0
		c := mustCurve(t, b.machine(t), cut)
		for range 5 {
			s := c.Station(cut.From + r.Float64()*200)
			near(t, "tool out", s.Out, 0, 1e-13)
			near(t, "error", s.DiameterError, s.Down*s.Down/(cut.Diameter/2), 1e-6*s.Down*s.Down+1e-15)
		}
	}
}

// Small wears add up: the error of two together is the sum of each one's, but for products of wears, which over a
// radius of some 10 mm are below 1e-9 for wears of some 0.1 µm. With a point saddle at the knots, where the curves
// themselves add up.
func TestSuperposition(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 6))
	for range 60 {
		n := 3 + r.IntN(20)
		b := randomBench(r, n)
		b.lathe.Saddle.BearingLength = 0
		b.scalars = [bed.Scalars]float64{}
		cut := b.randomCut(r, 200)
		cut.SetAt, cut.From, cut.To = b.z[n-1], b.z[0], b.z[n-1]
		first, second, both := b, b, b
		first.values, second.values, both.values = map[bed.Curve][]float64{}, map[bed.Curve][]float64{},
			map[bed.Curve][]float64{}
		for c := range bed.Curves { // in order, so that each run draws the same
			for i, y := range b.values[c] {
				first.values[c] = append(first.values[c], 1e-3*y)
				second.values[c] = append(second.values[c], 1e-4*r.NormFloat64())
				both.values[c] = append(both.values[c], first.values[c][i]+second.values[c][i])
			}
		}
		x, y, z := mustCurve(t, first.machine(t), cut), mustCurve(t, second.machine(t), cut),
			mustCurve(t, both.machine(t), cut)
		for _, p := range b.z {
			near(t, "error of both", z.At(p, 0), x.At(p, 0)+y.At(p, 0), 2e-8)
		}
		// Three times the wear, three times the error, to the same order.
		triple := first
		triple.values = map[bed.Curve][]float64{}
		for c, v := range first.values {
			triple.values[c] = times(3, v)
		}
		w := mustCurve(t, triple.machine(t), cut)
		p := b.z[0] + r.Float64()*(b.z[n-1]-b.z[0])
		near(t, "three times", w.At(p, 0), 3*x.At(p, 0), 2e-8)
		if math.Abs(x.At(b.z[0], 0)) > 1e-2 {
			t.Errorf("small wear makes %g", x.At(b.z[0], 0))
		}
	}
}
