package profile

import (
	"errors"
	"math"
	"time"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/accord"
	"wornway/profile/bed"
	"wornway/profile/estimate"
	"wornway/profile/survey"
	"wornway/profile/wear"
)

// Change is what one bed has lost between two times.
type Change struct {
	Old, New *estimate.Result
	Stated   bool          // both have a ±
	Whole    accord.Result // whether it is more than chance, all of it together; meaningless unless Judged
	Judged   bool          // both are sure enough somewhere for that to be asked
}

// Compare returns what the bed has lost between two profiles of it, whose geometry the caller has found to be the same.
// ErrNoWear: one of them has neither stated wear nor readings.
func Compare(old, later *Profile) (*Change, error) {
	for _, p := range []*Profile{old, later} {
		if p.Stated == nil && len(p.Surveys) == 0 {
			return nil, ErrNoWear
		}
	}
	c := &Change{}
	var err error
	if old.sure() && later.sure() && len(old.Surveys)+len(later.Surveys) > 0 {
		a, b := old.readings(), later.readings()
		b.Bed, b.Unworn = a.Bed, a.Unworn // the same, but for what another unit makes of them
		if c.Old, c.New, err = estimate.Pair(a, b); err != nil {
			return nil, err
		}
		c.Stated = true
		c.Whole, err = estimate.Change(c.Old, c.New)
	} else {
		if c.Old, err = old.Estimate(); err != nil {
			return nil, err
		}
		if c.New, err = later.Estimate(); err != nil {
			return nil, err
		}
		if c.Stated = c.Old.Wear.Stated() && c.New.Wear.Stated(); !c.Stated {
			return c, nil
		}
		c.Whole, err = c.statedChange(math.Max(float64(old.Stated.Reach), float64(later.Stated.Reach)))
	}
	if errors.Is(err, accord.ErrNothing) {
		return c, nil
	}
	c.Judged = err == nil
	return c, err
}

// sure says whether there is a ±: from readings there always is.
func (p *Profile) sure() bool { return len(p.Surveys) > 0 || p.Stated.Uncertainty != nil }

// readings is input, stated drops alone being a survey too.
func (p *Profile) readings() estimate.Input {
	in := p.input()
	if len(p.Surveys) == 0 {
		in.Surveys = []survey.Set{p.Stated.asSurvey()}
	}
	return in
}

// statedChange judges drops that were stated both times, where both were, a reach apart: between two such places there
// is little new, however close the rows lie. Nothing is taken as known beside them.
func (c *Change) statedChange(reach float64) (accord.Result, error) {
	from, to := c.Range()
	if from > to {
		return accord.Result{}, accord.ErrNothing
	}
	const most = 60 // positions: a few hundred numbers say no more of a change
	n := min(max(int((to-from)/reach)+1, 2), most)
	var off []float64
	var old, later []wear.Weights
	for i := range n {
		z := from + (to-from)*float64(i)/float64(n-1)
		for _, k := range []bed.Curve{bed.Front, bed.Shift, bed.Rear} {
			var a, b wear.Weights
			c.Old.Wear.Weigh(&a, bed.At(k, 0), z, 1)
			c.New.Wear.Weigh(&b, bed.At(k, 0), z, 1)
			old, later = append(old, a), append(later, b)
			off = append(off, c.New.Wear.Value(bed.At(k, 0), z)-c.Old.Wear.Value(bed.At(k, 0), z))
		}
	}
	cov := mat.NewSymDense(len(off), nil)
	for i := range off {
		for j := i; j < len(off); j++ {
			u, _ := c.Old.Wear.CovarianceOf(&old[i], &old[j])
			v, _ := c.New.Wear.CovarianceOf(&later[i], &later[j])
			cov.SetSym(i, j, u+v)
		}
	}
	return accord.Test(off, cov)
}

// Range returns the stretch, mm, of which both know the wear.
func (c *Change) Range() (from, to float64) {
	a, b := c.Old.Wear.Range()
	from, to = c.New.Wear.Range()
	return math.Max(a, from), math.Min(b, to)
}

// Of returns how much a sum of curves has grown at a position, with its standard uncertainty, mm; meaningless where no
// ± is Stated. Twist and lean in the sum count.
//
// For the ± nothing is taken as known of how far the bed has worn on: both estimates stand for themselves, and it is
// wide where either is.
func (c *Change) Of(s bed.Sum, z float64) (grown, u float64) {
	a, b := value(c.Old.Wear, s, z), value(c.New.Wear, s, z)
	return b.v - a.v, math.Hypot(a.u, b.u)
}

type quantity struct{ v, u float64 }

