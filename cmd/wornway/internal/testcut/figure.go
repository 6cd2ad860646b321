package testcut

import (
	"fmt"

	"wornway/cmd/wornway/internal/figure"
	"wornway/cmd/wornway/internal/plot"
	"wornway/compensate"
)

// Figure draws what was measured on what was predicted, each with its own ±, and the straight taper where the cut
// agrees but for one.
func (r *Comparison) Figure() plot.Figure {
	small := func(mm float64) float64 { return figure.SmallFrom(r.Bench, mm) }
	line := plot.Line{Name: "predicted", Style: 1}
	band := plot.Band{Name: "± of the prediction", Style: 1}
	points := plot.Points{Name: "measured, with its ±"}
	stated := r.Verdict != compensate.Unknown
	first, last := r.Stations[0].Position, r.Stations[len(r.Stations)-1].Position
	zero := r.Stations[r.Set].Position
	for _, h := range figure.DrawnBetween(first, last) {
		s := r.Check.Curve.Station(h.Position)
		x, y, u := r.In.From(h.Position), small(s.DiameterError), small(2*s.Uncertainty)
		line.X, line.Y = append(line.X, x), append(line.Y, y)
		band.X, band.Low, band.High = append(band.X, x), append(band.Low, y-u), append(band.High, y+u)
	}
	for _, s := range r.Stations {
		points.X, points.Y = append(points.X, r.In.From(s.Position)), append(points.Y, small(s.Measured))
		points.U = append(points.U, small(2*s.UMeasured))
	}
	f := plot.Figure{Title: figure.Title(r.Bench, "a cut against its prediction: "+r.verdictWords()),
		Note: figure.NoteOf(r.Bench, stated) + "; differences to where the dial was set", X: figure.Along(r.Bench),
		Y: "diameter error, " + r.SmallName(), Lines: []plot.Line{line}, Points: []plot.Points{points}}
	if stated {
		f.Bands = []plot.Band{band}
	}
	if r.Verdict == compensate.Tapers {
		slope := r.Straight.Terms[0].Value
		taper := plot.Line{Name: fmt.Sprintf("predicted, and a straight taper of %s", r.Taper(slope)), Style: 2}
		for i, h := range figure.DrawnBetween(first, last) {
			taper.X = append(taper.X, line.X[i])
			taper.Y = append(taper.Y, line.Y[i]+small(slope*(h.Position-zero)))
		}
		f.Lines = append(f.Lines, taper)
	}
	return f
}

// verdictWords is the verdict as a title has it.
func (r *Comparison) verdictWords() string {
	return map[compensate.Verdict]string{compensate.Agrees: "they agree",
		compensate.Tapers:  "they agree but for a straight taper",
		compensate.Differs: "they do not agree", compensate.Unknown: "whether they agree cannot be said"}[r.Verdict]
}
