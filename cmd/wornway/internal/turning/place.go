package turning

import (
	"fmt"
	"slices"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/setup"
	"wornway/compensate/work"
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
	Best         answer.BoundedJSON `json:"best"`
	Good         []answer.RangeJSON `json:"good"`
	Worst        answer.BoundedJSON `json:"worst"`
	Starts       []startJSON        `json:"starts"`
	Probability  *float64           `json:"probability"`
}

type startJSON struct {
	From        float64  `json:"from"`
	Spread      float64  `json:"spread"`
	Spread95    *float64 `json:"spread_95"`
	LimitedBy   *string  `json:"limited_by"`
	Probability *float64 `json:"probability"`
}

// PlaceReport puts places into a report; held is false where a tolerance was asked for that no place holds.
func PlaceReport(l *shop.Bench, p compensate.PlaceOptions, places *compensate.Places, way work.Holding,
	room setup.Room) (show.Report, bool, error) {
	in := l.In.From
	best, worst := places.Best, places.Worst
	cut := CutAt(l, p, best)
	lies := *l // as the best place has it
	if p.On != nil {
		var err error
		if lies.Machine, err = p.On(cut); err != nil {
			return show.Report{}, false, l.Explain(err)
		}
	}
	curve, err := lies.Machine.Curve(cut)
	if err != nil {
		return show.Report{}, false, l.Explain(err)
	}
	stated := curve.Wear.Stated()
	bar, err := l.Hold(cut, way)
	if err != nil {
		return show.Report{}, false, err
	}
	lies.Bar = &bar
	seat := say.Assumed(&lies, curve, compensate.Stations(best.From, best.To, (best.To-best.From)/16))
	seat.Assumed = append(seat.Assumed, fmt.Sprintf("The length may lie from %s (%s) to %s (%s).", l.Bare(room.From),
		bound(l, room.Low), l.At(room.To), bound(l, room.High)))
	bounded := func(k compensate.Place) answer.BoundedJSON {
		return answer.BoundedJSON{PlacedJSON: answer.PlacedJSON{From: in(k.From), To: in(k.To), Spread: in(k.Spread)},
			Spread95: answer.Null(in(k.Limit), stated), LimitedBy: limitedBy(room, k)}
	}
	j := PlaceJSON{
		Format: 1, Lathe: l.Lathe.Name, Unit: l.In.String(),
		PlacesJSON: PlacesJSON{Length: in(p.Length), Diameter: in(p.Work.Diameter), Bore: p.Work.Bore,
			CentreHeight: in(l.Machine.Lathe.CentreHeight), ToolHeight: in(p.ToolHeight),
			Reach: [2]float64{in(p.From), in(p.To)}, Best: bounded(best), Worst: bounded(worst),
			Good: []answer.RangeJSON{}, Starts: []startJSON{}},
		Assumed: seat.Assumed, Warnings: append([]string{}, seat.Warnings...),
	}
	r := show.Report{Assumed: seat.Assumed, Limits: seat.Limits, Warnings: seat.Warnings}
	r.Answer = append(r.Answer, fmt.Sprintf("Best place for %s: from %s to %s; it varies by %s. "+
		"Worst: from %s, by %s.",
		l.At(p.Length), l.BareAbout(best.From), l.About(best.To), spreads(l, best, stated), l.Near(worst.From),
		spreads(l, worst, stated)))
	if why := goesBy(l, places, p.Work.Tolerance > 0); stated && why != "" {
		r.Answer = append(r.Answer, why)
	}
	if b := room.Bounds(best.From, best.To); b != "" {
		r.Answer = append(r.Answer, "What keeps it from lying further along: "+bound(l, b)+".")
	}
	if way.Tailed() {
		near := say.Near(l)
		if !way.Gripped() {
			near = "the headstock's centre"
		}
		r.Answer = append(r.Answer, fmt.Sprintf("There the work reaches from %s to the tailstock's centre at %s: it "+
			"is %s long, %s diameters, and a shorter piece cannot lie there.",
			near, l.Near(best.To), l.Near(bar.Overhang), word.Fixed(bar.Diameters, 1)))
	}
	if bar.Far {
		r.Answer = append(r.Answer, fmt.Sprintf("There it stands %s diameters out of %s: hold a bar that reaches "+
			"through to the chuck with its end on the tailstock's centre, or turn it between centres; a chuck does "+
			"not move along the bed.", word.Fixed(bar.Diameters, 1), say.Near(l)))
	}
	held := true
	if t := p.Work.Tolerance; t > 0 {
		j.Tolerance = answer.Null(in(t), true)
		j.Probability = answer.Null(best.Within, stated)
		var s string
		s, held = say.Holds(l, curve, " at the best place", best.Spread, compensate.Promise{Within: best.Within},
			stated)
		r.Answer = append(r.Answer, s)
		if where := goodWords(l, places.Good, t, stated); len(places.Good) > 0 {
			r.Answer = append(r.Answer, where)
		} else {
			r.Steps = append(r.Steps, where) // which the best place has said
		}
		if !held {
			r.Answer = append(r.Answer, otherwise(l, curve)...)
		}
	}
	starts := show.Table{Name: "starts", Title: "By where the length lies:", Most: 7,
		Columns: []show.Column{
			{Head: "from, " + l.UnitName(), Key: "from"}, {Head: "to, " + l.UnitName(), Key: "to"},
			{Head: "varies by, " + l.SmallName(), Key: "spread"},
			{Head: "", Key: "bar", Left: true, Spare: true, Full: true}}}
	if stated {
		starts.Columns = slices.Insert(starts.Columns, 3, show.Column{Head: "19 in 20 within", Key: "spread_95"})
	}
	ranked := stated && p.Work.Tolerance > 0
	if ranked {
		starts.Columns = append(starts.Columns, show.Column{Head: "holds " + l.Small(p.Work.Tolerance),
			Key: "probability"})
	}
	starts.Columns = append(starts.Columns, show.Column{Key: "limited_by", Data: true})
	for _, s := range places.Starts {
		j.Starts = append(j.Starts, startJSON{in(s.From), in(s.Spread), answer.Null(in(s.Limit), stated),
			limitedBy(room, s), answer.Null(s.Within, ranked)})
		row := []show.Cell{{Text: l.Bare(s.From), Value: in(s.From)}, {Text: l.Bare(s.To), Value: in(s.To)},
			{Text: l.Cell(s.Spread), Value: in(s.Spread)}, {Text: show.Bar(s.Limit, worst.Limit, 24, false)}}
		if stated {
			row = slices.Insert(row, 3, show.Cell{Text: l.Cell(s.Limit), Value: in(s.Limit)})
		}
		if ranked {
			row = append(row, show.Cell{Text: word.Percent(s.Within), Value: s.Within})
		}
		var by any
		if b := limitedBy(room, s); b != nil {
			by = *b
		}
		starts.Rows = append(starts.Rows, append(row, show.Cell{Value: by}))
	}
	good := show.Table{Name: "good", Title: "Where the length may begin:", Full: true,
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
	r.Next = []string{"What to dial there: wornway correct."}
	r.Cautions = say.Slender(&bar)
	if !way.Tailed() && len(r.Cautions) == 0 {
		r.Cautions = []string{say.Unsupported}
	}
	return r, held, nil
}

const goesByLimit = "Best and worst are judged by what is kept within 19 times in 20, which counts how well the wear " +
	"is known there"

// goesBy says by what best and worst are judged where other columns of the table speak for another place than the best,
// or would make the two seem to be mixed up; empty where none does.
func goesBy(l *shop.Bench, places *compensate.Places, ranked bool) string {
	best := places.Best
	rival := -1
	for i, s := range places.Starts {
		if l.Small(s.Limit) == l.Small(best.Limit) { // as good
			continue
		}
		varies := s.Spread < best.Spread && l.Small(s.Spread) != l.Small(best.Spread)
		sure := ranked && s.Within > best.Within && word.Percent(s.Within) != word.Percent(best.Within)
		if (varies || sure) && (rival < 0 || s.Spread < places.Starts[rival].Spread) {
			rival = i
		}
	}
	switch {
	case rival < 0 && places.Worst.Spread < best.Spread:
		return goesByLimit + "."
	case rival < 0:
		return ""
	}
	s := places.Starts[rival]
	out := fmt.Sprintf("%s: %s at the best place, %s from %s on", goesByLimit, l.Small(best.Limit), l.Small(s.Limit),
		l.Near(s.From))
	if s.Spread < best.Spread {
		out += ", though as computed it varies by less there"
	}
	return out + "."
}

// boundWords say what bounds where a length may lie.
var boundWords = map[setup.Bound]string{setup.ByJaws: "the front of the jaws", setup.ByNose: "the spindle nose",
	setup.ByCentre: "the headstock's centre", setup.BySaddle: "the saddle at the bed's end",
	setup.ByTailstock: "the tailstock's travel", setup.ByOverhang: "how far a free end may stand out",
	setup.ByWear: "the end of the known wear", setup.ByReach: "the reach that was asked for"}

// bound says what bounds where a length may lie, and what of it is taken for granted.
func bound(l *shop.Bench, b setup.Bound) string {
	if _, base := l.Tailstock(); b == setup.ByTailstock && base > 0 {
		return fmt.Sprintf("the tailstock, whose base of %s is taken to stay on the bed; tailstock_travel in "+
			"[lathe.holding] says how far it goes", l.About(base))
	}
	return boundWords[b]
}

// limitedBy names it for a place.
func limitedBy(room setup.Room, k compensate.Place) *string {
	if b := string(room.Bounds(k.From, k.To)); b != "" {
		return &b
	}
	return nil
}

// spreads says what a place makes, and what can be promised of it.
func spreads(l *shop.Bench, k compensate.Place, stated bool) string {
	s := l.Small(k.Spread)
	if stated {
		s += fmt.Sprintf(" (19 times in 20 within %s)", l.Small(k.Limit))
	}
	return s
}

// CutAt is the cut of a length lying at a place.
func CutAt(l *shop.Bench, p compensate.PlaceOptions, at compensate.Place) compensate.Cut {
	f := p.Work
	f.From, f.To = at.From, at.To
	return compensate.Cut{Feature: f, SetAt: at.To, ToolHeight: p.ToolHeight}
}

// goodWords lists where the length may begin.
func goodWords(l *shop.Bench, good []compensate.Range, tolerance float64, stated bool) string {
	what := "As computed, no place keeps it within %s."
	if stated {
		what = "No place can be promised to keep it within %s."
	}
	if len(good) == 0 {
		return fmt.Sprintf(what, l.Small(tolerance))
	}
	s := ""
	for i, g := range good {
		if i > 0 {
			s += "; "
		}
		s += l.BareAbout(g.From) + " to " + l.About(g.To)
	}
	what = "As computed it keeps within %s where the length begins at %s."
	if stated {
		what = "It keeps within %s, at least 19 times in 20, where the length begins at %s."
	}
	return fmt.Sprintf(what, l.Small(tolerance), s)
}

// otherwise says what else could be done where the best place does not do.
func otherwise(l *shop.Bench, c *compensate.Curve) []string {
	t := c.Taper()
	var out []string
	if t.Form < 0.9*t.Spread { // otherwise there is hardly a taper to take out
		out = append(out, fmt.Sprintf("Between centres, with the tailstock set over to take out the straight taper, "+
			"it would vary by %s there.", l.Small(t.Form)))
	}
	if s := l.Lathe.CrossSlide; s != nil {
		dial := compensate.Dial{Diameter: s.Diameter, Division: s.Division, Finest: s.Finest, Backlash: s.Backlash}
		k, err := c.Machine.Correct(c.Cut, compensate.CorrectOptions{Dial: dial, SetAtStart: true, Round: l.RuleStep(),
			Every: []float64{c.From, c.To}})
		if err == nil && len(k.Moves) > 0 {
			out = append(out, fmt.Sprintf("With %s of the cross-slide dial it would vary by %s there "+
				"(wornway correct).", word.Count(len(k.Moves), "setting"), l.Small(k.MovesSpread)))
		}
	}
	return out
}
