package turning

import (
	"fmt"
	"math"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
)

// prediction is what a cut comes out like, ready to be shown.
type prediction struct {
	Taper   compensate.Taper
	Seated  say.Basis
	Answer  []string
	Steps   []string
	Remarks []string
	Table   show.Table
	JSON    PredictJSON
	Held    bool // the tolerance, if one was asked for
}

type PredictJSON struct {
	Format int    `json:"format"`
	Lathe  string `json:"lathe"`
	Unit   string `json:"unit"`
	LengthJSON
	Assumed  []string `json:"assumed"`
	Warnings []string `json:"warnings"`
}

// LengthJSON is what one length comes out like.
type LengthJSON struct {
	From         float64       `json:"from"`
	To           float64       `json:"to"`
	Diameter     float64       `json:"diameter"`
	Held         string        `json:"held,omitempty"`
	Overhang     *float64      `json:"overhang,omitempty"` // out of the jaws
	Bore         bool          `json:"bore"`
	SetAt        float64       `json:"set_at"`
	CentreHeight *float64      `json:"centre_height"` // null: not known, as of collars alone
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
	ToolOut       *float64 `json:"tool_out"` // null: not known, as of collars alone
	ToolDrop      *float64 `json:"tool_drop"`
	DiameterError float64  `json:"diameter_error"`
	Uncertainty   *float64 `json:"uncertainty"`
	// The limits that hold the error with 95 %, only where they do not lie alike to both sides of it.
	Low     *float64 `json:"low,omitempty"`
	High    *float64 `json:"high,omitempty"`
	Bending *float64 `json:"bending,omitempty"` // of a job's part alone
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

// Predict computes the prediction of a cut; the table has its stations.
func Predict(l *shop.Bench, c *compensate.Curve, stations []float64) prediction {
	p := prediction{Taper: c.Taper(), Seated: say.Assumed(l, c, stations), Held: true}
	t := p.Taper
	in := l.In.From
	p.JSON = PredictJSON{
		Format: 1, Lathe: l.Lathe.Name, Unit: l.In.String(),
		LengthJSON: LengthJSON{
			From: in(c.From), To: in(c.To), Diameter: in(c.Diameter), Bore: c.Bore, SetAt: in(c.SetAt),
			CentreHeight: answer.Null(in(c.Lathe.CentreHeight), l.Collars == nil), ToolHeight: in(c.ToolHeight),
			Taper: taperJSON{t.Line.Slope, in(t.Ends), answer.Null(t.USlope, t.Stated),
				answer.Null(in(t.UEnds), t.Stated)},
			Form: in(t.Form), Shape: string(t.Shape), Spread: in(t.Spread),
			Largest:  extremeJSON{in(t.Largest.Position), in(t.Largest.Value)},
			Smallest: extremeJSON{in(t.Smallest.Position), in(t.Smallest.Value)},
		},
		Assumed: p.Seated.Assumed, Warnings: append([]string{}, p.Seated.Warnings...),
	}
	if l.Bar != nil {
		p.JSON.Held, p.JSON.Overhang = string(l.Bar.Way), answer.Null(in(l.Bar.Overhang), true)
	}
	p.stations(l, c, stations)
	p.say(l, c)
	p.Remarks = append(p.Remarks, word.Said(say.OfCuts(l))...)
	return p
}

// stations fills in the table.
func (p *prediction) stations(l *shop.Bench, c *compensate.Curve, stations []float64) {
	in := l.In.From
	p.Table = show.Table{Name: "stations", Most: 12, Columns: []show.Column{
		{Head: "at, " + l.UnitName(), Key: "position"},
		{Head: "tool out, " + l.SmallName(), Key: "tool_out", Full: true, Data: l.Collars != nil},
		{Head: "tool drop, " + l.SmallName(), Key: "tool_drop", Full: true, Data: l.Collars != nil},
		{Head: "diameter error, " + l.SmallName(), Key: "diameter_error"},
		{Head: "±, " + l.SmallName(), Key: "uncertainty"},
	}}
	for _, z := range stations {
		s := c.Station(z)
		low, high, skewed := c.Skewed(z)
		j := stationJSON{in(s.Position), answer.Null(in(s.ToolOut), l.Collars == nil),
			answer.Null(in(s.ToolDrop), l.Collars == nil), in(s.DiameterError),
			answer.Null(in(s.Uncertainty), s.Stated), answer.Null(in(low), skewed), answer.Null(in(high), skewed),
			answer.Null(in(c.PushError(z)), c.Push != nil)}
		p.JSON.Stations = append(p.JSON.Stations, j)
		p.Table.Rows = append(p.Table.Rows, []show.Cell{
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
	t := p.Taper
	what := "at"
	if c.Bore {
		what = "bored to"
	}
	p.Answer = append(p.Answer, word.Said(say.InJaws(l, c), say.Out(l, c))...)
	p.Answer = append(p.Answer, fmt.Sprintf("%s to %s %s %s: %s, %s%s.", l.Bare(c.From), l.At(c.To), what,
		l.Diameter(c.Diameter), l.Ends(t.Ends), l.PlusMinus(t.UEnds, t.Stated), between(l, c, t)))
	p.Steps = append(p.Steps, fmt.Sprintf("Taper %s, %s; %s.", l.Taper(t.Line.Slope), l.Bigger(t.Line.Slope),
		l.Beside(t)))
	sampled, stated := c.Sample(c.Spaced(), c.Tolerance)
	p.Answer = append(p.Answer, say.Spread(l, t.Spread, sampled, stated))
	if stated {
		in := l.In.From
		p.JSON.Spread95 = &[2]float64{in(sampled.Spread[0]), in(sampled.Spread[1])}
		p.JSON.Form95 = &[2]float64{in(sampled.Form[0]), in(sampled.Form[1])}
		p.Remarks = append(p.Remarks, say.SureOfDial)
	}
	if c.Tolerance > 0 {
		var s string
		s, p.Held = say.Holds(l, c, "", t.Spread, sampled.Promise, stated)
		p.Answer = append(p.Answer, s)
		p.JSON.Tolerance = answer.Null(l.In.From(c.Tolerance), true)
		p.JSON.Probability = answer.Null(sampled.Within, stated)
	}
	p.Answer = append(p.Answer, word.Said(say.OtherWork(l, c), say.Further(l, c))...)
}

// between says where between its ends a length comes out bigger or smaller than at both; empty where that is less than
// a tenth of what it varies by.
func between(l *shop.Bench, c *compensate.Curve, t compensate.Taper) string {
	from, to := c.At(c.From, 0), c.At(c.To, 0)
	s := ""
	for _, e := range []struct {
		compensate.Extreme
		beyond float64
		what   string
	}{{t.Largest, t.Largest.Value - math.Max(from, to), "bigger"},
		{t.Smallest, math.Min(from, to) - t.Smallest.Value, "smaller"}} {
		if e.beyond > t.Spread/10 {
			s += fmt.Sprintf("; up to %s %s near %s", l.Small(e.beyond), e.what, l.Near(e.Position))
		}
	}
	if s != "" {
		s += " than at both ends"
	}
	return s
}
