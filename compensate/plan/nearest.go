package plan

import (
	"cmp"
	"math"
	"slices"

	"wornway/compensate/setup"
	"wornway/compensate/work"
)

// Lack is a feature that cannot be turned on a lathe, with why not for each way of holding.
type Lack struct {
	Lathe   int
	Feature int // its number in the job; −1: each can be turned by itself, but not all of them in two set-ups
	Why     []Exclusion
}

// Change is what would make a part possible that no way holds as things are. Of one that is not needed the value is
// zero.
type Change struct {
	Lathe     int
	Held      work.Holding // allow this way of holding
	EndForEnd bool         // allow the part to be turned end for end
	Steady    bool         // with a steady
	Stock     float64      // so long, mm, the stock must be
	Grip      float64      // so little, mm, must be held
}

// lacks returns what stands in the way on each lathe.
func (q Question) lacks() ([]Lack, error) {
	var out []Lack
	for l := range q.Lathes {
		found := false
		for f := range q.Job.Features {
			if !q.Job.Features[f].Asked() {
				continue
			}
			why, ok, err := q.alone(l, f)
			if err != nil {
				return nil, err
			}
			if !ok {
				out, found = append(out, Lack{l, f, why}), true
			}
		}
		if !found {
			out = append(out, Lack{Lathe: l, Feature: -1})
		}
	}
	return out, nil
}

// alone says whether one feature could be turned if nothing were asked of the others, and why not.
func (q Question) alone(lathe, feature int) (why []Exclusion, ok bool, err error) {
	one := q
	one.Job.Features = slices.Clone(q.Job.Features)
	for i := range one.Job.Features {
		if f := &one.Job.Features[i]; i != feature {
			f.Size, f.Tolerance, f.Taper, f.Runout, f.Datum = nil, 0, 0, 0, false
		}
	}
	for _, k := range one.ways(lathe) {
		no, err := one.survey(k)
		if err != nil {
			return nil, false, err
		}
		if slices.ContainsFunc(k.sights, func(s *sight) bool { return s.shown[feature] }) {
			return nil, true, nil
		}
		if no == nil {
			no = &setup.Refusal{Message: k.sights[0].held.Features[feature].Hidden}
		}
		if !slices.ContainsFunc(why, func(r Exclusion) bool { return r.Way == k.held }) {
			why = append(why, Exclusion{lathe, k.held, *no})
		}
	}
	return why, false, nil
}

// nearest returns the change that would do and costs least, and nil where none that is known here does. Other ways of
// holding come first, then turning the part, a steady, longer stock, and less in the jaws; one alone before two.
func (q Question) nearest() (*Change, error) {
	var single []Change
	part := q.Job.Part
	for _, h := range work.AllHoldings() {
		if !slices.Contains(part.Held, h) {
			single = append(single, Change{Held: h})
		}
	}
	if !part.EndForEnd {
		single = append(single, Change{EndForEnd: true})
	}
	single = append(single, Change{Steady: true}, Change{Stock: longest}, Change{Grip: part.Grip / 2})
	tried := slices.Clone(single)
	for i, a := range single {
		for _, b := range single[i+1:] {
			if a.Held == "" || b.Held == "" {
				tried = append(tried, Change{Held: cmp.Or(a.Held, b.Held), EndForEnd: a.EndForEnd || b.EndForEnd,
					Steady: a.Steady || b.Steady, Stock: a.Stock + b.Stock, Grip: a.Grip + b.Grip})
			}
		}
	}
	for _, c := range tried {
		for l := range q.Lathes {
			c.Lathe = l
			does := q.possible
			if c.Stock > 0 {
				does = q.smallest
			}
			if n, ok, err := does(c); err != nil || ok {
				return &n, err
			}
		}
	}
	return nil, nil
}

// longest is how much longer stock is tried, mm.
const longest = 500.0

// smallest finds the least stock with which a change does, in whole mm, and false where none does.
func (q Question) smallest(c Change) (Change, bool, error) {
	const steps = 40
	from := q.Job.Part.StockLength
	for i := range steps {
		c.Stock = from + longest*float64(i+1)/steps
		_, ok, err := q.possible(c)
		if err != nil {
			return c, false, err
		}
		if !ok {
			continue
		}
		low, high := c.Stock-longest/steps, c.Stock
		for high-low > 1 {
			c.Stock = (low + high) / 2
			if _, ok, err = q.possible(c); err != nil {
				return c, false, err
			} else if ok {
				high = c.Stock
			} else {
				low = c.Stock
			}
		}
		c.Stock = math.Ceil(high)
		return c, true, nil
	}
	return c, false, nil
}

// possible says whether a part can be made on a lathe after a change.
func (q Question) possible(c Change) (Change, bool, error) {
	part := *q.Job.Part
	q.Job.Part = &part
	q.Lathes = slices.Clone(q.Lathes)
	if c.Held != "" {
		part.Held = append(slices.Clone(part.Held), c.Held)
	}
	part.EndForEnd = part.EndForEnd || c.EndForEnd
	if c.Stock > 0 {
		part.StockLength = c.Stock
	}
	if c.Grip > 0 {
		part.Grip = c.Grip
	}
	l := &q.Lathes[c.Lathe]
	l.Steady = l.Steady || c.Steady
	// Whether it can be held does not depend on how it is brought to size.
	l.Dials = nil
	drafts, _, _, err := q.onLathe(c.Lathe)
	return c, len(drafts) > 0, err
}
