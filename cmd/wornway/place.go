package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/plot"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/length"
)

type placeOptions struct {
	job              string
	length, diameter length.Length
	reach            string
	every            length.Length
	tool             flags.Tool
	out              env.Output
}

func newPlace(e *env.Env) *cobra.Command {
	o := &placeOptions{}
	c := &cobra.Command{
		Use:   "place PROFILE {--length L --diameter D [--tolerance T] | --job FILE}",
		Short: "Find the best place on the bed for a length",
		Long: `Place slides a length along the bed and says where it comes out best, where it keeps within the tolerance,
and where it comes out worst. The tool is taken to be set at the length's tailstock end.

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
	f.StringVar(&o.reach, "reach", "", "`from,to`: where the length may lie (default: from the spindle nose to the "+
		"end of the known wear)")
	f.Var(&o.every, "every", "step of the table's positions (default: a round one, at most 25 rows)")
	o.out.Flags(c)
	o.out.Draws(c)
	return c
}

// placing puts the flags together.
func (o *placeOptions) placing(c *cobra.Command, l *shop.Bench) (compensate.Placing, error) {
	u := l.In
	p := compensate.Placing{
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
	p.Starts, err = flags.Stations(l, c, o.every, p.From, p.To-p.Length)
	return p, err
}

// shortestOf is how many lengths a reach may hold: with more it would take long, and nobody looks for a place so
// exactly.
const shortestOf = 10_000

// within fills in where work may lie.
func (o *placeOptions) within(c *cobra.Command, l *shop.Bench, p *compensate.Placing) error {
	p.From, p.To = l.Reach()
	if !c.Flags().Changed("reach") {
		return nil
	}
	if err := o.reachTo(p, l.In); err != nil {
		return err
	}
	p.From, p.To = l.ToEnd(p.From), l.ToEnd(p.To)
	return nil
}

// reachTo takes the reach from its flag: two positions.
func (o *placeOptions) reachTo(p *compensate.Placing, u length.Unit) error {
	var err error
	p.From, p.To, err = flags.TwoPositions("reach", o.reach, "for instance --reach 4in,30in", u)
	return err
}

func runPlace(e *env.Env, c *cobra.Command, file string, o *placeOptions) error {
	defer e.Progress("looking along the bed")()
	job := flags.Job{File: o.job}
	if given, err := job.Asked(c, "length", "diameter", "tool-height", "bore", "tolerance"); err != nil || given {
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
	r, held, err := placeReport(l, p, places, !c.Flags().Changed("reach"))
	if err != nil {
		return err
	}
	if err := e.Draw(o.out, func() plot.Figure { return placeFigure(l, p, places) }); err != nil {
		return err
	}
	return e.EmitHeld(o.out, r, "starts", held)
}

type placeJSON struct {
	Format int    `json:"format"`
	Lathe  string `json:"lathe"`
	Unit   string `json:"unit"`
	placesJSON
	Assumed  []string `json:"assumed"`
	Warnings []string `json:"warnings"`
}

// placesJSON is where a length may lie.
type placesJSON struct {
	Length       float64     `json:"length"`
	Diameter     float64     `json:"diameter"`
	Bore         bool        `json:"bore"`
	CentreHeight float64     `json:"centre_height"`
	ToolHeight   float64     `json:"tool_height"`
	Reach        [2]float64  `json:"reach"`
	Tolerance    *float64    `json:"tolerance"`
	Best         placedJSON  `json:"best"`
	Good         []rangeJSON `json:"good"`
	Worst        placedJSON  `json:"worst"`
	Starts       []startJSON `json:"starts"`
	Probability  *float64    `json:"probability"`
}

type placedJSON struct {
	From   float64 `json:"from"`
	To     float64 `json:"to"`
	Spread float64 `json:"spread"`
}

type rangeJSON struct {
	From float64 `json:"from"`
	To   float64 `json:"to"`
}

type startJSON struct {
	From        float64  `json:"from"`
	Spread      float64  `json:"spread"`
	Probability *float64 `json:"probability"`
}

// placeReport puts places into a report; held is false where a tolerance was asked for that no place holds.
func placeReport(l *shop.Bench, p compensate.Placing, places *compensate.Places, wholeBed bool) (show.Report, bool,
	error) {
	in := l.In.From
	best, worst := places.Best, places.Worst
	curve, err := l.Machine.Curve(cutAt(l, p, best))
	if err != nil {
		return show.Report{}, false, l.Explain(err)
	}
	seat := say.Assumed(l, curve, compensate.Stations(best.From, best.To, (best.To-best.From)/16))
	if wholeBed {
		seat.Assumed = append(seat.Assumed, anywhere(l, p.From, p.To))
	}
	j := placeJSON{
		Format: 1, Lathe: l.Lathe.Name, Unit: l.In.String(),
		placesJSON: placesJSON{Length: in(p.Length), Diameter: in(p.Work.Diameter), Bore: p.Work.Bore,
			CentreHeight: in(l.Machine.Lathe.CentreHeight), ToolHeight: in(p.ToolHeight),
			Reach: [2]float64{in(p.From), in(p.To)},
			Best:  placedJSON{in(best.From), in(best.To), in(best.Spread)},
			Worst: placedJSON{in(worst.From), in(worst.To), in(worst.Spread)},
			Good:  []rangeJSON{}, Starts: []startJSON{}},
		Assumed: seat.Assumed, Warnings: append([]string{}, seat.Warnings...),
	}
	r := show.Report{Assumed: seat.Assumed, Warnings: seat.Warnings}
	r.Answer = append(r.Answer, fmt.Sprintf("Best place for %s: from %s to %s, spread %s. Worst: from %s to %s, "+
		"spread %s.", l.At(p.Length),
		l.BareAbout(best.From), l.About(best.To), l.Small(best.Spread), l.BareAbout(worst.From), l.About(worst.To),
		l.Small(worst.Spread)))
	held := true
	sampled, stated := curve.Sample(curve.Spaced(), p.Work.Tolerance)
	if stated {
		r.Answer = append(r.Answer, say.Spread(l, "the spread at the best place", best.Spread, sampled))
	}
	if t := p.Work.Tolerance; t > 0 {
		j.Tolerance = answer.Null(in(t), true)
		j.Probability = answer.Null(sampled.Within, stated)
		var s string
		s, held = say.Holds(l, curve, best.Spread, sampled, stated)
		r.Answer = append(r.Answer, "At the best place: "+word.Lower(s), goodWords(l, places.Good, t))
		if !held {
			r.Answer = append(r.Answer, otherwise(l, curve)...)
		}
	}
	starts := show.Table{Name: "starts", Title: "Spread by where the headstock end of the length lies:",
		Columns: []show.Column{
			{Head: "from, " + l.UnitName(), Key: "from"}, {Head: "to, " + l.UnitName(), Key: "to"},
			{Head: "spread, " + l.SmallName(), Key: "spread"},
			{Head: "", Key: "bar", Left: true, Spare: true}}}
	ranked := stated && p.Work.Tolerance > 0
	if ranked {
		starts.Columns = append(starts.Columns, show.Column{Head: "holds " + l.Small(p.Work.Tolerance) + " with",
			Key: "probability"})
	}
	for _, s := range places.Starts {
		j.Starts = append(j.Starts, startJSON{in(s.From), in(s.Spread), answer.Null(s.Within, ranked)})
		row := []show.Cell{{Text: l.Bare(s.From), Value: in(s.From)}, {Text: l.Bare(s.To), Value: in(s.To)},
			{Text: l.Cell(s.Spread), Value: in(s.Spread)}, {Text: show.Bar(s.Spread, worst.Spread, 24, false)}}
		if ranked {
			row = append(row, show.Cell{Text: word.Percent(s.Within), Value: s.Within})
		}
		starts.Rows = append(starts.Rows, row)
	}
	good := show.Table{Name: "good", Title: "Where the length may begin:",
		Columns: []show.Column{{Head: "from, " + l.UnitName(), Key: "from"}, {Head: "to, " + l.UnitName(), Key: "to"}}}
	for _, g := range places.Good {
		j.Good = append(j.Good, rangeJSON{in(g.From), in(g.To)})
		good.Rows = append(good.Rows, []show.Cell{{Text: l.BareAbout(g.From), Value: in(g.From)},
			{Text: l.BareAbout(g.To), Value: in(g.To)}})
	}
	r.Tables = []show.Table{starts}
	if p.Work.Tolerance > 0 {
		r.Tables = append(r.Tables, good)
	}
	r.JSON = j
	r.Cautions = []string{"Unsupported stock: about 3 diameters out of the chuck is usual, 5 is the limit. A good " +
		"place further out needs the tailstock or a steady."}
	return r, held, nil
}

// anywhere says that nothing was said of where work may lie.
func anywhere(l *shop.Bench, from, to float64) string {
	return fmt.Sprintf("The length may lie anywhere from %s to %s; the room that chuck and tailstock take is not "+
		"counted: give --reach.", l.Bare(from), l.At(to))
}

// cutAt is the cut of a length lying at a place.
func cutAt(l *shop.Bench, p compensate.Placing, at compensate.Place) compensate.Cut {
	f := p.Work
	f.From, f.To = at.From, at.To
	return compensate.Cut{Feature: f, SetAt: at.To, ToolHeight: p.ToolHeight}
}

// goodWords lists where the length may begin.
func goodWords(l *shop.Bench, good []compensate.Range, tolerance float64) string {
	if len(good) == 0 {
		return fmt.Sprintf("Nowhere does the computed spread keep within %s.", l.Small(tolerance))
	}
	s := ""
	for i, g := range good {
		if i > 0 {
			s += "; "
		}
		s += l.BareAbout(g.From) + " to " + l.About(g.To)
	}
	return fmt.Sprintf("The computed spread keeps within %s where the length begins at %s.", l.Small(tolerance), s)
}

// otherwise says what else could be done where the best place does not do.
func otherwise(l *shop.Bench, c *compensate.Curve) []string {
	t := c.Taper()
	var out []string
	if t.Form < 0.9*t.Spread { // otherwise there is hardly a taper to take out
		out = append(out, fmt.Sprintf("With its straight taper taken out, by setting the tailstock over for work "+
			"between centres, %s would be left there.", l.Small(t.Form)))
	}
	if s := l.Lathe.CrossSlide; s != nil {
		dial := compensate.Dial{Diameter: s.Diameter, Division: s.Division, Finest: s.Finest, Backlash: s.Backlash}
		k, err := l.Machine.Correct(c.Cut, compensate.Correcting{Dial: dial, SetAtStart: true, Round: l.RoundSteps(),
			Every: []float64{c.From, c.To}})
		if err == nil && len(k.Moves) > 0 {
			out = append(out, fmt.Sprintf("With %s of the cross-slide dial, %s would be left: wornway correct lists "+
				"them.", word.Count(len(k.Moves), "move"), l.Small(k.MovesSpread)))
		}
	}
	return out
}
