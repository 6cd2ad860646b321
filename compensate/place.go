package compensate

import (
	"cmp"
	"math"
	"slices"

	"wornway/compensate/work"
)

// PlaceOptions says what is to be placed on the bed and where it may lie. Lengths mm.
type PlaceOptions struct {
	Length     float64
	Work       work.Feature // diameter, bore and tolerance; its positions are not used
	ToolHeight float64
	From, To   float64   // the reach: the length lies within
	Starts     []float64 // positions of the headstock end to report, within From … To − Length
	// the machine with the axis of the length lying there; nil: the spindle alone holds it
	On func(Cut) (Machine, error)
}

// Place is a length where it could lie and the spread of its diameter there, the tool set at its tailstock end. Lengths
// mm.
type Place struct {
	From, To, Spread float64
	Limit            float64 // what the spread keeps within, as [Rung.Limit] has it
	// probability that the spread keeps within the tolerance; meaningful where an uncertainty was stated and a
	// tolerance asked
	Within float64
}

// Range is a range of positions, mm.
type Range struct{ From, To float64 }

// Places is what the bed offers a length.
type Places struct {
	Best, Worst Place
	Good        []Range // ranges of From whose limit keeps within the tolerance; none where no tolerance was asked
	Starts      []Place
}

// Place looks for the best place of a length on the bed: where the least spread can be promised, whatever tolerance and
// starts are asked for. Of places that are equal to 0.01 µm it is the one nearest to the headstock. The error is one
// of [Machine.Curve]'s, or a [work.Problem] where the reach is too short.
//
// Where the spindle alone holds the work and no uncertainty was stated, a first pass takes starts evenly over the reach
// (see slide.go), and its local extremes are refined. Otherwise see [sounding].
func (m Machine) Place(p PlaceOptions) (*Places, error) {
	var s *slidingLength
	if p.On == nil {
		var err error
		if s, err = m.slide(p, nil); err != nil {
			return nil, err
		}
	}
	if p.On != nil || m.Wear.Stated() {
		return m.sound(p, s)
	}
	out := &Places{Best: s.search(false), Worst: s.search(true)}
	if p.Work.Tolerance > 0 {
		out.Good = s.good(p.Work.Tolerance)
	}
	for _, a := range p.Starts {
		out.Starts = append(out.Starts, s.place(a))
	}
	return out, nil
}

// place returns the length lying at a with its spread.
func (s *slidingLength) place(a float64) Place {
	a = math.Max(s.From, math.Min(a, s.To-s.Length))
	spread := s.spreadAt(a)
	return Place{From: a, To: math.Min(a+s.Length, s.To), Spread: spread, Limit: spread}
}

// search returns the place of least, or greatest, spread: the best of the first pass's local extremes, each refined
// between its neighbours.
func (s *slidingLength) search(greatest bool) Place {
	sign := 1.0
	if greatest {
		sign = -1
	}
	const same = 1e-5 // mm
	type candidate struct {
		index int
		value float64 // what the spread could come down to between the neighbours
	}
	var candidates []candidate
	n := len(s.starts)
	for j := range s.starts {
		v, dip := sign*s.first[j], 0.0
		local := true
		for _, k := range []int{j - 1, j + 1} {
			if k >= 0 && k < n {
				local = local && v <= sign*s.first[k]
				dip = math.Max(dip, math.Abs(s.first[k]-s.first[j]))
			}
		}
		if local {
			candidates = append(candidates, candidate{j, v - dip})
		}
	}
	slices.SortStableFunc(candidates, func(a, b candidate) int { return cmp.Compare(a.value, b.value) })
	best, at := math.Inf(1), 0.0
	for i, c := range candidates {
		// refined whatever they promise: a spread may dip deeper between two starts than their difference tells
		const enough = 8
		if i >= enough && c.value > best+same {
			break
		}
		if c.value > best-same && s.starts[c.index] > at {
			continue // at best equal, and further out
		}
		a, v := s.refine(c.index, sign)
		if v < best-same || v < best+same && a < at {
			best, at = math.Min(v, best), a
		}
	}
	return s.place(at)
}

// refine looks for the least of sign·spread between the neighbours of a start (golden section).
func (s *slidingLength) refine(j int, sign float64) (at, value float64) {
	a, b := s.starts[max(j-1, 0)], s.starts[min(j+1, len(s.starts)-1)]
	at = s.starts[j]
	value = sign * s.spreadAt(at)
	const ratio = 0.6180339887498949
	const near = 1e-6 // mm: a start nearer than that is the same
	take := func(z float64) float64 {
		v := sign * s.spreadAt(z)
		if v < value-near {
			at, value = z, v
		}
		return v
	}
	x, y := b-ratio*(b-a), a+ratio*(b-a)
	fx, fy := take(x), take(y)
	for range 24 {
		if fx <= fy {
			b, y, fy = y, x, fx
			x = b - ratio*(b-a)
			fx = take(x)
		} else {
			a, x, fx = x, y, fy
			y = a + ratio*(b-a)
			fy = take(y)
		}
	}
	return at, value
}

// good returns the ranges of starts at which the spread stays within the tolerance.
func (s *slidingLength) good(tolerance float64) []Range {
	within := func(a float64) bool { return s.at(a) <= tolerance }
	points := s.probe(tolerance)
	var out []Range
	for i, a := range points {
		if !within(a) {
			continue
		}
		open := i > 0 && len(out) > 0 && out[len(out)-1].To == points[i-1]
		switch {
		case open:
			out[len(out)-1].To = a
		case i > 0:
			out = append(out, Range{s.edge(a, points[i-1], within), a})
		default:
			out = append(out, Range{a, a})
		}
		if i+1 < len(points) && !within(points[i+1]) {
			out[len(out)-1].To = s.edge(a, points[i+1], within)
		}
	}
	return out
}

// probe returns the starts of the first pass and, between them, those at which a narrow dip below the tolerance, or a
// narrow rise above it, could hide.
func (s *slidingLength) probe(tolerance float64) []float64 {
	points := slices.Clone(s.starts)
	n := len(s.starts)
	for j := 1; j+1 < n; j++ {
		l, v, r := s.first[j-1], s.first[j], s.first[j+1]
		reach := math.Max(math.Abs(l-v), math.Abs(r-v))
		if math.Abs(v-tolerance) > reach {
			continue
		}
		if v <= l && v <= r && v > tolerance {
			a, _ := s.refine(j, 1)
			points = append(points, a)
		}
		if v >= l && v >= r && v <= tolerance {
			a, _ := s.refine(j, -1)
			points = append(points, a)
		}
	}
	slices.Sort(points)
	return slices.Compact(points)
}

// edge returns where, between a start that is within the tolerance and one that is not, the last one within lies.
func (s *slidingLength) edge(good, bad float64, within func(float64) bool) float64 {
	for range 30 {
		m := (good + bad) / 2
		if within(m) {
			good = m
		} else {
			bad = m
		}
	}
	return good
}
