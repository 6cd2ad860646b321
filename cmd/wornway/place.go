package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/answer"
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
	"wornway/compensate/setup"
	"wornway/compensate/work"
	"wornway/profile/length"
)

type placeOptions struct {
	job              string
	length, diameter length.Length
	reach, held      string
	room             setup.Room // where the length may lie
	way              work.Holding
	every            length.Length
	tool             flags.Tool
	out              env.Output
}

func newPlace(e *env.Env) *cobra.Command {
	o := &placeOptions{}
	c := &cobra.Command{
		Use:   "place PROFILE {--length L --diameter D [--tolerance T] | --job FILE}",
		Short: "Find the best place on the bed for a length",
		Long: `Place slides a length along the bed and says where it comes out best, where it keeps within the
tolerance, and where it comes out worst. The tool is taken to be set at the length's tailstock end.

With --job it does so for each feature of which a job file asks something, one by one, and says where the part's
headstock end then lies. How the part is held, how it bends and how its features go together wornway plan looks at.`,
		Example: `  wornway place demo.toml --length 6in --diameter 1in --tolerance 0.5thou
  wornway place demo.toml --length 150mm --diameter 25mm --reach 100mm,900mm --json
  wornway place demo.toml --job shaft.toml --reach 3.7in,20in`,
		Args: flags.OneProfile, GroupID: "work",
		Annotations: map[string]string{"instance": "PROFILE --length 6in --diameter 1in --tolerance 0.5thou"},
		RunE:        func(c *cobra.Command, args []string) error { return runPlace(e, c, args[0], o) },
	}
	f := c.Flags()
	f.SortFlags = false
	f.Var(&o.length, "length", "length to be turned (required without --job)")
	f.Var(&o.diameter, "diameter", "diameter turned (likewise)")
	o.tool.Flags(c)
	f.StringVar(&o.job, "job", "", "`file` of a job: each of its features in place of the flags for one length")
	f.StringVar(&o.reach, "reach", "", "`from,to`: where the length may lie (default: out of the jaws or from the "+
		"nose on, the saddle wholly on the bed, within the tailstock's travel; where that is not known, its base "+
		"wholly on the bed)")
	f.StringVar(&o.held, "held", "", "the `way` of holding: chuck (its end free, no further out than it may), "+
		"chuck-and-centre or centres (default: as the place asks; the spindle's axis is counted in)")
	f.Var(&o.every, "every", "step of the table's positions (default: a round one, at most 25 rows)")
	o.out.Flags(c, "starts", "good")
	o.out.Draws(c)
	return c
}

// placing puts the flags together.
func (o *placeOptions) placing(c *cobra.Command, l *shop.Bench) (compensate.PlaceOptions, error) {
	u := l.In
	p := compensate.PlaceOptions{
		Length:     o.length.MM(u),
		ToolHeight: o.tool.ToolHeight.MM(u),
		Work:       work.Feature{Diameter: o.diameter.MM(u), Bore: o.tool.Bore, Tolerance: o.tool.Tolerance.MM(u)},
	}
	if !(p.Length > 0) {
		return p, refuse.Usage(fmt.Sprintf("--length %s: must be greater than zero", o.length.String()),
			"give the length to be turned")
	}
	for _, f := range []struct {
		name string
		l    *length.Length
	}{{"length", &o.length}, {"diameter", &o.diameter}} {
		if err := flags.Sane(f.name, f.l, u); err != nil {
			return p, err
		}
	}
	if err := o.tool.Check(c, u); err != nil {
		return p, err
	}
	if err := flags.Thick(&o.diameter, u); err != nil {
		return p, err
	}
	if err := o.within(c, l, &p); err != nil {
		return p, err
	}
	if p.To-p.From < p.Length-1e-9 {
		return p, refuse.Usage(fmt.Sprintf("--length %s: is longer than the reach from %s to %s", o.length.String(),
			l.Bare(p.From), l.At(p.To)), "give a shorter length or a longer --reach")
	}
	if p.Length < (p.To-p.From)/shortestOf {
		return p, refuse.Usage(fmt.Sprintf("--length %s: is too short to be looked for from %s to %s",
			o.length.String(),
			l.Bare(p.From), l.At(p.To)), "check the number and its unit, or give a shorter --reach")
	}
	p.Work.From, p.Work.To = p.From, p.From+p.Length
	job := work.Job{Features: []work.Feature{p.Work}, ToolHeight: p.ToolHeight}
	if ps := job.Check(); len(ps) > 0 {
		k := flags.Cut{Diameter: o.diameter, Tool: o.tool}
		return p, k.Refuse(ps[0])
	}
	var err error
	p.Starts, err = flags.Stations(c, l.In, o.every, p.From, p.To-p.Length)
	return p, err
}

// rowsOfEach is how many rows of each feature a short answer has.
const rowsOfEach = 4

// shortestOf is how many lengths a reach may hold: with more it would take long, and nobody looks for a place so
// exactly.
const shortestOf = 10_000

