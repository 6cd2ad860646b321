package wear_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"wornway/profile/bed"
	"wornway/profile/wear"
)

// stationary returns the covariance of two sums on a bed with rows at both ends of it only, all three carriage curves
// known to 1 mm with this reach.
func stationary(t *testing.T, reach float64) func(s bed.Sum, z float64, o bed.Sum, y float64) float64 {
	t.Helper()
	none := []float64{0, 0}
	w := build(t, []float64{-100, 900}, map[bed.Curve][]float64{bed.Front: none, bed.Rear: none, bed.Shift: none})
	cov := wear.Stationary{Reach: wear.Reach(reach)}
	for _, c := range []bed.Curve{bed.Front, bed.Rear, bed.Shift} {
		cov.Place[c][c] = 1
	}
	w = w.WithCovariance(cov)
	return func(s bed.Sum, z float64, o bed.Sum, y float64) float64 {
		var a, b wear.Weights
		w.Weigh(&a, s, z, 1)
		w.Weigh(&b, o, y, 1)
		v, _ := w.CovarianceOf(&a, &b)
		return v
	}
}

// together is the correlation of errors that are white noise averaged under the square of a cosine one and a half
// reaches wide, by the trapezium rule: the integral of the window times itself moved by the distance, over that of its
// square.
func together(apart, reach float64) float64 {
	wide := 1.5 * reach
	window := func(x float64) float64 {
		if math.Abs(x) > wide/2 {
			return 0
		}
		return math.Pow(math.Cos(math.Pi*x/wide), 2)
	}
	const steps = 4000
	with, self := 0.0, 0.0
	for i := range steps {
		x := wide * ((float64(i)+0.5)/steps - 0.5)
		with += window(x) * window(x-apart)
		self += window(x) * window(x)
	}
	return with / self
}

// The variance is the same at every place, on the bed and far beyond its rows, and the correlation of two places is
// that of their distance: 0.47 at half a reach, 0.03 at a reach, nothing from one and a half on.
func TestStationaryIsTheSameEverywhere(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 1))
	front := bed.At(bed.Front, 0)
	for range 400 {
		reach := math.Pow(10, 4*r.Float64())
		cov := stationary(t, reach)
		z := (r.Float64() - 0.5) * 4000
		near(t, "variance", cov(front, z, front, z), 1, 1e-9)
		apart := reach * r.Float64() * 2
		near(t, "correlation", cov(front, z, front, z+apart), together(apart, reach), 0.005)
		near(t, "another curve", cov(front, z, bed.At(bed.Rear, 0), z), 0, 0)
	}
	near(t, "half a reach", together(50, 100), 0.47, 0.005)
	near(t, "a reach", together(100, 100), 0.03, 0.005)
	near(t, "one and a half", stationary(t, 100)(front, 70, front, 220.001), 0, 1e-12)
}

// The covariance of what a saddle makes of a curve over its full length is the integral of the covariances of single
// places, by Gauss's rule in short pieces: the mean by the weight 1/L, the slope by 12·(x − middle)/L³.
func TestStationaryOverAStretch(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 2))
	front := bed.At(bed.Front, 0)
	for range 40 {
		reach := 20 + 200*r.Float64()
		cov := stationary(t, reach)
		saddle := bed.Saddle{BearingLength: []float64{0.5, 12, 300}[r.IntN(3)], Bearing: bed.Full,
			ToolOffset: 40 * (r.Float64() - 0.5)}
		offset := 80 * (r.Float64() - 0.5)
		line, z := saddle.Line(bed.Front, offset), (r.Float64()-0.5)*1500
		y := z + (r.Float64()-0.5)*reach
		l := saddle.BearingLength
		middle := z - offset
		want := 0.0
		pieces := int(l/reach*16) + 1
		h := l / float64(pieces)
		for i := range pieces {
			for _, g := range [3][2]float64{{-math.Sqrt(0.6), 5.0 / 18}, {0, 8.0 / 18}, {math.Sqrt(0.6), 5.0 / 18}} {
				x := middle - l/2 + h*(float64(i)+0.5+g[0]/2)
				want += g[1] * h * (1/l + offset*12*(x-middle)/(l*l*l)) * cov(front, x, front, y)
			}
		}
		near(t, "with a place", cov(line, z, front, y), want, 1e-5*(1+math.Abs(offset)/l))
	}
}

// Crowded against the sum of all correlations, place by place.
func TestCrowded(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 3))
	const reach = 60
	cov := stationary(t, reach)
	front := bed.At(bed.Front, 0)
	var at []float64
	for range 80 {
		at = append(at, 400*r.Float64())
	}
	for i, got := range wear.Reach(reach).Crowded(at) {
		want := 0.0
		for _, p := range at {
			want += cov(front, at[i], front, p)
		}
		near(t, "sum of correlations", got, want, 1e-9)
	}
	// Rows 2 mm apart: 30 of them within a reach.
	at = at[:0]
	for i := range 200 {
		at = append(at, 2*float64(i))
	}
	near(t, "rows in a reach", wear.Reach(reach).Crowded(at)[100], 30, 0.1)
}
