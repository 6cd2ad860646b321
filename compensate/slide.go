package compensate

import (
	"math"
	"slices"

	"wornway/compensate/work"
)

// slide is the tool's motion over the whole reach in blocks of equal length, of which the length to be placed is a
// whole number. For the spread at a given start the blocks' limits show which few of them must be looked into.
type slide struct {
	Placing
	machine Machine
	curve   *Curve // over the whole reach, the tool set at its tailstock end
	blocks  []block
	step    float64
	starts  []float64 // headstock ends for the first pass: at each block, and the last one possible
	first   []float64 // spread at these
}

// block is one stretch of the reach. All mm.
type block struct {
	from, to  float64
	out, down [2]float64 // limits of the tool point's motion, absolute
	moment    LineFit    // of the diameter error on the one curve
}

const (
	slideBlocks = 1024 // over the reach, about
	nearStart   = 1e-9 // mm: positions nearer than that are the same
)

func (m Machine) slide(p Placing) (*slide, error) {
	if !(p.Length > 0) {
		return nil, work.Problem{Field: "length", Message: "must be greater than zero",
			Hint: "give the length to be turned"}
	}
	reach := p.To - p.From
	if !(reach >= p.Length-nearStart) {
		return nil, work.Problem{Field: "length", Message: "is longer than the reach on the bed",
			Hint: "give a shorter length, or a longer reach where the bed was surveyed"}
	}
	const shortest = 1e-5 // of the reach: anything shorter is a slip, and would take a million blocks
	if p.Length < shortest*reach {
		return nil, work.Problem{Field: "length", Message: "is next to nothing beside the reach on the bed",
			Hint: "give the length to be turned"}
	}
	f := p.Work
	f.From, f.To = p.From, p.To
	if m.Axis.Tail != nil {
		return nil, work.Problem{Field: "held", Message: "work on the tailstock's centre cannot be moved along the " +
			"bed by itself", Hint: "wornway plan moves the whole part, with the tailstock"}
	}
	curve, err := m.Curve(Cut{Feature: f, SetAt: p.To, ToolHeight: p.ToolHeight})
	if err != nil {
		return nil, err
	}
	parts := min(max(int(math.Ceil(p.Length/reach*slideBlocks)), 8), slideBlocks)
	s := &slide{Placing: p, machine: m, curve: curve, step: p.Length / float64(parts)}
	for a, k := p.From, 0; a < p.To-nearStart; k++ {
		b := math.Min(p.From+float64(k+1)*s.step, p.To)
		s.blocks = append(s.blocks, s.block(a, b))
		a = b
	}
	s.lay()
	return s, nil
}

func (s *slide) block(a, b float64) block {
	c := s.curve
	limits := func(f func(z float64) float64) [2]float64 {
		lo, hi := c.extremesOf(a, b, f)
		return [2]float64{lo.Value, hi.Value}
	}
	k := block{from: a, to: b}
	k.out = limits(func(z float64) float64 { return c.Wear.Value(c.out, z) })
	k.down = limits(func(z float64) float64 { return c.Wear.Value(c.down, z) })
	c.nodes(a, b, func(z, length float64) {
		if length > 0 {
			k.moment.Add(z, c.At(z, 0), length)
		}
	})
	return k
}

// lay fills in the starts and the spread at each, every one for the tool set at its own end. One error curve for all
// would not do: on small work with the tool well off centre the height at which the tool was set changes what a further
// drop does.
func (s *slide) lay() {
	for _, k := range s.blocks {
		if k.from+s.Length > s.To+nearStart {
			break
		}
		s.starts = append(s.starts, k.from)
	}
	if last := math.Max(s.To-s.Length, s.From); len(s.starts) == 0 || last > s.starts[len(s.starts)-1] {
		s.starts = append(s.starts, last)
	}
	s.first = make([]float64, len(s.starts))
	for j, a := range s.starts {
		s.first[j] = s.spread(a)
	}
}

// at returns the spread at a start, from the first pass where it is one of its starts.
func (s *slide) at(a float64) float64 {
	if j, ok := slices.BinarySearch(s.starts, a); ok {
		return s.first[j]
	}
	return s.spread(a)
}

// spread returns the spread of the length lying at a with the tool set at its own tailstock end, to 0.01 µm and better.
//
// The tool point moves within a box in each block, which bounds its distance from the axis; blocks whose bounds lie
// within what was found already are passed over.
func (s *slide) spread(a float64) float64 {
	c := s.curve
	b := math.Min(a+s.Length, s.To)
	out0, down0 := c.Wear.Value(c.out, b), c.Wear.Value(c.down, b)
	h := newHunt(func(z float64) float64 {
		return c.setting.DiameterError(c.Wear.Value(c.out, z)-out0, c.Wear.Value(c.down, z)-down0)
	})
	search := func(from, to float64) { c.pieces(from, to, h.piece) }
	first, _ := slices.BinarySearchFunc(s.blocks, a, func(k block, z float64) int {
		if k.from < z {
			return -1
		}
		return 1
	})
	last := first
	for last < len(s.blocks) && s.blocks[last].to <= b {
		last++
	}
	if last == first { // within two blocks
		search(a, b)
		return h.greatest.Value - h.least.Value
	}
	search(a, s.blocks[first].from)
	search(s.blocks[last-1].to, b)

	// The blocks that promise most and least come first, so that few others are left to look into.
	bounds := make([][2]float64, last-first)
	high, low := 0, 0
	for i := range bounds {
		bounds[i] = s.blocks[first+i].bounds(c, out0, down0)
		if bounds[i][1] > bounds[high][1] {
			high = i
		}
		if bounds[i][0] < bounds[low][0] {
			low = i
		}
	}
	look := func(i int) { search(s.blocks[first+i].from, s.blocks[first+i].to) }
	look(high)
	look(low)
	for i, k := range bounds {
		if i != high && i != low && (k[1] > h.greatest.Value+huntNear || k[0] < h.least.Value-huntNear) {
			look(i)
		}
	}
	return h.greatest.Value - h.least.Value
}

// bounds returns limits of the diameter error in the block for a tool set where it had moved by out0 and down0.
func (k block) bounds(c *Curve, out0, down0 float64) [2]float64 {
	x := apart(k.out[0]-out0+c.setting.X, k.out[1]-out0+c.setting.X)
	y := apart(c.setting.Height-(k.down[1]-down0), c.setting.Height-(k.down[0]-down0))
	return [2]float64{2*math.Hypot(x[0], y[0]) - c.Diameter, 2*math.Hypot(x[1], y[1]) - c.Diameter}
}

// apart returns the least and greatest size of a number between lo and hi.
func apart(lo, hi float64) [2]float64 {
	a, b := math.Abs(lo), math.Abs(hi)
	if lo <= 0 && hi >= 0 {
		return [2]float64{0, math.Max(a, b)}
	}
	return [2]float64{math.Min(a, b), math.Max(a, b)}
}
