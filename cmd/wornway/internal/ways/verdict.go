package ways

import (
	"fmt"
	"math"
	"slices"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/bed"
)

type verdictJSON struct {
	Format   int              `json:"format"`
	Lathe    string           `json:"lathe"`
	Unit     string           `json:"unit"`
	Diameter float64          `json:"diameter"`
	Lengths  []verdictRowJSON `json:"lengths"`
	Held     []heldJSON       `json:"tolerances"`
	Deepest  *deepestJSON     `json:"deepest"`
	Damage   []string         `json:"damage"`
	Unseen   []string         `json:"unseen"`
	Assumed  []string         `json:"assumed"`
	Warnings []string         `json:"warnings"`
}

// verdictRowJSON is what a length comes out within: with 95 % probability where the wear has a ±.
type verdictRowJSON struct {
	Length        float64  `json:"length"`
	Anywhere      float64  `json:"anywhere"`
	AtBest        float64  `json:"at_best"`
	Best          float64  `json:"best_from"`
	Corrected     *float64 `json:"corrected_anywhere"`
	CorrectedBest *float64 `json:"corrected_at_best"`
	Reground      *float64 `json:"after_regrind"`
	Probable      bool     `json:"probable"`
}

// heldJSON is the longest of the lengths that keeps within a tolerance: null for none, or where it cannot be said.
type heldJSON struct {
	Tolerance     float64  `json:"tolerance"`
	Anywhere      *float64 `json:"anywhere"`
	AtBest        *float64 `json:"at_best"`
	Corrected     *float64 `json:"corrected_anywhere"`
	CorrectedBest *float64 `json:"corrected_at_best"`
	Reground      *float64 `json:"after_regrind"`
}

func VerdictReport(l *shop.Bench) (show.Report, error) {
	r := show.Report{Warnings: say.Warnings(l.Profile), Assumed: append(say.Geometry(l), say.Wear(l)...),
		Cautions: say.CutCautions}
	vs, err := Capabilities(l)
	if err != nil {
		return r, err
	}
	in, stated := l.In.From, l.Machine.Wear.Stated()
	j := verdictJSON{Format: 1, Lathe: l.Lathe.Name, Unit: l.In.String(), Diameter: in(shop.UsualDiameter(l.In)),
		Lengths: []verdictRowJSON{}, Held: []heldJSON{},
		Damage: damageWords(l), Unseen: append(say.Unseen(l), neverSeen(l)...),
		Warnings: append([]string{}, r.Warnings...), Assumed: r.Assumed}
	lengths, held := lengthTable(l, &j, vs, stated), toleranceTable(l, &j, vs)
	if way, z, drop := l.Deepest(); drop > 0 {
		u, known := l.Uncertainty(bed.At(way, 0), z)
		j.Deepest = &deepestJSON{way.String(), in(z), in(drop), answer.Null(in(u), known)}
	}
	r.Answer = verdictWords(l, vs, stated)
	r.Tables, r.JSON = []show.Table{lengths, held}, j
	remarks := j.Damage
	if len(l.Damage) > 0 { // the answer has it
		remarks = nil
	}
	r.Remarks = slices.Concat(remarks, j.Unseen, proofWords(l, stated))
	return r, nil
}

// lengthTable is what each length keeps within.
func lengthTable(l *shop.Bench, j *verdictJSON, vs []compensate.Capability, stated bool) show.Table {
	in := l.In.From
	t := show.Table{Name: "lengths", Title: fmt.Sprintf("What the spread of a length at %s diameter keeps within, %s "+
		"on diameter:", l.At(shop.UsualDiameter(l.In)), l.SmallName()), Columns: []show.Column{
		{Head: "length, " + l.UnitName(), Key: "length"}, {Head: "anywhere", Key: "anywhere"},
		{Head: "at its\nbest", Key: "at_best"}, {Head: "best from,\n" + l.UnitName(), Key: "best_from"},
		{Head: "corrected,\nanywhere", Key: "corrected_anywhere"},
		{Head: "corrected,\nat its best", Key: "corrected_at_best"},
		{Head: "after a\nregrind", Key: "after_regrind"}}}
	cell := func(x float64) show.Cell {
		if math.IsNaN(x) {
			return show.Cell{Text: "–"}
		}
		return show.Cell{Text: l.Cell(x), Value: in(x)}
	}
	for _, v := range vs {
		row := verdictRowJSON{in(v.Length), in(v.Anywhere), in(v.Best),
			in(v.BestFrom), answer.Null(in(v.Corrected), true),
			answer.Null(in(v.BestCorrected), true), answer.Null(in(v.Reground), true), stated}
		j.Lengths = append(j.Lengths, row)
		t.Rows = append(t.Rows, []show.Cell{{Text: l.Bare(v.Length), Value: row.Length}, cell(v.Anywhere), cell(v.Best),
			{Text: l.BareAbout(v.BestFrom), Value: row.Best}, cell(v.Corrected), cell(v.BestCorrected),
			cell(v.Reground)})
	}
	return t
}

