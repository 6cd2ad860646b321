package main

import (
	"errors"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/disk"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/testcut"
	"wornway/profile"
	"wornway/profile/document"
)

func newCheck(e *env.Env) *cobra.Command {
	o := &flags.Check{}
	c := &cobra.Command{
		Use:   "check PROFILE --measured FILE",
		Short: "Hold a turned part against the prediction, and learn from it",
		Long: `Check holds collars or a part, turned at one setting of the dial and measured along its length, against
what predict says of it, and says whether they agree: as they are, but for a straight taper, or not, and how. FILE is a
TOML file with one [[survey]] of the method test-cut, as a profile has it; or a CSV file of position and diameter, with
the rest as flags. Turn three to five collars, the bar in the chuck, with a light cut.

With --job the part of a job file is held against what predict --job says of it. FILE is then a CSV file whose first
line names its columns: position, diameter and, where there is any doubt, feature. Positions count from the part's
headstock end as they do on the drawing. Every feature is compared with its own measurement nearest to the tailstock.

Which is it? Give --measured several times, for cuts that were made differently: from the chuck and between centres,
light and deep, near and far, each a TOML file with its depth, held and held_at; a level on the saddle or a test bar
read since counts too (saddle-level, bar-side). Check then says how probable each cause is, by all of them together: the
bed as surveyed, wear since, twist, a leaning spindle, the tailstock to a side or at another height, push-off,
differences noted on radius, a level read the wrong way round, or something else; or that it cannot tell yet, and which
further cut or reading would tell the two best apart. --cause asks so of one file.

A CSV file of a cut begins with the line position,diameter and has a row for each collar: 2.5,1.2499. A table of collars
serves in place of the profile (another cut has its number in a third column, cut: wornway predict --help shows one);
--reading-unit, --uncertainty, --held and --held-at then hold for both files.

With --add the cut becomes one more survey of the profile, whose version from before the command is kept beside it with
.bak behind its name, in the place of an older one. A cut that the profile holds already is never added twice.`,
		Example: `  wornway check demo.toml --measured collars.csv
  wornway check demo.toml --measured collars.csv --reading-unit in --uncertainty 0.1thou --held-at 1in --json
  wornway check demo.toml --measured collars.toml --add
  wornway check demo.toml --measured light.toml --measured deep.toml
  wornway check demo.toml --job shaft.toml --measured seats.csv --at 3.5in`,
		Args: flags.OneProfile, GroupID: "bed",
		Annotations: map[string]string{"instance": "PROFILE --measured collars.csv"},
		RunE:        func(c *cobra.Command, args []string) error { return runCheck(e, c, args[0], o) },
	}
	o.Flags(c)
	o.Out.Draws(c)
	return c
}

func runCheck(e *env.Env, c *cobra.Command, file string, o *flags.Check) error {
	if err := flags.Need(c, "measured"); err != nil {
		return err
	}
	if o.Measured = o.Files[0]; o.Cause || len(o.Files) > 1 {
		return findCause(e, c, file, o)
	}
	if job, err := o.Job.Asked(c, "set-at", "tool-height", "held-at", "depth", "feed", "date"); err != nil || job {
		if err != nil {
			return err
		}
		return checkPart(e, c, file, o)
	}
	if o.Add && file == "-" {
		return refuse.Usage("--add: standard input cannot be added to", "give the profile's file")
	}
	defer e.Progress("calculating along the bed")()
	was, p, err := toCheck(e, file, o.Add)
	var alone env.CollarsError
	if errors.As(err, &alone) {
		return onCollars(e, c, alone, o)
	}
	if err != nil {
		return err
	}
	cut, err := o.Cut(e, c, p)
	if err != nil {
		return err
	}
	held := p.Holds(cut.Survey)
	if err := o.Tool.Slips.Undo(p); err != nil {
		return err
	}
	before := p
	if held >= 0 { // what the profile has learnt from the cut must not speak for the cut
		before = p.Without(held)
	}
	l, err := prepared(e, c, before, file, o)
	var refused refuse.Refusal
	if errors.As(err, &refused) && held >= 0 {
		return refuse.With(fmt.Sprintf("%s: knows nothing of the wear but this cut, its survey %d", file,
			p.Surveys[held].Number), "survey the bed by another method as well")
	}
	if err != nil {
		return err
	}
	r, err := compared(c, l, cut, o)
	if err != nil {
		return err
	}
	if held >= 0 {
		r.Remark("The profile holds this cut already, as survey %d: it is held against what the others say.",
			p.Surveys[held].Number)
	}
	if o.Add && held >= 0 {
		r.Answer = append(r.Answer, fmt.Sprintf("Nothing was added: the cut is survey %d of %s already.",
			p.Surveys[held].Number, file))
	}
	if err := e.Draw(o.Out, r.Figure); err != nil {
		return err
	}
	if !o.Add || held >= 0 {
		return e.Emit(o.Out, r.Report(), "stations")
	}
	return learn(e, c, file, was, p, cut, o, l, r)
}

// compared holds a cut against what is predicted of it.
func compared(c *cobra.Command, l *shop.Bench, cut *profile.Cut, o *flags.Check) (*testcut.Comparison,
	error) {
	t, err := o.Turned(c, l, cut)
	if err != nil {
		return nil, err
	}
	return testcut.Compare(l, cut, t, o.Measured)
}

// onCollars is check against a table of collars in place of a profile.
func onCollars(e *env.Env, c *cobra.Command, table env.CollarsError, o *flags.Check) error {
	l, err := o.OnCollars(c, table)
	if err != nil {
		return err
	}
	cut, err := o.Cut(e, c, l.Profile)
	if err != nil {
		return err
	}
	r, err := compared(c, l, cut, o)
	if err != nil {
		return err
	}
	if err := e.Draw(o.Out, r.Figure); err != nil {
		return err
	}
	return e.Emit(o.Out, r.Report(), "stations")
}

