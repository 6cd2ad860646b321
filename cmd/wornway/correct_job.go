package main

import (
	"errors"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
)

type correctJobJSON struct {
	flags.HeadJSON
	Features []correctedFeatureJSON `json:"features"`
	Assumed  []string               `json:"assumed"`
	Warnings []string               `json:"warnings"`
}

// correctedFeatureJSON is one feature of a part, corrected.
type correctedFeatureJSON struct {
	featureJSON
	*correctedJSON
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
	out := show.Report{Answer: []string{say.Where(p)}, Cautions: append(append([]string{}, say.CutCautions...),
		say.HoldingCautions(p.JobFile.Job.Part, p.Holder.JawsFront, p.Held)...)}
	j := correctJobJSON{HeadJSON: flags.Head(p)}
	held, stated := true, false
	var all []say.Cut
	var last correction
	var tooFineFor []refuse.Refusal
	for i, f := range p.Held.Features {
		if f.Hidden != "" {
			out.Answer = append(out.Answer, notTurned(p, i))
			j.Features = append(j.Features, correctedFeatureJSON{featureJSON{Name: f.Name, Why: &f.Hidden}, nil})
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
			message, hint := notSoFine(p.Bench.Units, tooFine)
			one := predict(p.Bench, curve, cuts[i].Stations)
			left := uncorrected(p.Bench.Units, one, how, tooFine)
			j.Features = append(j.Features, correctedFeatureJSON{featureJSON{Name: f.Name, Turned: true, Why: &message,
				lengthJSON: &one.json.lengthJSON}, &left})
			tooFineFor = append(tooFineFor, refuse.With(f.Name+": "+message, hint))
			continue
		case err != nil:
			return p.Explain(err)
		}
		all = append(all, say.Cut{Curve: k.Curve, Stations: cuts[i].Stations})
		one := predict(p.Bench, k.Curve, cuts[i].Stations)
		last = correction{p.Bench, k, how.Dial}
		r, kept := last.report(one)
		also, limits, within := limits(p, k.Curve, k.MovesSpread, k.Under(k.Curve.Ends(), how.Dial.Step()))
		held, stated = held && kept && within, stated || one.taper.Stated
		out.Answer = append(out.Answer, f.Name+": "+word.Lower(strings.Join(append(r.Answer, also...), " ")))
		full := r.JSON.(correctJSON)
		j.Features = append(j.Features, correctedFeatureJSON{featureJSON{Name: f.Name, Turned: true,
			lengthJSON: &full.lengthJSON, limitsJSON: &limits}, &full.correctedJSON})
		for _, t := range r.Tables {
			gather(&out, f.Name, t)
		}
	}
	if n := len(tooFineFor); n > 0 {
		for _, r := range tooFineFor[:n-1] {
			e.Complain(r.Message, r.Hint)
		}
		j.Assumed, j.Warnings = []string{}, []string{}
		return e.Cannot(o.Out, j, tooFineFor[n-1].Message, tooFineFor[n-1].Hint)
	}
	out.Tables = inOrder(out.Tables, "moves", "table")
	out.Remarks = append([]string{last.dialWords(), say.SettingHolds +
		" The total counts from where the feature was measured."}, remarks(p, stated)...)
	seat := say.AssumedOf(p,
		"Each feature is measured and the dial set where its cut starts; the error there is zero by "+
			"definition.", all...)
	out.Assumed, out.Warnings = append(seat.Assumed, last.assumed()...), seat.Warnings
	j.Assumed, j.Warnings = out.Assumed, append([]string{}, out.Warnings...)
	out.JSON = j
	return e.EmitHeld(o.Out, out, "table", held)
}

// gather adds a feature's table to the one of that name for all features.
func gather(r *show.Report, feature string, t show.Table) {
	var to *show.Table
	for i := range r.Tables {
		if r.Tables[i].Name == t.Name {
			to = &r.Tables[i]
		}
	}
	if to == nil {
		r.Tables = append(r.Tables, show.Table{Name: t.Name,
			Columns: append([]show.Column{{Head: "feature", Key: "feature", Left: true, Words: true}}, t.Columns...)})
		to = &r.Tables[len(r.Tables)-1]
	}
	if len(t.Rows) > 0 || len(to.Rows) == 0 {
		to.Title = t.Title
	}
	for _, row := range t.Rows {
		to.Rows = append(to.Rows, append([]show.Cell{{Text: feature, Value: feature}}, row...))
	}
}

// inOrder returns the tables of these names in this order, those without rows last.
func inOrder(tables []show.Table, names ...string) []show.Table {
	var out, empty []show.Table
	for _, n := range names {
		for _, t := range tables {
			switch {
			case t.Name != n:
			case len(t.Rows) == 0:
				empty = append(empty, t)
			default:
				out = append(out, t)
			}
		}
	}
	return append(out, empty...)
}
