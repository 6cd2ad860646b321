package main

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
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
func openAhead(e *env.Env, name string, slips slipFlag) (l *lathe, blind bool, err error) {
	l, err = openLathe(e, name, slips, nil)
	var none noWear
	if !errors.As(err, &none) {
		return l, false, err
	}
	p := none.profile
	ways := p.Lathe.Ways
	flat := map[bed.Curve][]float64{bed.Front: {0, 0}, bed.Shift: {0, 0}, bed.Rear: {0, 0}}
	w, err := wear.New([]float64{ways.From, ways.To}, flat)
	if err != nil {
		return nil, false, err
	}
	return &lathe{Profile: p, estimate: &estimate.Result{Wear: w}, Units: word.Units{In: p.Unit},
		machine: compensate.Machine{Lathe: p.Lathe.Bed, Wear: w, Axis: compensate.SpindleAxis()}}, true, nil
}

// ahead is a look ahead on its way into a report.
type ahead struct {
	*lathe
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
	a, err := l.look(cut, blind)
	if err != nil {
		return err
	}
	return e.Emit(o.out, a.report(), "surveys")
}

// ahead puts the flags of --for together.
func (o *wearOptions) ahead(c *cobra.Command, l *lathe) (compensate.Cut, error) {
	var cut compensate.Cut
	from, to, err := twoPositions("for", o.stretch, "for instance --for 4in,12in", l.In)
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
	diameter := usualDiameter(l.In)
	if c.Flags().Changed("diameter") {
		diameter = o.diameter.MM(l.In)
	}
	from, to = l.toEnd(from), l.toEnd(to)
	const shortest = 5 // mm: surveys lie further apart than that
	if to-from < shortest {
		return cut, refuse.Usage(fmt.Sprintf("--for %s: is too short to be surveyed", o.stretch),
			"give a length of a quarter of an inch (6 mm) or more")
	}
	return compensate.Cut{Feature: work.Feature{From: from, To: to, Diameter: diameter,
		Tolerance: o.tolerance.MM(l.In)}, SetAt: to}, nil
}

// usualDiameter is what is reckoned with where none is given, mm: 1 in, 25 mm.
func usualDiameter(u length.Unit) float64 {
	if u == length.Inch {
		return length.Inch.ToMM(1)
	}
	return 25
}

// look works out what each survey would leave.
func (l *lathe) look(cut compensate.Cut, blind bool) (*ahead, error) {
	curve, err := l.machine.Curve(cut)
	var outside compensate.OutsideError
	switch {
	case blind && errors.As(err, &outside):
		return nil, refuse.With(fmt.Sprintf("%s: %s lies outside the bed that the profile speaks of, from %s to %s",
			l.File,
			l.At(outside.Position), l.Bare(outside.From), l.At(outside.To)),
			"positions count from the spindle nose; is lathe.bed right?")
	case err != nil:
		return nil, l.explain(err)
	}
	a := &ahead{lathe: l, cut: cut, blind: blind}
	expected := l.machine.Wear
	if blind {
		expected = nil
	}
	if a.candidates, err = l.Candidates(expected, cut.From, cut.To, cut.Diameter); err != nil ||
		len(a.candidates) == 0 {
		return a, err
	}
	if !a.knowsSpindle() {
		a.lean = usualLean(1) / 2 / math.Sqrt(3)
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

// twoPositions reads two positions with a comma between, mm.
func twoPositions(flag, given, example string, u length.Unit) (from, to float64, err error) {
	both := strings.Split(given, ",")
	if len(both) != 2 {
		return 0, 0, refuse.Usage(fmt.Sprintf("--%s %s: must be two positions with a comma between, from and to", flag,
			word.Visible(given)), example+"; decimals have a point")
	}
	var mm [2]float64
	for i := range mm {
		v, err := length.Parse(both[i])
		var fault *length.Error
		switch {
		case errors.As(err, &fault):
			hint := example
			if fault.Hint != "" {
				hint = fault.Hint + "; " + example
			}
			return 0, 0, refuse.Usage(fmt.Sprintf("--%s %s: %q %s", flag, word.Visible(given), both[i], fault.What),
				hint)
		case err != nil:
			return 0, 0, refuse.Usage(fmt.Sprintf("--%s %s: %v", flag, word.Visible(given), err), example)
		}
		if err := flags.Sane(flag, &v, u); err != nil {
			return 0, 0, err
		}
		mm[i] = v.MM(u)
	}
	if !(mm[0] < mm[1]) || math.IsNaN(mm[1]-mm[0]) {
		return 0, 0, refuse.Usage(fmt.Sprintf("--%s %s: the first must lie nearer to the headstock", flag, given),
			example)
	}
	return mm[0], mm[1], nil
}
