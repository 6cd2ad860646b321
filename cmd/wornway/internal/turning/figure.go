package turning

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"wornway/cmd/wornway/internal/figure"
	"wornway/cmd/wornway/internal/plot"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
)

// PredictFigure draws a prediction.
func PredictFigure(l *shop.Bench, c *compensate.Curve) plot.Figure {
	line, bands := figure.ErrorCurve(l, c)
	f := plot.Figure{Title: figure.CutTitle(l, c), Note: figure.NoteOf(l, len(bands) > 0), X: figure.Along(l),
		Y: "diameter error, " + l.SmallName(), Lines: []plot.Line{line}, Bands: bands}
	f.Levels = figure.Tolerated(l, c, line.Y)
	return f
}

// CorrectFigure draws a correction: the error before, what the moves leave of it, and the moves.
func CorrectFigure(l *shop.Bench, r Correction) plot.Figure {
	c := r.K.Curve
	before, bands := figure.ErrorCurve(l, c)
	before.Name, before.Style = "nothing dialled", 1
	for i := range bands {
		bands[i].Style = 1
	}
	after := plot.Line{Name: "with the settings"}
	at := r.K.Under(figure.DrawnBetween(c.From, c.To), r.Dial.Step())
	slices.SortStableFunc(at, func(a, b compensate.Held) int { return cmp.Compare(a.Position, b.Position) })
	for _, h := range inFeedOrder(at, r.K) {
		after.X, after.Y = append(after.X, l.In.From(h.Position)),
			append(after.Y, figure.SmallFrom(l, c.At(h.Position, h.Setting)))
	}
	f := plot.Figure{Title: figure.CutTitle(l, c), Note: figure.NoteOf(l, len(bands) > 0) +
		", feed toward the " + say.FeedName(r.K.Feed),
		X: figure.Along(l), Y: "diameter error, " + l.SmallName(), Bands: bands, Lines: []plot.Line{after, before},
		Levels: []plot.Level{{Name: "allowed, ± " + l.Small(r.K.Allow), Y: figure.SmallFrom(l, r.K.Allow)},
			{Y: -figure.SmallFrom(l, r.K.Allow)}}}
	for _, m := range r.K.Moves {
		f.Marks = append(f.Marks, plot.Mark{X: l.In.From(m.Position),
			Word: map[bool]string{true: "IN ", false: "OUT "}[m.Change > 0] +
				word.Fraction(math.Abs(r.Dial.Divisions(m.Change)))})
	}
	slices.SortFunc(f.Marks, func(a, b plot.Mark) int { return cmp.Compare(a.X, b.X) })
	return f
}

// inFeedOrder puts the two settings at the place of a move in the order in which the curve meets them from the
// headstock on.
func inFeedOrder(at []compensate.Held, k *compensate.Correction) []compensate.Held {
	if k.Feed == compensate.TowardTailstock {
		return at // before the move comes first
	}
	for i := 1; i < len(at); i++ {
		if at[i].Position == at[i-1].Position {
			at[i], at[i-1] = at[i-1], at[i]
		}
	}
	return at
}

// PlaceFigure draws the spread against where a length begins.
func PlaceFigure(l *shop.Bench, p compensate.Placing, places *compensate.Places) plot.Figure {
	line := plot.Line{Name: "computed spread"}
	for _, s := range places.Starts {
		line.X, line.Y = append(line.X, l.In.From(s.From)), append(line.Y, figure.SmallFrom(l, s.Spread))
	}
	f := plot.Figure{Title: figure.Title(l, fmt.Sprintf("spread of %s of Ø %s along the bed", l.At(p.Length),
		l.Diameter(p.Work.Diameter))), Note: "where the headstock end of the length lies", X: figure.Along(l),
		Y: "spread on diameter, " + l.SmallName(), Lines: []plot.Line{line},
		Points: []plot.Points{{Name: "best", X: []float64{l.In.From(places.Best.From)},
			Y: []float64{figure.SmallFrom(l, places.Best.Spread)}, Style: 2},
			{Name: "worst", X: []float64{l.In.From(places.Worst.From)},
				Y: []float64{figure.SmallFrom(l, places.Worst.Spread)}, Style: 3}}}
	if t := p.Work.Tolerance; t > 0 {
		f.Levels = []plot.Level{{Name: "tolerance, " + l.Small(t), Y: figure.SmallFrom(l, t)}}
		for i, g := range places.Good {
			f.Stretches = append(f.Stretches, plot.Stretch{Name: map[bool]string{true: "within it"}[i == 0],
				From: l.In.From(g.From), To: l.In.From(g.To)})
		}
	}
	return f
}
