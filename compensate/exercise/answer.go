package exercise

import (
	"math"
	"slices"
	"strings"

	"wornway/compensate/cause"
	"wornway/profile"
)

// Answer is what was hidden, and what tells it.
type Answer struct {
	Hidden []HiddenCause
	Sure   bool // the readings decide it; otherwise the right answer is that they cannot tell yet
	// Alike is the cause that the first hidden one is most easily taken for, Telling the cuts or readings that tell
	// these two apart, the best first: of those that were made on a sheet that holds all, of those that could be made
	// on one that does not.
	Alike   cause.Kind
	Telling []string
	Made    bool // Telling are among those that were made
}

// Answer says what was hidden and what tells it. What tells is what separates the named pair, the first hidden cause
// and what it is most easily taken for; where nothing does, Telling is empty, and no mark depends on it.
func (e *Exercise) Answer() (Answer, error) {
	a := Answer{Hidden: e.Hidden, Sure: e.found.Decided, Alike: e.rival(e.found)}
	if e.hides(cause.AsSurveyed) {
		return a, nil
	}
	a.Made = e.Level != 2
	if a.Made {
		// What it is taken for shows where a reading is left out: by that one without which it is least sure.
		least := math.Inf(1)
		for i := range e.Readings {
			r, err := cause.Find(e.question(i))
			if err != nil {
				return a, err
			}
			if p := probabilityIn(r, e.Hidden[0].Kind); p < least {
				least = p
				a.Alike = e.rival(r)
			}
		}
	}
	var err error
	a.Telling, err = e.separating(a)
	return a, err
}

// separating returns the cuts and readings that separate the named pair of causes, best first: those that were made, or
// where only some were, the others that a sheet asks for.
func (e *Exercise) separating(a Answer) ([]string, error) {
	q := e.question(-1)
	var names []string
	for _, r := range e.Readings {
		names = append(names, r.Name)
	}
	made, from := len(names), 0
	if !a.Made {
		further, err := e.Profile.Further(e.made())
		if err != nil {
			return nil, err
		}
		from = made
		for _, f := range further {
			if slices.Contains(Names(), f.Name) && !slices.Contains(names, f.Name) {
				q.Readings, names = append(q.Readings, f.Set), append(names, f.Name)
			}
		}
	}
	apart, err := q.Separate(a.Hidden[0].Kind, a.Hidden[0].Size, a.Alike, made)
	if err != nil {
		return nil, err
	}
	order := make([]int, 0, len(names))
	for i := from; i < len(names); i++ {
		if cause.Seen(apart[i].Apart) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(i, j int) int { return -compare(apart[i].Apart, apart[j].Apart) })
	const nearly = 0.5 // of what the best tells
	var out []string
	add := func(name string) {
		if !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	for _, i := range order {
		if apart[i].Apart < nearly*apart[order[0]].Apart {
			break
		}
		add(names[i])
		// A light and a deep cut tell by their difference: either is one of the two.
		if by := names[apart[i].By]; a.Made && names[i] != by && chucked(names[i]) && chucked(by) {
			add(by)
		}
	}
	return out, nil
}

func chucked(name string) bool { return strings.HasPrefix(name, "chucked-") }

// compare orders numbers to a thousandth, so that what is equal but for rounding keeps its order.
func compare(a, b float64) int {
	const fine = 1000
	return int(math.Round(a*fine) - math.Round(b*fine))
}

// probabilityIn is that of a cause in a result; 0 where it is not considered.
func probabilityIn(r *cause.Result, k cause.Kind) float64 {
	i := slices.IndexFunc(r.Causes, func(f cause.Found) bool { return f.Kind == k })
	if i < 0 {
		return 0
	}
	return r.Causes[i].Probability
}

// rival is the most probable cause that was not hidden.
func (e *Exercise) rival(r *cause.Result) cause.Kind {
	for _, f := range r.Causes {
		if !e.hides(f.Kind) && f.Kind != cause.Other && f.Kind != cause.AsSurveyed {
			return f.Kind
		}
	}
	return cause.AsSurveyed
}

// made is how the cuts were made.
func (e *Exercise) made() profile.Practice {
	m := machine{unit: e.Profile.Unit}
	c, mm := m.cutting(), e.Profile.Unit.ToMM
	return profile.Practice{From: mm(c.first), To: mm(c.last), Diameter: mm(c.diameter), U: mm(c.u), HeldAt: mm(c.jaws),
		Light: mm(c.light), Deep: mm(c.deep), Feed: math.NaN()}
}
