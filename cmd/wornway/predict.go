package main

import (
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/plot"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/turning"
	"wornway/cmd/wornway/internal/word"
)

type predictOptions struct {
	cut flags.Cut
	job flags.Job
	out env.Output
}

func newPredict(e *env.Env) *cobra.Command {
	o := &predictOptions{cut: flags.Cut{Bar: &flags.Bar{}}}
	c := &cobra.Command{
		Use:   "predict PROFILE {--from A --to B --diameter D | --job FILE}",
		Short: "Say what the wear does to a length: taper, form, error",
		Long: `Predict says what the worn bed does to a turned length when nothing is corrected: how much bigger or
smaller it comes out along its length than where the diameter was measured, the taper, and whether it is a barrel or a
waist. Positions count from the spindle nose; a length may carry its unit (3in, 75mm, 0.5thou, 12um), without one it is
in the file's.

With --job it says so of each feature of a part that is described in a job file, with the axis about which the part
turns as it is held, and with how it bends under the cut. A feature that cannot be turned like that is named with the
reason. A length without its unit is then in the job's.

In place of a profile it takes a table of collars (CSV: position, diameter, and where there are several cuts cut and
depth; five rows or more), turned along a bar at one setting of the dial. Between the collars, for work like the bar,
they are the prediction, what the bar gave way to the cut counted in; --reading-unit says their unit. Such a table, its
second cut twice as deep over the same collars:

  position,diameter,cut,depth
  4,1.0000,1,0.005
  6,0.9994,1,0.005
  8,0.9996,1,0.005
  4,0.9800,2,0.010
  6,0.9793,2,0.010
  8,0.9797,2,0.010`,
		Example: `  wornway predict demo.toml --from 4in --to 12in --diameter 1in --held chuck-and-centre
  wornway predict demo.toml --from 100mm --to 300mm --diameter 25mm --held chuck-and-centre --tolerance 12um --json
  wornway predict demo.toml --from 4 --to 6 --diameter 1 --bore --tool-height -0.5mm --csv
  wornway predict collars.csv --from 4in --to 9in --diameter 1.25in --held chuck-and-centre --reading-unit in ` +
			`--held-at 2in
  wornway predict demo.toml --job shaft.toml
  wornway predict demo.toml --job shaft.toml --held centres --set-over -0.2thou --json`,
		Args: flags.OneProfile, GroupID: "work",
		Annotations: map[string]string{"instance": "PROFILE --from 4in --to 12in --diameter 1in"},
		RunE:        func(c *cobra.Command, args []string) error { return runPredict(e, c, args[0], o) },
	}
	o.cut.Flags(c)
	o.job.OneLength = true
	o.job.Flags(c)
	o.out.Flags(c, "stations")
	o.out.Draws(c)
	return c
}

func runPredict(e *env.Env, c *cobra.Command, file string, o *predictOptions) error {
	defer e.Progress("calculating along the bed")()
	if job, err := o.job.Asked(c, flags.CutInstead...); err != nil || job {
		if err != nil {
			return err
		}
		return predictPart(e, c, file, o)
	}
	l, cut, err := o.cut.Open(e, c, file)
	if err != nil {
		return err
	}
	if err := o.job.Hold(c, l, cut); err != nil {
		return err
	}
	curve, err := l.Machine.Curve(cut)
	if err != nil {
		return l.Explain(err)
	}
	stations, err := flags.Stations(c, l.In, o.cut.Every, cut.From, cut.To)
	if err != nil {
		return err
	}
	p := turning.Predict(l, curve, stations)
	r := show.Report{
		Answer:   p.Answer,
		Tables:   []show.Table{p.Table},
		Remarks:  p.Remarks,
		Cautions: say.Slender(l.Bar),
		Next:     next(l),
		Steps:    p.Steps,
		Assumed:  p.Seated.Assumed,
		Limits:   p.Seated.Limits,
		Warnings: p.Seated.Warnings,
		JSON:     p.JSON,
	}
	drawn := func() plot.Figure { return turning.PredictFigure(l, curve) }
	r.Sketch = func(width int, ascii bool) []string { return drawn().Sketch(width, ascii) }
	if err := e.Draw(o.out, drawn); err != nil {
		return err
	}
	return e.EmitHeld(o.out, r, "stations", p.Held)
}

// next says which command to go on with.
func next(l *shop.Bench) []string {
	if l.Collars != nil {
		return []string{"What to dial: wornway correct."}
	}
	return []string{"What to dial: wornway correct; a better place: wornway place."}
}

// predictPart is predict for a job's part.
func predictPart(e *env.Env, c *cobra.Command, file string, o *predictOptions) error {
	p, err := flags.PutOn(e, c, file, &o.job, &o.cut.Tool)
	if err != nil {
		return err
	}
	cuts, err := flags.Cuts(p, c, o.cut.Every)
	if err != nil {
		return err
	}
	if len(cuts) == 0 {
		return p.Nothing()
	}
	r := show.Report{Answer: []string{say.Where(p)}, Cautions: say.HoldingCautions(p.JobFile.Job.Part,
		p.Holder.JawsFront, p.Held)}
	j := turning.PredictJobJSON{HeadJSON: shop.Head(p)}
	table := show.Table{Name: "stations"}
	held, stated := true, false
	var all []say.Cut
	var drawn func() plot.Figure
	for i, f := range p.Asked() {
		if f.Hidden != "" {
			r.Answer = append(r.Answer, turning.NotTurned(p, i))
			j.Features = append(j.Features, turning.FeatureJSON{Name: f.Name, Why: &f.Hidden})
			continue
		}
		k := cuts[i]
		all = append(all, k)
		one := turning.Predict(p.Bench, k.Curve, k.Stations)
		drawn = func() plot.Figure { return turning.PredictFigure(p.Bench, k.Curve) }
		also, limits, kept := turning.Limits(p, k.Curve, one.Taper.Spread, k.Curve.Ends())
		held, stated = held && one.Held && kept, stated || one.Taper.Stated
		r.Answer = append(r.Answer, f.Name+": "+strings.Join(append(one.Answer, also...), " "))
		r.Steps = append(r.Steps, f.Name+": "+word.Lower(strings.Join(one.Steps, " ")))
		j.Features = append(j.Features, turning.FeatureJSON{Name: f.Name, Turned: true,
			LengthJSON: &one.JSON.LengthJSON,
			LimitsJSON: &limits})
		turning.Add(p, &table, f.Name, one)
	}
	r.Tables = []show.Table{table}
	r.Remarks = turning.Remarks(p, stated)
	seat := say.AssumedOf(p,
		"Each feature is measured and the dial set at its tailstock end; the error there is zero by "+
			"definition.", all...)
	r.Assumed, r.Limits, r.Warnings = seat.Assumed, seat.Limits, seat.Warnings
	j.Assumed, j.Warnings = r.Assumed, append([]string{}, r.Warnings...)
	r.JSON = j
	if p.Only != "" { // a picture is of one length
		if err := e.Draw(o.out, drawn); err != nil {
			return err
		}
	}
	return e.EmitHeld(o.out, r, "stations", held)
}
