package ways

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/estimate"
)

type aheadJSON struct {
	Format    int             `json:"format"`
	Lathe     string          `json:"lathe"`
	Unit      string          `json:"unit"`
	From      float64         `json:"from"`
	To        float64         `json:"to"`
	Diameter  float64         `json:"diameter"`
	Tolerance *float64        `json:"tolerance"`
	Blind     bool            `json:"blind"`
	Now       *float64        `json:"now"`
	Lean      *float64        `json:"lean_uncertainty"`
	First     *string         `json:"first"`
	Second    *string         `json:"second"`
	Surveys   []aheadRowJSON  `json:"surveys"`
	Quick     *aheadQuickJSON `json:"quick"`
	Assumed   []string        `json:"assumed"`
	Warnings  []string        `json:"warnings"`
}

type aheadRowJSON struct {
	Method            string    `json:"method"`
	What              string    `json:"what"`
	Touches           string    `json:"touches"`
	After             float64   `json:"after"`
	ShrinksBy         float64   `json:"shrinks_by"`
	WithFirst         float64   `json:"with_first"`
	Possible          *bool     `json:"possible"`
	PossibleWithFirst *bool     `json:"possible_with_first"`
	Spindle           bool      `json:"spindle"`
	Tools             string    `json:"tools"`
	Power             bool      `json:"power"`
	Minutes           int       `json:"minutes"`
	Positions         []float64 `json:"positions"`
	Block             string    `json:"block"`
}

type aheadQuickJSON struct {
	After   float64 `json:"after"`
	Minutes int     `json:"minutes"`
	Block   string  `json:"block"`
}

// outlook is a look ahead on its way into a report.
type outlook struct {
	*shop.Bench
	cut   compensate.Cut
	blind bool
	// standard uncertainty of the spindle's lean, per mm, that counts as nothing knows it; 0 where something does
	lean       float64
	bed        float64 // greatest standard uncertainty over the length by what predict counts, mm
	Candidates []profile.Candidate
	without    int // so many more take tools that there are not
	Out        *estimate.Outlook
	quick      []profile.Candidate // of a bed that nothing is known of
	quickAfter float64
}

// Look works out what each survey would leave: of those that can be made with some tools; nil: with any.
func Look(l *shop.Bench, cut compensate.Cut, blind bool, tools []string) (*outlook, error) {
	curve, err := l.Machine.Curve(cut)
	var outside compensate.OutsideError
	switch {
	case blind && errors.As(err, &outside):
		return nil, refuse.With(fmt.Sprintf("%s: %s lies outside the bed that the profile speaks of, from %s to %s",
			l.File,
			l.At(outside.Position), l.Bare(outside.From), l.At(outside.To)),
			"positions count from the spindle nose; is lathe.bed right?")
	case err != nil:
		return nil, l.Explain(err)
	}
	a := &outlook{Bench: l, cut: cut, blind: blind}
	expected := l.Machine.Wear
	if blind {
		expected = nil
	}
	cannot := func(c profile.Candidate) bool { return !shop.Can(c, tools) }
	if a.Candidates, err = l.Candidates(expected, cut.From, cut.To, cut.Diameter); err != nil {
		return a, err
	}
	all := len(a.Candidates)
	a.Candidates = slices.DeleteFunc(a.Candidates, cannot)
	if a.without = all - len(a.Candidates); len(a.Candidates) == 0 {
		return a, nil
	}
	if a.way().Gripped() && !a.knowsSpindle() {
		a.lean = compensate.UsualLean(1) / 2 / math.Sqrt(3)
	}
	a.bed = curve.GreatestU()
	aims := shop.Aims(curve)
	if a.Out, err = l.Foresee(aims, a.Candidates, a.lean); err != nil || !blind {
		return a, err
	}
	quick, err := l.Quick(expected, cut.From, cut.To, cut.Diameter)
	if err != nil {
		return nil, err
	}
	if slices.ContainsFunc(quick, cannot) {
		return a, nil // the ten minutes need a tool that is not there
	}
	out, err := l.Foresee(aims, []profile.Candidate{profile.Together(quick)}, a.lean)
	if err != nil {
		return nil, err
	}
	a.quick, a.quickAfter = quick, out.After[0]
	return a, nil
}

// way is how the work is held.
func (a *outlook) way() work.Holding {
	if a.Bar == nil {
		return work.Chuck
	}
	return a.Bar.Way
}

// second returns the candidate that helps most beside the first; −1 where it is the only one.
func (a *outlook) second() int {
	best := -1
	for i, u := range a.Out.Then {
		if i != a.Out.First && (best < 0 || u < a.Out.Then[best]) {
			best = i
		}
	}
	return best
}

// possible says whether a tolerance can be promised with a standard uncertainty: the full width of a normal
// distribution that holds 95 % is about four of them.
func (a *outlook) possible(u float64) *bool {
	if a.cut.Tolerance <= 0 {
		return nil
	}
	yes := 4*u <= a.cut.Tolerance
	return &yes
}
