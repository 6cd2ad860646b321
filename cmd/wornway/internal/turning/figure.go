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
		bands[i].Style, bands[i].Name = 1, "± with nothing dialled"
	}
	after := plot.Line{Name: "with the settings"}
	left := plot.Band{Name: "± with the settings"}
	at := r.K.Under(figure.DrawnBetween(c.From, c.To), r.Dial.Step())
	unsure := map[float64]float64{} // a setting makes no place surer
	for _, b := range bands {
		for i := range b.X {
			unsure[at[i].Position] = (b.High[i] - b.Low[i]) / 2
		}
	}
	slices.SortStableFunc(at, func(a, b compensate.Spot) int { return cmp.Compare(a.Position, b.Position) })
	for _, h := range inFeedOrder(at, r.K) {
		x, y := l.In.From(h.Position), figure.SmallFrom(l, c.At(h.Position, h.Setting))
		u, known := unsure[h.Position]
		if !known {
			at, _ := c.Uncertainty(h.Position)
			u = figure.SmallFrom(l, 2*at)
		}
		after.X, after.Y = append(after.X, x), append(after.Y, y)
		left.X, left.Low, left.High = append(left.X, x), append(left.Low, y-u), append(left.High, y+u)
	}
	if len(bands) > 0 { // what is dialled makes the wear no better known
		bands = append(bands, left)
	}
	f := plot.Figure{Title: figure.CutTitle(l, c), Note: figure.NoteOf(l, len(bands) > 0) +
		", feed toward the " + say.FeedName(r.K.Feed),
		X: figure.Along(l), Y: "diameter error, " + l.SmallName(), Bands: bands, Lines: []plot.Line{after, before}}
	f.Levels = figure.Tolerated(l, c, after.Y)
	for i, m := range r.K.Moves {
		f.Marks = append(f.Marks, plot.Mark{X: l.In.From(m.Position), Word: fmt.Sprintf("%d: %s %s", i+1,
			map[bool]string{true: "IN", false: "OUT"}[m.Change > 0],
			word.Fraction(math.Abs(r.Dial.Divisions(m.Change))))})
	}
	slices.SortFunc(f.Marks, func(a, b plot.Mark) int { return cmp.Compare(a.X, b.X) })
	return f
}

// inFeedOrder puts the two settings at the place of a move in the order in which the curve meets them from the
// headstock on.
func inFeedOrder(at []compensate.Spot, k *compensate.Correction) []compensate.Spot {
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

// PlaceFigure draws the spread against where a length begins, and between what it lies with 95 % probability.
func PlaceFigure(l *shop.Bench, p compensate.PlaceOptions, places *compensate.Places) plot.Figure {
	f := PlaceCurve(l, p, places)
	band := plot.Band{Name: "19 times in 20"}
	for _, s := range ordered(places) {
		c, err := l.Machine.Curve(CutAt(l, p, s))
		if err != nil {
			return f // there is no such cut, and the curve has none of it
		}
		sampled, stated := c.Sample(c.Spaced(), 0)
		if !stated {
			return f
		}
		band.X = append(band.X, l.In.From(s.From))
		band.Low = append(band.Low, figure.SmallFrom(l, sampled.Spread[0]))
		band.High = append(band.High, figure.SmallFrom(l, sampled.Spread[1]))
	}
	f.Bands, f.Stretches = []plot.Band{band}, nil
	if t := figure.SmallFrom(l, p.Work.Tolerance); t > 0 { // what is computed alone must not look promised
		f.Stretches = under(band, t)
	}
	return f
}

// under are the stretches over which a band's upper edge lies under a limit.
func under(b plot.Band, limit float64) []plot.Stretch {
	var out []plot.Stretch
	for i := 1; i < len(b.X); i++ {
		x, y := [2]float64{b.X[i-1], b.X[i]}, [2]float64{b.High[i-1], b.High[i]}
		if y[0] > limit && y[1] > limit || x[0] == x[1] {
			continue
		}
		for k := range x {
			if y[k] > limit { // the edge crosses it
				x[k] += (x[1-k] - x[k]) * (y[k] - limit) / (y[k] - y[1-k])
			}
		}
		if n := len(out); n > 0 && out[n-1].To == x[0] {
			out[n-1].To = x[1]
			continue
		}
		out = append(out, plot.Stretch{From: x[0], To: x[1]})
	}
	if len(out) > 0 {
		out[0].Name = "promised within it"
	}
	return out
}

// ordered are the places that a curve of the spread is drawn through. The best and the worst belong to it, whether or
// not a row of the table falls on them.
func ordered(places *compensate.Places) []compensate.Place {
	out := slices.Concat(places.Starts, []compensate.Place{places.Best, places.Worst})
	slices.SortFunc(out, func(a, b compensate.Place) int { return cmp.Compare(a.From, b.From) })
	return out
}

// PlaceCurve is the figure without what is not known of the wear, which takes long to calculate.
func PlaceCurve(l *shop.Bench, p compensate.PlaceOptions, places *compensate.Places) plot.Figure {
	line := plot.Line{Name: "computed spread"}
	for _, s := range ordered(places) {
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
