package compensate

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"wornway/compensate/work"
	"wornway/profile/abreast"
)

// sounding is a length that is tried at places along its reach, each by the curve that it has there and by what the
// wear's uncertainty makes of it. The draws are the same everywhere, so that places can be compared.
type sounding struct {
	PlaceOptions
	machine Machine
	tried   map[float64]Place
}

const (
	soundings   = 60 // places over the reach at first
	soundDeep   = 12 // steps of a golden section
	soundCloser = 3  // local extremes that are looked into
)

// sound looks for places where the wear has a ±, or the axis depends on where the length lies; s, if not nil, knows
// where the computed spread is least and greatest.
func (m Machine) sound(p PlaceOptions, s *slidingLength) (*Places, error) {
	if !(p.Length > 0) || !(p.To-p.From >= p.Length-nearStart) {
		return nil, work.Problem{Field: "length", Message: "is longer than the reach on the bed",
			Hint: "give a shorter length, or a longer reach"}
	}
	k := &sounding{PlaceOptions: p, machine: m, tried: map[float64]Place{}}
	last := math.Max(p.From, p.To-p.Length)
	var starts []float64
	for i := range soundings + 1 {
		starts = append(starts, p.From+(last-p.From)*float64(i)/soundings)
	}
	if s != nil {
		starts = append(starts, s.search(false).From, s.search(true).From)
	}
	slices.Sort(starts)
	starts = slices.Compact(starts)
	if err := k.all(append(slices.Clone(starts), p.Starts...)); err != nil {
		return nil, err
	}
	out := &Places{}
	var err error
	if out.Best, err = k.extreme(starts, 1); err != nil {
		return nil, err
	}
	if out.Worst, err = k.extreme(starts, -1); err != nil {
		return nil, err
	}
	if p.Work.Tolerance > 0 {
		starts = append(starts, out.Best.From, out.Worst.From)
		slices.Sort(starts)
		if out.Good, err = k.good(slices.Compact(starts)); err != nil {
			return nil, err
		}
	}
	for _, a := range p.Starts {
		out.Starts = append(out.Starts, k.tried[a])
	}
	return out, nil
}

// all tries starts, two at a time.
func (k *sounding) all(starts []float64) error {
	places, errs := make([]Place, len(starts)), make([]error, len(starts))
	abreast.Do(len(starts), func(i int) { places[i], errs[i] = k.calculate(starts[i]) })
	for i, a := range starts {
		k.tried[a] = places[i]
	}
	return errors.Join(errs...)
}

// at returns the length lying at a.
func (k *sounding) at(a float64) (Place, error) {
	if p, ok := k.tried[a]; ok {
		return p, nil
	}
	p, err := k.calculate(a)
	k.tried[a] = p
	return p, err
}

func (k *sounding) calculate(a float64) (Place, error) {
	f := k.Work
	f.From, f.To = a, math.Min(a+k.Length, k.To)
	cut := Cut{Feature: f, SetAt: f.To, ToolHeight: k.ToolHeight}
	m := k.machine
	if k.On != nil {
		var err error
		if m, err = k.On(cut); err != nil {
			return Place{}, err
		}
	}
	c, err := m.Curve(cut)
	if err != nil {
		return Place{}, err
	}
	r := Rung{Spread: c.Spread(), Stated: m.Wear.Stated()}
	if r.Stated {
		r.Promise = c.promiseEach([][]Spot{c.Spaced()}, f.Tolerance)[0]
	}
	return Place{From: f.From, To: f.To, Spread: r.Spread, Limit: r.Limit(), Within: r.Promise.Within}, nil
}

// extreme returns the place of the least limit, or with sign −1 of the greatest: the best of the local extremes among
// the starts, each looked into between its neighbours.
func (k *sounding) extreme(starts []float64, sign float64) (Place, error) {
	const same = 1e-5 // mm
	limit := func(a float64) float64 { return sign * k.tried[a].Limit }
	var local []int
	for i := range starts {
		if (i == 0 || limit(starts[i]) <= limit(starts[i-1])) &&
			(i+1 == len(starts) || limit(starts[i]) <= limit(starts[i+1])) {
			local = append(local, i)
		}
	}
	slices.SortStableFunc(local, func(a, b int) int { return cmp.Compare(limit(starts[a]), limit(starts[b])) })
	best := k.tried[starts[local[0]]]
	take := func(a float64) (float64, error) {
		p, err := k.at(a)
		if v := sign * (p.Limit - best.Limit); v < -same || v < same && p.From < best.From {
			best = p
		}
		return sign * p.Limit, err
	}
	for _, i := range local[:min(soundCloser, len(local))] {
		a, b := starts[max(i-1, 0)], starts[min(i+1, len(starts)-1)]
		const ratio = 0.6180339887498949
		for range soundDeep {
			x, y := b-ratio*(b-a), a+ratio*(b-a)
			fx, err := take(x)
			if err != nil {
				return best, err
			}
			fy, err := take(y)
			if err != nil {
				return best, err
			}
			if fx <= fy {
				b = y
			} else {
				a = x
			}
		}
	}
	return best, nil
}

// good returns the ranges of starts whose limit keeps within the tolerance.
func (k *sounding) good(starts []float64) ([]Range, error) {
	var failed error
	within := func(a float64) bool {
		p, err := k.at(a)
		failed = errors.Join(failed, err)
		return err == nil && p.Limit <= k.Work.Tolerance
	}
	edge := func(good, bad float64) float64 {
		const halvings = 8
		for range halvings {
			if m := (good + bad) / 2; within(m) {
				good = m
			} else {
				bad = m
			}
		}
		return good
	}
	var out []Range
	open := false
	for i, a := range starts {
		if !within(a) {
			if open {
				out[len(out)-1].To = edge(starts[i-1], a)
			}
			open = false
			continue
		}
		if !open {
			from := a
			if i > 0 {
				from = edge(a, starts[i-1])
			}
			out = append(out, Range{from, a})
		}
		open = true
		out[len(out)-1].To = a
	}
	return out, failed
}