// LongestWithin returns the longest of the lengths up to which all keep within a tolerance; NaN for none.
func LongestWithin(vs []compensate.Capability, tolerance float64, of func(compensate.Capability) float64) float64 {
	out := math.NaN()
	for _, v := range vs {
		if !(of(v) <= tolerance) {
			break
		}
		out = v.Length
	}
	return out
}

// toleranceTable is the same the other way round.
func toleranceTable(l *shop.Bench, j *verdictJSON, vs []compensate.Capability) show.Table {
	in := l.In.From
	t := show.Table{Name: "tolerances", Title: fmt.Sprintf("The longest of these lengths that keeps within a "+
		"tolerance, %s:", l.UnitName()), Columns: []show.Column{
		{Head: "tolerance, " + l.SmallName(), Key: "tolerance"}, {Head: "anywhere", Key: "anywhere"},
		{Head: "at its\nbest", Key: "at_best"},
		{Head: "corrected,\nanywhere", Key: "corrected_anywhere"},
		{Head: "corrected,\nat its best", Key: "corrected_at_best"},
		{Head: "after a\nregrind", Key: "after_regrind"}}}
	for _, tolerance := range shop.UsualTolerances(l.In) {
		h := heldJSON{Tolerance: in(tolerance)}
		row := []show.Cell{{Text: l.Cell(tolerance), Value: h.Tolerance}}
		for _, k := range []struct {
			to **float64
			of func(compensate.Capability) float64
		}{
			{&h.Anywhere, func(v compensate.Capability) float64 { return v.Anywhere }},
			{&h.AtBest, func(v compensate.Capability) float64 { return v.Best }},
			{&h.Corrected, func(v compensate.Capability) float64 { return v.Corrected }},
			{&h.CorrectedBest, func(v compensate.Capability) float64 { return v.BestCorrected }},
			{&h.Reground, func(v compensate.Capability) float64 { return v.Reground }},
		} {
			n := LongestWithin(vs, tolerance, k.of)
			*k.to = answer.Null(in(n), true)
			switch {
			case len(vs) > 0 && math.IsNaN(k.of(vs[0])):
				row = append(row, show.Cell{Text: "–"})
			case math.IsNaN(n):
				row = append(row, show.Cell{Text: "none"})
			default:
				row = append(row, show.Cell{Text: l.Bare(n), Value: in(n)})
			}
		}
		j.Held = append(j.Held, h)
		t.Rows = append(t.Rows, row)
	}
	return t
}

