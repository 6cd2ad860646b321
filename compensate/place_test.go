package compensate_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// track is the tool point's motion along a reach at even positions, from which a spread at any of them is quickly
// calculated.
type track struct {
	from, step       float64
	out, down        []float64
	x0, height, size float64
}

func (p plain) track(from, step float64, n int, diameter, height float64) track {
	k := track{from: from, step: step, x0: math.Sqrt(diameter*diameter/4 - height*height), height: height,
		size: diameter}
	for i := range n + 1 {
		out, down := p.tool(from+float64(i)*step, diameter)
		k.out, k.down = append(k.out, out), append(k.down, down)
	}
	return k
}

// spread is the sampled spread over the samples from i to j, the tool set at j.
func (k track) spread(i, j int) float64 {
	least, greatest := math.Inf(1), math.Inf(-1)
	for m := i; m <= j; m++ {
		x, y := k.x0+k.out[m]-k.out[j], k.height-(k.down[m]-k.down[j])
		v := 2 * math.Sqrt(x*x+y*y)
		least, greatest = math.Min(least, v), math.Max(greatest, v)
	}
	return greatest - least
}

func TestPlaceAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 1))
	ranges, refined := 0, 0
	tried := cases(60, 500)
	for i := range tried {
		b := randomBench(r, 3+r.IntN(25))
		first, last := b.z[0], b.z[len(b.z)-1]
		// The reach is a whole number of steps and so is the length, so that starts and ends are samples.
		const n = 1500
		step := (last - first) / n
		if r.IntN(2) == 0 {
			step *= 0.6
		}
		parts := 40 + r.IntN(n*8/10)
		p := compensate.PlaceOptions{Length: float64(parts) * step, From: first, To: math.Min(first+n*step, last),
			Work: work.Feature{Diameter: 8 + r.Float64()*80, Bore: r.IntN(2) == 0}}
		if r.IntN(2) == 0 {
			p.ToolHeight = r.Float64() - 0.5
		}
		if r.IntN(3) == 0 { // small work and a tool well off centre, where sinking counts as much as moving out
			p.Work.Diameter = 1.5 + r.Float64()*2
			p.ToolHeight = p.Work.Diameter / 2 * (1.6*r.Float64() - 0.8)
		}
		k := b.plain().track(first, step, n, p.Work.Diameter, p.ToolHeight)
		const every = 10
		var starts []int
		for s := 0; s <= n-parts; s += every {
			starts = append(starts, s)
		}
		spreads := make([]float64, len(starts))
		least, greatest := math.Inf(1), math.Inf(-1)
		for j, s := range starts {
			spreads[j] = k.spread(s, s+parts)
			least, greatest = math.Min(least, spreads[j]), math.Max(greatest, spreads[j])
		}
		p.Work.Tolerance = least + r.Float64()*(greatest-least)
		if r.IntN(8) == 0 {
			p.Work.Tolerance = least * 0.8
		}
		p.Starts = []float64{first, first + float64(starts[len(starts)/2])*step}
		got, err := b.machine(t).Place(p)
		if err != nil {
			t.Fatal(err)
		}

		// What is reported may lie between the starts tried here and so be better, or worse, than all of them; that it
		// is so there is checked below.
		const near1 = 3e-5 // mm: what sampling and the search may miss
		if got.Best.Spread > least+near1 {
			t.Errorf("case %d: best %g at %g, brute force %g", i, got.Best.Spread, got.Best.From, least)
		}
		if got.Worst.Spread < greatest-near1 {
			t.Errorf("case %d: worst %g at %g, brute force %g", i, got.Worst.Spread, got.Worst.From, greatest)
		}
		for _, place := range append([]compensate.Place{got.Best, got.Worst}, got.Starts...) {
			f := b.plain().errors(compensate.Cut{Feature: p.Work, SetAt: place.To, ToolHeight: p.ToolHeight})
			lo, hi := sampled(place.From, place.To, 1500, func(z float64) float64 { return f(z, 0) })
			near(t, "spread at a place", place.Spread, hi-lo, near1)
			near(t, "length", place.To-place.From, p.Length, 1e-9)
			if place.From < p.From || place.To > p.To {
				t.Errorf("case %d: %g to %g lies outside the reach", i, place.From, place.To)
			}
		}
		if got.Best.Spread < least-near1 {
			refined++
		}
		in := func(a float64) bool {
			for _, g := range got.Good {
				if a >= g.From-1e-9 && a <= g.To+1e-9 {
					return true
				}
			}
			return false
		}
		for j, s := range starts {
			a := first + float64(s)*step
			if spreads[j] < p.Work.Tolerance-near1 && !in(a) || spreads[j] > p.Work.Tolerance+near1 && in(a) {
				t.Errorf("case %d: a start at %g spreads %g, tolerance %g, called good: %v", i, a, spreads[j],
					p.Work.Tolerance, in(a))
			}
		}
		before := math.Inf(-1)
		for _, g := range got.Good {
			ranges++
			if g.To < g.From || g.From <= before {
				t.Errorf("case %d: ranges %v", i, got.Good)
			}
			before = g.To
			for _, edge := range []float64{g.From, g.To} {
				if math.Abs(edge-p.From) < 1e-9 || math.Abs(edge-(p.To-p.Length)) < 1e-9 {
					continue
				}
				f := b.plain().errors(compensate.Cut{Feature: p.Work, SetAt: edge + p.Length, ToolHeight: p.ToolHeight})
				lo, hi := sampled(edge, edge+p.Length, 1500, func(z float64) float64 { return f(z, 0) })
				near(t, "spread at an edge of a good range", hi-lo, p.Work.Tolerance, near1)
			}
		}
	}
	if ranges < tried/4 || refined < tried/60 {
		t.Errorf("too few telling cases: %d ranges, %d refined", ranges, refined)
	}
}

