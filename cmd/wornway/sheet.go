package main

import (
	"fmt"
	"math"

	"wornway/cmd/wornway/internal/show"
	"wornway/compensate/plan"
	"wornway/compensate/work"
	"wornway/profile/length"
)

// step is one line of the run sheet. Lengths mm; NaN: none.
type step struct {
	setUp    int
	do       string // hold, set, cut, measure, dial, expect
	feature  string
	at       float64
	diameter float64
	text     string
}

type sheetJSON struct {
	Format      int        `json:"format"`
	Job         string     `json:"job"`
	Unit        string     `json:"unit"`
	Lathe       string     `json:"lathe"`
	Steps       []stepJSON `json:"steps"`
	Probability *float64   `json:"probability"`
	Holds       bool       `json:"holds"`
	Assumed     []string   `json:"assumed"`
	Warnings    []string   `json:"warnings"`
}

type stepJSON struct {
	Step     int      `json:"step"`
	SetUp    int      `json:"set_up"`
	Do       string   `json:"do"`
	Feature  string   `json:"feature"`
	Position *float64 `json:"position"`
	Diameter *float64 `json:"diameter"`
	Text     string   `json:"text"`
}

// sheet is the run sheet of the best plan.
func (p *planned) sheet() show.Report {
	k := p.result.Plans[0]
	r := show.Report{Answer: []string{p.sheetTitle(k), p.verdict(k)}, Assumed: p.assumed(k), Warnings: p.warnings(), Cautions: p.cautions(k)}
	var steps []step
	for i := range k.SetUps {
		steps = append(steps, p.holdSteps(k, i)...)
		steps = append(steps, p.cutSteps(k, i)...)
	}
	t := show.Table{Name: "steps", Columns: []show.Column{{Head: "", Key: "step"}, {Head: "do", Key: "text", Left: true},
		{Head: "at, " + p.inch(), Key: "position"}, {Head: "diameter, " + p.inch(), Key: "diameter"}, {Head: "came out", Key: "came_out", Left: true}}}
	j := sheetJSON{Format: 1, Job: p.file.Job.Name, Unit: p.unit.String(), Lathe: p.question.Lathes[k.Lathe].Name, Probability: null(k.Probability, k.Stated), Holds: k.Holds, Assumed: r.Assumed, Warnings: append([]string{}, r.Warnings...)}
	for i, s := range steps {
		at, diameter, out := "", "", ""
		if !math.IsNaN(s.at) {
			at = p.bareAbout(s.at)
		}
		if !math.IsNaN(s.diameter) {
			diameter = length.Diameter(s.diameter, p.unit)
		}
		if s.do == "measure" {
			out = "______"
		}
		o := stepJSON{i + 1, s.setUp + 1, s.do, s.feature, null(p.unit.From(s.at), !math.IsNaN(s.at)), null(p.unit.From(s.diameter), !math.IsNaN(s.diameter)), s.text}
		j.Steps = append(j.Steps, o)
		t.Rows = append(t.Rows, []show.Cell{{Text: fmt.Sprint(i + 1), Value: i + 1}, {Text: s.text, Value: s.text}, {Text: at, Value: o.Position}, {Text: diameter, Value: o.Diameter}, {Text: out, Value: ""}})
	}
	r.Tables = []show.Table{t}
	r.Remarks = []string{"Positions count from the spindle nose. Each feature is measured where it begins, at its tailstock end, unless the step says otherwise.",
		"The sheet holds for this lathe, this saddle and this levelling: after moving, levelling or gib work it is stale."}
	r.JSON = j
	return r
}

func (p *planned) sheetTitle(k plan.Plan) string {
	s := "Run sheet"
	if n := p.file.Job.Name; n != "" {
		s += " for " + n
	}
	return s + " on “" + p.question.Lathes[k.Lathe].Name + "”."
}

