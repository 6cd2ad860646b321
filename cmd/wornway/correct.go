package main

import (
	"errors"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/plot"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/turning"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
)

func newCorrect(e *env.Env) *cobra.Command {
	o := &flags.Correct{Cut: flags.Cut{Bar: &flags.Bar{}}}
	c := &cobra.Command{
		Use:   "correct PROFILE {--from A --to B --diameter D | --job FILE}",
		Short: "Say what to turn the dial at which position, and what is left",
		Long: `Correct says what to turn the cross-slide dial while the length is cut, so that it comes out parallel,
and what each further setting gains. With --tolerance it takes the fewest settings that keep it 19 times in 20, if any
do. Otherwise it takes the fewest whose spread, with its ±, lies within a tenth of the least that this dial can do; a
setting that turns back counts as two. The diameter to be measured where the dial is set is part of the list, so that
the length lies about its nominal diameter. A setting holds from its position to the next one; the dial is not turned
gradually. With --compound-angle the same is given for the compound's dial.

With --job it gives that for each feature of a part that is described in a job file, with the axis about which the part
turns as it is held, and with how it bends under the cut.

In place of a profile it takes a table of collars (CSV: position, diameter, and where there are several cuts cut and
depth; five rows or more), turned along a bar at one setting of the dial. Between the collars, for work like the bar,
they are the prediction, what the bar gave way to the cut counted in; --reading-unit says their unit.
--division and --dial describe the dial.`,
		Example: `  wornway correct demo.toml --from 4in --to 12in --diameter 1in --held chuck-and-centre
  wornway correct demo.toml --from 4in --to 12in --diameter 1in --held chuck-and-centre --settings 2 --feed headstock
  wornway correct demo.toml --from 4in --to 12in --diameter 1in --held chuck-and-centre --compound-angle 5.74
  wornway correct demo.toml --from 4in --to 12in --diameter 1in --held chuck-and-centre --csv=moves
  wornway correct demo.toml --from 4in --to 12in --diameter 1in --held chuck-and-centre --list
  wornway correct demo.toml --job shaft.toml --compound-angle 5.74
  wornway correct collars.csv --from 4in --to 9in --diameter 1.25in --held chuck-and-centre --reading-unit in ` +
			`--division 0.001in --dial diameter`,
		Args: flags.OneProfile, GroupID: "work",
		Annotations: map[string]string{"instance": "PROFILE --from 4in --to 12in --diameter 1in"},
		RunE:        func(c *cobra.Command, args []string) error { return runCorrect(e, c, args[0], o) },
	}
	o.Flags(c)
	o.Out.Flags(c, "moves", "ladder", "table")
	o.Out.Lists(c)
	o.Out.Draws(c)
	return c
}

func runCorrect(e *env.Env, c *cobra.Command, file string, o *flags.Correct) error {
	defer e.Progress("calculating along the bed")()
	if job, err := o.Job.Asked(c, flags.CutInstead...); err != nil || job {
		if err != nil {
			return err
		}
		return correctJob(e, c, file, o)
	}
	l, cut, err := o.Cut.Open(e, c, file)
	if err != nil {
		return err
	}
	if err := o.Job.Hold(c, l, cut); err != nil {
		return err
	}
	every, err := flags.Stations(c, l.In, o.Cut.Every, cut.From, cut.To)
	if err != nil {
		return err
	}
	how, err := o.Correcting(c, l, every)
	if err != nil {
		return err
	}
	k, err := l.Machine.Correct(cut, how)
	var tooFine compensate.AllowError
	if errors.As(err, &tooFine) {
		curve, err := l.Machine.Curve(cut)
		if err != nil {
			return l.Explain(err)
		}
		message, hint := turning.NotSoFine(l, tooFine)
		p := turning.Predict(l, curve, how.Every)
		return e.Cannot(o.Out, turning.CorrectJSON{PredictJSON: p.JSON, CorrectedJSON: turning.Uncorrected(l.Units, p,
			how, tooFine), Why: &message}, message, hint)
	}
	if err != nil {
		return l.Explain(err)
	}
	p := turning.Predict(l, k.Curve, how.Every)
	r := turning.Correction{Bench: l, K: k, Dial: how.Dial, Most: how.Settings}
	answer := r.Report
	if o.Out.List {
		answer = r.List
	}
	report, held := answer(p)
	if err := e.Draw(o.Out, func() plot.Figure { return turning.CorrectFigure(l, r) }); err != nil {
		return err
	}
	return e.EmitHeld(o.Out, report, "table", held)
}