// within fills in where work may lie, and what bounds it there.
func (o *placeOptions) within(c *cobra.Command, l *shop.Bench, p *compensate.PlaceOptions) error {
	way, err := (&flags.Job{Held: o.held}).Way(c)
	if err != nil {
		return err
	}
	o.way = way
	o.room = l.Room(p.Work.Diameter, way, c.Flags().Changed("held") && !way.Tailed() && !p.Work.Bore)
	if way.Tailed() {
		travel, _ := l.Tailstock()
		o.room.Tailed(travel.From, travel.To, p.Length)
		p.On = func(cut compensate.Cut) (compensate.Machine, error) {
			b, err := l.Hold(cut, way)
			return b.Machine, err
		}
	}
	if c.Flags().Changed("reach") {
		if err := o.reachTo(p, l.In); err != nil {
			return err
		}
		o.room = setup.Room{From: l.ToEnd(p.From), To: l.ToEnd(p.To), Low: setup.ByReach, High: setup.ByReach}
	}
	p.From, p.To = o.room.From, o.room.To
	return nil
}

// reachTo takes the reach from its flag: two positions.
func (o *placeOptions) reachTo(p *compensate.PlaceOptions, u length.Unit) error {
	var err error
	p.From, p.To, err = flags.TwoPositions("reach", o.reach, "for instance --reach 4in,30in", u)
	return err
}

func runPlace(e *env.Env, c *cobra.Command, file string, o *placeOptions) error {
	defer e.Progress("looking along the bed")()
	job := flags.Job{File: o.job, OneLength: true}
	if given, err := job.Asked(c, "length", "diameter", "tool-height", "bore", "tolerance",
		"held"); err != nil || given {
		if err != nil {
			return err
		}
		return placeJob(e, c, file, o)
	}
	if err := flags.Need(c, "length", "diameter"); err != nil {
		return err
	}
	l, err := flags.Open(e, file, o.tool.Slips, o.tool.Centre(c))
	if err != nil {
		return err
	}
	p, err := o.placing(c, l)
	if err != nil {
		return err
	}
	places, err := l.Machine.Place(p)
	if err != nil {
		return l.Explain(err)
	}
	r, held, err := turning.PlaceReport(l, p, places, o.way, o.room)
	if err != nil {
		return err
	}
	drawn := func() plot.Figure { return turning.PlaceFigure(l, p, places) }
	r.Sketch = func(width int, ascii bool) []string {
		return turning.PlaceCurve(l, p, places).Sketch(width, ascii)
	}
	if err := e.Draw(o.out, drawn); err != nil {
		return err
	}
	return e.EmitHeld(o.out, r, "starts", held)
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
	j := turning.PlaceJobJSON{Format: 1, Job: file.Job.Name, Lathe: l.Lathe.Name, Unit: l.In.String()}
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
		r, kept, err := turning.PlaceReport(l, p, places, o.way, o.room)
		if err != nil {
			return err
		}
		best, err := l.Machine.Curve(turning.CutAt(l, p, places.Best))
		if err != nil {
			return l.Explain(err)
		}
		held, stated = held && kept, stated || best.Wear.Stated()
		cuts = append(cuts, say.Cut{Curve: best, Stations: compensate.Stations(best.From, best.To, (best.To-best.From)/
			16)})
		out.Answer = append(out.Answer, f.Name+": "+word.Lower(strings.Join(
			append(r.Answer, turning.PartAt(l, f, places)...),
			" ")))
		in := l.In.From
		one := turning.PlacedFeatureJSON{Name: f.Name, PlacesJSON: r.JSON.(turning.PlaceJSON).PlacesJSON,
			At: in(places.Best.From - f.From), GoodAt: []answer.RangeJSON{}}
		for _, g := range places.Good {
			one.GoodAt = append(one.GoodAt, answer.RangeJSON{From: in(g.From - f.From), To: in(g.To - f.From)})
		}
		j.Features = append(j.Features, one)
		for _, t := range r.Tables {
			t.Most = min(t.Most, rowsOfEach)
			turning.Gather(&out, f.Name, turning.WithPart(l, t, f.From))
		}
		for _, c := range r.Cautions {
			if !slices.Contains(out.Cautions, c) {
				out.Cautions = append(out.Cautions, c)
			}
		}
	}
	out.Remarks = []string{fmt.Sprintf("Each feature is looked at alone, in work that the spindle alone holds and no "+
		"cut bends; limits of size or taper are taken as limits of the spread. wornway plan %s %s looks at all of "+
		"them together, with how the part is held and how it bends.", o.job, profile)}
	longest := slices.MaxFunc(cuts, func(a, b say.Cut) int { return say.CompareLengths(a.Curve, b.Curve) })
	g := say.Stiff(
		"Each feature is measured and the dial set at its tailstock end; the error there is zero by definition.",
		l, longest.Curve)
	seat := say.AssumedOfAll(l, g, cuts...)
	out.Assumed, out.Limits, out.Warnings = seat.Assumed, seat.Limits, append(say.Faults(file.Warnings),
		seat.Warnings...)
	j.Assumed, j.Warnings = out.Assumed, append([]string{}, out.Warnings...)
	out.JSON = j
	return e.EmitHeld(o.out, out, "starts", held)
}

// placingOf says where a job's feature may lie. All limits of its diameter are taken as limits of its spread; features
// is how many share the table.
func (o *placeOptions) placingOf(c *cobra.Command, l *shop.Bench, j work.Job, f work.Feature,
	features int) (compensate.PlaceOptions, error) {
	p := compensate.PlaceOptions{Length: f.To - f.From, ToolHeight: j.ToolHeight, Work: f}
	for _, limit := range []float64{turning.SizeWidth(f), f.Taper} {
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
	p.Starts, err = flags.StationsAmong(c, l.In, o.every, p.From, last, float64(features)*(last-p.From))
	return p, err
}
