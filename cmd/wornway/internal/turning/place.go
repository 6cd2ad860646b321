package turning

import (
	"fmt"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
)

type PlaceJSON struct {
	Format int    `json:"format"`
	Lathe  string `json:"lathe"`
	Unit   string `json:"unit"`
	PlacesJSON
	Assumed  []string `json:"assumed"`
	Warnings []string `json:"warnings"`
}

// PlacesJSON is where a length may lie.
type PlacesJSON struct {
	Length       float64            `json:"length"`
	Diameter     float64            `json:"diameter"`
	Bore         bool               `json:"bore"`
	CentreHeight float64            `json:"centre_height"`
	ToolHeight   float64            `json:"tool_height"`
	Reach        [2]float64         `json:"reach"`
	Tolerance    *float64           `json:"tolerance"`
	Best         answer.PlacedJSON  `json:"best"`
	Good         []answer.RangeJSON `json:"good"`
	Worst        answer.PlacedJSON  `json:"worst"`
	Starts       []startJSON        `json:"starts"`
	Probability  *float64           `json:"probability"`
}

type startJSON struct {
	From        float64  `json:"from"`
	Spread      float64  `json:"spread"`
	Probability *float64 `json:"probability"`
}

// PlaceReport puts places into a report; held is false where a tolerance was asked for that no place holds.
func PlaceReport(l *shop.Bench, p compensate.Placing, places *compensate.Places, wholeBed bool) (show.Report, bool,
	error) {
	in := l.In.From
	best, worst := places.Best, places.Worst
	curve, err := l.Machine.Curve(CutAt(l, p, best))
	if err != nil {
		return show.Report{}, false, l.Explain(err)
	}
	seat := say.Assumed(l, curve, compensate.Stations(best.From, best.To, (best.To-best.From)/16))
	if wholeBed {
		seat.Assumed = append(seat.Assumed, Anywhere(l, p.From, p.To))
	}
	j := PlaceJSON{
		Format: 1, Lathe: l.Lathe.Name, Unit: l.In.String(),
		PlacesJSON: PlacesJSON{Length: in(p.Length), Diameter: in(p.Work.Diameter), Bore: p.Work.Bore,
			CentreHeight: in(l.Machine.Lathe.CentreHeight), ToolHeight: in(p.ToolHeight),
			Reach: [2]float64{in(p.From), in(p.To)},
			Best:  answer.PlacedJSON{From: in(best.From), To: in(best.To), Spread: in(best.Spread)},
			Worst: answer.PlacedJSON{From: in(worst.From), To: in(worst.To), Spread: in(worst.Spread)},
			Good:  []answer.RangeJSON{}, Starts: []startJSON{}},
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
		j.Good = append(j.Good, answer.RangeJSON{From: in(g.From), To: in(g.To)})
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

// Anywhere says that nothing was said of where work may lie.
func Anywhere(l *shop.Bench, from, to float64) string {
	return fmt.Sprintf("The length may lie anywhere from %s to %s; the room that chuck and tailstock take is not "+
		"counted: give --reach.", l.Bare(from), l.At(to))
}

// CutAt is the cut of a length lying at a place.
func CutAt(l *shop.Bench, p compensate.Placing, at compensate.Place) compensate.Cut {
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
		k, err := l.Machine.Correct(c.Cut, compensate.Correcting{Dial: dial, SetAtStart: true, Round: l.RuleStep(),
			Every: []float64{c.From, c.To}})
		if err == nil && len(k.Moves) > 0 {
			out = append(out, fmt.Sprintf("With %s of the cross-slide dial, %s would be left: wornway correct lists "+
				"them.", word.Count(len(k.Moves), "move"), l.Small(k.MovesSpread)))
		}
	}
	return out
}