func value(w *wear.Wear, s bed.Sum, z float64) quantity {
	var g wear.Weights
	w.Weigh(&g, s, z, 1)
	u, _ := w.Uncertainty(&g)
	return quantity{w.Value(s, z), u}
}

// Twist returns how much more the bed is twisted, with its standard uncertainty, radians per mm.
func (c *Change) Twist() (more, u float64) { return c.Of(bed.Of(bed.Twist), 1) }

// Since returns the copies that hold the surveys before a day and those from it on, and how many without a date are in
// neither, stated drops among them.
func (p *Profile) Since(day time.Time) (before, from *Profile, undated int) {
	a, b := *p, *p
	a.Surveys, b.Surveys, a.Stated, b.Stated = nil, nil, nil, nil
	if p.Stated != nil {
		undated++
	}
	for _, s := range p.Surveys {
		switch {
		case s.Date.IsZero():
			undated++
		case s.Date.Before(day):
			a.Surveys = append(a.Surveys, s)
		default:
			b.Surveys = append(b.Surveys, s)
		}
	}
	return &a, &b, undated
}

// NewIn returns a copy without what the older profile holds already, and how many surveys were left out, stated drops
// among them. A reading that both hold would else be compared with itself.
func (p *Profile) NewIn(old *Profile) (only *Profile, shared int) {
	var places []int
	for i, s := range p.Surveys {
		if old.Holds(s) >= 0 {
			places = append(places, i)
		}
	}
	only, shared = p.Without(places...), len(places)
	if len(only.Surveys) > 0 && p.Stated != nil && old.Stated != nil && p.Stated.same(old.Stated) {
		only.Stated = nil
		shared++
	}
	return only, shared
}

// same says whether the same was stated, in whatever unit and order of columns.
func (s *Stated) same(o *Stated) bool {
	if s.Rows.Len() != o.Rows.Len() {
		return false
	}
	return s.asSurvey().Same(o.asSurvey())
}

// Dates returns the first, the mean and the last day of the surveys, and whether all have one.
func (p *Profile) Dates() (first, mean, last time.Time, all bool) {
	sum, count := 0.0, 0.0
	all = len(p.Surveys) > 0 && p.Stated == nil
	for _, s := range p.Surveys {
		if s.Date.IsZero() {
			all = false
			continue
		}
		if count == 0 || s.Date.Before(first) {
			first = s.Date
		}
		if s.Date.After(last) {
			last = s.Date
		}
		sum += float64(s.Date.Unix())
		count++
	}
	if count > 0 {
		mean = time.Unix(int64(sum/count), 0).UTC()
	}
	return first, mean, last, all
}

// Surveyed returns the stretch, mm, in which any reading of the profile was taken, as its equations have it; false
// where there is none.
func (p *Profile) Surveyed() (from, to float64, ok bool) {
	from, to = math.Inf(1), math.Inf(-1)
	for _, s := range p.readings().Surveys {
		for _, e := range s.Equations {
			from, to = math.Min(from, e.Position), math.Max(to, e.Position)
		}
	}
	return from, to, from <= to
}

// Growth is how far a sum of curves has grown at a position, mm.
type Growth struct {
	Position float64
	Value, U float64
}

// Sure is how many standard uncertainties it is from nothing. Nobody asks for less than 0.1 µm.
func (g Growth) Sure() float64 { return math.Abs(g.Value) / (g.U + 1e-4) }

// Alone says whether it is more than chance makes, by itself, wherever on the bed one looks: of a hundred unchanged
// beds, at each of which some forty places of three curves are independent of each other, chance makes it of one.
func (g Growth) Alone() bool {
	const far = 4 // standard uncertainties, two-sided 6e-5
	return g.Sure() >= far
}

// Furthest returns where a sum has changed most, among the places where that stands out nearly as far from its ± as
// anywhere. Where no ± is Stated, U is 1 everywhere.
func (c *Change) Furthest(s bed.Sum) Growth {
	const (
		steps  = 100
		nearly = 0.7
	)
	from, to := c.Range()
	all := make([]Growth, steps+1)
	most := 0.0
	for i := range all {
		z := from + (to-from)*float64(i)/steps
		all[i].Position = z
		all[i].Value, all[i].U = c.Of(s, z)
		if !c.Stated {
			all[i].U = 1
		}
		most = math.Max(most, all[i].Sure())
	}
	best := all[0]
	for _, g := range all {
		if g.Sure() >= nearly*most && math.Abs(g.Value) > math.Abs(best.Value) || best.Sure() < nearly*most {
			best = g
		}
	}
	return best
}