// verdictWords says what the lathe will turn.
func verdictWords(l *shop.Bench, vs []compensate.Capability, stated bool) []string {
	if len(vs) == 0 {
		return []string{"The known wear is too short for any of the usual part lengths; nothing can be said of what " +
			"this lathe will turn."}
	}
	short, long := vs[0], vs[min(regrindTold-1, len(vs)-1)]
	sure := " As computed: the wear has no ±, so how sure that is cannot be said."
	if stated {
		sure = " Both with 95 % probability, by what is known of the wear."
		if long.Length == short.Length {
			sure = " That is with 95 % probability, by what is known of the wear."
		}
	}
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	lengths := func(pick func(v compensate.Capability) (anywhere, best float64), from bool) string {
		s := ""
		for i, v := range []compensate.Capability{short, long} {
			if i > 0 {
				if long.Length == short.Length {
					break
				}
				s += "; "
			}
			anywhere, best := pick(v)
			s += fmt.Sprintf("%s within %s anywhere, and within %s at its best place", l.At(v.Length),
				l.Small(anywhere), l.Small(best))
			if from {
				s += fmt.Sprintf(" (from %s)", l.About(v.BestFrom))
			}
		}
		return s
	}
	begin := "As it stands"
	if math.IsNaN(short.Reground) { // what the spindle adds is not known
		begin = "As it stands, and as far as the bed goes,"
	}
	say("%s this lathe turns %s.%s", begin, lengths(func(v compensate.Capability) (float64,
		float64) {
		return v.Anywhere, v.Best
	},
		true), sure)
	if math.IsNaN(short.Corrected) {
		say("What corrections at the dial would bring cannot be said: the profile has no [lathe.cross_slide].")
	} else {
		say("Corrected at the cross slide's dial it turns %s.",
			lengths(func(v compensate.Capability) (float64, float64) { return v.Corrected, v.BestCorrected }, false))
	}
	out = append(out, afterRegrind(l, long))
	const little = 0.7 // of the spread is left
	if stated && !math.IsNaN(long.Corrected) && long.Corrected > little*long.Anywhere {
		say("Much of that is not wear but what is not known of it: over %s corrections gain little until more is "+
			"measured. wear --for says what to measure.", l.At(long.Length))
	}
	for _, d := range l.Damage {
		say("There is damage on the %s way, %s to %s%s, which is in none of these numbers.", d.Way, l.Bare(d.From),
			l.At(d.To), word.Note(d.Note))
	}
	return out
}

// afterRegrind says what of the error a regrind would take away, and what it would not.
func afterRegrind(l *shop.Bench, v compensate.Capability) string {
	s := "After a regrind that leaves the ways straight and the bed without twist, the bed's part is gone. What " +
		"stays is the spindle's lean: "
	if math.IsNaN(v.Reground) {
		s += fmt.Sprintf("nothing here has measured it, so that it is in none of these numbers; one of 0.02 mm over "+
			"300 mm would add %s over %s.", l.Small(compensate.UsualLean(v.Length)), l.At(v.Length))
	} else {
		s += fmt.Sprintf("up to %s over %s, unless it is set right with the bed.", l.Small(v.Reground), l.At(v.Length))
	}
	return s + " And whatever is not the bed stays too: spindle bearings, gibs, and the give of work and tool."
}

// damageWords tells of the damage that was seen.
func damageWords(l *shop.Bench) []string {
	out := []string{}
	for _, d := range l.Damage {
		out = append(out, fmt.Sprintf("Damage seen: %s way, %s to %s%s.", d.Way, l.Bare(d.From), l.At(d.To),
			word.Note(d.Note)))
	}
	if len(out) == 0 {
		out = append(out, "The profile notes no damage: whether somebody looked for it, it does not say.")
	}
	return out
}

// neverSeen is what no survey of the ways can tell.
func neverSeen(l *shop.Bench) []string {
	var out []string
	if len(l.Surveys) == 0 {
		out = append(out, "The drops are as somebody stated them; no readings stand behind them here.")
	}
	return append(out, "Not seen at all: spindle bearings, gibs and the saddle's own faces, leadscrew and nuts, the "+
		"tailstock's height and barrel, cracks, and how the bed was set up when it was measured. Look at them before "+
		"money changes hands.")
}

// proofWords say how the numbers are to be read.
func proofWords(l *shop.Bench, stated bool) []string {
	s := "Anywhere is at the worst place from the spindle nose on; the tool is set at the length's tailstock end, " +
		"the work held by the spindle alone."
	if stated {
		s += " The spread stays within these numbers with at least 95 % probability by what is known of the wear."
	}
	return []string{s, "A best place further out than the chuck can hold work by itself, about 3 diameters, needs " +
		"the tailstock or a steady; how well those stand in line comes on top.",
		"This is no acceptance test: no limit of a standard is applied. The proof is in a cut: turn a bar, measure " +
			"it, and compare it with what predict says."}
}

// Capabilities works out what each usual length comes out within.
func Capabilities(l *shop.Bench) ([]compensate.Capability, error) {
	t := compensate.Trial{Lengths: shop.UsualLengths(l.In), Diameter: shop.UsualDiameter(l.In), Dial: l.Dial(),
		Round: l.RuleStep()}
	t.From, t.To = l.Reach()
	all, err := l.Machine.Capabilities(t)
	return all, l.Explain(err)
}
