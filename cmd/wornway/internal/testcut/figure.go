package testcut

import (
	"wornway/cmd/wornway/internal/figure"
	"wornway/cmd/wornway/internal/plot"
	"wornway/compensate"
)

// checkFigure draws what was measured on what was predicted.
func (r *Comparison) Figure() plot.Figure {
	line := plot.Line{Name: "predicted", Style: 1}
	points := plot.Points{Name: "measured, with the ± of the difference"}
	stated := r.Verdict != compensate.Unknown
	for _, s := range r.Stations {
		x := r.In.From(s.Position)
		line.X, line.Y = append(line.X, x), append(line.Y, figure.SmallFrom(r.Bench, s.Predicted))
		points.X, points.Y = append(points.X, x), append(points.Y, figure.SmallFrom(r.Bench, s.Measured))
		if stated {
			points.U = append(points.U, figure.SmallFrom(r.Bench, 2*s.U))
		}
	}
	return plot.Figure{Title: figure.Title(r.Bench, "a cut against its prediction"),
		Note: figure.NoteOf(r.Bench, stated) + "; differences to where the dial was set", X: figure.Along(r.Bench),
		Y: "diameter error, " + r.SmallName(), Lines: []plot.Line{line}, Points: []plot.Points{points}}
}