// holdSteps are those before the first cut of a set-up.
func (p *planned) holdSteps(k plan.Plan, setUp int) []step {
	u := k.SetUps[setUp]
	plain := func(do, text string, at float64) step {
		return step{setUp: setUp, do: do, at: at, diameter: math.NaN(), text: text}
	}
	part := p.file.Job.Part
	how := "Hold the part " + u.Way.Words()
	if u.EndForEnd {
		how = "Turn the part end for end and hold it " + u.Way.Words()
	}
	how += ", its headstock end here"
	out := []step{plain("hold", how, u.At)}
	if u.Way.Gripped() {
		out = append(out, plain("hold", fmt.Sprintf("See that it stands %s out of the jaws and is held over at least %s", p.about(u.Overhang), p.at(part.Grip)), math.NaN()))
	}
	if u.Steady != nil {
		out = append(out, plain("hold", "Set the steady here, so that it does not push the work aside", *u.Steady))
	}
	if u.Way.Tailed() {
		out = append(out, plain("hold", "Bring the tailstock up, its centre's point here; clamp it", u.At+part.Length))
	}
	if u.SetOver != 0 {
		out = append(out, plain("set", fmt.Sprintf("Set the tailstock over by %s %s, by an indicator on its quill", p.small(math.Abs(u.SetOver)), map[bool]string{true: "toward the operator", false: "away from the operator"}[u.SetOver > 0]), math.NaN()))
	}
	if k.Dial != nil && k.Dial.Compound {
		out = append(out, plain("set", fmt.Sprintf("Turn the compound to %.2f° from the bed's axis: every diameter below is set by it", k.Dial.Angle*180/math.Pi), math.NaN()))
	}
	return out
}

// cutSteps are those of the features of a set-up, in cutting order.
func (p *planned) cutSteps(k plan.Plan, setUp int) []step {
	var out []step
	for n, number := range k.SetUps[setUp].Features {
		var f plan.Outcome
		for _, o := range k.Features {
			if o.Number == number {
				f = o
			}
		}
		say := func(do string, at, diameter float64, format string, args ...any) {
			out = append(out, step{setUp, do, f.Name, at, diameter, fmt.Sprintf(format, args...)})
		}
		none := math.NaN()
		left := "leave the finishing cut on"
		if d := p.file.Job.Part.Cut.Depth; d > 0 {
			left = fmt.Sprintf("leave %s on the diameter for the finishing cut", p.small(2*d))
		}
		if f.Bore {
			left += "; come to size from below"
		}
		say("cut", f.To, none, "%s: rough it from here to %s, feeding toward the headstock; %s", f.Name, p.about(f.From), left)
		if f.Sized == work.Once && n > 0 {
			say("dial", f.To, f.Aim, "%s: go to this diameter by the dial alone, from the reading at %s", f.Name, p.file.Job.Features[k.SetUps[setUp].Features[0]].Name)
		} else {
			say("dial", f.To, f.Aim, "%s: stop, measure here and dial to come to this diameter here", f.Name)
		}
		say("cut", f.From, none, "%s: take the finishing cut, ending here%s%s", f.Name, p.springs(), p.moves(f))
		if f.Correction != nil {
			for _, m := range f.Correction.Moves {
				to := map[bool]string{true: "IN", false: "OUT"}[m.Change > 0]
				take := ""
				if m.TakeUp {
					take = ", taking out the backlash"
				}
				say("dial", m.Position, none, "    here turn %s %s%s", to, divisions(math.Abs(k.Dial.Divisions(m.Change))), take)
			}
		}
		at := "here"
		if f.Sized == work.Once && n > 0 {
			at = "here, where it was set"
		}
		say("measure", f.To, f.Aim, "%s: spindle stopped, measure %s; along it expect %s", f.Name, at, p.diameters(f.Low, f.High))
	}
	return out
}

func (p *planned) springs() string {
	switch n := p.file.Job.Part.Cut.SpringPasses; n {
	case 0:
		return ""
	case 1:
		return ", and once more at the same setting"
	default:
		return fmt.Sprintf(", and %d times more at the same setting", n)
	}
}

// moves leads over to the settings along a feature.
func (p *planned) moves(f plan.Outcome) string {
	if f.Correction == nil {
		return ""
	}
	return ", with these settings on the way:"
}