// toCheck reads the profile; where it is to be added to, with the text that it was read from.
func toCheck(e *env.Env, file string, add bool) ([]byte, *profile.Profile, error) {
	if !add {
		p, err := e.Open(file)
		return nil, p, err
	}
	if err := env.Writable(file); err != nil {
		return nil, nil, err
	}
	disk.Recover(file)
	was, err := e.ProfileText(file)
	if err != nil {
		return nil, nil, err
	}
	p, err := e.Parse(filepath.Dir(file), file, was)
	return was, p, err
}

// prepared puts the flags that speak of the lathe into the profile and estimates its wear.
func prepared(e *env.Env, c *cobra.Command, p *profile.Profile, file string, o *flags.Check) (*shop.Bench, error) {
	h, err := o.Tool.Centre(c)(p)
	if err != nil {
		return nil, err
	}
	if h != 0 {
		shop.OtherHeight(p, h)
	}
	e.Age(p)
	return shop.NewBench(p, file)
}

// checkPart is check for a job's part.
func checkPart(e *env.Env, c *cobra.Command, file string, o *flags.Check) error {
	if o.Add {
		return refuse.Usage("--add does not go with --job: a part's features are each set anew, and bend by their own",
			"turn collars at one setting, and add those")
	}
	defer e.Progress("calculating along the bed")()
	o.Job.Held = o.Held
	p, err := flags.PutOn(e, c, file, &o.Job, &o.Tool)
	if err != nil {
		return err
	}
	u, err := o.Uncertainty(c, p.In)
	if err != nil {
		return err
	}
	data, err := o.PartText(e)
	if err != nil {
		return err
	}
	measured, err := testcut.Measured(p, o.Measured, data, o.ReadingUnit)
	if err != nil {
		return err
	}
	r, err := testcut.Part(p, o.Measured, measured, u, c.Flags().Changed("at"))
	if err != nil {
		return err
	}
	return e.Emit(o.Out, r, "stations")
}

// findCause weighs the causes by all that was measured.
func findCause(e *env.Env, c *cobra.Command, file string, o *flags.Check) error {
	for _, name := range []string{"add", "job", "set-at", "tool-height"} {
		if c.Flags().Changed(name) {
			return refuse.Usage("--"+name+" does not go with the question for the cause",
				"give one --measured and no --cause, or leave --"+name+" out")
		}
	}
	defer e.Progress("weighing the causes")()
	p, err := e.Open(file)
	if err != nil {
		return err
	}
	if err := o.Tool.Slips.Undo(p); err != nil {
		return err
	}
	h, err := o.Tool.Centre(c)(p)
	if err != nil {
		return err
	}
	if h != 0 {
		shop.OtherHeight(p, h)
	}
	k := &testcut.Inquiry{Files: o.Files}
	o.Later = true
	var held []int
	rows := 0
	for _, name := range o.Files {
		o.Measured = name
		cut, err := o.Cut(e, c, p)
		if err != nil {
			return err
		}
		k.Cuts = append(k.Cuts, cut)
		if i := p.Holds(cut.Survey); i >= 0 {
			held = append(held, i)
		}
		const most = 200 // readings: each goes with each
		if rows += len(cut.Set.Equations); rows > most {
			return refuse.With(fmt.Sprintf(
				"%s: with it there are %d measurements, and at most %d can be weighed together",
				name, rows, most), "give the mean of neighbours, or every few of them")
		}
	}
	if len(held) > 0 { // what the profile has learnt from a cut must not speak for it
		p = p.Without(held...)
	}
	e.Age(p)
	if k.Bench, err = shop.NewBench(p, file); err != nil {
		return err
	}
	if err := k.Find(file); err != nil {
		return err
	}
	return e.Emit(o.Out, k.Report(len(held)), "causes")
}

// learn makes the cut one more survey of the profile's file, and says what that has changed.
func learn(e *env.Env, c *cobra.Command, file string, was []byte, p *profile.Profile, cut *profile.Cut, o *flags.Check,
	before *shop.Bench, r *testcut.Comparison) error {
	doc, err := document.Parse(file, was)
	if err != nil {
		return err
	}
	data, err := doc.AppendTable(cut.Block(p.Unit))
	if err != nil {
		return err
	}
	// All that the new text will be asked for is asked before it takes the old one's place.
	after, err := e.Parse(filepath.Dir(file), file, data)
	if err != nil {
		return err
	}
	if err := o.Tool.Slips.Undo(after); err != nil {
		return err
	}
	l, err := prepared(e, c, after, file, o)
	if err != nil {
		return err
	}
	if err := r.Learn(p, l, before, file); err != nil {
		return err
	}
	write := func() error {
		unlock, err := disk.Lock(file)
		var locked *disk.LockedError
		switch {
		case errors.As(err, &locked):
			return refuse.With(err.Error(), "end it there first; nothing was changed here")
		case err != nil:
			return refuse.With(err.Error(), "the cut was not added")
		}
		defer unlock()
		var changed *disk.ChangedError
		switch err := disk.Replace(file, was, data); {
		case errors.As(err, &changed) && changed.Gone:
			return refuse.With(err.Error(), "put it back where it was, and run the command again")
		case errors.As(err, &changed):
			return refuse.With(err.Error(), "run the command again: it reads the file anew")
		case err != nil:
			return refuse.With(err.Error(), "the cut was not added")
		}
		return nil
	}
	return e.EmitOnce(o.Out, r.Report(), "stations", write)
}
