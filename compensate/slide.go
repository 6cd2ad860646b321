package compensate

import (
	"math"
	"slices"

	"wornway/compensate/work"
)

// slidingLength is a length that can lie anywhere along a track: where it is tried at first, and its spread there.
type slidingLength struct {
	PlaceOptions
	*track
	machine Machine
	step    float64   // between starts
	starts  []float64 // headstock ends for the first pass: evenly, and the last one possible
	first   []float64 // spread at these
}

const (
	slideStarts = 1024 // over the reach, about
	nearStart   = 1e-9 // mm: positions nearer than that are the same
)

// slide is a length on the track of its reach, which is made where it is nil.
func (m Machine) slide(p PlaceOptions, t *track) (*slidingLength, error) {
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
	if t == nil {
		var err error
		if t, err = m.track(p); err != nil {
			return nil, err
		}
	}
	parts := min(max(int(math.Ceil(p.Length/reach*slideStarts)), 8), slideStarts)
	s := &slidingLength{PlaceOptions: p, track: t, machine: m, step: p.Length / float64(parts)}
	s.lay()
	return s, nil
}

// track is the tool's motion over the whole reach of what is to be placed; its length is not used.
func (m Machine) track(p PlaceOptions) (*track, error) {
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
	return newTrack(curve), nil
}

// lay fills in the starts and the spread at each, every one for the tool set at its own end. One error curve for all
// would not do: on small work with the tool well off centre the height at which the tool was set changes what a further
// drop does.
func (s *slidingLength) lay() {
	for k := 0; ; k++ {
		a := s.From + float64(k)*s.step
		if a+s.Length > s.To+nearStart {
			break
		}
		s.starts = append(s.starts, a)
	}
	if last := math.Max(s.To-s.Length, s.From); len(s.starts) == 0 || last > s.starts[len(s.starts)-1] {
		s.starts = append(s.starts, last)
	}
	s.first = make([]float64, len(s.starts))
	for j, a := range s.starts {
		s.first[j] = s.spreadAt(a)
	}
}

// at returns the spread at a start, from the first pass where it is one of its starts.
func (s *slidingLength) at(a float64) float64 {
	if j, ok := slices.BinarySearch(s.starts, a); ok {
		return s.first[j]
	}
	return s.spreadAt(a)
}

// spreadAt returns the spread of the length lying at a with the tool set at its own tailstock end.
func (s *slidingLength) spreadAt(a float64) float64 {
	b := math.Min(a+s.Length, s.To)
	return s.spread(a, b, s.setAt(b))
}
