package main

import (
	"errors"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/testcut"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile"
)

func newCheck(e *env.Env) *cobra.Command {
	o := &checkOptions{}
	c := &cobra.Command{
		Use:   "check PROFILE --measured FILE",
		Short: "Hold a turned part against the prediction, and learn from it",
		Long: `Check holds collars or a part, turned at one setting of the dial and measured along its length, against what
predict says of it, and says whether they agree: as they are, but for a straight taper, or not, and how. FILE
is a TOML file with one [[survey]] of the method test-cut, as a profile has it; or a CSV file of position and
diameter, with the rest as flags. Turn three to five collars, the bar in the chuck, with a light cut.

With --job the part of a job file is held against what predict --job says of it. FILE is then a CSV file whose first
line names its columns: position, diameter and, where there is any doubt, feature. Positions count from the part's
headstock end as they do on the drawing. Every feature is compared with its own measurement nearest to the tailstock.

Which is it? Give --measured several times, for cuts that were made differently: from the chuck and between centres,
light and deep, near and far, each a TOML file with its depth, held and held_at; a level on the saddle or a test bar
read since counts too (saddle-level, bar-side). Check then says how probable each cause is, by all of them together:
the bed as surveyed, wear since, twist, a leaning spindle, the tailstock to a side or at another height, push-off,
differences noted on radius, a level read the wrong way round, or something else; or that it cannot tell yet, and
which further cut or reading would tell the two best apart. --cause asks so of one file.

With --add the cut becomes one more survey of the profile, whose version from before the command is kept
beside it with .bak behind its name, in the place of an older one. A cut that the profile holds already is never added twice.`,
		Example: `  wornway check demo.toml --measured collars.csv
  wornway check demo.toml --measured collars.csv --reading-unit in --uncertainty 0.1thou --held-at 1in --json
  wornway check demo.toml --measured collars.toml --add
  wornway check demo.toml --measured light.toml --measured deep.toml
  wornway check demo.toml --job shaft.toml --measured seats.csv --at 3.5in`,
		Args: flags.OneProfile, GroupID: "bed",
		Annotations: map[string]string{"instance": "PROFILE --measured collars.csv"},
		RunE:        func(c *cobra.Command, args []string) error { return runCheck(e, c, args[0], o) },
	}
	o.flags(c)
	o.out.Draws(c)
	return c
}

func runCheck(e *env.Env, c *cobra.Command, file string, o *checkOptions) error {
	if err := flags.Need(c, "measured"); err != nil {
		return err
	}
	if o.measured = o.files[0]; o.cause || len(o.files) > 1 {
		return findCause(e, c, file, o)
	}
	if job, err := o.job.Asked(c, "set-at", "tool-height", "held-at", "depth", "feed", "date"); err != nil || job {
		if err != nil {
			return err
		}
		return checkJob(e, c, file, o)
	}
	if o.add && file == "-" {
		return refuse.Usage("--add: standard input cannot be added to", "give the profile's file")
	}
	defer e.Progress("reckoning along the bed")()
	was, p, err := toCheck(e, file, o.add)
	if err != nil {
		return err
	}
	cut, err := o.cut(e, c, p)
	if err != nil {
		return err
	}
	held := p.Holds(cut.Survey)
	if err := o.tool.Slips.Undo(p); err != nil {
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
	r, err := check(l, c, cut, o)
	if err != nil {
		return err
	}
	if held >= 0 {
		r.Remark("The profile holds this cut already, as survey %d: it is held against what the others say.",
			p.Surveys[held].Number)
	}
	if o.add && held >= 0 {
		r.Answer = append(r.Answer, fmt.Sprintf("Nothing was added: the cut is survey %d of %s already.",
			p.Surveys[held].Number, file))
	}
	if err := e.Draw(o.out, r.Figure); err != nil {
		return err
	}
	if !o.add || held >= 0 {
		return e.Emit(o.out, r.Report(), "stations")
	}
	return learn(e, c, file, was, p, cut, o, l, r)
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
	was, err := e.ProfileText(file)
	if err != nil {
		return nil, nil, err
	}
	p, err := e.Parse(filepath.Dir(file), file, was)
	return was, p, err
}

// prepared puts the flags that speak of the lathe into the profile and estimates its wear.
func prepared(e *env.Env, c *cobra.Command, p *profile.Profile, file string, o *checkOptions) (*shop.Bench, error) {
	h, err := o.tool.Centre(c)(p)
	if err != nil {
		return nil, err
	}
	if h != 0 {
		shop.OtherHeight(p, h)
	}
	e.Age(p)
	return shop.NewBench(p, file)
}

// check compares a cut with what is predicted for it.
func check(l *shop.Bench, c *cobra.Command, cut *profile.Cut, o *checkOptions) (*testcut.Checked, error) {
	t, err := o.turned(c, l, cut)
	if err != nil {
		return nil, err
	}
	m := l.Machine
	if t.Line {
		m.Axis = compensate.Axis{} // from centre to centre, wherever those stand
	}
	k, err := m.Check(t)
	var few compensate.TooFewError
	switch {
	case errors.As(err, &few):
		hint := "three to five collars tell a curve from a taper"
		if t.Line {
			hint = "held between centres, work may taper by any amount; what is left of three collars or more speaks " +
				"of the bed"
		}
		return nil, refuse.With(fmt.Sprintf("%s: the part was measured at %s only", o.measured,
			word.Count(few.Places, "position")), hint)
	case err != nil:
		return nil, l.Explain(err)
	}
	r := &testcut.Checked{Bench: l, Check: k, Cut: cut}
	var at []float64
	for _, s := range k.Stations {
		at = append(at, s.Position)
	}
	r.Seated = say.Assumed(l, k.Curve, at)
	if t.Line {
		r.Seated.Assumed = append([]string{r.Seated.Assumed[0], r.Seated.Assumed[1],
			"The work is held between centres, whose line may lie askew by any amount: a straight taper says nothing " +
				"of the bed, and only what is left beside one is judged. The tailstock stays where it is."},
			r.Seated.Assumed[2+len(say.Axis(l, k.Curve)):]...)
	}
	r.Say(t)
	r.Fill(t)
	return r, nil
}
