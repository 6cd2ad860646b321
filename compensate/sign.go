package compensate

import (
	"math"

	"wornway/profile/accord"
)

// Looks is what differences that are more than chance look like.
type Looks string

// What they may look like. No more is said than that this alone, with a straight taper beside it, would explain them;
// other causes may look the same.
const (
	LooksNone  Looks = ""         // like nothing in particular, or like several things
	OneStation Looks = "station"  // one measurement is off, all the others agree
	PushOff    Looks = "push-off" // bigger and bigger toward the free end, with the cube of the distance from the jaws
	MoreBarrel Looks = "barrel"   // bigger in the middle than was predicted
	MoreWaist  Looks = "waist"    // smaller in the middle than was predicted
)

// Sign is where differences are greatest and what they look like.
type Sign struct {
	Worst   int // the station that is furthest off for its uncertainty
	Looks   Looks
	Station int // for OneStation: which
	// mm on diameter, with its sign: how far that station is off; what the push-off makes at the station furthest from
	// the jaws; how far the middle is off the line through both ends
	Size float64
	U    float64 // standard
}

// sign looks for what alone would explain the differences.
func (c *Check) sign(t TestCut, d differences) Sign {
	out := Sign{}
	for i, s := range c.Stations {
		if i != c.Set && (out.Worst == c.Set || math.Abs(s.En) > math.Abs(c.Stations[out.Worst].En) ||
			math.IsNaN(c.Stations[out.Worst].En)) {
			out.Worst = i
		}
	}
	const enough = 2 // degrees of freedom left: with fewer anything fits
	best := 0.0
	take := func(r accord.Result, err error, looks Looks, station int, size accord.Term) bool {
		if err != nil || r.Freedom < enough || r.Probability < Alarm {
			return false
		}
		if r.Probability > best {
			best = r.Probability
			out.Looks, out.Station, out.Size, out.U = looks, station, size.Value, size.U
		}
		return true
	}
	// One measurement off; several that would each explain it alone tell nothing. The one that all are compared with is
	// among them.
	found := 0
	for i := range c.Stations {
		alone := func(k int) float64 {
			if k == i {
				return 1
			}
			return 0
		}
		var shape []float64
		for k := range c.Stations {
			if k != c.Set {
				shape = append(shape, alone(k)-alone(c.Set))
			}
		}
		if r, err := d.test(shape); err == nil && take(r, nil, OneStation, i, r.Terms[0]) {
			found++
		}
	}
	if found > 1 {
		out.Looks, best = LooksNone, 0
	}
	first, last := c.Stations[0].Position, c.Stations[len(c.Stations)-1].Position
	var lines [][]float64
	if d.bends() {
		lines = append(lines, d.line())
	}
	if !t.Tailed {
		jaws := math.Min(t.HeldAt, first)
		if math.IsNaN(t.HeldAt) {
			jaws = math.Min(0, first) // no nearer than the spindle nose
		}
		cube := d.shape(func(z float64) float64 { return math.Pow((z-jaws)/(last-jaws), 3) })
		r, err := d.test(append([][]float64{cube}, lines...)...)
		if err == nil && r.Terms[0].Value > 2*r.Terms[0].U { // work bends away from the tool only
			take(r, nil, PushOff, 0, r.Terms[0])
		}
	}
	middle, half := (first+last)/2, (last-first)/2
	bow := d.shape(func(z float64) float64 { return 1 - math.Pow((z-middle)/half, 2) })
	r, err := d.test(append([][]float64{bow}, lines...)...)
	if err == nil {
		looks := MoreBarrel
		if r.Terms[0].Value < 0 {
			looks = MoreWaist
		}
		take(r, nil, looks, 0, r.Terms[0])
	}
	return out
}
