package main

import (
	"errors"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
)

type correctJobJSON struct {
	headJSON
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
func correctJob(e *env.Env, c *cobra.Command, file string, o *correctOptions) error {
	p, err := putOn(e, c, file, &o.job, &o.cut.tool)
	if err != nil {
		return err
	}
	cuts, err := p.cuts(c, o.cut.every)
	if err != nil {
		return err
	}
	if len(cuts) == 0 {
		return p.nothing()
	}
	out := show.Report{Answer: []string{p.where()}, Cautions: append(append([]string{}, cutCautions...),
		holdingCautions(p.file.Job.Part, p.bench.JawsFront, p.held)...)}
	j := correctJobJSON{headJSON: p.head()}
	held, stated := true, false
	var all []seen
	var last correction
	var tooFineFor []refuse.Refusal
	for i, f := range p.held.Features {
		if f.Hidden != "" {
			out.Answer = append(out.Answer, p.notTurned(i))
			j.Features = append(j.Features, correctedFeatureJSON{featureJSON{Name: f.Name, Why: &f.Hidden}, nil})
			continue
		}
		how, err := o.correcting(c, p.lathe, cuts[i].stations)
		if err != nil {
			return err
		}
		k, err := p.held.Machine.Correct(p.held.Cut(i, f.To), how)
		var tooFine compensate.AllowError
		switch {
		case errors.As(err, &tooFine):
			curve, err := p.held.Machine.Curve(p.held.Cut(i, f.To))
			if err != nil {
				return p.explain(err)
			}
			message, hint := notSoFine(p.lathe.Units, tooFine)
			one := p.predict(curve, cuts[i].stations)
			left := uncorrected(p.lathe.Units, one, how, tooFine)
			j.Features = append(j.Features, correctedFeatureJSON{featureJSON{Name: f.Name, Turned: true, Why: &message,
				lengthJSON: &one.json.lengthJSON}, &left})
			tooFineFor = append(tooFineFor, refuse.With(f.Name+": "+message, hint))
			continue
		case err != nil:
			return p.explain(err)
		}
		all = append(all, seen{k.Curve, cuts[i].stations})
		one := p.predict(k.Curve, cuts[i].stations)
		last = correction{p.lathe, k, how.Dial}
		r, kept := last.report(one)
		also, limits, within := p.limits(k.Curve, k.MovesSpread, k.Under(k.Curve.Ends(), how.Dial.Step()))
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
		return e.Cannot(o.out, j, tooFineFor[n-1].Message, tooFineFor[n-1].Hint)
	}
	out.Tables = inOrder(out.Tables, "moves", "table")
	out.Remarks = append([]string{last.dialWords(), settingHolds +
		" The total counts from where the feature was measured."}, p.remarks(stated)...)
	seat := p.assumed("Each feature is measured and the dial set where its cut starts; the error there is zero by "+
		"definition.", all...)
	out.Assumed, out.Warnings = append(seat.assumed, last.assumed()...), seat.warnings
	j.Assumed, j.Warnings = out.Assumed, append([]string{}, out.Warnings...)
	out.JSON = j
	return e.EmitHeld(o.out, out, "table", held)
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
