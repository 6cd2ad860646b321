package main

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"wornway/cmd/wornway/internal/plot"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/bed"
)

// drawnPlaces is how many places a curve is drawn through.
const drawnPlaces = 241

// title names a lathe in a figure, shortened where it is long.
func title(l *shop.Bench, what string) string {
	const most = 60
	name := []rune(l.Lathe.Name)
	if len(name) > most {
		name = append(name[:most-1], '…')
	}
	if len(name) == 0 {
		return word.Upper(what)
	}
	return word.Upper(what) + " – " + string(name)
}

// along names the axis over the bed.
func along(l *shop.Bench) string {
	return "position from the spindle nose, " + l.UnitName() + " – the headstock is at the left"
}

// noteOf says of a figure what its ± is and when the bed was surveyed.
func noteOf(l *shop.Bench, stated bool) string {
	s := "± at k = 2"
	if !stated {
		s = "± not stated"
	}
	if _, _, last, _ := l.Dates(); !last.IsZero() {
		s += ", last survey " + word.Day(last)
	}
	return s
}

// smallFrom turns mm into the unit of small errors.
func smallFrom(l *shop.Bench, mm float64) float64 { return l.In.Small().From(mm) }

// places are the positions that a curve between two is drawn through, mm.
func drawnBetween(from, to float64) []compensate.Held {
	at := make([]compensate.Held, drawnPlaces)
	for i := range at {
		at[i].Position = from + (to-from)*float64(i)/(drawnPlaces-1)
	}
	return at
}

// errorCurve is the diameter error along a cut as nothing is dialled, and its ±.
func errorCurve(l *shop.Bench, c *compensate.Curve) (plot.Line, []plot.Band) {
	line := plot.Line{Name: "diameter error"}
	band := plot.Band{Name: "± of it", Style: 0}
	stated := false
	for _, h := range drawnBetween(c.From, c.To) {
		s := c.Station(h.Position)
		y, u := smallFrom(l, s.DiameterError), smallFrom(l, 2*s.Uncertainty)
		x := l.In.From(h.Position)
		line.X, line.Y = append(line.X, x), append(line.Y, y)
		band.X, band.Low, band.High = append(band.X, x), append(band.Low, y-u), append(band.High, y+u)
		stated = stated || s.Stated
	}
	if !stated {
		return line, nil
	}
	return line, []plot.Band{band}
}

// cutTitle says what a figure of a cut is of.
func cutTitle(l *shop.Bench, c *compensate.Curve) string {
	return title(l, fmt.Sprintf("Ø %s between %s and %s, set at %s", l.Diameter(c.Diameter), l.Bare(c.From), l.At(c.To),
		l.At(c.SetAt)))
}

// predictFigure draws a prediction.
func predictFigure(l *shop.Bench, c *compensate.Curve) plot.Figure {
	line, bands := errorCurve(l, c)
	f := plot.Figure{Title: cutTitle(l, c), Note: noteOf(l, len(bands) > 0), X: along(l),
		Y: "diameter error, " + l.SmallName(), Lines: []plot.Line{line}, Bands: bands}
	f.Levels = tolerated(l, c, line.Y)
	return f
}

// tolerated are the limits of a tolerance on the spread, about the middle of a curve.
func tolerated(l *shop.Bench, c *compensate.Curve, y []float64) []plot.Level {
	t := smallFrom(l, c.Tolerance)
	if t == 0 {
		return nil
	}
	mid := (slices.Min(y) + slices.Max(y)) / 2
	return []plot.Level{{Name: "tolerance on the spread, " + l.Small(c.Tolerance), Y: mid + t/2}, {Y: mid - t/2}}
}

