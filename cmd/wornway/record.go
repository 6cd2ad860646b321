package main

import (
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/ask"
	"wornway/cmd/wornway/internal/disk"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile/entry"
)

func newRecord(e *env.Env) *cobra.Command {
	o := &ask.Survey{}
	c := &cobra.Command{
		Use:   "record PROFILE --method METHOD",
		Short: "Write readings into a profile while you take them",
		Long: `Record asks for one survey, station by station, while you stand at the machine. It says after each reading what that means so
far, and tells of a reading that does not fit while the indicator still stands there. Every answer is in the profile before the
next question is asked: whatever ends the program, the same command goes on where it stopped.

A reading is a number, with or without its unit. The other answers are
  same    the same reading as before
  again   measure the last one again; the new reading takes its place
  skip    leave this station out
  return  start the way back over the stations that were read
  undo    take the last answer back
  done    the survey is finished
  stop    leave the rest for later (so does Ctrl-C)
  help    show these

The profile as it was before the command, however many answers it took, is kept beside it with .bak behind its
name, in the place of an older one. The methods are ` + strings.Join(flags.MethodNames(), ", ") + ".",
		Example: `  wornway record demo.toml --method saddle-level
  wornway record demo.toml --method bar-side --at 1,2,4,6,8,10,12
  wornway record demo.toml --method way-micrometer --every 3in --from 0in --to 36in`,
		Args: flags.OneProfile, GroupID: "bed",
		RunE: func(c *cobra.Command, args []string) error { return runRecord(e, c, args[0], o) },
	}
	f := c.Flags()
	f.SortFlags = false
	f.StringVar(&o.Method, "method", "", "`method` of the survey, such as carriage-indicator")
	f.StringVar(&o.At, "at", "", "stations, as `positions` with commas between: 2,4,6.5")
	f.Var(&o.Every, "every", "distance from station to station")
	f.Var(&o.From, "from", "first station")
	f.Var(&o.To, "to", "last station")
	f.BoolVar(&o.Reference, "reference", false, "each answer has a second reading, of a level or an indicator that "+
		"stays put")
	_ = c.RegisterFlagCompletionFunc("method", func(*cobra.Command, []string, string) ([]cobra.Completion,
		cobra.ShellCompDirective) {
		return flags.MethodNames(), cobra.ShellCompDirectiveNoFileComp
	})
	return c
}

func runRecord(e *env.Env, c *cobra.Command, file string, o *ask.Survey) error {
	m, err := flags.Method(o.Method)
	if err != nil {
		return err
	}
	if err := o.Check(c, m); err != nil {
		return err
	}
	if file == "-" {
		return refuse.Usage("standard input cannot be written to: record needs a file",
			"for instance: wornway record demo.toml --method "+m.Name)
	}
	if err := env.Writable(file); err != nil {
		return err
	}
	if _, err := e.Open(file); err != nil {
		return err
	}
	unlock, err := disk.Lock(file)
	if err != nil {
		return ask.OnDisk(err)
	}
	defer unlock()
	text, err := e.ProfileText(file)
	if err != nil {
		return err
	}
	p, err := e.Parse(filepath.Dir(file), file, text)
	if err != nil {
		return err
	}
	under, err := entry.Find(text, m)
	if err != nil {
		return refuse.With(fmt.Sprintf("%s: %v", file, err), "move them into rows, or take the key unfinished out")
	}
	ctx, stop := signal.NotifyContext(e.Ctx, os.Interrupt)
	defer stop()
	r := &ask.Recording{
		Talk: ask.NewTalk(ctx, e), Units: word.Units{In: p.Unit}, Env: e, File: file, Method: m, Text: text, Profile: p,
		Under: under, Told: map[string]bool{},
	}
	defer r.Close()
	err = r.All(c, o)
	var input ask.InputError
	if stopped := errors.Is(err, ask.ErrStopped); stopped || errors.As(err, &input) {
		r.Goodbye()
		if stopped {
			return nil
		}
	}
	return err
}
