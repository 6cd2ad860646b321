package main

import (
	"errors"
	"fmt"
	"math"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/length"
)

// cutFlags say what is turned, and where.
type cutFlags struct {
	from, to, diameter, setAt length.Length
	every                     length.Length
	tool                      toolFlags
}

// toolFlags are those of every command that computes diameters.
type toolFlags struct {
	centreHeight, toolHeight, tolerance length.Length
	bore                                bool
	slips                               slipFlag
}

func (t *toolFlags) flags(c *cobra.Command) {
	f := c.Flags()
	f.Var(&t.centreHeight, "centre-height", "centre height to reckon with, in place of the file's (also "+
		"--center-height)")
	f.Var(&t.toolHeight, "tool-height", "tool's point above centre when it is set, minus: below (default 0)")
	f.BoolVar(&t.bore, "bore", false, "the diameter is a bore's")
	f.Var(&t.tolerance, "tolerance", "full spread allowed on the diameter")
	t.slips.flags(f)
}

func (k *cutFlags) flags(c *cobra.Command) {
	f := c.Flags()
	f.SortFlags = false
	f.Var(&k.from, "from", "headstock end of the length, from the spindle nose (required without --job)")
	f.Var(&k.to, "to", "its tailstock end (likewise)")
	f.Var(&k.diameter, "diameter", "diameter turned (likewise)")
	f.Var(&k.setAt, "set-at", "where the diameter was measured and the dial set (default: where the cut starts)")
	k.tool.flags(c)
	f.Var(&k.every, "every", "step of the table's positions (default: a round one, at most 25 rows)")
}

// centre returns the centre height asked for, mm, 0 where none was.
func (t *toolFlags) centre(c *cobra.Command) func(*profile.Profile) (float64, error) {
	return func(p *profile.Profile) (float64, error) { return t.centreIn(c, p.Unit) }
}

// centreIn is centre with the unit in which a plain number counts.
func (t *toolFlags) centreIn(c *cobra.Command, u length.Unit) (float64, error) {
	if !c.Flags().Changed("centre-height") {
		return 0, nil
	}
	h := t.centreHeight.MM(u)
	if err := flags.Sane("centre-height", &t.centreHeight, u); err != nil {
		return 0, err
	}
	if !(h > 0) {
		return 0, refuse.Usage(fmt.Sprintf("--centre-height %s: must be greater than zero", t.centreHeight.String()),
			"measure from the front way's contacts up to the spindle axis")
	}
	return h, nil
}

// cut puts the flags together. SetAt is the length's tailstock end where --set-at is not given.
func (k *cutFlags) cut(c *cobra.Command, l *lathe) (compensate.Cut, error) {
	u := l.In
	for _, f := range []struct {
		name string
		l    *length.Length
	}{{"from", &k.from}, {"to", &k.to}, {"diameter", &k.diameter}, {"set-at", &k.setAt}} {
		if err := flags.Sane(f.name, f.l, u); err != nil {
			return compensate.Cut{}, err
		}
	}
	if err := k.tool.check(c, u); err != nil {
		return compensate.Cut{}, err
	}
	if err := flags.Thick(&k.diameter, u); err != nil {
		return compensate.Cut{}, err
	}
	job := work.Job{
		ToolHeight: k.tool.toolHeight.MM(u),
		Features: []work.Feature{{From: k.from.MM(u), To: k.to.MM(u), Diameter: k.diameter.MM(u),
			Bore: k.tool.bore, Tolerance: k.tool.tolerance.MM(u)}},
	}
	if ps := job.Check(); len(ps) > 0 {
		return compensate.Cut{}, k.usage(ps[0])
	}
	cut := compensate.Cut{Feature: job.On(job.Features[0]), ToolHeight: job.ToolHeight}
	cut.From, cut.To = l.toEnd(cut.From), l.toEnd(cut.To)
	cut.SetAt = cut.To
	if c.Flags().Changed("set-at") {
		cut.SetAt = l.toEnd(k.setAt.MM(u))
	}
	return cut, nil
}

// toEnd takes a position, mm, that lies outside the known wear by no more than positions are rounded when they are
// shown for the end that was meant.
func (l *lathe) toEnd(z float64) float64 {
	const rounding = 0.013 // mm: half of the last decimal shown of an inch
	first, last := l.machine.Wear.Range()
	switch {
	case z < first && z >= first-rounding:
		return first
	case z > last && z <= last+rounding:
		return last
	}
	return z
}

// open reads the profile and puts the flags of a command that works on a cut together.
func (k *cutFlags) open(e *env.Env, c *cobra.Command, file string) (*lathe, compensate.Cut, error) {
	if err := flags.Need(c, "from", "to", "diameter"); err != nil {
		return nil, compensate.Cut{}, err
	}
	l, err := openLathe(e, file, k.tool.slips, k.tool.centre(c))
	if err != nil {
		return nil, compensate.Cut{}, err
	}
	cut, err := k.cut(c, l)
	return l, cut, err
}

