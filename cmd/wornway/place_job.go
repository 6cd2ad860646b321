package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/work"
)

type placeJobJSON struct {
	Format   int                 `json:"format"`
	Job      string              `json:"job"`
	Lathe    string              `json:"lathe"`
	Unit     string              `json:"unit"`
	Features []placedFeatureJSON `json:"features"`
	Assumed  []string            `json:"assumed"`
	Warnings []string            `json:"warnings"`
}

// placedFeatureJSON is where one feature may lie, and the part with it.
type placedFeatureJSON struct {
	Name string `json:"name"`
	placesJSON
	At     float64     `json:"at"`      // of the part's headstock end, with the feature at its best place
	GoodAt []rangeJSON `json:"good_at"` // likewise, where the feature's spread keeps within what is allowed
}

// placeJob is place for each feature of a job of which something is asked.
func placeJob(e *env.Env, c *cobra.Command, profile string, o *placeOptions) error {
	l, file, err := flags.OpenJobOn(e, c, profile, o.job, &o.tool)
	if err != nil {
		return err
	}
	all := file.Job.Features
	if slices.ContainsFunc(all, work.Feature.Asked) {
		all = slices.DeleteFunc(slices.Clone(all), func(f work.Feature) bool { return !f.Asked() })
	}
	var out show.Report
	j := placeJobJSON{Format: 1, Job: file.Job.Name, Lathe: l.Lathe.Name, Unit: l.In.String()}
	held, stated := true, false
	var cuts []say.Cut
	for _, f := range all {
		p, err := o.placingOf(c, l, file.Job, f, len(all))
		if err != nil {
			return err
		}
		places, err := l.Machine.Place(p)
		if err != nil {
			return l.Explain(err)
		}
		r, kept, err := placeReport(l, p, places, false)
		if err != nil {
			return err
		}
		best, err := l.Machine.Curve(cutAt(l, p, places.Best))
		if err != nil {
			return l.Explain(err)
		}
		held, stated = held && kept, stated || best.Wear.Stated()
		cuts = append(cuts, say.Cut{Curve: best, Stations: compensate.Stations(best.From, best.To, (best.To-best.From)/
			16)})
		out.Answer = append(out.Answer, f.Name+": "+word.Lower(strings.Join(append(r.Answer, partAt(l, f, places)...),
			" ")))
		in := l.In.From
		one := placedFeatureJSON{Name: f.Name, placesJSON: r.JSON.(placeJSON).placesJSON,
			At: in(places.Best.From - f.From), GoodAt: []rangeJSON{}}
		for _, g := range places.Good {
			one.GoodAt = append(one.GoodAt, rangeJSON{in(g.From - f.From), in(g.To - f.From)})
		}
		j.Features = append(j.Features, one)
		for _, t := range r.Tables {
			gather(&out, f.Name, withPart(l, t, f.From))
		}
		out.Cautions = r.Cautions
	}
	out.Remarks = []string{fmt.Sprintf("Each feature is looked at alone, in work that the spindle alone holds and no "+
		"cut bends; limits of size or taper are taken as limits of the spread. wornway plan %s %s looks at all of "+
		"them together, with how the part is held and how it bends.", o.job, profile)}
	longest := slices.MaxFunc(cuts, func(a, b say.Cut) int { return say.CompareLengths(a.Curve, b.Curve) })
	g := say.Stiff(
		"Each feature is measured and the dial set at its tailstock end; the error there is zero by definition.",
		say.Axis(l, longest.Curve))
	seat := say.AssumedOfAll(l, g, cuts...)
	out.Assumed, out.Warnings = seat.Assumed, append(say.Faults(file.Warnings), seat.Warnings...)
	if !c.Flags().Changed("reach") {
		from, to := l.Reach()
		out.Assumed = append(out.Assumed, anywhere(l, from, to))
	}
	j.Assumed, j.Warnings = out.Assumed, append([]string{}, out.Warnings...)
	out.JSON = j
	return e.EmitHeld(o.out, out, "starts", held)
}

// placingOf says where a job's feature may lie. All limits of its diameter are taken as limits of its spread; features
// is how many share the table.
func (o *placeOptions) placingOf(c *cobra.Command, l *shop.Bench, j work.Job, f work.Feature,
	features int) (compensate.Placing, error) {
	p := compensate.Placing{Length: f.To - f.From, ToolHeight: j.ToolHeight, Work: f}
	for _, limit := range []float64{sizeWidth(f), f.Taper} {
		if limit > 0 && (p.Work.Tolerance == 0 || limit < p.Work.Tolerance) {
			p.Work.Tolerance = limit
		}
	}
	if err := o.tool.Check(c, l.In); err != nil {
		return p, err
	}
	if err := o.within(c, l, &p); err != nil {
		return p, err
	}
	reach := fmt.Sprintf("the reach from %s to %s", l.Bare(p.From), l.At(p.To))
	if p.To-p.From < p.Length-1e-9 {
		return p, refuse.With(fmt.Sprintf("%s: it is longer than %s", f.Name, reach), "give a longer --reach")
	}
	if p.Length < (p.To-p.From)/shortestOf {
		return p, refuse.With(fmt.Sprintf("%s: it is too short to be looked for in %s", f.Name, reach),
			"give a shorter --reach")
	}
	var err error
	last := p.To - p.Length
	p.Starts, err = flags.StationsAmong(l, c, o.every, p.From, last, float64(features)*(last-p.From))
	return p, err
}

// sizeWidth is how far a feature's limits of size lie apart, mm; 0 where there are none.
func sizeWidth(f work.Feature) float64 {
	if f.Size == nil {
		return 0
	}
	return math.Max(0, f.Size.Upper-f.Size.Lower)
}

// partAt says where the part's headstock end lies when a feature lies well.
func partAt(l *shop.Bench, f work.Feature, places *compensate.Places) []string {
	s := "The part's headstock end then lies at " + l.About(places.Best.From-f.From)
	if len(places.Good) == 0 {
		return []string{s + "."}
	}
	var good []string
	for _, g := range places.Good {
		good = append(good, l.BareAbout(g.From-f.From)+" to "+l.About(g.To-f.From))
	}
	return []string{s + "; the computed spread keeps within that where it lies at " + word.List(good) + "."}
}

// withPart adds to a table that begins with where a length lies where the part then lies, whose feature begins so far
// from its headstock end, mm.
func withPart(l *shop.Bench, t show.Table, feature float64) show.Table {
	t.Columns = append([]show.Column{{Head: "part at, " + l.UnitName(), Key: "at"}}, t.Columns...)
	for i := range t.Columns {
		switch t.Columns[i].Key {
		case "bar":
			t.Columns[i].Data = true // features have scales of their own
		case "probability":
			t.Columns[i].Head = "held with"
		}
	}
	for i, row := range t.Rows {
		from, _ := row[0].Value.(float64)
		at := from - l.In.From(feature)
		t.Rows[i] = append([]show.Cell{{Text: l.BareAbout(l.In.ToMM(at)), Value: at}}, row...)
	}
	return t
}