// A bed worn in one straight slope but for a level stretch from 100 to 250: a length of 100 is best placed there, and
// the first of the equal starts is given.
func TestPlaceByHand(t *testing.T) {
	m := guided(t, []float64{0, 50, 100, 250, 300, 400}, []float64{0.06, 0.05, 0.04, 0.04, 0.03, 0.01})
	got, err := m.Place(compensate.PlaceOptions{Length: 100, From: 0, To: 400,
		Work: work.Feature{Diameter: 30, Tolerance: 1e-4}, Starts: []float64{0, 120, 300, 5000}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "best from", got.Best.From, 100, 0.5)
	near(t, "best spread", got.Best.Spread, 0, 1e-5)
	// 0.02 of shift over 100 at either end, and somewhat more where the cubic bends between
	if got.Worst.Spread < 0.04 {
		t.Errorf("worst %+v", got.Worst)
	}
	if len(got.Good) != 1 {
		t.Fatalf("good ranges %v", got.Good)
	}
	near(t, "good from", got.Good[0].From, 100, 3)
	near(t, "good to", got.Good[0].To, 150, 3)
	near(t, "start at 0", got.Starts[0].Spread, 0.04, 1e-12)
	near(t, "start at 120", got.Starts[1].Spread, 0, 1e-12)
	near(t, "start past the reach", got.Starts[3].From, 300, 1e-12)
	if none, err := m.Place(compensate.PlaceOptions{Length: 100, From: 0, To: 400,
		Work: work.Feature{Diameter: 30}}); err != nil || none.Good != nil {
		t.Errorf("%v, %v where no tolerance was asked", none, err)
	}
	// A reach as long as the work leaves one place.
	one, err := m.Place(compensate.PlaceOptions{Length: 100, From: 0, To: 100,
		Work: work.Feature{Diameter: 30, Tolerance: 1}})
	if err != nil || one.Best.From != one.Worst.From || one.Best.Spread != one.Worst.Spread || len(one.Good) != 1 ||
		one.Good[0] != (compensate.Range{}) {
		t.Errorf("%+v, %v", one, err)
	}
}

func TestPlaceRefuses(t *testing.T) {
	m := guided(t, []float64{0, 400}, []float64{0.05, 0})
	good := compensate.PlaceOptions{Length: 100, From: 0, To: 400, Work: work.Feature{Diameter: 30, Tolerance: 0.01}}
	for what, change := range map[string]func(*compensate.PlaceOptions){
		"no length":                func(p *compensate.PlaceOptions) { p.Length = 0 },
		"length that is no number": func(p *compensate.PlaceOptions) { p.Length = math.NaN() },
		"length beyond the reach":  func(p *compensate.PlaceOptions) { p.Length = 401 },
		"reach beyond the survey":  func(p *compensate.PlaceOptions) { p.To = 500 },
		"reach the wrong way":      func(p *compensate.PlaceOptions) { p.From, p.To = p.To, p.From },
		"no diameter":              func(p *compensate.PlaceOptions) { p.Work.Diameter = 0 },
		"tool above the work":      func(p *compensate.PlaceOptions) { p.ToolHeight = 15 },
	} {
		p := good
		change(&p)
		if _, err := m.Place(p); err == nil {
			t.Errorf("%s was taken", what)
		}
		if _, err := m.Spans(p, p.Length); err == nil {
			t.Errorf("span: %s was taken", what)
		}
	}
	if _, err := m.Place(good); err != nil {
		t.Error(err)
	}
}

// The span's tapers against the slopes of lines summed at every hundredth of the reach.
func TestSpanAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 2))
	for i := range 25 {
		b := randomBench(r, 3+r.IntN(15))
		first, last := b.z[0], b.z[len(b.z)-1]
		p := compensate.PlaceOptions{Length: (last - first) * (0.1 + 0.6*r.Float64()), From: first, To: last,
			Work: work.Feature{Diameter: 20 + r.Float64()*60}}
		m := b.machine(t)
		spans, err := m.Spans(p, p.Length)
		if err != nil {
			t.Fatal(err)
		}
		got := spans[0]
		least, greatest := math.Inf(1), 0.0
		for j := range 101 {
			a := first + (last-first-p.Length)*float64(j)/100
			f := p.Work
			f.From, f.To = a, math.Min(a+p.Length, last)
			tp := mustCurve(t, m, compensate.Cut{Feature: f, SetAt: f.To}).Taper()
			slope := math.Abs(tp.Line.Slope)
			least, greatest = math.Min(least, slope), math.Max(greatest, slope)
		}
		worst, best := math.Abs(got.WorstTaper.Slope), math.Abs(got.BestTaper.Slope)
		// The one curve is set at the reach's end: its errors are those of another setting, off by the order of
		// error/diameter.
		within := greatest * 0.02
		if worst < greatest-within || best > least+within {
			t.Errorf("bench %d: taper from %g to %g, brute force %g to %g", i, best, worst, least, greatest)
		}
		// What is said of a place against the whole curve there, taken over its pieces one by one.
		for _, k := range []compensate.SpanPlace{got.WorstTaper, got.BestTaper, got.WorstSpread, got.BestSpread} {
			f := p.Work
			f.From, f.To = k.From, k.To
			tp := mustCurve(t, m, compensate.Cut{Feature: f, SetAt: f.To}).Taper()
			near(t, "spread", k.Spread, tp.Spread, 1e-6)
			near(t, "slope", k.Slope, tp.Line.Slope, 1e-9)
		}
		near(t, "length", got.Length, p.Length, 0)
	}
}

