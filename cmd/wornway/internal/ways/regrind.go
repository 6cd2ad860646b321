package ways

import (
	"fmt"
	"slices"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/length"
)

type regrindJSON struct {
	Length      float64           `json:"length"`
	WorstTaper  taperedJSON       `json:"worst_taper"`
	BestTaper   taperedJSON       `json:"best_taper"`
	WorstSpread answer.PlacedJSON `json:"worst_spread"`
	BestSpread  answer.PlacedJSON `json:"best_spread"`
}

type taperedJSON struct {
	From  float64 `json:"from"`
	To    float64 `json:"to"`
	Slope float64 `json:"slope"`
}

// regrindTold is how many of the lengths are tried for the sentence: it reports the last of them that the bed is long
// enough for.
const regrindTold = 4

// regrind says what the wear does to part lengths anywhere on the bed.
func regrind(l *shop.Bench, j *WearJSON) (show.Table, string, error) {
	lengths, diameter := shop.UsualLengths(l.In), shop.UsualDiameter(l.In)
	unit := "thou/ft"
	if l.In != length.Inch {
		unit = "µm/100\u00a0mm"
	}
	t := show.Table{Name: "regrind", Full: true, Title: fmt.Sprintf("The worst and the best that this bed does to a "+
		"length at %s diameter, as computed, anywhere from the spindle nose on:", l.At(diameter)),
		Columns: []show.Column{
			{Head: "length, " + l.UnitName(), Key: "length"}, {Head: "", Key: "which", Left: true},
			{Head: "taper, " + unit, Key: "slope"}, {Head: "from, " + l.UnitName(), Key: "slope_from"},
			{Head: "spread, " + l.SmallName(), Key: "spread"}, {Head: "from, " + l.UnitName(), Key: "spread_from"},
		}}
	from, to := l.Reach()
	in := l.In.From
	sentence := ""
	lengths = slices.DeleteFunc(lengths, func(n float64) bool { return n > to-from })
	spans, err := l.Machine.Spans(compensate.PlaceOptions{Work: work.Feature{Diameter: diameter}, From: from, To: to},
		lengths...)
	if err != nil {
		return t, "", l.Explain(err)
	}
	for _, s := range spans {
		n := s.Length
		row := func(which string, taper, spread compensate.SpanPlace) {
			slope := taper.Slope
			t.Rows = append(t.Rows, []show.Cell{
				{Text: l.Bare(n), Value: in(n)}, {Text: which, Value: which},
				{Text: slopeCell(l, slope), Value: slope}, {Text: l.BareAbout(taper.From), Value: in(taper.From)},
				{Text: l.Cell(spread.Spread), Value: in(spread.Spread)},
				{Text: l.BareAbout(spread.From), Value: in(spread.From)},
			})
		}
		row("worst", s.WorstTaper, s.WorstSpread)
		row("best", s.BestTaper, s.BestSpread)
		j.Regrind = append(j.Regrind, regrindJSON{in(n),
			taperedJSON{in(s.WorstTaper.From), in(s.WorstTaper.To), s.WorstTaper.Slope},
			taperedJSON{in(s.BestTaper.From), in(s.BestTaper.To), s.BestTaper.Slope},
			answer.PlacedJSON{From: in(s.WorstSpread.From), To: in(s.WorstSpread.To), Spread: in(s.WorstSpread.Spread)},
			answer.PlacedJSON{From: in(s.BestSpread.From), To: in(s.BestSpread.To), Spread: in(s.BestSpread.Spread)}})
		if len(j.Regrind) > regrindTold {
			continue
		}
		best := ""
		if !l.Machine.Wear.Stated() { // otherwise the best place is where least can be promised: place finds it
			best = fmt.Sprintf(" (from %s)", l.Near(s.BestSpread.From))
		}
		sentence = fmt.Sprintf("Would you notice a regrind? As computed, a length of %s at %s diameter varies by %s "+
			"at worst (from %s) and by %s at best%s.",
			l.At(n), l.At(diameter), l.Small(s.WorstSpread.Spread), l.Near(s.WorstSpread.From),
			l.Small(s.BestSpread.Spread), best)
	}
	if sentence == "" {
		sentence = "The known wear is too short for any of the usual part lengths."
	}
	return t, sentence, nil
}

// slopeCell writes a slope on diameter for a column whose heading names the unit.
func slopeCell(l *shop.Bench, slope float64) string {
	if l.In == length.Inch {
		return length.Fixed(slope*12000, 2)
	}
	return length.Fixed(slope*1e5, 1)
}
