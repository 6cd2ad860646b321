package making

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/plan"
	"wornway/compensate/work"
	"wornway/profile/length"
)

// step is one line of the run sheet. Lengths mm; NaN: none.
type step struct {
	setUp    int
	do       string // hold, set, rough, dial, finish or measure
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

// Sheet is the run sheet of the best plan.
func (p *Plans) Sheet() show.Report {
	k := p.Result.Plans[0]
	r := show.Report{Answer: []string{p.sheetTitle(k), p.verdict(k)}, Assumed: p.assumed(k), Warnings: p.Warnings(),
		Usual: say.CutCautions, Cautions: p.cautions(k)}
	var steps []step
	for i := range k.SetUps {
		steps = append(steps, p.holdSteps(k, i)...)
		steps = append(steps, p.cutSteps(k, i)...)
	}
	t := show.Table{Name: "steps", Columns: []show.Column{{Head: "", Key: "step"},
		{Head: "feature", Key: "feature", Left: true}, {Head: "do", Key: "text", Left: true},
		{Head: "at, " + p.UnitName(), Key: "position"}, {Head: "diameter, " + p.UnitName(), Key: "diameter"},
		{Head: "came out", Key: "came_out", Left: true}}}
	j := sheetJSON{Format: 1, Job: p.File.Job.Name, Unit: p.In.String(), Lathe: p.Question.Lathes[k.Lathe].Name,
		Probability: answer.Null(k.Probability, k.Stated), Holds: k.Holds, Assumed: r.Assumed,
		Warnings: append([]string{}, r.Warnings...)}
	for i, s := range steps {
		at, diameter, out := "", "", ""
		if !math.IsNaN(s.at) {
			at = p.BareAbout(s.at)
		}
		if !math.IsNaN(s.diameter) {
			diameter = length.Diameter(s.diameter, p.In)
		}
		if s.do == "measure" {
			out = "______"
		}
		o := stepJSON{i + 1, s.setUp + 1, s.do, s.feature, answer.Null(p.In.From(s.at), !math.IsNaN(s.at)),
			answer.Null(p.In.From(s.diameter), !math.IsNaN(s.diameter)), s.text}
		j.Steps = append(j.Steps, o)
		t.Rows = append(t.Rows, []show.Cell{{Text: fmt.Sprint(i + 1), Value: i + 1},
			{Text: s.feature, Value: s.feature}, {Text: s.text, Value: s.text}, {Text: at, Value: o.Position},
			{Text: diameter, Value: o.Diameter}, {Text: out, Value: ""}})
	}
	r.Tables = []show.Table{t}
	r.Remarks = []string{
		"Features are cut feeding toward the headstock where nothing else is said. " +
			"Measure with the spindle stopped, and " +
			"before a finishing cut with the work cool. Further passes are made at the same setting.",
		"Positions count from the spindle nose.",
		"The sheet holds for this lathe, this saddle and this levelling: after moving, levelling or gib work it is " +
			"stale."}
	r.Remarks = append(p.onFinished(k), r.Remarks...)
	r.JSON = j
	return r
}

func (p *Plans) sheetTitle(k plan.Plan) string {
	s := "Run sheet"
	if n := p.File.Job.Name; n != "" {
		s += " for " + n
	}
	return s + " on “" + p.Question.Lathes[k.Lathe].Name + "”."
}

// holdSteps are those before the first cut of a set-up.
func (p *Plans) holdSteps(k plan.Plan, setUp int) []step {
	u := k.SetUps[setUp]
	var out []step
	plain := func(do, text string, at float64) step {
		return step{setUp: setUp, do: do, at: at, diameter: math.NaN(), text: text}
	}
	part := p.File.Job.Part
	if u.EndForEnd {
		out = append(out, plain("hold", "turn the part end for end", math.NaN()))
	}
	out = append(out, plain("hold", map[work.Holding]string{work.Chuck: "chuck",
		work.ChuckAndCentre: "chuck and centre", work.Centres: "centres"}[u.Way]+"; headstock end at", u.At))
	if u.Way.Gripped() {
		out = append(out, plain("hold", fmt.Sprintf("%s stand out, %s are held", p.About(u.Overhang), p.At(part.Grip)),
			math.NaN()))
	}
	if u.Way.Tailed() {
		out = append(out, plain("hold", "tailstock's centre here, clamp it", u.At+part.Length))
	}
	if u.SetOver != 0 {
		out = append(out, plain("set", "tailstock "+p.SetOver(u.SetOver), math.NaN()))
	}
	if u.Steady != nil {
		text := "steady here, pads just touching the running work"
		if u.Way.Tailed() {
			text = "steady here, last: pads just touching the running work"
		}
		out = append(out, plain("hold", text, *u.Steady))
	}
	if k.Dial != nil && k.Dial.Compound {
		out = append(out, plain("set", fmt.Sprintf("compound to %.2f° from the bed", k.Dial.Angle*180/math.Pi),
			math.NaN()))
	}
	return out
}

// cutSteps are those of the features of a set-up, in cutting order.
func (p *Plans) cutSteps(k plan.Plan, setUp int) []step {
	var out []step
	features := k.SetUps[setUp].Features
	for _, number := range features {
		f := k.Features[slices.IndexFunc(k.Features, func(o plan.Outcome) bool { return o.Number == number })]
		say := func(do string, at, diameter float64, format string, args ...any) {
			out = append(out, step{setUp, do, f.Name, at, diameter, fmt.Sprintf(format, args...)})
		}
		none := math.NaN()
		left := ""
		if d := p.File.Job.Part.Cut.Depth; d > 0 {
			left = fmt.Sprintf(", leave %s", p.allowance(2*d))
		}
		start, end := f.Start(), f.End()
		say("rough", start, none, "rough to %s%s", p.About(end), left)
		if f.ByDial {
			say("dial", start, f.Aim, "by the dial from %s to", p.File.Job.Features[features[0]].Name)
		} else {
			say("dial", start, f.Aim, "stop, measure here, dial to")
		}
		if f.Bore {
			say("dial", start, none, "come to size from below: a bore too big is scrap")
		}
		say("finish", end, none, "finish, ending here%s%s%s", toward(f), p.springs(), p.moves(f))
		if f.Correction != nil {
			for _, m := range f.Correction.Moves {
				take := ""
				if m.TakeUp {
					take = fmt.Sprintf(" (go %s past it by more than the backlash, then come %s)",
						map[bool]string{true: "in", false: "out"}[f.Bore], map[bool]string{true: "out",
							false: "in"}[f.Bore])
				}
				say("dial", m.Position, none, "  %s %s%s", map[bool]string{true: "IN", false: "OUT"}[m.Change > 0],
					word.Divisions(math.Abs(k.Dial.Divisions(m.Change))), take)
			}
		}
		say("measure", start, f.Aim, "measure; along it %s", p.diameters(f.Low, f.High))
	}
	return out
}

// allowance writes what is left to be cut, as short as it is.
func (p *Plans) allowance(mm float64) string {
	s, unit, _ := strings.Cut(p.Small(mm), " ")
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s + " " + unit
}

func (p *Plans) springs() string {
	switch n := p.File.Job.Part.Cut.SpringPasses; n {
	case 0:
		return ""
	case 1:
		return ", and once more"
	default:
		return fmt.Sprintf(", and %d times more", n)
	}
}

// toward says which way a feature is fed that is not fed as the others are.
func toward(f plan.Outcome) string {
	if f.Feed == compensate.TowardTailstock {
		return ", feeding toward the tailstock"
	}
	return ""
}

// moves leads over to the settings along a feature.
func (p *Plans) moves(f plan.Outcome) string {
	if f.Correction == nil {
		return ""
	}
	return ", on the way:"
}