// check refuses values that no tool and no part can have.
func (t *toolFlags) check(c *cobra.Command, u length.Unit) error {
	for _, f := range []struct {
		name string
		l    *length.Length
	}{{"centre-height", &t.centreHeight}, {"tool-height", &t.toolHeight}, {"tolerance", &t.tolerance}} {
		if err := flags.Sane(f.name, f.l, u); err != nil {
			return err
		}
	}
	if c.Flags().Changed("tolerance") && !(t.tolerance.Number > 0) {
		return refuse.Usage(fmt.Sprintf("--tolerance %s: must be greater than zero", t.tolerance.String()),
			"give the full spread allowed on the diameter, such as 0.5thou or 12um")
	}
	return nil
}

// usage says what is wrong with a job in terms of the flags that made it.
func (k *cutFlags) usage(p work.Problem) error {
	given := ""
	switch p.Field {
	case "from":
		p.Message = "must lie nearer to the headstock than --to " + k.to.String()
		given = " " + k.from.String()
	case "diameter":
		given = " " + k.diameter.String()
	case "tool-height":
		given = " " + k.tool.toolHeight.String()
	case "tolerance":
		given = " " + k.tool.tolerance.String()
	}
	return refuse.Usage("--"+p.Field+given+": "+p.Message, p.Hint)
}

// stations returns the positions for a table over a stretch: multiples of --every, or of a round step that makes at
// most 25 rows.
func (l *lathe) stations(c *cobra.Command, every length.Length, from, to float64) ([]float64, error) {
	return l.stationsAmong(c, every, from, to, to-from)
}

// stationsAmong is stations where a table holds several stretches, which together are so long, mm.
func (l *lathe) stationsAmong(c *cobra.Command, every length.Length, from, to, all float64) ([]float64, error) {
	const most = 25
	step := compensate.RoundStep(all, l.In.MM(), most)
	if c.Flags().Changed("every") {
		step = every.MM(l.In)
		const tooMany = 2_000_000
		if !(step > 0) {
			return nil, refuse.Usage(fmt.Sprintf("--every %s: must be greater than zero", every.String()),
				"give the distance from one row to the next")
		}
		if (to-from)/step > tooMany {
			return nil, refuse.Usage(fmt.Sprintf("--every %s: makes more than 2,000,000 rows", every.String()),
				"give a longer step")
		}
	}
	const same = 1e-9 // mm: the two ends of a stretch that is no stretch
	if to-from <= same {
		return []float64{from}, nil
	}
	return compensate.Stations(from, to, step), nil
}

// explain turns what the computation refuses into words in the file's unit.
func (l *lathe) explain(err error) error {
	var outside compensate.OutsideError
	var problem work.Problem
	switch {
	case errors.As(err, &outside):
		return refuse.With(
			fmt.Sprintf("%s: %s lies outside the wear that the profile knows, from %s to %s", l.File,
				l.At(outside.Position), l.Bare(outside.From), l.At(outside.To)),
			"positions count from the spindle nose; survey the bed further, or turn the work elsewhere",
		)
	case errors.As(err, &problem):
		return refuse.Usage("--"+problem.Field+": "+problem.Message, problem.Hint)
	}
	return err
}

// holds says whether the cut's tolerance is held, in words, and whether that is so: with an uncertainty by its
// probability, else by the spread that was computed.
func (l *lathe) holds(c *compensate.Curve, spread float64, sampled compensate.Sampled, stated bool) (sentence string,
	held bool) {
	tolerance := c.Tolerance
	if !stated {
		if spread <= tolerance {
			return fmt.Sprintf("The computed spread keeps within %s; how sure that is cannot be said, as the wear "+
				"has no ±.", l.Small(tolerance)), true
		}
		return fmt.Sprintf("The tolerance of %s is not held: the computed spread is %s.", l.Small(tolerance),
			l.Small(spread)), false
	}
	s := fmt.Sprintf("The probability that the spread keeps within %s is %s", l.Small(tolerance),
		word.Percent(sampled.Within))
	switch {
	case sampled.Within >= asPromised:
		return s + ".", true
	case spread > tolerance:
		return s + ": it is not held.", false
	}
	s += ": the wear is not known well enough to promise it."
	// The full width of a normal distribution that holds 95 % is about four standard uncertainties.
	u := 0.0
	for _, h := range c.Spaced() {
		u = math.Max(u, c.Station(h.Position).Uncertainty)
	}
	if tolerance < 4*u {
		s += fmt.Sprintf(" With this ±, nothing under about %s can be promised over this length, however the dial is "+
			"turned.", l.Small(4*u))
	}
	return s, false
}

// asPromised is the probability from which a limit counts as held: ISO 14253-1's default for proving conformity, as it
// is cited.
const asPromised = 0.95