// Bearings near the reach's ends keep the knots' end values.
func TestPlaceOfLongSaddle(t *testing.T) {
	m := guided(t, []float64{0, 200, 400}, []float64{0.05, 0.02, 0})
	m.Lathe.Saddle = bed.Saddle{BearingLength: 280}
	got, err := m.Place(compensate.PlaceOptions{Length: 50, From: 0, To: 400, Work: work.Feature{Diameter: 30}})
	if err != nil || !(got.Best.Spread >= 0) || !(got.Worst.Spread > got.Best.Spread) {
		t.Errorf("%+v, %v", got, err)
	}
}

// Where an uncertainty was stated the best place is the one that most probably holds the tolerance; where the wear is
// as good as certain, that is a matter of yes or no.
func TestPlaceByProbability(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 3))
	for i := range cases(1, 20) {
		b := randomBench(r, 12)
		m := b.machine(t)
		first, last := b.z[0], b.z[11]
		p := compensate.PlaceOptions{Length: 150, From: first, To: last, Work: work.Feature{Diameter: 40}}
		bare, err := m.Place(p)
		if err != nil || bare.Best.Within != 0 {
			t.Fatalf("%+v, %v", bare, err)
		}
		p.Work.Tolerance = (bare.Best.Spread + bare.Worst.Spread) / 2
		p.Starts = compensate.Stations(first, last-150, 60)
		for _, u := range []float64{1e-10, 0.001} {
			sure := m
			sure.Wear = m.Wear.WithCovariance(rowsOf(12, u))
			got, err := sure.Place(p)
			if err != nil {
				t.Fatal(err)
			}
			for _, k := range append([]compensate.Place{got.Best, got.Worst}, got.Starts...) {
				if !(k.Within >= 0 && k.Within <= 1) || k.Within > got.Best.Within+0.005 {
					t.Errorf("bench %d: %+v beside the best, %+v", i, k, got.Best)
				}
				if u < 1e-9 && math.Abs(k.Spread-p.Work.Tolerance) > 1e-6 &&
					(k.Within == 1) != (k.Spread < p.Work.Tolerance) {
					t.Errorf("bench %d: %+v, tolerance %g", i, k, p.Work.Tolerance)
				}
			}
		}
	}
}

