package making

import (
	"cmp"

	"wornway/cmd/wornway/internal/figure"
	"wornway/cmd/wornway/internal/plot"
)

// Figure draws the best plan: each seat within its limits, against its nominal diameter.
func (p *Plans) Figure() plot.Figure {
	k := p.Result.Plans[0]
	l := p.Lathes[k.Lathe]
	f := plot.Figure{Title: figure.Title(l, "plan of "+cmp.Or(p.File.Job.Name, "the part")),
		Note: figure.NoteOf(l, k.Stated) + "; each seat against its nominal diameter",
		X:    "features, in the order of the job",
		Y:    "diameter less nominal, " + l.SmallName()}
	points := plot.Points{Name: "expected, least and greatest, with ±"}
	limits := "limits"
	for i, o := range k.Features {
		const half = 0.3
		at := float64(i)
		if o.Size != nil {
			low, high := figure.SmallFrom(l, o.Size.Lower), figure.SmallFrom(l, o.Size.Upper)
			f.Bands = append(f.Bands, plot.Band{Name: limits, X: []float64{at - half, at + half},
				Low: []float64{low, low}, High: []float64{high, high}, Style: 1})
			limits = ""
		}
		for n, d := range []float64{o.Low, o.High} {
			points.X, points.Y = append(points.X, at+(float64(n)-0.5)*half),
				append(points.Y, figure.SmallFrom(l, d-o.Diameter))
			if k.Stated {
				points.U = append(points.U, figure.SmallFrom(l, 2*o.Uncertainty))
			}
		}
		f.Names = append(f.Names, o.Name)
	}
	f.Points = []plot.Points{points}
	return f
}
