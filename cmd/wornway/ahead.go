package main

import (
	"errors"
	"fmt"
	"math"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/estimate"
	"wornway/profile/length"
	"wornway/profile/survey"
	"wornway/profile/wear"
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

// openAhead reads a profile to plan surveys by: one without readings and wear serves too, and blind is then true.
func openAhead(e *env.Env, name string, slips flags.Slips) (l *shop.Bench, blind bool, err error) {
	l, err = flags.Open(e, name, slips, nil)
	var none shop.NoWearError
	if !errors.As(err, &none) {
		return l, false, err
	}
	p := none.Profile
	ways := p.Lathe.Ways
	flat := map[bed.Curve][]float64{bed.Front: {0, 0}, bed.Shift: {0, 0}, bed.Rear: {0, 0}}
	w, err := wear.New([]float64{ways.From, ways.To}, flat)
	if err != nil {
		return nil, false, err
	}
	return &shop.Bench{Profile: p, Estimate: &estimate.Result{Wear: w}, Units: word.Units{In: p.Unit},
		Machine: compensate.Machine{Lathe: p.Lathe.Bed, Wear: w, Axis: compensate.SpindleAxis()}}, true, nil
}

// ahead is a look ahead on its way into a report.
type ahead struct {
	*shop.Bench
	cut   compensate.Cut
	blind bool
	// standard uncertainty of the spindle's lean, per mm, that counts as nothing knows it; 0 where something does
	lean       float64
	bed        float64 // greatest standard uncertainty over the length by what predict counts, mm
	candidates []profile.Candidate
	out        *estimate.Outlook
	quick      []profile.Candidate // of a bed that nothing is known of
	quickAfter float64
}

func runAhead(e *env.Env, c *cobra.Command, file string, o *wearOptions) error {
	l, blind, err := openAhead(e, file, o.slips)
	if err != nil {
		return err
	}
	cut, err := o.ahead(c, l)
	if err != nil {
		return err
	}
	a, err := look(l, cut, blind)
	if err != nil {
		return err
	}
	return e.Emit(o.out, a.report(), "surveys")
}

// ahead puts the flags of --for together.
func (o *wearOptions) ahead(c *cobra.Command, l *shop.Bench) (compensate.Cut, error) {
	var cut compensate.Cut
	from, to, err := flags.TwoPositions("for", o.stretch, "for instance --for 4in,12in", l.In)
	if err != nil {
		return cut, err
	}
	for _, f := range []struct {
		name string
		l    *length.Length
	}{{"diameter", &o.diameter}, {"tolerance", &o.tolerance}} {
		if err := flags.Sane(f.name, f.l, l.In); err != nil {
			return cut, err
		}
		if c.Flags().Changed(f.name) && !(f.l.Number > 0) {
			return cut, refuse.Usage(fmt.Sprintf("--%s %s: must be greater than zero", f.name, f.l.String()),
				map[string]string{"diameter": "for instance --diameter 2in",
					"tolerance": "for instance --tolerance 0.5thou"}[f.name])
		}
	}
	if err := flags.Thick(&o.diameter, l.In); err != nil {
		return cut, err
	}
	diameter := shop.UsualDiameter(l.In)
	if c.Flags().Changed("diameter") {
		diameter = o.diameter.MM(l.In)
	}
	from, to = l.ToEnd(from), l.ToEnd(to)
	const shortest = 5 // mm: surveys lie further apart than that
	if to-from < shortest {
		return cut, refuse.Usage(fmt.Sprintf("--for %s: is too short to be surveyed", o.stretch),
			"give a length of a quarter of an inch (6 mm) or more")
	}
	return compensate.Cut{Feature: work.Feature{From: from, To: to, Diameter: diameter,
		Tolerance: o.tolerance.MM(l.In)}, SetAt: to}, nil
}

// look works out what each survey would leave.
func look(l *shop.Bench, cut compensate.Cut, blind bool) (*ahead, error) {
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
	a := &ahead{Bench: l, cut: cut, blind: blind}
	expected := l.Machine.Wear
	if blind {
		expected = nil
	}
	if a.candidates, err = l.Candidates(expected, cut.From, cut.To, cut.Diameter); err != nil ||
		len(a.candidates) == 0 {
		return a, err
	}
	if !a.knowsSpindle() {
		a.lean = shop.UsualLean(1) / 2 / math.Sqrt(3)
	}
	const places = 9
	var aims [][]survey.Part
	for i := range places - 1 { // at the last, where the tool is set, there is no error
		z := cut.From + (cut.To-cut.From)*float64(i)/(places-1)
		var parts []survey.Part
		for _, s := range curve.Sums(z) {
			parts = append(parts, survey.Part{Sum: s.Sum, At: s.At, Factor: s.Factor})
		}
		aims = append(aims, parts)
		a.bed = math.Max(a.bed, curve.Station(z).Uncertainty)
	}
	if a.out, err = l.Foresee(aims, a.candidates, a.lean); err != nil || !blind {
		return a, err
	}
	quick, err := l.Quick(expected, cut.From, cut.To, cut.Diameter)
	if err != nil {
		return nil, err
	}
	out, err := l.Foresee(aims, []profile.Candidate{profile.Together(quick)}, a.lean)
	if err != nil {
		return nil, err
	}
	a.quick, a.quickAfter = quick, out.After[0]
	return a, nil
}

// second returns the candidate that helps most beside the first; −1 where it is the only one.
func (a *ahead) second() int {
	best := -1
	for i, u := range a.out.Then {
		if i != a.out.First && (best < 0 || u < a.out.Then[best]) {
			best = i
		}
	}
	return best
}

// possible says whether a tolerance can be promised with a standard uncertainty: the full width of a normal
// distribution that holds 95 % is about four of them.
func (a *ahead) possible(u float64) *bool {
	if a.cut.Tolerance <= 0 {
		return nil
	}
	yes := 4*u <= a.cut.Tolerance
	return &yes
}