// A stretch that is computed to be level, and known to a hundredth, against one that slopes by 4 µm and is known to
// the micrometre: the best place is the one of which less can be promised to vary, 4 µm and not some 20.
func TestPlaceByWhatIsPromised(t *testing.T) {
	z := []float64{0, 100, 200, 300, 400, 500}
	w := mustWear(t, z, map[bed.Curve][]float64{bed.Shift: {0, 0, 0, 0.01, 0.012, 0.014}})
	var of []wear.Unknown
	cov := mat.NewSymDense(len(z), nil)
	for i := range z {
		of = append(of, wear.Unknown{Knot: i, Curve: bed.Shift})
		u := 0.01
		if i >= 3 {
			u = 0.0001
		}
		cov.SetSym(i, i, u*u)
	}
	m := compensate.Machine{Lathe: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100},
		Wear: w.WithCovariance(wear.NewFull(len(z), of, cov)), Axis: compensate.SpindleAxis()}
	got, err := m.Place(compensate.PlaceOptions{Length: 100, From: 0, To: 500, Work: work.Feature{Diameter: 40},
		Starts: []float64{0, 300, 400}})
	if err != nil {
		t.Fatal(err)
	}
	if got.Best.From < 300-1 || got.Best.Limit > 0.006 || got.Starts[0].Spread > 1e-9 || got.Starts[0].Limit < 0.015 {
		t.Errorf("best %+v, level and hardly known %+v", got.Best, got.Starts[0])
	}
}

