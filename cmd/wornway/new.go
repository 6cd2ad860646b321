package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/ask"
	"wornway/cmd/wornway/internal/disk"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/invented"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/ways"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate/jobfile"
	"wornway/profile"
	"wornway/profile/document"
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
		Long: `New writes a commented profile in which each key says what it is and how to measure it at the machine. On
a terminal it asks for the values one by one, says what is implausible, and writes those that were given; an empty
answer leaves a key for later. Until the file is written the answers lie beside it, in FILE.answers; broken off, the
same command goes on from there. It ends with what to read first, for the tools that you have, and the command that takes
it down. With --demo it writes the demonstration lathe, which is invented. FILE may be - for standard output.

With --from it makes the profile of a table of collars: what is left to fill in is the lathe's own measures. Its unit is
that of the diameters.

With --job it writes a job file in place of a profile: what part is to be turned, how it may be held, the finishing cut,
and what is asked of each seat. With --job --demo that is an invented shaft for the demonstration lathe.`,
		Example: `  wornway new bench.toml --unit in
  wornway new bench.toml --unit mm --ask=false
  wornway new bench.toml --from collars.csv --reading-unit in --held chuck --ask=false
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
	f.StringVar(&o.held, "held", "",
		"of the table: the `way` the bar was held: chuck (default, where the collars reach "+
			"no further than 5 diameters), chuck-and-centre or centres")
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
	for _, n := range []string{"demo", "job", "unit"} {
		if c.Flags().Changed("from") && c.Flags().Changed(n) {
			return refuse.Usage("--from and --"+n+" do not go together",
				"the profile is made of the table of collars, in the unit of its diameters")
		}
	}
	for _, n := range []string{"held", "reading-unit", "uncertainty", "held-at", "centre-at"} {
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
	if err := env.AsTOML.Target("", file, o.force); err != nil { // before anybody answers a question in vain
		if exists := (*disk.ExistsError)(nil); errors.As(err, &exists) && !o.job && !o.demo {
			return refuse.With(err.Error(),
				"or give another file name; to fill in what it lacks, see wornway show "+file)
		}
		return err
	}
	made, err := newText(e, c, file, o)
	if err != nil {
		return err
	}
	if file == "-" {
		_, err := e.Stdout.Write(made.text)
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
	if err := disk.WriteNew(file, made.text, o.force); err != nil {
		return err
	}
	if made.written != nil {
		made.written(file)
	}
	return made.next(e, file)
}

// newFile is what the new file holds.
type newFile struct {
	text    []byte
	said    string            // once it is written, where that is all; else it is read, and what comes next is said
	asked   bool              // somebody answered questions
	written func(file string) // what is to be done once it is written; nil: nothing
	cut     bool              // it holds the cuts of a table of collars
	tools   []string          // that he says he has; nil: all
}

// newText makes what the new file holds.
func newText(e *env.Env, c *cobra.Command, file string, o *newOptions) (made newFile, err error) {
	if o.demo {
		if o.job {
			return newFile{text: invented.Shaft, said: "it is an invented shaft for the demonstration lathe"}, nil
		}
		return newFile{text: invented.Lathe, said: "now: wornway show " + file}, nil
	}
	surveys := ""
	if c.Flags().Changed("from") {
		data, err := e.Contents(o.from, "the table of collars", "write position and diameter into a CSV file")
		if err != nil {
			return made, err
		}
		var in length.Unit
		if surveys, in, err = o.bar.Surveys(c, o.from, data, o.held); err != nil {
			return made, err
		}
		o.unit = in.String()
	}
	made.asked = o.ask
	if !c.Flags().Changed("ask") {
		made.asked = env.IsTerminal(e.Stdin) && env.IsTerminal(e.Stdout)
	}
	var a *ask.Interview
	if made.asked {
		questions := e.Stdout
		if file == "-" {
			questions = e.Stderr // the file itself goes to standard output
		}
		a = ask.NewInterview(e, questions)
		if file != "-" {
			about := "wornway new " + file
			if o.job {
				about = "wornway new --job " + file
			}
			if o.from != "" {
				about += " --from " + o.from
			} else if o.unit != "" {
				about += " --unit " + o.unit
			}
			if err := a.Keep(file, about); err != nil {
				return made, err
			}
			made.written = a.Written
		}
		if o.unit == "" {
			if o.unit = a.Unit(); a.Fault != nil {
				return made, a.Fault
			}
		}
	}
	if o.unit == "" {
		what := "bench.toml"
		if o.job {
			what = "--job shaft.toml"
		}
		return made, refuse.Usage("--unit in or --unit mm? It holds for every length in the file",
			"for instance: wornway new "+what+" --unit in")
	}
	fill := fillLathe
	if o.job {
		fill = fillJob
	}
	if err := fill(a, units[o.unit], &made); err != nil {
		return made, err
	}
	made.text, made.cut = append(made.text, surveys...), surveys != ""
	return made, nil
}

// fillLathe makes the text of a profile, by questions or without any.
func fillLathe(a *ask.Interview, u length.Unit, made *newFile) error {
	answers := profile.Answers{}
	if a != nil {
		made.tools = a.Lathe(u, answers)
		if a.Fault != nil {
			return a.Fault
		}
	}
	made.text = []byte(profile.Template(u, answers))
	return nil
}

// fillJob makes the text of a job file, by questions or without any.
func fillJob(a *ask.Interview, u length.Unit, made *newFile) error {
	made.said = "fill it in with an editor"
	if a == nil {
		made.text = []byte(jobfile.Template(u, nil))
		return nil
	}
	if made.text = []byte(a.Part(u)); a.Fault != nil {
		return a.Fault
	}
	if _, err := jobfile.Parse("job", made.text); err == nil {
		made.said = "now: wornway plan %s bench.toml, with your lathe's profile for bench.toml"
	}
	return nil
}

// next says what comes next; its last line is a command.
func (m newFile) next(e *env.Env, file string) error {
	if m.said != "" {
		e.Say("%s is written; %s\n", file, strings.Replace(m.said, "%s", file, 1))
		return nil
	}
	if m.cut {
		e.Say("%s\n", say.Wider)
	}
	p, err := profile.Parse(nil, file, m.text)
	switch {
	case err != nil:
		e.Say("%s is written; %s, then: wornway show %s\n", file, fillIn(err, m.asked), file)
		if !m.asked {
			e.Say("Nothing was asked; --ask takes the answers from a terminal or a pipe.\n")
		}
		return nil
	case !m.asked || p.Stated != nil || len(p.Surveys) > 0:
		e.Say("%s is written; now: wornway show %s\n", file, file)
		return nil
	}
	e.Say("%s is written.\n", file)
	l, blind, err := flags.OpenAhead(e, file, nil)
	if err != nil {
		return err
	}
	a, err := ways.Look(l, shop.UsualWork(l.Profile), blind, nil)
	if err != nil {
		return err
	}
	says, command := a.Proposal(m.tools, file, shop.Particulars{Tools: strings.Join(m.tools, ",")})
	if command == "" {
		command = "wornway show " + file
	}
	ask.Say(e, says, command)
	return nil
}

// fillIn says what is to be done to a file that cannot be used yet; where questions were asked, which keys it lacks.
func fillIn(err error, asked bool) string {
	var all document.Faults
	var lacks []string
	for errors.As(err, &all); asked && len(all) > 0; all = all[1:] {
		if all[0].Message == "missing" {
			lacks = append(lacks, all[0].Key[strings.LastIndexByte(all[0].Key, '.')+1:])
		}
	}
	if len(lacks) == 0 {
		return "fill it in with an editor"
	}
	return "fill in with an editor what is needed and missing: " + strings.Join(lacks, ", ")
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

// units are the units that a file may be in, by name.
var units = map[string]length.Unit{"in": length.Inch, "mm": length.Millimetre}
