package figure

import (
	"fmt"
	"slices"

	"wornway/cmd/wornway/internal/plot"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
)

// DrawnPlaces is how many places a curve is drawn through.
const DrawnPlaces = 241

// Title names a lathe in a figure.
func Title(l *shop.Bench, what string) string {
	if l.Lathe.Name == "" {
		return word.Upper(what)
	}
	return word.Upper(what) + " – " + l.Lathe.Name
}

// Along names the axis over the bed.
func Along(l *shop.Bench) string {
	return "position from the spindle nose, " + l.UnitName() + " – the headstock is at the left"
}

// NoteOf says of a figure what its ± is and when the bed was surveyed.
func NoteOf(l *shop.Bench, stated bool) string {
	s := "± (19 times in 20)"
	if !stated {
		s = "± not stated"
	}
	if _, _, last, _ := l.Dates(); !last.IsZero() {
		s += ", last survey " + word.Day(last)
	}
	return s
}

// SmallFrom turns mm into the unit of small errors.
func SmallFrom(l *shop.Bench, mm float64) float64 { return l.In.Small().From(mm) }

// places are the positions that a curve between two is drawn through, mm.
func DrawnBetween(from, to float64) []compensate.Spot {
	at := make([]compensate.Spot, DrawnPlaces)
	for i := range at {
		at[i].Position = from + (to-from)*float64(i)/(DrawnPlaces-1)
	}
	return at
}

// ErrorCurve is the diameter error along a cut as nothing is dialled, and its ±.
func ErrorCurve(l *shop.Bench, c *compensate.Curve) (plot.Line, []plot.Band) {
	line := plot.Line{Name: "diameter error"}
	band := plot.Band{Name: "±", Style: 0}
	stated := false
	for _, h := range DrawnBetween(c.From, c.To) {
		unsure, is := c.Uncertainty(h.Position)
		y, u := SmallFrom(l, c.At(h.Position, 0)), SmallFrom(l, 2*unsure)
		x := l.In.From(h.Position)
		line.X, line.Y = append(line.X, x), append(line.Y, y)
		band.X, band.Low, band.High = append(band.X, x), append(band.Low, y-u), append(band.High, y+u)
		stated = stated || is
	}
	if !stated {
		return line, nil
	}
	return line, []plot.Band{band}
}

// CutTitle says what a figure of a cut is of.
func CutTitle(l *shop.Bench, c *compensate.Curve) string {
	return Title(l, fmt.Sprintf("Ø %s between %s and %s, set at %s", l.Diameter(c.Diameter), l.Bare(c.From), l.At(c.To),
		l.At(c.SetAt)))
}

// Tolerated are the limits of a tolerance on the spread, about the middle of a curve.
func Tolerated(l *shop.Bench, c *compensate.Curve, y []float64) []plot.Level {
	t := SmallFrom(l, c.Tolerance)
	if t == 0 {
		return nil
	}
	mid := (slices.Min(y) + slices.Max(y)) / 2
	return []plot.Level{{Name: "tolerance on the spread, " + l.Small(c.Tolerance), Y: mid + t/2}, {Y: mid - t/2}}
}
