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

// size returns a number of random sign whose size lies anywhere between ten to the power lo and hi.
func size(r *rand.Rand, lo, hi float64) float64 {
	return math.Copysign(math.Pow(10, lo+(hi-lo)*r.Float64()), r.Float64()-0.5)
}

// wildBench is a lathe that nobody could build: lengths from micrometres to hundreds of metres, wear up to many times
// the diameter.
func wildBench(r *rand.Rand) (compensate.Machine, compensate.Cut, error) {
	n := 2 + r.IntN(7)
	z := []float64{size(r, -3, 4)}
	for i := 1; i < n; i++ {
		z = append(z, z[i-1]+math.Abs(size(r, -3, 4)))
	}
	hi := []float64{-1, 1, 3}[r.IntN(3)]
	values := map[bed.Curve][]float64{}
	for c := range bed.Curves {
		if r.IntN(3) == 0 {
			continue
		}
		for range n {
			values[c] = append(values[c], size(r, -6, hi))
		}
	}
	w, err := wear.New(z, values)
	if err != nil {
		return compensate.Machine{}, compensate.Cut{}, err
	}
	for k := range bed.Slopes {
		w = w.WithScalar(k, size(r, -9, -1))
	}
	w = w.WithScalar(bed.Seating, []float64{0, 0.5, 1}[n%3])
	var rows wear.Covariance = rowsOf(n, math.Abs(size(r, -6, 0)))
	if r.IntN(2) == 0 {
		rows = statedTo(math.Abs(size(r, -6, 0)), wear.Reach(math.Abs(size(r, 0, 4))))
	}
	m := compensate.Machine{Wear: w.WithCovariance(rows), Axis: compensate.SpindleAxis(), Lathe: bed.Lathe{
		CentreHeight: math.Abs(size(r, -2, 4)), Span: math.Abs(size(r, -2, 4)), Setback: size(r, -2, 4),
		RearPost: r.IntN(2) == 0,
		Saddle: bed.Saddle{BearingLength: math.Abs(size(r, -3, 4)), Bearing: bed.Bearing(r.IntN(2)),
			ToolOffset: size(r, -3, 4)}}}
	if r.IntN(3) == 0 {
		m.Lathe.Saddle.BearingLength = 0
	}
	a, b := z[0]+r.Float64()*(z[n-1]-z[0]), z[0]+r.Float64()*(z[n-1]-z[0])
	d := math.Abs(size(r, -3, 4))
	cut := compensate.Cut{Feature: work.Feature{From: min(a, b), To: max(a, b), Diameter: d, Bore: r.IntN(2) == 0,
		Tolerance: math.Abs(size(r, -6, 3))}}
	cut.SetAt = []float64{cut.From, cut.To, (cut.From + cut.To) / 2}[r.IntN(3)]
	cut.ToolHeight = []float64{0, d / 2 * (1 - 1e-12), -d / 2 * (1 - 1e-9), d / 2 * (2*r.Float64() - 1)}[r.IntN(4)]
	return m, cut, nil
}

// Whatever finite numbers come in, finite numbers or an error come out, and soon.
func TestWildInputs(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 1))
	finite := func(i int, what string, v ...float64) {
		t.Helper()
		for _, x := range v {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Errorf("case %d: %s: %v", i, what, v)
				return
			}
		}
	}
	answered, corrected, placed := 0, 0, 0
	for i := range cases(30, 2000) {
		m, cut, err := wildBench(r)
		if err != nil {
			continue
		}
		c, err := m.Curve(cut)
		if err != nil {
			continue
		}
		answered++
		at := compensate.Stations(cut.From, cut.To, (cut.To-cut.From)/5)
		for _, z := range at {
			s := c.Station(z)
			finite(i, "station", s.Roll, s.ToolOut, s.ToolDrop, s.Radius, s.DiameterError, s.Uncertainty)
		}
		tp := c.Taper()
		finite(i, "taper", tp.Line.Slope, tp.Line.Mean, tp.Ends, tp.Form, tp.Spread, tp.UEnds, tp.USlope,
			tp.Largest.Position, tp.Smallest.Position)
		seat := c.Seating(at)
		finite(i, "seating", seat.Proud.Value, seat.EndsDiffer, seat.HeightMatter)
		if i%20 == 0 {
			s, _ := c.Sample(c.Spaced(), cut.Tolerance)
			finite(i, "sample", s.Spread[0], s.Spread[1], s.Form[0], s.Form[1], s.Within)
		}

		dial := compensate.Dial{Diameter: r.IntN(2) == 0, Division: math.Abs(size(r, -5, 2)), Finest: 0.5,
			Backlash: 0.1}
		allow := []float64{0, math.Abs(size(r, -6, 6)), math.Abs(size(r, -2, 1)) * dial.Limit()}[r.IntN(3)]
		o := compensate.CorrectOptions{Dial: dial, Allow: allow, Feed: compensate.Feed(r.IntN(3)), Every: at,
			Round: 1}
		if k, err := m.Correct(cut, o); err == nil {
			corrected++
			finite(i, "corrections", k.Before, k.Limit, k.MovesSpread, k.TableSpread)
			for _, h := range append(append([]compensate.Move{}, k.Moves...), k.Table...) {
				finite(i, "move", h.Position, h.Left.Position, h.Left.Value)
			}
			for _, h := range k.Moves {
				if math.Abs(h.Left.Value) > k.Allow+1e-6+1e-9*(math.Abs(h.Left.Value)+cut.Diameter) {
					t.Errorf("case %d: a move leaves %g, ± %g allowed", i, h.Left.Value, k.Allow)
				}
			}
		}

		first, last := m.Wear.Range()
		p := compensate.PlaceOptions{Length: (last - first) * math.Pow(10, -2.5*r.Float64()), Work: cut.Feature,
			ToolHeight: cut.ToolHeight, From: first, To: last}
		if i%10 == 0 {
			k, err := m.Place(p)
			if err == nil {
				placed++
				finite(i, "place", k.Best.From, k.Best.Spread, k.Worst.From, k.Worst.Spread)
				for _, g := range k.Good {
					finite(i, "good", g.From, g.To)
				}
			}
			if s, err := m.Spans(p, p.Length); err == nil {
				finite(i, "span", s[0].WorstTaper.Slope, s[0].BestTaper.Slope, s[0].WorstSpread.Spread,
					s[0].BestSpread.Spread)
			}
		}
	}
	if n := cases(20, 20); answered < n || corrected < n/4 || placed < n/10 {
		t.Errorf("too few answers: %d curves, %d corrections, %d places", answered, corrected, placed)
	}
}
