package ways

import (
	"slices"

	"wornway/cmd/wornway/internal/shop"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// covarianceJSON is what a length of work needs of the wear for its ± to be worked out anew: the curves where the
// saddle bears while the tool goes along it, the twist, the spindle's lean and how the saddle sits, with the covariance
// of all of them.
type covarianceJSON struct {
	From   float64       `json:"from"`
	To     float64       `json:"to"`
	Of     []unknownJSON `json:"of"`
	Matrix [][]float64   `json:"matrix"` // standard uncertainties' products, in the units of the two
}

// unknownJSON is one of them: a drop or shift at a position in the profile's unit, or a number for the whole bed.
type unknownJSON struct {
	What     string   `json:"what"`
	Position *float64 `json:"position"`
	Value    float64  `json:"value"`
}

const (
	covaried   = 9  // tool positions along the length
	covariedOn = 25 // places of a bearing that lies along its whole length
)

// Covariance returns it for tool positions from one to another, mm; nil where the wear has no ±.
func Covariance(l *shop.Bench, from, to float64) *covarianceJSON {
	w := l.Machine.Wear
	if !w.Stated() {
		return nil
	}
	out := &covarianceJSON{From: l.In.From(from), To: l.In.From(to)}
	first, last := w.Range()
	var at []float64
	s := l.Lathe.Bed.Saddle
	if s.BearingLength == 0 {
		s.ToolOffset = 0
	}
	on := []float64{-0.5, 0.5}
	if s.Bearing == bed.Full {
		on = nil
		for i := range covariedOn {
			on = append(on, float64(i)/(covariedOn-1)-0.5)
		}
	}
	for i := range covaried {
		z := from + (to-from)*float64(i)/(covaried-1)
		for _, share := range on {
			at = append(at, min(max(z-s.ToolOffset+share*s.BearingLength, first), last))
		}
	}
	slices.Sort(at)
	at = slices.Compact(at)
	var weights []wear.Weights
	var scales []float64
	for _, c := range []bed.Curve{bed.Front, bed.Rear, bed.Shift} {
		for _, z := range at {
			position := l.In.From(z)
			var x wear.Weights
			w.Weigh(&x, bed.At(c, 0), z, 1)
			out.Of = append(out.Of, unknownJSON{c.String(), &position, l.In.From(w.Value(bed.At(c, 0), z))})
			weights, scales = append(weights, x), append(scales, l.In.From(1))
		}
	}
	for _, k := range []struct {
		name  string
		of    bed.Scalar
		scale float64
	}{{"twist", bed.Twist, l.In.MM()}, {"lean_out", bed.LeanOut, 1}, {"lean_up", bed.LeanUp, 1},
		{"seating", bed.Seating, 1}} {
		var x wear.Weights
		x.WeighScalar(k.of, 1)
		out.Of = append(out.Of, unknownJSON{k.name, nil, k.scale * w.Scalar(k.of)})
		weights, scales = append(weights, x), append(scales, k.scale)
	}
	for i := range weights {
		row := make([]float64, len(weights))
		for k := range row {
			v, _ := w.CovarianceOf(&weights[i], &weights[k])
			row[k] = v * scales[i] * scales[k]
		}
		out.Matrix = append(out.Matrix, row)
	}
	return out
}
