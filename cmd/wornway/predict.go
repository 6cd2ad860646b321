package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/plot"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/compensate"
)

type predictOptions struct {
	cut flags.Cut
	job flags.Job
	out env.Output
}

func newPredict(e *env.Env) *cobra.Command {
	o := &predictOptions{}
	c := &cobra.Command{
		Use:   "predict PROFILE {--from A --to B --diameter D | --job FILE}",
		Short: "Say what the wear does to a length: taper, form, error",
		Long: `Predict says what the worn bed does to a turned length when nothing is corrected: how much bigger or smaller
it comes out along its length than where the diameter was measured, the taper, and whether it is a barrel or
a waist. Positions count from the spindle nose; a length may carry its unit (3in, 75mm, 0.5thou, 12um),
without one it is in the file's.

With --job it says so of each feature of a part that is described in a job file, with the axis about which the
part turns as it is held, and with how it bends under the cut. A feature that cannot be turned like that is named
with the reason. A length without its unit is then in the job's.`,
		Example: `  wornway predict demo.toml --from 4in --to 12in --diameter 1in
  wornway predict demo.toml --from 100mm --to 300mm --diameter 25mm --tolerance 12um --json
  wornway predict demo.toml --from 4 --to 12 --diameter 1 --bore --tool-height -0.5mm --csv
  wornway predict demo.toml --job shaft.toml
  wornway predict demo.toml --job shaft.toml --held centres --set-over -0.2thou --json`,
		Args: flags.OneProfile, GroupID: "work",
		Annotations: map[string]string{"instance": "PROFILE --from 4in --to 12in --diameter 1in"},
		RunE:        func(c *cobra.Command, args []string) error { return runPredict(e, c, args[0], o) },
	}
	o.cut.Flags(c)
	o.job.Flags(c)
	o.out.Flags(c)
	o.out.Draws(c)
	return c
}

func runPredict(e *env.Env, c *cobra.Command, file string, o *predictOptions) error {
	defer e.Progress("reckoning along the bed")()
	if job, err := o.job.Asked(c, flags.CutInstead...); err != nil || job {
		if err != nil {
			return err
		}
		return predictJob(e, c, file, o)
	}
	l, cut, err := o.cut.Open(e, c, file)
	if err != nil {
		return err
	}
	curve, err := l.Machine.Curve(cut)
	if err != nil {
		return l.Explain(err)
	}
	stations, err := flags.Stations(l, c, o.cut.Every, cut.From, cut.To)
	if err != nil {
		return err
	}
	p := predict(l, curve, stations)
	r := show.Report{
		Answer:   p.answer,
		Tables:   []show.Table{p.table},
		Remarks:  p.remarks,
		Assumed:  p.seated.Assumed,
		Warnings: p.seated.Warnings,
		JSON:     p.json,
	}
	if err := e.Draw(o.out, func() plot.Figure { return predictFigure(l, curve) }); err != nil {
		return err
	}
	return e.EmitHeld(o.out, r, "stations", p.held)
}

// prediction is what a cut comes out like, ready to be shown.
type prediction struct {
	taper   compensate.Taper
	seated  say.Basis
	answer  []string
	remarks []string
	table   show.Table
	json    predictJSON
	held    bool // the tolerance, if one was asked for
}

type predictJSON struct {
	Format int    `json:"format"`
	Lathe  string `json:"lathe"`
	Unit   string `json:"unit"`
	lengthJSON
	Assumed  []string `json:"assumed"`
	Warnings []string `json:"warnings"`
}

// lengthJSON is what one length comes out like.
type lengthJSON struct {
	From         float64       `json:"from"`
	To           float64       `json:"to"`
	Diameter     float64       `json:"diameter"`
	Bore         bool          `json:"bore"`
	SetAt        float64       `json:"set_at"`
	CentreHeight float64       `json:"centre_height"`
	ToolHeight   float64       `json:"tool_height"`
	Stations     []stationJSON `json:"stations"`
	Taper        taperJSON     `json:"taper"`
	Form         float64       `json:"form"`
	Shape        string        `json:"shape"`
	Spread       float64       `json:"spread"`
	Spread95     *[2]float64   `json:"spread_95"`
	Form95       *[2]float64   `json:"form_95"`
	Largest      extremeJSON   `json:"largest"`
	Smallest     extremeJSON   `json:"smallest"`
	Tolerance    *float64      `json:"tolerance"`
	Probability  *float64      `json:"probability"`
}

type stationJSON struct {
	Position      float64  `json:"position"`
	ToolOut       float64  `json:"tool_out"`
	ToolDrop      float64  `json:"tool_drop"`
	DiameterError float64  `json:"diameter_error"`
	Uncertainty   *float64 `json:"uncertainty"`
	Bending       *float64 `json:"bending,omitempty"` // of a job's part alone
}

