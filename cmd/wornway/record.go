package main

import (
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/disk"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/entry"
	"wornway/profile/length"
	"wornway/profile/survey"
)

type recordOptions struct {
	method          string
	at              string
	every, from, to length.Length
	reference       bool
}

func newRecord(e *env.Env) *cobra.Command {
	o := &recordOptions{}
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
	f.StringVar(&o.method, "method", "", "`method` of the survey, such as carriage-indicator")
	f.StringVar(&o.at, "at", "", "stations, as `positions` with commas between: 2,4,6.5")
	f.Var(&o.every, "every", "distance from station to station")
	f.Var(&o.from, "from", "first station")
	f.Var(&o.to, "to", "last station")
	f.BoolVar(&o.reference, "reference", false, "each answer has a second reading, of a level or an indicator that "+
		"stays put")
	_ = c.RegisterFlagCompletionFunc("method", func(*cobra.Command, []string, string) ([]cobra.Completion,
		cobra.ShellCompDirective) {
		return flags.MethodNames(), cobra.ShellCompDirectiveNoFileComp
	})
	return c
}

func runRecord(e *env.Env, c *cobra.Command, file string, o *recordOptions) error {
	m, err := flags.Method(o.method)
	if err != nil {
		return err
	}
	if err := o.check(c, m); err != nil {
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
		return onDisk(err)
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
	r := &recording{
		talk: newTalk(ctx, e), Units: word.Units{In: p.Unit}, env: e, file: file, method: m, text: text, profile: p,
		under: under, told: map[string]bool{},
	}
	defer r.close()
	err = r.all(c, o)
	var input inputError
	if stopped := errors.Is(err, errStopped); stopped || errors.As(err, &input) {
		r.goodbye()
		if stopped {
			return nil
		}
	}
	return err
}

// onDisk says what to do about a file that cannot be written.
func onDisk(err error) error {
	var locked *disk.LockedError
	var changed *disk.ChangedError
	switch {
	case errors.As(err, &locked):
		return refuse.With(err.Error(), "end it there first; nothing was changed here")
	case errors.As(err, &changed):
		return refuse.With(err.Error(),
			"the last answer is not in it; the same command goes on from what the file says "+
				"now")
	}
	return refuse.With(err.Error(),
		"what was answered before is in the file; once that is put right, the same command "+
			"goes on")
}

// recording is the conversation about one survey.
type recording struct {
	*talk
	word.Units
	env     *env.Env
	file    string
	method  survey.Method
	text    []byte // of the file, as it is on disk
	kept    bool   // its version from before this conversation lies beside it
	profile *profile.Profile
	under   *entry.Entry    // the survey under way; nil before its first answer
	before  [][]byte        // the file before each answer of this conversation, for undo
	told    map[string]bool // readings of which it was said that they do not fit
}

// all asks from the first question to the last.
func (r *recording) all(c *cobra.Command, o *recordOptions) error {
	r.say("Caution: Measure with the spindle stopped and the machine isolated. Chuck key out, no gloves, sleeves " +
		"rolled tight, no loose hair. The shop's own rules and local codes come first.")
	if r.under != nil && r.under.Started {
		if err := r.resume(c, o); err != nil {
			return err
		}
	}
	for asked := false; ; {
		if r.under == nil || !r.under.Started && !asked {
			if err := r.questions(); err != nil {
				return err
			}
			asked = true
		}
		if !r.under.Started {
			r.say("")
			r.say(r.method.Setup())
			if err := r.start(c, o); errors.Is(err, errBack) {
				asked = false
				continue
			} else if err != nil {
				return err
			}
		}
		r.say("Other answers: same, again, skip, return, undo, done, stop; help explains them.")
		r.say("")
		if err := r.stations(); !errors.Is(err, errBack) {
			return err
		}
		// the stations stand in the command and would only be put back: what was answered before them is meant
		if o.given(c) && len(r.before) > 0 {
			if err := r.takeBack(); err != nil {
				return err
			}
			asked = false
		}
	}
}

// resume says where the survey stands, and changes the stations that are left where others were asked for.
func (r *recording) resume(c *cobra.Command, o *recordOptions) error {
	r.say(fmt.Sprintf("Going on with survey %d (%s): %s so far.", r.under.Number, r.method.Name,
		word.Count(len(r.under.Rows), "reading")))
	if o.reference && !slices.Contains(r.under.Columns, "reference") {
		r.say("Its columns are set already: --reference changes nothing.")
	}
	if !o.given(c) {
		return nil
	}
	stations, err := r.asked(c, o)
	if err != nil || r.under.AskedFor(stations) {
		return err
	}
	if r.under.Returning() {
		return refuse.With("the way back has begun: it goes over the stations that were read",
			"leave --at, --every, --from and --to out")
	}
	text, err := r.under.AskFor(stations)
	if err != nil {
		return err
	}
	return r.write(text)
}

// write puts the file on disk with the next answer in it, and takes note of what it was before.
func (r *recording) write(text []byte) error {
	was := r.text
	if err := r.put(text); err != nil {
		return err
	}
	r.before = append(r.before, was)
	return nil
}

// put writes the file and reads back what it says. The first time its version from before this conversation is kept
// beside it.
func (r *recording) put(text []byte) error {
	p, err := r.env.Parse(filepath.Dir(r.file), r.file, text)
	if err != nil {
		return err
	}
	under, err := entry.Find(text, r.method)
	if err != nil {
		return err
	}
	write := disk.Again
	if !r.kept {
		write = disk.Replace
	}
	if err := write(r.file, r.text, text); err != nil {
		return onDisk(err)
	}
	r.kept = true
	r.text, r.profile, r.under = text, p, under
	return nil
}

// takeBack restores the file as it was before the last answer of this conversation.
func (r *recording) takeBack() error {
	was := r.before[len(r.before)-1]
	if err := r.put(was); err != nil {
		return err
	}
	r.before = r.before[:len(r.before)-1]
	return nil
}

// goodbye says how to go on, once the conversation was broken off.
func (r *recording) goodbye() {
	if r.under == nil {
		r.say(fmt.Sprintf("Nothing was begun in %s.", r.file))
		return
	}
	r.say(fmt.Sprintf("Stopped, with %s in %s. This goes on there:", word.Count(len(r.under.Rows), "reading"), r.file))
	r.raw(fmt.Sprintf("  wornway record %s --method %s\n", r.file, r.method.Name))
}

// today is the day that a survey is dated when nothing else is said.
func (r *recording) today() string { return r.env.Now().Format(time.DateOnly) }

// errStopped ends a conversation that is to be gone on with later; errBack goes back to the questions before.
var (
	errStopped = errors.New("stopped")
	errBack    = errors.New("back")
)
