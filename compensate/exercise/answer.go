package exercise

import (
	"math"
	"slices"

	"wornway/compensate/cause"
	"wornway/profile"
)

// Answer is what was hidden, and what tells it.
type Answer struct {
	Hidden []Hidden
	Sure   bool // the readings decide it; otherwise the right answer is that they cannot tell yet
	// Alike is the cause that the first hidden one is most easily taken for, Telling the cuts or readings that tell
	// them apart, the best first: of those that were made on a sheet that holds all, of those that could be made on one
	// that does not.
	Alike   cause.Kind
	Telling []string
	Made    bool // Telling are among those that were made
}

// Answer says what was hidden and what tells it.
func (e *Exercise) Answer() (Answer, error) {
	a := Answer{Hidden: e.Hidden, Sure: e.found.Decided, Alike: e.rival(e.found)}
	if e.hides(cause.AsSurveyed) {
		return a, nil
	}
	if e.Level == 2 {
		var err error
		a.Telling, err = e.further()
		return a, err
	}
	a.Made = true
	// Which reading tells a cause is seen by leaving each out: the one without which it is least sure.
	without := make([]float64, len(e.Readings))
	least := math.Inf(1)
	for i := range e.Readings {
		r, err := cause.Find(e.question(i))
		if err != nil {
			return a, err
		}
		p := probabilityIn(r, e.Hidden[0].Kind)
		if without[i] = p; p < least {
			least = p
			a.Alike = e.rival(r)
		}
	}
	order := make([]int, len(without))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return compare(without[i], without[j]) })
	const alike = 0.1 // a probability that is no other
	for _, i := range order {
		if without[i] <= least+alike {
			a.Telling = append(a.Telling, e.Readings[i].Name)
		}
	}
	return a, nil
}

// compare orders probabilities to a thousandth, so that what is equal but for rounding keeps its order.
func compare(a, b float64) int {
	const fine = 1000
	return int(math.Round(a*fine) - math.Round(b*fine))
}

// probabilityIn is that of a cause in a result; 0 where it is not reckoned with.
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

// further returns which further cut or reading would tell most, of those that a sheet asks for, the best first.
func (e *Exercise) further() ([]string, error) {
	made := e.made()
	all, err := e.Profile.Further(made)
	if err != nil {
		return nil, err
	}
	var of []cause.Further
	for _, f := range all {
		if slices.Contains(Names(), f.Name) {
			of = append(of, cause.Further{Name: f.Name, Set: f.Set})
		}
	}
	told, err := e.found.Tell(of)
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(told, func(a, b cause.Telling) int { return -compare(a.Separation, b.Separation) })
	var out []string
	const nearly = 0.8 // of what the best tells
	for _, t := range told {
		if t.Separation >= nearly*told[0].Separation {
			out = append(out, t.Name)
		}
	}
	return out, nil
}

// made is how the cuts were made.
func (e *Exercise) made() profile.Made {
	m := machine{unit: e.Profile.Unit}
	c, mm := m.cutting(), e.Profile.Unit.ToMM
	return profile.Made{From: mm(c.first), To: mm(c.last), Diameter: mm(c.diameter), U: mm(c.u), HeldAt: mm(c.jaws),
		Light: mm(c.light), Deep: mm(c.deep), Feed: math.NaN()}
}