type taperJSON struct {
	Slope            float64  `json:"slope"`
	Ends             float64  `json:"ends"`
	SlopeUncertainty *float64 `json:"slope_uncertainty"`
	EndsUncertainty  *float64 `json:"ends_uncertainty"`
}

type extremeJSON struct {
	Position      float64 `json:"position"`
	DiameterError float64 `json:"diameter_error"`
}

// predict computes the prediction of a cut; the table has its stations.
func predict(l *shop.Bench, c *compensate.Curve, stations []float64) prediction {
	p := prediction{taper: c.Taper(), seated: say.Assumed(l, c, stations), held: true}
	t := p.taper
	in := l.In.From
	p.json = predictJSON{
		Format: 1, Lathe: l.Lathe.Name, Unit: l.In.String(),
		lengthJSON: lengthJSON{
			From: in(c.From), To: in(c.To), Diameter: in(c.Diameter), Bore: c.Bore, SetAt: in(c.SetAt),
			CentreHeight: in(c.Lathe.CentreHeight), ToolHeight: in(c.ToolHeight),
			Taper: taperJSON{t.Line.Slope, in(t.Ends), answer.Null(t.USlope, t.Stated),
				answer.Null(in(t.UEnds), t.Stated)},
			Form: in(t.Form), Shape: string(t.Shape), Spread: in(t.Spread),
			Largest:  extremeJSON{in(t.Largest.Position), in(t.Largest.Value)},
			Smallest: extremeJSON{in(t.Smallest.Position), in(t.Smallest.Value)},
		},
		Assumed: p.seated.Assumed, Warnings: append([]string{}, p.seated.Warnings...),
	}
	p.stations(l, c, stations)
	p.say(l, c)
	return p
}

// stations fills in the table.
func (p *prediction) stations(l *shop.Bench, c *compensate.Curve, stations []float64) {
	in := l.In.From
	p.table = show.Table{Name: "stations", Columns: []show.Column{
		{Head: "position, " + l.UnitName(), Key: "position"},
		{Head: "tool out, " + l.SmallName(), Key: "tool_out"},
		{Head: "tool drop, " + l.SmallName(), Key: "tool_drop"},
		{Head: "diameter error, " + l.SmallName(), Key: "diameter_error"},
		{Head: "±, " + l.SmallName(), Key: "uncertainty"},
	}}
	for _, z := range stations {
		s := c.Station(z)
		j := stationJSON{in(s.Position), in(s.ToolOut), in(s.ToolDrop), in(s.DiameterError),
			answer.Null(in(s.Uncertainty), s.Stated), answer.Null(in(c.PushError(z)), c.Push != nil)}
		p.json.Stations = append(p.json.Stations, j)
		p.table.Rows = append(p.table.Rows, []show.Cell{
			{Text: l.Bare(s.Position), Value: j.Position},
			{Text: l.Cell(s.ToolOut), Value: j.ToolOut},
			{Text: l.Cell(s.ToolDrop), Value: j.ToolDrop},
			{Text: l.Cell(s.DiameterError), Value: j.DiameterError},
			{Text: l.Expanded(s.Uncertainty, s.Stated), Value: j.Uncertainty},
		})
	}
}

// say puts the answer into sentences.
func (p *prediction) say(l *shop.Bench, c *compensate.Curve) {
	t := p.taper
	what := ""
	if c.Bore {
		what = " (bore)"
	}
	p.answer = append(p.answer, fmt.Sprintf("%s between %s and %s%s: %s, %s.", l.At(c.To-c.From), l.Bare(c.From),
		l.At(c.To), what,
		l.Ends(t.Ends), l.PlusMinus(t.UEnds, t.Stated)))
	p.answer = append(p.answer, fmt.Sprintf("Taper %s, %s; %s; spread %s.", l.Taper(t.Line.Slope),
		l.Bigger(t.Line.Slope), l.Beside(t), l.Small(t.Spread)))
	sampled, stated := c.Sample(c.Spaced(), c.Tolerance)
	if stated {
		in := l.In.From
		p.json.Spread95 = &[2]float64{in(sampled.Spread[0]), in(sampled.Spread[1])}
		p.json.Form95 = &[2]float64{in(sampled.Form[0]), in(sampled.Form[1])}
		p.answer = append(p.answer, say.Spread(l, "the spread", t.Spread, sampled))
		p.remarks = append(p.remarks, say.AtK2)
	}
	if c.Tolerance > 0 {
		var s string
		s, p.held = say.Holds(l, c, t.Spread, sampled, stated)
		p.answer = append(p.answer, s)
		p.json.Tolerance = answer.Null(l.In.From(c.Tolerance), true)
		p.json.Probability = answer.Null(sampled.Within, stated)
	}
}
