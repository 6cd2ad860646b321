package main

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/ways"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/length"
)

type compareOptions struct {
	before string
	every  length.Length
	out    env.Output
}

func newCompare(e *env.Env) *cobra.Command {
	o := &compareOptions{}
	c := &cobra.Command{
		Use:   "compare OLD NEW | compare PROFILE --before DATE",
		Short: "Say how much the bed has worn between two surveys",
		Long: `Compare holds two profiles of one bed against each other, or of one profile the surveys before a day
against those from it on: how far the ways have worn between the two, by how much in a year, whether that is more than
chance makes of the readings, and how much more the bed is twisted, which is levelling and not wear. What NEW has from
OLD counts for OLD alone. Profiles of lathes that differ in their geometry are refused.`,
		Example: `  wornway compare last-year.toml demo.toml
  wornway compare two-years.toml --before 2026-01-01
  wornway compare last-year.toml demo.toml --every 4in --csv`,
		GroupID:     "bed",
		Annotations: map[string]string{"instance": "last-year.toml PROFILE"},
		Args:        func(c *cobra.Command, args []string) error { return compareArgs(c, args) },
		RunE:        func(c *cobra.Command, args []string) error { return runCompare(e, c, args, o) },
	}
	f := c.Flags()
	f.SortFlags = false
	f.StringVar(&o.before, "before", "", "of one profile: the `day` that parts the old surveys from the new, as in "+
		"2026-03-14")
	f.Var(&o.every, "every", "step of the table's positions (default: a round one, at most 25 rows)")
	o.out.Flags(c, "stations")
	return c
}

// compareArgs takes two profiles, or one with the day that parts its surveys.
func compareArgs(c *cobra.Command, args []string) error {
	dated := c.Flags().Changed("before")
	example := "for instance: wornway compare last-year.toml this-year.toml, or: wornway compare bench.toml --before " +
		"2026-01-01"
	switch {
	case len(args) == 0:
		return refuse.Usage("which profiles? Give the old and the new one, or one with --before and a day", example)
	case len(args) == 1 && !dated:
		return refuse.Usage("one profile alone is compared with nothing",
			"give the new one as well, or --before with a day between its surveys")
	case len(args) == 2 && dated:
		return refuse.Usage("--before parts the surveys of one profile, and two are given", "leave one of them out")
	case len(args) > 2:
		return refuse.Usage(fmt.Sprintf("two profiles at a time: %q is too much", args[2]), example)
	case len(args) == 2 && args[0] == "-" && args[1] == "-":
		return refuse.Usage("standard input holds one profile, not two", "give at least one of them as a file")
	}
	return nil
}

func runCompare(e *env.Env, c *cobra.Command, args []string, o *compareOptions) error {
	defer e.Progress("calculating along the bed")()
	s, err := openSides(e, args, o)
	if err != nil {
		return err
	}
	k, err := profile.Compare(s.Earlier, s.Later)
	if err != nil {
		return err
	}
	r := &ways.Comparison{Pair: s, Change: k}
	from, to := k.Range()
	if !(from < to) {
		return refuse.With(fmt.Sprintf("%s and %s speak of different stretches of the bed", s.Names[0], s.Names[1]),
			"survey again where it was surveyed before")
	}
	stations, err := flags.Stations(c, s.In, o.every, from, to)
	if err != nil {
		return err
	}
	return e.Emit(o.out, r.Report(stations), "stations")
}

// openSides reads what is to be compared.
func openSides(e *env.Env, args []string, o *compareOptions) (*ways.Pair, error) {
	if len(args) == 1 {
		return parted(e, args[0], o.before)
	}
	s := &ways.Pair{Names: [2]string{args[0], args[1]}}
	for i, to := range []**profile.Profile{&s.Earlier, &s.Later} {
		p, err := e.Open(args[i])
		if err != nil {
			return nil, err
		}
		if p.Stated == nil && len(p.Surveys) == 0 {
			return nil, refuse.With(fmt.Sprintf("%s: knows nothing of the wear", p.File),
				"give it a [[survey]] or [wear]; wornway show "+args[i]+" says what it holds")
		}
		*to = p
	}
	s.Units = word.Units{In: s.Later.Unit}
	if d := ways.Differing(s.Earlier, s.Later, s.Units); len(d) > 0 {
		return nil, d
	}
	e.Age(s.Later)
	shared := 0
	if s.Later, shared = s.Later.NewIn(s.Earlier); shared > 0 {
		if s.Later.Stated == nil && len(s.Later.Surveys) == 0 {
			return nil, refuse.With(fmt.Sprintf("%s holds no reading that %s does not hold", args[1], args[0]),
				"survey the bed again, and add that to it")
		}
		s.Notes = append(s.Notes, fmt.Sprintf("%s has %s from %s, which counts as old alone.", args[1],
			word.Count(shared, "survey"), args[0]))
	}
	return s, nil
}

// parted parts the surveys of one profile at a day.
func parted(e *env.Env, name, text string) (*ways.Pair, error) {
	at, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return nil, refuse.Usage(fmt.Sprintf("--before %s: must be a day", word.Visible(text)),
			"write year-month-day, as in 2026-03-14")
	}
	p, err := e.Open(name)
	if err != nil {
		return nil, err
	}
	e.Age(p)
	old, later, undated := p.Since(at)
	s := &ways.Pair{Earlier: old, Later: later, Units: word.Units{In: p.Unit},
		Names: [2]string{"before " + text, "from " + text + " on"}}
	first, _, last, _ := p.Dates()
	switch {
	case first.IsZero():
		return nil, refuse.With(fmt.Sprintf("%s: no survey has a date", p.File),
			"write under each [[survey]] when it was made: date = 2026-03-14")
	case len(old.Surveys) == 0:
		return nil, refuse.With(fmt.Sprintf("%s: no survey was made before %s", p.File, text),
			fmt.Sprintf("its dates go from %s to %s", word.Day(first), word.Day(last)))
	case len(later.Surveys) == 0:
		return nil, refuse.With(fmt.Sprintf("%s: no survey was made on or after %s", p.File, text),
			fmt.Sprintf("its dates go from %s to %s", word.Day(first), word.Day(last)))
	}
	if undated > 0 {
		s.Notes = append(s.Notes, fmt.Sprintf("What has no date counts for neither side: %s, stated drops among them "+
			"if there are any.", word.Count(undated, "survey")))
	}
	return s, nil
}
