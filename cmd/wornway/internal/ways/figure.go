package ways

import (
	"fmt"

	"wornway/cmd/wornway/internal/figure"
	"wornway/cmd/wornway/internal/plot"
	"wornway/cmd/wornway/internal/shop"
	"wornway/profile/bed"
)

// WearFigure draws the wear: both ways, the shift, their ±, damage, and each survey's readings.
func WearFigure(l *shop.Bench) plot.Figure {
	w := l.Machine.Wear
	first, last := w.Range()
	stated := w.Stated()
	f := plot.Figure{Title: figure.Title(l, "wear"), Note: figure.NoteOf(l, stated) +
		"; worn ways lie lower, a shift is plus toward the operator", X: figure.Along(l),
		Y: "wear, " + l.SmallName() + ", downward", Down: true}
	for i, c := range []bed.Curve{bed.Front, bed.Rear, bed.Shift} {
		line := plot.Line{Name: map[bed.Curve]string{bed.Front: "front way's drop", bed.Rear: "rear way's drop",
			bed.Shift: "shift"}[c], Style: i}
		band := plot.Band{Style: i}
		for _, h := range figure.DrawnBetween(first, last) {
			x, y := l.In.From(h.Position), figure.SmallFrom(l, w.Value(bed.At(c, 0), h.Position))
			u, _ := l.Uncertainty(bed.At(c, 0), h.Position)
			line.X, line.Y = append(line.X, x), append(line.Y, y)
			band.X, band.Low, band.High = append(band.X, x), append(band.Low, y-figure.SmallFrom(l, 2*u)),
				append(band.High, y+figure.SmallFrom(l, 2*u))
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
		f.Points = Readings(l)
	}
	return f
}

// Readings are what each survey's readings say of the curve that they see most, the rest being as estimated: the curve,
// and how far the reading is from what all others say of it, as so much of that curve.
func Readings(l *shop.Bench) []plot.Points {
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
				if date, _ := l.Surveyed(i); date != "" {
					p.Name += ", " + date
				}
				by[r.Sees] = p
			}
			y := l.Machine.Wear.Value(bed.At(r.Sees, 0), r.Position) + r.Off/r.Per
			p.X, p.Y = append(p.X, l.In.From(r.Position)), append(p.Y, figure.SmallFrom(l, y))
		}
		for _, c := range []bed.Curve{bed.Front, bed.Rear, bed.Shift} {
			if p := by[c]; p != nil {
				out = append(out, *p)
			}
		}
	}
	return out
}
