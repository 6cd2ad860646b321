package setup

import (
	"math"

	"wornway/compensate"
	"wornway/compensate/work"
)

// Bar is a length of work of which nothing else is known, as it is held: a bar of the diameter that is turned, whose
// far end lies where the length ends. Lengths mm.
type Bar struct {
	Way       work.Holding
	Machine   compensate.Machine // with the axis about which it turns
	Overhang  float64            // from the jaws' front, or from the headstock's centre, to its far end
	Diameters float64            // the same in diameters
	// a free end stands out further than the lathe's longest overhang; of a bore it is not known how thick the work is
	Far bool
}

// Bar puts one length on the lathe. The error is a [Refusal], or says why the work cannot be calculated with.
func (l Lathe) Bar(c compensate.Cut, way work.Holding) (Bar, error) {
	out := Bar{Way: way, Machine: l.Machine}
	near := l.JawsFront
	if !way.Gripped() {
		near = l.Headstock
		if math.IsNaN(near) {
			return out, refuse("where the headstock's centre lies is not known")
		}
	}
	out.Overhang = c.To - near
	out.Diameters = out.Overhang / c.Diameter
	if !way.Tailed() {
		out.Far = !c.Bore && out.Diameters > l.Overhang+1e-9
		return out, nil
	}
	if c.Bore {
		return out, refuse("the centre stands in the way of the boring tool")
	}
	grip := 0.0
	if way.Gripped() {
		grip = math.Min(c.Diameter, l.JawsDepth)
	}
	at := near - grip
	f := c.Feature
	f.From, f.To = f.From-at, f.To-at
	j := work.Job{Features: []work.Feature{f}, ToolHeight: c.ToolHeight,
		Part: &work.Part{Length: f.To, Stock: c.Diameter, StockLength: f.To, Grip: grip}}
	h, err := l.Set(j, Setup{Way: way, At: at})
	if err != nil {
		return out, err
	}
	out.Machine = h.Machine
	return out, nil
}

// Room is where on the bed a length can be turned, and what bounds it. Positions mm.
type Room struct {
	From, To  float64
	Low, High Bound
}

// Bound is what a length cannot be turned beyond.
type Bound string

// The bounds.
const (
	ByJaws      Bound = "jaws"      // their front, the chuck's
	ByNose      Bound = "nose"      // the spindle's, where nothing is said of jaws
	ByCentre    Bound = "centre"    // the headstock's, between centres
	BySaddle    Bound = "saddle"    // it must lie wholly on the bed
	ByTailstock Bound = "tailstock" // its travel
	ByOverhang  Bound = "overhang"  // a free end may stand out no further
	ByWear      Bound = "wear"      // nothing is known of it further on
	ByReach     Bound = "reach"     // that was asked for
)

// Tailed narrows the room to where the tailstock's centre, which can stand between two positions, reaches the far end
// of a length.
func (r *Room) Tailed(first, last, length float64) {
	if from := first - length; from > r.From {
		r.From, r.Low = from, ByTailstock
	}
	if last < r.To {
		r.To, r.High = last, ByTailstock
	}
}

// Bounds returns what a length that lies there cannot be moved beyond; empty where it can be moved either way.
func (r Room) Bounds(from, to float64) Bound {
	const near = 1e-3 // mm
	switch {
	case from <= r.From+near:
		return r.Low
	case to >= r.To-near:
		return r.High
	}
	return ""
}

// Room returns where lengths of a diameter can be turned on ways of which the profile knows those from first to last.
// known says whether jaws and tailstock are known, free whether a free end is asked for, which may stand out so far
// only.
func (l Lathe) Room(diameter float64, way work.Holding, known, free bool, first, last float64) Room {
	r := Room{From: l.JawsFront, Low: ByJaws, To: math.Inf(1)}
	low := func(z float64, b Bound) {
		if z > r.From {
			r.From, r.Low = z, b
		}
	}
	high := func(z float64, b Bound) {
		if z < r.To {
			r.To, r.High = z, b
		}
	}
	switch {
	case !way.Gripped() && !math.IsNaN(l.Headstock):
		r.From, r.Low = l.Headstock, ByCentre
	case !known:
		r.Low = ByNose
	}
	left, right := l.Machine.Lathe.Saddle.Reach()
	low(first-left, BySaddle)
	high(last-right, BySaddle)
	from, to := l.Machine.Wear.Range()
	low(from, ByWear)
	high(to, ByWear)
	if known {
		high(l.Travel[1], ByTailstock)
	}
	if free {
		high(l.JawsFront+l.Overhang*diameter, ByOverhang)
	}
	return r
}