// correctFigure draws a correction: the error before, what the moves leave of it, and the moves.
func correctFigure(l *shop.Bench, r correction) plot.Figure {
	c := r.k.Curve
	before, bands := errorCurve(l, c)
	before.Name, before.Style = "nothing dialled", 1
	for i := range bands {
		bands[i].Style = 1
	}
	after := plot.Line{Name: "with the settings"}
	at := r.k.Under(drawnBetween(c.From, c.To), r.dial.Step())
	slices.SortStableFunc(at, func(a, b compensate.Held) int { return cmp.Compare(a.Position, b.Position) })
	for _, h := range inFeedOrder(at, r.k) {
		after.X, after.Y = append(after.X, l.In.From(h.Position)),
			append(after.Y, smallFrom(l, c.At(h.Position, h.Setting)))
	}
	f := plot.Figure{Title: cutTitle(l, c), Note: noteOf(l, len(bands) > 0) +
		", feed toward the " + say.FeedName(r.k.Feed),
		X: along(l), Y: "diameter error, " + l.SmallName(), Bands: bands, Lines: []plot.Line{after, before},
		Levels: []plot.Level{{Name: "allowed, ± " + l.Small(r.k.Allow), Y: smallFrom(l, r.k.Allow)},
			{Y: -smallFrom(l, r.k.Allow)}}}
	for _, m := range r.k.Moves {
		f.Marks = append(f.Marks, plot.Mark{X: l.In.From(m.Position),
			Word: map[bool]string{true: "IN ", false: "OUT "}[m.Change > 0] +
				word.Fraction(math.Abs(r.dial.Divisions(m.Change)))})
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

// wearFigure draws the wear: both ways, the shift, their ±, damage, and each survey's readings.
func wearFigure(l *shop.Bench) plot.Figure {
	w := l.Machine.Wear
	first, last := w.Range()
	stated := w.Stated()
	f := plot.Figure{Title: title(l, "wear"), Note: noteOf(l, stated) +
		"; a drop is plus downward, a shift plus toward the operator", X: along(l), Y: "wear, " + l.SmallName()}
	for i, c := range []bed.Curve{bed.Front, bed.Rear, bed.Shift} {
		line := plot.Line{Name: map[bed.Curve]string{bed.Front: "front way's drop", bed.Rear: "rear way's drop",
			bed.Shift: "shift"}[c], Style: i}
		band := plot.Band{Style: i}
		for _, h := range drawnBetween(first, last) {
			x, y := l.In.From(h.Position), smallFrom(l, w.Value(bed.At(c, 0), h.Position))
			u, _ := l.Uncertainty(bed.At(c, 0), h.Position)
			line.X, line.Y = append(line.X, x), append(line.Y, y)
			band.X, band.Low, band.High = append(band.X, x), append(band.Low, y-smallFrom(l, 2*u)),
				append(band.High, y+smallFrom(l, 2*u))
		}
		f.Lines = append(f.Lines, line)
		if stated {
			f.Bands = append(f.Bands, band)
		}
	}
	for _, d := range l.Damage {
		f.Stretches = append(f.Stretches, plot.Stretch{Name: "damage, " + d.Way, From: l.In.From(d.From),
			To: l.In.From(d.To)})
	}
	if stated {
		f.Points = readings(l)
	}
	return f
}

// readings are what each survey's readings say of the curve that they see most, the rest being as estimated: the curve,
// and how far the reading is from what all others say of it, as so much of that curve.
func readings(l *shop.Bench) []plot.Points {
	const most = 400 // of one survey: more would be a smear
	var out []plot.Points
	for i, s := range l.Estimate.Surveys {
		by := map[bed.Curve]*plot.Points{}
		every := len(s.Each)/most + 1
		for k := 0; k < len(s.Each); k += every {
			r := s.Each[k]
			if r.Per == 0 {
				continue
			}
			p := by[r.Sees]
			if p == nil {
				p = &plot.Points{Name: fmt.Sprintf("%s, on the %s", s.Method,
					map[bed.Curve]string{bed.Front: "front way", bed.Rear: "rear way", bed.Shift: "shift"}[r.Sees]),
					Style: 1 + i}
				by[r.Sees] = p
			}
			y := l.Machine.Wear.Value(bed.At(r.Sees, 0), r.Position) + r.Off/r.Per
			p.X, p.Y = append(p.X, l.In.From(r.Position)), append(p.Y, smallFrom(l, y))
		}
		for _, c := range []bed.Curve{bed.Front, bed.Rear, bed.Shift} {
			if p := by[c]; p != nil {
				out = append(out, *p)
			}
		}
	}
	return out
}

// placeFigure draws the spread against where a length begins.
func placeFigure(l *shop.Bench, p compensate.Placing, places *compensate.Places) plot.Figure {
	line := plot.Line{Name: "computed spread"}
	for _, s := range places.Starts {
		line.X, line.Y = append(line.X, l.In.From(s.From)), append(line.Y, smallFrom(l, s.Spread))
	}
	f := plot.Figure{Title: title(l, fmt.Sprintf("spread of %s of Ø %s along the bed", l.At(p.Length),
		l.Diameter(p.Work.Diameter))), Note: "where the headstock end of the length lies", X: along(l),
		Y: "spread on diameter, " + l.SmallName(), Lines: []plot.Line{line},
		Points: []plot.Points{{Name: "best", X: []float64{l.In.From(places.Best.From)},
			Y: []float64{smallFrom(l, places.Best.Spread)}, Style: 2},
			{Name: "worst", X: []float64{l.In.From(places.Worst.From)},
				Y: []float64{smallFrom(l, places.Worst.Spread)}, Style: 3}}}
	if t := p.Work.Tolerance; t > 0 {
		f.Levels = []plot.Level{{Name: "tolerance, " + l.Small(t), Y: smallFrom(l, t)}}
		for i, g := range places.Good {
			f.Stretches = append(f.Stretches, plot.Stretch{Name: map[bool]string{true: "within it as computed"}[i == 0],
				From: l.In.From(g.From), To: l.In.From(g.To)})
		}
	}
	return f
}

// checkFigure draws what was measured on what was predicted.
func (r *checked) figure() plot.Figure {
	line := plot.Line{Name: "predicted", Style: 1}
	points := plot.Points{Name: "measured, with the ± of the difference"}
	stated := r.Verdict != compensate.Unknown
	for _, s := range r.Stations {
		x := r.In.From(s.Position)
		line.X, line.Y = append(line.X, x), append(line.Y, smallFrom(r.Bench, s.Predicted))
		points.X, points.Y = append(points.X, x), append(points.Y, smallFrom(r.Bench, s.Measured))
		if stated {
			points.U = append(points.U, smallFrom(r.Bench, 2*s.U))
		}
	}
	return plot.Figure{Title: title(r.Bench, "a cut against its prediction"),
		Note: noteOf(r.Bench, stated) + "; differences to where the dial was set", X: along(r.Bench),
		Y: "diameter error, " + r.SmallName(), Lines: []plot.Line{line}, Points: []plot.Points{points}}
}

// figure draws the best plan: each seat within its limits, against its nominal diameter.
func (p *planned) figure() plot.Figure {
	k := p.result.Plans[0]
	l := p.lathes[k.Lathe]
	f := plot.Figure{Title: title(l, "plan of "+cmp.Or(p.file.Job.Name, "the part")),
		Note: noteOf(l, k.Stated) + "; each seat against its nominal diameter", X: "features, in the order of the job",
		Y: "diameter less nominal, " + l.SmallName()}
	points := plot.Points{Name: "expected, least and greatest, with ±"}
	limits := "limits"
	for i, o := range k.Features {
		const half = 0.3
		at := float64(i)
		if o.Size != nil {
			low, high := smallFrom(l, o.Size.Lower), smallFrom(l, o.Size.Upper)
			f.Bands = append(f.Bands, plot.Band{Name: limits, X: []float64{at - half, at + half},
				Low: []float64{low, low}, High: []float64{high, high}, Style: 1})
			limits = ""
		}
		for n, d := range []float64{o.Low, o.High} {
			points.X, points.Y = append(points.X, at+(float64(n)-0.5)*half),
				append(points.Y, smallFrom(l, d-o.Diameter))
			if k.Stated {
				points.U = append(points.U, smallFrom(l, 2*o.Uncertainty))
			}
		}
		f.Names = append(f.Names, o.Name)
	}
	f.Points = []plot.Points{points}
	return f
}
