package main

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/testcut"
	"wornway/cmd/wornway/internal/turning"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile"
	"wornway/profile/document"
	"wornway/profile/length"
)

// checkJob is check for a job's part.
func checkJob(e *env.Env, c *cobra.Command, file string, o *checkOptions) error {
	if o.add {
		return refuse.Usage("--add does not go with --job: a part's features are each set anew, and bend by their own",
			"turn collars at one setting, and add those")
	}
	defer e.Progress("reckoning along the bed")()
	o.job.Held = o.held
	p, err := flags.PutOn(e, c, file, &o.job, &o.tool)
	if err != nil {
		return err
	}
	keys, err := o.keysOfJob(c, p.In)
	if err != nil {
		return err
	}
	measured, err := measured(p, e, o.measured, o.readingUnit)
	if err != nil {
		return err
	}
	out := show.Report{Answer: []string{""}, Cautions: testcut.CheckCautions}
	if !c.Flags().Changed("at") && p.Held.Way.Gripped() {
		out.Answer = append(out.Answer, fmt.Sprintf("Where the part lay was not given: its headstock end is taken to "+
			"have been at %s. If it was not, say so with --at.", p.At(p.Held.At)))
	}
	j := testcut.CheckJobJSON{HeadJSON: shop.Head(p)}
	var checks []*compensate.Check
	var cuts []say.Cut
	for i, f := range p.Held.Features {
		why := f.Hidden
		if why == "" && len(measured[i].At) < 2 {
			why = "it was measured in fewer than two places"
		}
		if why != "" {
			if len(measured[i].At) > 0 || f.Hidden == "" && f.Asked() {
				out.Answer = append(out.Answer, f.Name+": not compared: "+why+".")
			}
			j.Features = append(j.Features, testcut.CheckedFeatureJSON{Name: f.Name, Why: &why})
			continue
		}
		t := measured[i]
		t.U, t.HeldAt, t.SetAt, t.ToolHeight, t.Bore, t.Push = keys, math.NaN(), math.NaN(), p.JobFile.Job.ToolHeight,
			f.Bore, p.Held.Push
		k, err := p.Held.Machine.Check(t)
		var few compensate.TooFewError
		switch {
		case errors.As(err, &few):
			return refuse.With(fmt.Sprintf("%s: %s was measured at one position only", o.measured, f.Name),
				"measure it at both ends at the least, or leave it out")
		case err != nil:
			return p.Explain(err)
		}
		checks = append(checks, k)
		cuts = append(cuts, say.Cut{Curve: k.Curve, Stations: t.At})
		r := &testcut.Checked{Bench: p.Bench, Check: k, Cut: &profile.Cut{}, Causes: testcut.Causes(p)}
		r.Cut.As.Held, r.Cut.As.HeldAt = string(p.Held.Way), math.NaN()
		r.Say(t)
		r.Fill(t)
		out.Answer = append(out.Answer, f.Name+": "+word.Lower(strings.Join(r.Answer, " ")))
		j.Features = append(j.Features, testcut.CheckedFeatureJSON{Name: f.Name, Compared: true,
			CheckedJSON: &r.Json.CheckedJSON})
		turning.Gather(&out, f.Name, testcut.BareDifferences(r.Table))
	}
	if len(checks) == 0 {
		return refuse.With(o.measured+": no feature that can be turned like this was measured in two places or more",
			"measure each at both ends at the least; --at, --held and --end-for-end say how the part was held")
	}
	all, stated, err := compensate.CheckAll(checks, keys)
	if err != nil {
		return err
	}
	out.Answer[0] = testcut.Overall(p, checks, all, stated)
	j.Verdict = string(compensate.Unknown)
	if stated {
		j.ChiSquare, j.Freedom, j.Probability = answer.Null(all.ChiSquare, true),
			&all.Freedom, answer.Null(all.Probability, true)
		j.Verdict = string(compensate.Agrees)
		if all.Probability < compensate.Alarm {
			j.Verdict = string(compensate.Differs)
		}
	}
	out.Remarks = []string{
		fmt.Sprintf("Reckoned for the part held %s, its headstock end at %s. Positions here count from the spindle "+
			"nose; those measured count from the part's headstock end, as on the drawing.", p.Held.Way.Words(),
			p.At(p.Held.At)),
		"All are differences to each feature's measurement nearest to the tailstock. ± is of the difference, of " +
			"prediction and measurement together, at k = 2. E_n is the difference over its ±: within ±1 the two " +
			"agree at that position.",
	}
	seat := say.AssumedOf(p,
		"Each feature is compared with its own measurement nearest to the tailstock, wherever the dial "+
			"was set for it.", cuts...)
	out.Assumed, out.Warnings = seat.Assumed, seat.Warnings
	j.Assumed, j.Warnings = out.Assumed, append([]string{}, out.Warnings...)
	out.JSON = j
	return e.Emit(o.out, out, "stations")
}