// Which place is best does not depend on what else is asked: on no tolerance, and on no starts to report. With and
// without a ± of the wear.
func TestPlaceWhateverIsAsked(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 7))
	for i := range cases(2, 1000) {
		n := 3 + r.IntN(12)
		b := randomBench(r, n)
		first, last := b.z[0], b.z[n-1]
		p := compensate.PlaceOptions{Length: (last - first) * (0.1 + 0.4*r.Float64()), From: first, To: last,
			Work: work.Feature{Diameter: 8 + r.Float64()*80}}
		u := []float64{0.002, 0}[i%2]
		place := func(p compensate.PlaceOptions) *compensate.Places {
			m := b.machine(t)
			if u > 0 {
				m.Wear = m.Wear.WithCovariance(rowsOf(n, u))
			}
			got, err := m.Place(p)
			if err != nil {
				t.Fatal(err)
			}
			return got
		}
		bare := place(p)
		same := func(what string, got, want compensate.Place) {
			if got.From != want.From || got.Spread != want.Spread || got.Limit != want.Limit {
				t.Errorf("case %d, %s: %+v, was %+v", i, what, got, want)
			}
		}
		asked := p
		asked.Work.Tolerance = bare.Best.Spread + r.Float64()*(bare.Worst.Spread-bare.Best.Spread)
		asked.Starts = compensate.Stations(p.From, p.To-p.Length, p.Length*(0.02+r.Float64()))
		got := place(asked)
		same("the best, with a tolerance and starts", got.Best, bare.Best)
		same("the worst, with a tolerance and starts", got.Worst, bare.Worst)
		for _, k := range got.Starts {
			if u == 0 && k.Limit < got.Best.Limit-1e-5 { // of a wear with a ± the search is by steps
				t.Errorf("case %d: %+v is better than the best, %+v", i, k, got.Best)
			}
		}
	}
}

// Rows so dense that a few of them make one leaf, as a logger writes them, with the scatter of its readings: what is
// said of each place against the whole curve there, taken over its pieces one by one.
func TestSpansOfDenseRows(t *testing.T) {
	for _, c := range []struct {
		bearing bed.Bearing
		scatter float64
	}{{bed.Full, 0.001}, {bed.Ends, 0}, {bed.Ends, 0.001}, {bed.Full, 0}}[:cases(2, 4)] {
		const n = 6000
		r := rand.New(rand.NewPCG(14, 6))
		m := smoothBench(n, false, c.bearing)
		z, values := m.Wear.Knots(), map[bed.Curve][]float64{}
		for _, k := range []bed.Curve{bed.Front, bed.Rear, bed.Shift} {
			for _, at := range z {
				values[k] = append(values[k], m.Wear.Value(bed.At(k, 0), at)+c.scatter*r.NormFloat64())
			}
		}
		w, err := wear.New(z, values)
		if err != nil {
			t.Fatal(err)
		}
		m.Wear = w
		p := compensate.PlaceOptions{From: 0, To: 800, Work: work.Feature{Diameter: 25}}
		spans, err := m.Spans(p, 25, 100, 400)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range spans {
			for _, k := range []compensate.SpanPlace{s.WorstTaper, s.BestTaper, s.WorstSpread, s.BestSpread} {
				f := p.Work
				f.From, f.To = k.From, k.To
				tp := mustCurve(t, m, compensate.Cut{Feature: f, SetAt: f.To}).Taper()
				near(t, "length", k.To-k.From, s.Length, 1e-9)
				near(t, "spread", k.Spread, tp.Spread, 1e-6)
				near(t, "slope", k.Slope, tp.Line.Slope, 1e-9)
			}
			// Nowhere else is more or less.
			for a := p.From; a+s.Length <= p.To; a += 29.3 {
				f := p.Work
				f.From, f.To = a, a+s.Length
				spread := mustCurve(t, m, compensate.Cut{Feature: f, SetAt: f.To}).Spread()
				if spread > s.WorstSpread.Spread+1e-3 || spread < s.BestSpread.Spread-1e-3 {
					t.Errorf("%v, scatter %g, %g mm at %g: spread %g, not between %g and %g", c.bearing, c.scatter,
						s.Length, a, spread, s.BestSpread.Spread, s.WorstSpread.Spread)
				}
			}
		}
	}
}