// correctJob is correct for a job's part.
func correctJob(e *env.Env, c *cobra.Command, file string, o *flags.Correct) error {
	p, err := flags.PutOn(e, c, file, &o.Job, &o.Cut.Tool)
	if err != nil {
		return err
	}
	cuts, err := flags.Cuts(p, c, o.Cut.Every)
	if err != nil {
		return err
	}
	if len(cuts) == 0 {
		return p.Nothing()
	}
	out := show.Report{Answer: []string{say.Where(p)}, Usual: say.CutCautions,
		Cautions: say.HoldingCautions(p.JobFile.Job.Part, p.Holder.JawsFront, p.Held)}
	j := turning.CorrectJobJSON{HeadJSON: shop.Head(p)}
	held, stated := true, false
	var all []say.Cut
	var last turning.Correction
	var drawn func() plot.Figure
	list, stops := []string{say.Where(p)}, []turning.Stops{}
	var tooFineFor []refuse.Refusal
	for i, f := range p.Asked() {
		if f.Hidden != "" {
			out.Answer, list = append(out.Answer, turning.NotTurned(p, i)), append(list, turning.NotTurned(p, i))
			j.Features = append(j.Features, turning.CorrectedFeatureJSON{FeatureJSON: turning.FeatureJSON{Name: f.Name,
				Why: &f.Hidden}, CorrectedJSON: nil})
			continue
		}
		how, err := o.Correcting(c, p.Bench, cuts[i].Stations)
		if err != nil {
			return err
		}
		k, err := p.Held.Machine.Correct(p.Held.Cut(i, f.To), how)
		var tooFine compensate.AllowError
		switch {
		case errors.As(err, &tooFine):
			curve, err := p.Held.Machine.Curve(p.Held.Cut(i, f.To))
			if err != nil {
				return p.Explain(err)
			}
			message, hint := turning.NotSoFine(p.Bench, tooFine)
			one := turning.Predict(p.Bench, curve, cuts[i].Stations)
			left := turning.Uncorrected(p.Bench.Units, one, how, tooFine)
			j.Features = append(j.Features, turning.CorrectedFeatureJSON{FeatureJSON: turning.FeatureJSON{Name: f.Name,
				Turned: true, Why: &message,
				LengthJSON: &one.JSON.LengthJSON}, CorrectedJSON: &left})
			tooFineFor = append(tooFineFor, refuse.With(f.Name+": "+message, hint))
			continue
		case err != nil:
			return p.Explain(err)
		}
		all = append(all, say.Cut{Curve: k.Curve, Stations: cuts[i].Stations})
		one := turning.Predict(p.Bench, k.Curve, cuts[i].Stations)
		last = turning.Correction{Bench: p.Bench, K: k, Dial: how.Dial, Most: how.Settings}
		drawn = func() plot.Figure { return turning.CorrectFigure(p.Bench, last) }
		r, kept := last.Report(one)
		also, limits, within := turning.Limits(p, k.Curve, k.MovesSpread, k.Under(k.Curve.Ends(), how.Dial.Step()))
		held, stated = held && kept && within, stated || one.Taper.Stated
		if len(stops) == 0 {
			list = append(list, last.SetOver()...)
		}
		stops = append(stops, last.Stops(f.Name+": "+last.Work(), last.Promised().And(strings.Join(also, " "), within)))
		list = append(append(list, ""), stops[len(stops)-1].Lines()...)
		out.Answer = append(out.Answer, f.Name+": "+word.Lower(strings.Join(append(r.Answer, also...), " ")))
		out.Steps = append(out.Steps, f.Name+": "+word.Lower(strings.Join(r.Steps, " ")))
		full := r.JSON.(turning.CorrectJSON)
		j.Features = append(j.Features, turning.CorrectedFeatureJSON{FeatureJSON: turning.FeatureJSON{Name: f.Name,
			Turned:     true,
			LengthJSON: &full.LengthJSON, LimitsJSON: &limits}, CorrectedJSON: &full.CorrectedJSON})
		for _, t := range r.Tables {
			turning.Gather(&out, f.Name, t)
		}
	}
	if n := len(tooFineFor); n > 0 {
		for _, r := range tooFineFor[:n-1] {
			e.Complain(r.Message, r.Hint)
		}
		j.Assumed, j.Warnings = []string{}, []string{}
		return e.Cannot(o.Out, j, tooFineFor[n-1].Message, tooFineFor[n-1].Hint)
	}
	out.Tables = turning.InOrder(out.Tables, "moves", "table")
	out.Notes = []string{last.DialWords(), say.SettingHolds + " The total counts from where the feature was measured."}
	out.Remarks = append(last.Along(), turning.Remarks(p, stated)...)
	seat := say.AssumedOf(p,
		"Each feature is measured and the dial set where its cut starts; the error there is zero by "+
			"definition.", all...)
	out.Assumed, out.Limits, out.Warnings = append(seat.Assumed, last.Assumed()...), seat.Limits, seat.Warnings
	j.Assumed, j.Warnings = out.Assumed, append([]string{}, out.Warnings...)
	out.JSON = j
	if p.Only != "" { // a picture is of one length
		if err := e.Draw(o.Out, drawn); err != nil {
			return err
		}
	}
	if o.Out.List {
		out = turning.ListOf(append(append(list, ""), turning.Foot(stops...)...),
			append(say.Crossed(p.Bench, all...), out.Warnings...))
	}
	return e.EmitHeld(o.Out, out, "table", held)
}
