package ways

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
)

type verdictJSON struct {
	Format   int              `json:"format"`
	Lathe    string           `json:"lathe"`
	Unit     string           `json:"unit"`
	Diameter float64          `json:"diameter"`
	Lengths  []verdictRowJSON `json:"lengths"`
	Held     []heldJSON       `json:"tolerances"`
	Deepest  *deepestJSON     `json:"deepest"`
	Class    classJSON        `json:"class"`
	Untested []string         `json:"not_tested"`
	Further  []string         `json:"ten_more_minutes"`
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

// classJSON is how worn the lathe is, by the spread over one length at its worst place.
type classJSON struct {
	Name          string             `json:"name"`
	Length        float64            `json:"length"`
	Spread        float64            `json:"spread"`
	Likely        *[2]float64        `json:"spread_95"`
	Probabilities map[string]float64 `json:"probabilities"`
	Limits        map[string]float64 `json:"limits"`
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
	r := show.Report{Warnings: say.Warned(l), Assumed: append(say.Geometry(l), say.Wear(l)...),
		Limits: say.Departs(l)}
	vs, err := Capabilities(l)
	if err != nil {
		return r, err
	}
	in, stated := l.In.From, l.Machine.Wear.Stated()
	v := verdict{Bench: l, all: vs, stated: stated}
	if err := v.judge(); err != nil {
		return r, err
	}
	j := verdictJSON{Format: 1, Lathe: l.Lathe.Name, Unit: l.In.String(), Diameter: in(shop.UsualDiameter(l.In)),
		Lengths: []verdictRowJSON{}, Held: []heldJSON{},
		Class: v.json(), Untested: untested, Further: v.further(),
		Damage: damageWords(l), Unseen: append(say.Unseen(l), v.basis()...),
		Warnings: append([]string{}, r.Warnings...), Assumed: r.Assumed}
	lengths, held := lengthTable(l, &j, vs, stated), toleranceTable(l, &j, vs)
	if v.worst = deepest(l); v.worst.drop > 0 {
		j.Deepest = v.worst.json()
	}
	v.words(&r)
	r.Tables, r.JSON = []show.Table{lengths, held}, j
	if len(l.Damage) == 0 { // otherwise the answer has it
		r.Remarks = j.Damage
	}
	r.Remarks = slices.Concat(r.Remarks, []string{notLooked}, j.Further, j.Unseen, proof)
	r.Notes = slices.Concat(v.limits(), []string{"Not looked at, what costs most first: " +
		strings.Join(untested, "; ") + "."},
		v.reading(), say.CutCautions)
	return r, nil
}

// correctsNothing says whether every length is kept within as much corrected as not.
func correctsNothing(l *shop.Bench, vs []compensate.Capability) bool {
	return !slices.ContainsFunc(vs, func(v compensate.Capability) bool {
		return l.Small(v.Corrected) != l.Small(v.Anywhere) || l.Small(v.BestCorrected) != l.Small(v.Best)
	})
}

// lengthTable is what each length keeps within.
func lengthTable(l *shop.Bench, j *verdictJSON, vs []compensate.Capability, stated bool) show.Table {
	in, same := l.In.From, correctsNothing(l, vs)
	t := show.Table{Name: "lengths", Title: fmt.Sprintf("What a length at %s diameter varies by at the most, 19 times "+
		"in 20, %s:", l.At(shop.UsualDiameter(l.In)), l.SmallName()), Columns: []show.Column{
		{Head: "length, " + l.UnitName(), Key: "length"}, {Head: "anywhere", Key: "anywhere"},
		{Head: "at its\nbest", Key: "at_best"}, {Head: "best from,\n" + l.UnitName(), Key: "best_from"},
		{Head: "corrected,\nanywhere", Key: "corrected_anywhere", Data: same},
		{Head: "corrected,\nat its best", Key: "corrected_at_best", Data: same},
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
	in, same := l.In.From, correctsNothing(l, vs)
	t := show.Table{Name: "tolerances", Full: true, Title: fmt.Sprintf("The longest of these lengths that keeps "+
		"within a tolerance, %s:", l.UnitName()), Columns: []show.Column{
		{Head: "tolerance, " + l.SmallName(), Key: "tolerance"}, {Head: "anywhere", Key: "anywhere"},
		{Head: "at its\nbest", Key: "at_best"},
		{Head: "corrected,\nanywhere", Key: "corrected_anywhere", Data: same},
		{Head: "corrected,\nat its best", Key: "corrected_at_best", Data: same},
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

// damageWords says the damage that was seen.
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

// Capabilities works out what each usual length comes out within.
func Capabilities(l *shop.Bench) ([]compensate.Capability, error) {
	t := compensate.Trial{Lengths: shop.UsualLengths(l.In), Diameter: shop.UsualDiameter(l.In), Dial: l.Dial(),
		Round: l.RuleStep()}
	t.From, t.To = l.Reach()
	all, err := l.Machine.Capabilities(t)
	return all, l.Explain(err)
}