// keysOfJob returns the standard uncertainty of one diameter, mm, and refuses what a CSV file of a part cannot be.
func (o *checkOptions) keysOfJob(c *cobra.Command, u length.Unit) (float64, error) {
	held := o.held
	o.held = "spindle"
	k, err := o.keys(c, u)
	o.held = held
	if err != nil || k.Uncertainty != 0 {
		return k.Uncertainty, err
	}
	return shop.UsualMeasuring, nil
}

// measured reads what was measured of a part, by its features' numbers, with positions from the spindle nose.
func measured(p *shop.Part, e *env.Env, name, readingUnit string) (map[int]compensate.Turned, error) {
	if name == "" || name == "-" {
		return nil, refuse.Usage(fmt.Sprintf("--measured %q: names no file", name),
			"give the CSV file that holds the measured diameters")
	}
	const example = "the first line names the columns: position,diameter or feature,position,diameter"
	data, err := e.Contents(name, "the CSV file that holds the measured diameters", example)
	if err != nil {
		return nil, err
	}
	if testcut.IsTOML(name, data) {
		return nil, refuse.With(name+": what was measured of a job's part is a CSV file", example)
	}
	rows, err := document.ReadRows(name, bytes.NewReader(data),
		document.RowOptions{Text: map[string]bool{"feature": true}, Optional: map[string]bool{"feature": true}})
	if err != nil {
		return nil, err
	}
	named, at, size := rows.Column("feature"), rows.Column("position"), rows.Column("diameter")
	if at < 0 || size < 0 {
		return nil, refuse.With(name+": has no column "+map[bool]string{true: "position", false: "diameter"}[at < 0],
			example)
	}
	unit := p.In
	scale := unit.MM()
	if readingUnit != "" {
		u, err := length.ParseUnit(readingUnit)
		if err != nil {
			return nil, refuse.Usage(fmt.Sprintf("--reading-unit %s: must be in, thou, mm or um",
				word.Visible(readingUnit)),
				"")
		}
		scale = u.MM()
	}
	const most = 400
	if rows.Len() > most {
		return nil, refuse.With(fmt.Sprintf("%s: holds %d measurements, and at most %d can be judged together", name,
			rows.Len(), most), "give the mean of neighbours, or every few of them")
	}
	out := map[int]compensate.Turned{}
	var bad document.Faults
	for i := range rows.Len() {
		z, d := unit.ToMM(rows.Number(i, at)), rows.Number(i, size)*scale
		called := ""
		if named >= 0 {
			called = rows.Text(i, named)
		}
		n, message, hint := testcut.FeatureAt(p, z, called)
		switch {
		case message != "":
			bad = append(bad, rows.Fault(i, at, message, hint))
			continue
		case math.Abs(d-p.JobFile.Job.Features[n].Diameter) > 0.1*p.JobFile.Job.Features[n].Diameter:
			bad = append(bad, rows.Fault(i, size, fmt.Sprintf("is far from the %s that %s has",
				p.At(p.JobFile.Job.Features[n].Diameter), p.JobFile.Job.Features[n].Name),
				"whole diameters are wanted; --reading-unit says their unit"))
			continue
		}
		if p.Held.EndForEnd {
			z = p.JobFile.Job.Part.Length - z
		}
		t := out[n]
		t.At, t.Diameter = append(t.At, p.ToEnd(p.Held.At+z)), append(t.Diameter, d)
		out[n] = t
	}
	if len(bad) > 0 {
		return nil, bad
	}
	return out, nil
}

// findCause weighs the causes by all that was measured.
func findCause(e *env.Env, c *cobra.Command, file string, o *checkOptions) error {
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
	if err := o.tool.Slips.Undo(p); err != nil {
		return err
	}
	h, err := o.tool.Centre(c)(p)
	if err != nil {
		return err
	}
	if h != 0 {
		shop.OtherHeight(p, h)
	}
	k := &testcut.Causing{Files: o.files}
	o.later = true
	var held []int
	rows := 0
	for _, name := range o.files {
		o.measured = name
		cut, err := o.cut(e, c, p)
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
	return e.Emit(o.out, k.Report(len(held)), "causes")
}
