package main

import (
	"errors"
	"slices"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/plot"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/ways"
	"wornway/profile/length"
)

type wearOptions struct {
	every    length.Length
	ahead    flags.Ahead
	verdict  bool
	covaries string // the length whose covariance is wanted
	slips    flags.Slips
	out      env.Output
}

func newWear(e *env.Env) *cobra.Command {
	o := &wearOptions{}
	c := &cobra.Command{
		Use:   "wear PROFILE",
		Short: "Show the wear along the bed, and what a regrind would change",
		Long: `Wear shows how far the ways have sunk and the front way has moved sideways along the bed, where it is
deepest and where it begins and ends; and for lengths from 1 to 20 in (25 to 500 mm) the worst and the best taper and
spread anywhere on the bed, at 1 in (25 mm) diameter: whether you would notice a regrind.

With --for it says which survey to make next: how far each one not made yet would shrink the ± on a diameter over that
length, alone and beside the best, and what it takes. A profile without any readings will do: that is a survey plan.
--with leaves out what the tools that there are do not do.
With --verdict it says in plain words what this lathe will turn as it stands, with corrections, and after a regrind.`,
		Example: `  wornway wear demo.toml
  wornway wear demo.toml --every 2in --csv
  wornway wear demo.toml --csv=regrind
  wornway wear demo.toml --for 4in,12in --tolerance 0.5thou
  wornway wear demo.toml --for 4in,12in --held chuck-and-centre --with level,indicator
  wornway wear demo.toml --verdict`,
		Args: flags.OneProfile, GroupID: "bed",
		RunE: func(c *cobra.Command, args []string) error { return runWear(e, c, args[0], o) },
	}
	c.Flags().SortFlags = false
	c.Flags().Var(&o.every, "every", "step of the table's positions (default: a round one, at most 25 rows)")
	o.ahead.Flags(c, "rank the surveys not made yet by how much they would lower the ±")
	c.Flags().BoolVar(&o.verdict, "verdict", false, "say in plain words what this lathe will turn")
	c.Flags().StringVar(&o.covaries, "covariance", "", "with --json: add the covariance of what work at these "+
		"positions, `from,to`, needs of the wear")
	o.slips.Flags(c.Flags())
	o.out.Flags(c, "stations", "regrind", "surveys", "effort", "lengths", "tolerances")
	o.out.Draws(c)
	return c
}

func runWear(e *env.Env, c *cobra.Command, file string, o *wearOptions) error {
	defer e.Progress("looking along the bed")()
	if err := o.check(c); err != nil {
		return err
	}
	switch {
	case c.Flags().Changed("for"):
		return runAhead(e, c, file, o)
	case o.verdict:
		return runVerdict(e, file, o)
	}
	l, err := flags.Open(e, file, o.slips, nil)
	if err != nil {
		return err
	}
	first, last := l.Machine.Wear.Range()
	stations, err := flags.Stations(c, l.In, o.every, first, last)
	if err != nil {
		return err
	}
	_, deepest, drop := l.Deepest()
	if i, there := slices.BinarySearch(stations, deepest); drop > 0 && !there {
		stations = slices.Insert(stations, i, deepest)
	}
	r, err := o.report(c, l, stations)
	if err != nil {
		return err
	}
	drawn := func() plot.Figure { return ways.WearFigure(l) }
	r.Sketch = func(width int, ascii bool) []string { return drawn().Sketch(width, ascii) }
	if err := e.Draw(o.out, drawn); err != nil {
		return err
	}
	return e.Emit(o.out, r, "stations")
}

// report is the wear with what is asked for beside it.
func (o *wearOptions) report(c *cobra.Command, l *shop.Bench, stations []float64) (show.Report, error) {
	if !c.Flags().Changed("covariance") {
		return ways.WearReport(l, stations, nil)
	}
	from, to, err := flags.TwoPositions("covariance", o.covaries, "for instance --covariance 4in,12in", l.In)
	if err != nil {
		return show.Report{}, err
	}
	return ways.WearReport(l, stations, ways.Covariance(l, l.ToEnd(from), l.ToEnd(to)))
}

// check refuses flags that do not go together.
func (o *wearOptions) check(c *cobra.Command) error {
	given := c.Flags().Changed
	switch {
	case given("for") && o.verdict:
		return refuse.Usage("--for and --verdict do not go together",
			"the one says what to measure next, the other what is known already")
	case given("plot") && (given("for") || o.verdict):
		return refuse.Usage("--plot goes with neither --for nor --verdict: it draws the wear", "leave it out")
	case given("every") && (given("for") || o.verdict):
		return refuse.Usage("--every goes with neither --for nor --verdict", "leave it out")
	case given("covariance") && (given("for") || o.verdict || !given("json")):
		return refuse.Usage("--covariance goes with --json, and with neither --for nor --verdict",
			"for instance wornway wear PROFILE --json --covariance 4in,12in")
	}
	return o.ahead.Check(c)
}

func runAhead(e *env.Env, c *cobra.Command, file string, o *wearOptions) error {
	l, blind, err := flags.OpenAhead(e, file, o.slips)
	if err != nil {
		return err
	}
	cut, err := o.ahead.Cut(c, l)
	if err != nil {
		return err
	}
	tools, err := o.ahead.Tools()
	if err != nil {
		return err
	}
	a, err := ways.Look(l, cut, blind, tools)
	if err != nil {
		return err
	}
	return e.Emit(o.out, a.Report(o.ahead.Given(c)), "surveys")
}

func runVerdict(e *env.Env, file string, o *wearOptions) error {
	l, err := flags.Open(e, file, o.slips, nil)
	var none shop.NoWearError
	if errors.As(err, &none) {
		return refuse.With(none.Message, "there is nothing to judge by yet: wornway wear "+file+
			" --for 4in,12in says what to measure first")
	}
	if err != nil {
		return err
	}
	r, err := ways.VerdictReport(l)
	if err != nil {
		return err
	}
	return e.Emit(o.out, r, "lengths")
}
