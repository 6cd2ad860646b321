package main

import (
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/ask"
	"wornway/cmd/wornway/internal/disk"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/invented"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate/jobfile"
	"wornway/profile"
	"wornway/profile/length"
)

type newOptions struct {
	unit, from, held      string
	bar                   flags.Bar
	job, demo, ask, force bool
}

func newNew(e *env.Env) *cobra.Command {
	o := &newOptions{}
	c := &cobra.Command{
		Use:   "new FILE",
		Short: "Write a profile or a job file to fill in, or a demonstration",
		Long: `New writes a commented profile in which each key says what it is and how to measure it at the machine. On a terminal it
asks for the values one by one, says what is implausible, and writes those that were given; an empty answer leaves a key for
later. With --demo it writes the demonstration lathe, which is invented. FILE may be - for standard output.

With --from it makes the profile of a table of collars: what is left to fill in is the lathe's own measures. Its unit
is that of the diameters.

With --job it writes a job file in place of a profile: what part is to be turned, how it may be held, the finishing cut, and
what is asked of each seat. With --job --demo that is an invented shaft for the demonstration lathe.`,
		Example: `  wornway new bench.toml --unit in
  wornway new bench.toml --unit mm --ask=false
  wornway new bench.toml --from collars.csv --reading-unit in --ask=false
  wornway new --demo demo.toml
  wornway new --job bushing.toml --unit mm
  wornway new --job --demo shaft.toml`,
		GroupID: "bed",
		Args: func(c *cobra.Command, args []string) error {
			if len(args) != 1 || args[0] == "" {
				return refuse.Usage("give the one file to write", "for instance: wornway new bench.toml")
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error { return runNew(e, c, args[0], o) },
	}
	f := c.Flags()
	f.SortFlags = false
	f.StringVar(&o.unit, "unit", "", "unit of every length in the file: `in` or mm")
	f.BoolVar(&o.ask, "ask", false, "ask for the values one by one (default on a terminal; --ask=false does not)")
	f.BoolVar(&o.job, "job", false, "write a job file in place of a profile")
	f.BoolVar(&o.demo, "demo", false, "write the demonstration lathe; with --job, a shaft for it")
	f.StringVar(&o.from, "from", "", "table of collars, a CSV `file`, whose cuts the profile holds")
	f.StringVar(&o.held, "held", "", "of the table: how the bar was held, `chuck|centres` (default: chuck)")
	o.bar.Flags(c)
	f.BoolVar(&o.force, "force", false, "replace an existing file")
	return c
}

func runNew(e *env.Env, c *cobra.Command, file string, o *newOptions) error {
	if o.demo && (o.ask || c.Flags().Changed("unit")) {
		if o.job {
			return refuse.Usage("--demo writes a finished job, in inches: --unit and --ask have no place beside it",
				"for instance: wornway new --job --demo shaft.toml")
		}
		return refuse.Usage("--demo writes a finished lathe, in inches: --unit and --ask have no place beside it",
			"for instance: wornway new --demo demo.toml")
	}
	if o.job && o.ask {
		return refuse.Usage("--ask asks for a lathe's profile, not for a job",
			"write the job file and fill it in with an editor: wornway new --job shaft.toml --unit in")
	}
	for _, n := range []string{"demo", "job", "unit"} {
		if c.Flags().Changed("from") && c.Flags().Changed(n) {
			return refuse.Usage("--from and --"+n+" do not go together",
				"the profile is made of the table of collars, in the unit of its diameters")
		}
	}
	for _, n := range []string{"held", "reading-unit", "uncertainty", "held-at"} {
		if !c.Flags().Changed("from") && c.Flags().Changed(n) {
			return refuse.Usage("--"+n+" speaks of a table of collars, and there is no --from",
				"for instance: wornway new bench.toml --from collars.csv --reading-unit mm")
		}
	}
	if c.Flags().Changed("unit") {
		if err := knownUnit(o.unit); err != nil {
			return err
		}
	}
	if err := env.AsTOML.Target("", file, o.force); err != nil {
		return err // before anybody answers a question in vain
	}
	text, next, err := newText(e, c, file, o)
	if err != nil {
		return err
	}
	if file == "-" {
		_, err := e.Stdout.Write(text)
		return err
	}
	if o.force { // a survey may be under way in what is to be replaced
		unlock, err := disk.Lock(file)
		var locked *disk.LockedError
		if errors.As(err, &locked) {
			return refuse.With(err.Error(), "end it there first; nothing was changed here")
		}
		if err == nil {
			defer unlock()
		}
	}
	if err := disk.WriteNew(file, text, o.force); err != nil {
		return err
	}
	e.Say("%s is written; %s\n", file, next)
	return nil
}

// newText returns what the new file holds, and what to say of it once it is written.
func newText(e *env.Env, c *cobra.Command, file string, o *newOptions) (text []byte, next string, err error) {
	if o.job {
		return newJob(o)
	}
	text = invented.Lathe
	surveys := ""
	if c.Flags().Changed("from") {
		data, err := e.Contents(o.from, "the table of collars", "write position and diameter into a CSV file")
		if err != nil {
			return nil, "", err
		}
		var in length.Unit
		if surveys, in, err = o.bar.Surveys(c, o.from, data, o.held); err != nil {
			return nil, "", err
		}
		o.unit = in.String()
	}
	if !o.demo {
		ask := o.ask
		if !c.Flags().Changed("ask") {
			ask = env.IsTerminal(e.Stdin) && env.IsTerminal(e.Stdout)
		}
		questions := e.Stdout
		if file == "-" {
			questions = e.Stderr // the profile itself goes to standard output
		}
		if text, err = fillIn(e, o.unit, ask, questions); err != nil {
			return nil, "", err
		}
		text = append(text, surveys...)
	}
	next = "fill it in with an editor, then: wornway show " + file
	if _, err := profile.Parse(nil, file, text); err == nil {
		next = "now: wornway show " + file
	}
	return text, next, nil
}

// knownUnit refuses what cannot be the unit of a file.
func knownUnit(unit string) error {
	switch unit {
	case "in", "mm":
		return nil
	}
	return refuse.Usage(fmt.Sprintf("--unit %s: must be in or mm", word.Visible(unit)),
		"it holds for every length in the file; readings may have units of their own")
}

// fillIn returns the text of a new profile. The questions, if any are to be asked, go to the given writer.
func fillIn(e *env.Env, unit string, asked bool, questions io.Writer) ([]byte, error) {
	var a *ask.Asking
	if asked {
		a = ask.NewAsking(e.Stdin, questions)
		if unit == "" {
			unit = a.Unit()
		}
		if a.Fault != nil {
			return nil, a.Fault
		}
	}
	if unit == "" {
		return nil, refuse.Usage("--unit in or --unit mm? It holds for every length in the file",
			"for instance: wornway new bench.toml --unit in")
	}
	u := units[unit]
	answers := profile.Answers{}
	if a != nil {
		if a.All(u, answers); a.Fault != nil {
			return nil, a.Fault
		}
	}
	return []byte(profile.Template(u, answers)), nil
}

// newJob returns the text of a job file, and what to say of it once it is written.
func newJob(o *newOptions) (text []byte, next string, err error) {
	if o.demo {
		return invented.Shaft, "it is an invented shaft for the demonstration lathe", nil
	}
	if o.unit == "" {
		return nil, "", refuse.Usage("--unit in or --unit mm? It holds for every length in the file",
			"for instance: wornway new --job shaft.toml --unit in")
	}
	return []byte(jobfile.Template(units[o.unit], nil)), "fill it in with an editor", nil
}

// units are the units that a file may be in, by name.
var units = map[string]length.Unit{"in": length.Inch, "mm": length.Millimetre}
