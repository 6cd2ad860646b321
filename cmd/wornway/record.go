package main

import (
	"cmp"
	"os"
	"os/signal"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/ask"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/ways"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/length"
)

type recordOptions struct {
	method, at      string
	every, from, to length.Length
	reference       bool
	ahead           flags.Ahead
	unit            string
}

func newRecord(e *env.Env) *cobra.Command {
	o := &recordOptions{}
	c := &cobra.Command{
		Use:   "record PROFILE --method METHOD",
		Short: "Write readings into a profile while you take them",
		Long: `Record asks for one survey, station by station, while you stand at the machine. It says after each
reading what that means so far, and warns of a reading that does not fit while the indicator still stands there. Every
answer is in the profile before the next question is asked: whatever ends the program, the same command goes on where it
stopped.

A reading is a number, with or without its unit. The other answers are
  same    the same reading as before
  again   measure the last one again; the new reading takes its place
  again 8 measure the one at 8 again, and go on from here
  skip    leave this station out
  at 8    go to the station at 8 next
  return  start the way back over the stations that were read
  undo    take the last answer back
  zero    the zero has moved, as when the indicator was knocked: what follows
          has its own, what was read before stays
  done    the survey is finished
  stop    leave the rest for later (so does Ctrl-C)
  help    show these

The profile as it was before the command, however many answers it took, is kept beside it with .bak behind its name, in
the place of an older one. A name that ends in .csv is a table of collars, a new one or one to add a cut to: nothing of
the lathe is asked, and predict, correct and chart take the table as it is. The methods are ` +
			strings.Join(flags.MethodNames(), ", ") + ".",
		Example: `  wornway record demo.toml --method saddle-level
  wornway record demo.toml --method bar-side --at 1,2,4,6,8,10,12
  wornway record demo.toml --method way-micrometer --every 3in --from 0in --to 36in
  wornway record skimmed.csv --reading-unit in --at 4,5,6,7,8,9`,
		Args: flags.OneProfile, GroupID: "bed",
		RunE: func(c *cobra.Command, args []string) error { return runRecord(e, c, args[0], o) },
	}
	f := c.Flags()
	f.SortFlags = false
	f.StringVar(&o.method, "method", "", "`method` of the survey, such as carriage-indicator")
	f.StringVar(&o.at, "at", "", "stations, as `positions` with commas between: 2,4,6.5")
	f.Var(&o.every, "every", "distance from station to station")
	f.Var(&o.from, "from", "first station")
	f.Var(&o.to, "to", "last station")
	f.BoolVar(&o.reference, "reference", false, "each answer has a second reading, of a level or an indicator that "+
		"stays put")
	o.ahead.Flags(c, "say after each reading how sure it is and what to read next; without --method, propose one")
	f.StringVar(&o.unit, "reading-unit", "", "of a table of collars: the `unit` of its positions and diameters, in "+
		"or mm")
	_ = c.RegisterFlagCompletionFunc("method", func(*cobra.Command, []string, string) ([]cobra.Completion,
		cobra.ShellCompDirective) {
		return flags.MethodNames(), cobra.ShellCompDirectiveNoFileComp
	})
	return c
}

func runRecord(e *env.Env, c *cobra.Command, file string, o *recordOptions) error {
	if err := o.ahead.Check(c); err != nil {
		return err
	}
	collars := file != "-" && ask.IsTable(file)
	unit, err := o.tableUnit(c, file, collars)
	if err != nil {
		return err
	}
	var work []compensate.Cut
	if c.Flags().Changed("for") && file != "-" {
		l, blind, err := flags.OpenAhead(e, file, nil)
		if err != nil {
			return err
		}
		cut, err := o.ahead.Cut(c, l)
		if err != nil {
			return err
		}
		if work = append(work, cut); o.method == "" {
			return propose(e, c, l, cut, blind, file, o)
		}
	}
	m, err := flags.Method(cmp.Or(o.method, map[bool]string{true: "test-cut"}[collars]))
	if err != nil {
		return err
	}
	s := ask.Survey{Method: m, Places: o.places(c), Reference: o.reference, Work: work, Unit: unit,
		Given: o.ahead.Given(c)}
	if err := s.Check(); err != nil {
		return err
	}
	r, err := ask.Record(e, file, s)
	if err != nil {
		return err
	}
	defer r.Close()
	ctx, stop := signal.NotifyContext(e.Ctx, os.Interrupt)
	defer stop()
	t := ask.NewTalk(ctx, e)
	defer t.Close()
	return t.Lead(r)
}

// tableUnit returns the unit of a table of collars, and refuses what does not go with one, or goes with nothing else.
func (o *recordOptions) tableUnit(c *cobra.Command, file string, collars bool) (u length.Unit, err error) {
	const instance = "for instance: wornway record skimmed.csv --reading-unit in --at 4,5,6,7,8,9"
	switch {
	case !collars && o.unit != "":
		return u, refuse.Usage("--reading-unit is for a table of collars: in a profile record asks for it", instance)
	case !collars:
		return u, nil
	case o.method != "" && o.method != "test-cut":
		return u, refuse.Usage("--method "+word.Visible(o.method)+": a table of collars holds a test-cut alone",
			"leave --method out, or give a profile")
	case c.Flags().Changed("for"):
		return u, refuse.Usage("--for needs a lathe's profile, and "+file+" is a table of collars", "leave it out")
	case o.unit == "in":
		return length.Inch, nil
	case o.unit == "mm":
		return length.Millimetre, nil
	case o.unit == "":
		return u, refuse.Usage(file+": in which unit are its diameters? A table of collars does not say", instance)
	}
	return u, refuse.Usage("--reading-unit "+word.Visible(o.unit)+": must be in or mm", instance)
}

// propose says which survey to record next.
func propose(e *env.Env, c *cobra.Command, l *shop.Bench, cut compensate.Cut, blind bool, file string,
	o *recordOptions) error {
	tools, err := o.ahead.Tools()
	if err != nil {
		return err
	}
	a, err := ways.Look(l, cut, blind, nil)
	if err != nil {
		return err
	}
	says, command := a.Proposal(tools, file, o.ahead.Given(c))
	ask.Say(e, says, command)
	return nil
}

// places are the stations that the command line asks for.
func (o *recordOptions) places(c *cobra.Command) (p ask.Places) {
	given := c.Flags().Changed
	if given("at") {
		p.At = &o.at
	}
	if given("every") {
		p.Every = &o.every
	}
	if given("from") {
		p.From = &o.from
	}
	if given("to") {
		p.To = &o.to
	}
	return p
}
