package making

import (
	"fmt"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate/plan"
	"wornway/profile/length"
)

// features is the table of what the best plan's features come out like.
func (p *Plans) features(k plan.Plan) show.Table {
	t := show.Table{Name: "features", Columns: []show.Column{{Head: "feature", Key: "name", Left: true, Words: true}}}
	if len(k.SetUps) > 1 {
		t.Columns = append(t.Columns, show.Column{Head: "set-up", Key: "set_up", Spare: true})
	}
	t.Columns = append(t.Columns, []show.Column{
		{Head: "from, " + p.UnitName(), Key: "position"}, {Head: "to, " + p.UnitName(), Key: "to"},
		{Head: "asked", Key: "asked", Left: true, Words: true},
		{Head: "expected, " + p.UnitName(), Key: "expected", Left: true},
		{Head: "±, " + p.SmallName(), Key: "uncertainty"},
		{Head: "held with", Key: "probability"}}...)
	for _, f := range k.Features {
		row := []show.Cell{{Text: f.Name, Value: f.Name}}
		if len(k.SetUps) > 1 {
			row = append(row, show.Cell{Text: fmt.Sprint(f.SetUp + 1), Value: f.SetUp + 1})
		}
		held := "yes"
		switch {
		case k.Stated:
			held = word.Percent(f.Probability)
		case f.Probability == 0:
			held = "no"
		}
		row = append(row, show.Cell{Text: p.BareAbout(f.From), Value: p.In.From(f.From)},
			show.Cell{Text: p.BareAbout(f.To), Value: p.In.From(f.To)},
			show.Cell{Text: p.asked(f, " "+p.UnitName()), Value: p.asked(f, "")},
			show.Cell{Text: p.diameters(f.Low, f.High), Value: p.diameters(f.Low, f.High)},
			show.Cell{Text: p.Expanded(f.Uncertainty, k.Stated), Value: answer.Null(p.In.From(f.Uncertainty),
				k.Stated)},
			show.Cell{Text: held, Value: answer.Null(f.Probability, k.Stated)})
		t.Rows = append(t.Rows, row)
	}
	return t
}

// asked says what is asked of a feature; unit stands behind its limits of size.
func (p *Plans) asked(f plan.Outcome, unit string) string {
	s := ""
	if f.Size != nil {
		s = p.diameters(f.Diameter+f.Size.Lower, f.Diameter+f.Size.Upper) + unit
		if f.Fit != "" {
			s += " " + f.Fit
		}
	}
	for _, l := range []struct {
		what string
		mm   float64
	}{{"spread", f.Tolerance}, {"taper", f.Taper}, {"runout", f.Runout}} {
		if l.mm > 0 {
			if s != "" {
				s += ", "
			}
			s += l.what + " " + p.Small(l.mm)
		}
	}
	return s
}

// diameters writes two diameters as a range.
func (p *Plans) diameters(low, high float64) string {
	return length.Diameter(low, p.In) + "–" + length.Diameter(high, p.In)
}

// plans is the table of the best plans of different kinds.
func (p *Plans) plans() show.Table {
	t := show.Table{Name: "plans", Title: "The best plan of each kind:",
		Columns: []show.Column{{Head: "", Key: "rank"}}}
	if len(p.Lathes) > 1 {
		t.Columns = append(t.Columns, show.Column{Head: "lathe", Key: "lathe", Left: true})
	}
	t.Columns = append(t.Columns, []show.Column{{Head: "held", Key: "held", Left: true, Words: true},
		{Head: "at, " + p.UnitName(), Key: "from"}, {Head: "dial", Key: "dial", Left: true},
		{Head: "measured", Key: "sized", Left: true, Spare: true}, {Head: "settings", Key: "moves"},
		{Head: "effort", Key: "effort", Spare: true},
		{Head: "held with", Key: "probability"}}...)
	const most = 6
	for i, k := range p.Result.Plans[:min(most, len(p.Result.Plans))] {
		held := map[bool]string{true: "yes", false: "no"}[k.Holds]
		if k.Stated {
			held = word.Percent(k.Probability)
		}
		dial, sized := "–", "each"
		switch {
		case k.Dial != nil && k.Dial.Compound:
			dial = "compound"
		case k.Dial != nil:
			dial = "cross"
		}
		if p.once(k) != "" {
			sized = "once"
		}
		row := []show.Cell{{Text: fmt.Sprint(i + 1), Value: i + 1}}
		if len(p.Lathes) > 1 {
			name := p.Question.Lathes[k.Lathe].Name
			row = append(row, show.Cell{Text: name, Value: name})
		}
		t.Rows = append(t.Rows, append(row, show.Cell{Text: p.held(k), Value: p.held(k)},
			show.Cell{Text: p.BareAbout(k.SetUps[0].At), Value: p.In.From(k.SetUps[0].At)},
			show.Cell{Text: dial, Value: dial},
			show.Cell{Text: sized, Value: sized}, show.Cell{Text: fmt.Sprint(k.Moves), Value: k.Moves},
			show.Cell{Text: fmt.Sprint(k.Effort), Value: k.Effort},
			show.Cell{Text: held, Value: answer.Null(k.Probability, k.Stated)}))
	}
	return t
}
