package compensate_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
)

// NIST Statistical Reference Datasets, linear regression, "Norris", certified values.
// Source: https://www.itl.nist.gov/div898/strd/lls/data/Norris.shtml
func TestLineFitAgainstNorris(t *testing.T) {
	data := [][2]float64{
		{0.2, 0.1}, {337.4, 338.8}, {118.2, 118.1}, {884.6, 888.0}, {10.1, 9.2}, {226.5, 228.1}, {666.3, 668.5},
		{996.3, 998.5}, {448.6, 449.1},
		{777.0, 778.9}, {558.2, 559.2}, {0.4, 0.3}, {0.6, 0.1}, {775.5, 778.1}, {666.9, 668.8}, {338.0, 339.3},
		{447.5, 448.9}, {11.6, 10.8},
		{556.0, 557.7}, {228.1, 228.3}, {995.8, 998.0}, {887.6, 888.8}, {120.2, 119.6}, {0.3, 0.3}, {0.3, 0.6},
		{556.8, 557.6}, {339.1, 339.3},
		{887.2, 888.0}, {999.0, 998.5}, {779.0, 778.9}, {11.1, 10.2}, {118.3, 117.6}, {229.2, 228.9}, {669.1, 668.4},
		{448.9, 449.2}, {0.5, 0.2}}
	const b0, b1 = -0.262323073774029, 1.00211681802045
	for _, weight := range []float64{1, 0.37} {
		var fit, backward compensate.LineFit
		for i := range data {
			fit.Add(data[i][0], data[i][1], weight)
			p := data[len(data)-1-i]
			backward.Add(p[0], p[1], weight)
		}
		for _, l := range []compensate.Line{fit.Line(), backward.Line()} {
			near(t, "B1", l.Slope, b1, 1e-12*b1)
			near(t, "B0", l.At(0), b0, 1e-11*-b0)
		}
		// The same line far from where positions count from: what a sum of squares would lose.
		var far compensate.LineFit
		for _, p := range data {
			far.Add(p[0]+1e7, p[1], weight)
		}
		near(t, "B1 far off", far.Line().Slope, b1, 1e-8*b1)
	}
}

// Weights count as repetitions: a point of weight 3 is three points.
func TestLineFitWeights(t *testing.T) {
	var weighted, repeated compensate.LineFit
	for i, p := range [][2]float64{{0, 1}, {2, 5}, {3, 4}, {7, 2}} {
		weighted.Add(p[0], p[1], float64(i+1))
		for range i + 1 {
			repeated.Add(p[0], p[1], 1)
		}
	}
	a, b := weighted.Line(), repeated.Line()
	near(t, "slope", a.Slope, b.Slope, 1e-15)
	near(t, "value", a.At(1), b.At(1), 1e-14)
	var one compensate.LineFit
	one.Add(4, 2, 1)
	one.Add(4, 6, 1)
	if l := one.Line(); l.Slope != 0 || l.At(9) != 4 {
		t.Errorf("points at one position give %+v", l)
	}
}

// guided returns a lathe on which the diameter error is twice the shift and nothing else.
func guided(t testing.TB, z, shift []float64) compensate.Machine {
	return compensate.Machine{Lathe: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100},
		Axis: compensate.SpindleAxis(),
		Wear: mustWear(t, z, map[bed.Curve][]float64{bed.Shift: shift})}
}

// A bed whose shift is a straight line turns a plain taper: shift 0.01 more at the tailstock end over 300 is 0.02 on
// diameter, 0.02/300 per mm.
func TestPlainTaper(t *testing.T) {
	m := guided(t, []float64{0, 100, 300, 400}, []float64{0, 0.01 / 3, 0.01, 0.04 / 3})
	c := mustCurve(t, m, compensate.Cut{Feature: work.Feature{From: 50, To: 350, Diameter: 30}, SetAt: 350})
	tp := c.Taper()
	near(t, "slope", tp.Line.Slope, 0.02/300, 1e-13)
	near(t, "ends", tp.Ends, -0.02, 1e-12)
	near(t, "form", tp.Form, 0, 1e-9)
	near(t, "spread", tp.Spread, 0.02, 1e-12)
	near(t, "largest", tp.Largest.Value, 0, 1e-15)
	near(t, "smallest", tp.Smallest.Value, -0.02, 1e-12)
	if tp.Shape != compensate.Straight || tp.Stated {
		t.Errorf("a plain taper is %s, stated %v", tp.Shape, tp.Stated)
	}
}

// The line, its form and its slope against sums over even midpoints.
func TestTaperAgainstSums(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 2))
	for range 25 {
		b := randomBench(r, 3+r.IntN(25))
		cut := b.randomCut(r, 50+r.Float64()*400)
		want := b.plain().errors(cut)
		tp := mustCurve(t, b.machine(t), cut).Taper()
		const n = 4000
		h := (cut.To - cut.From) / n
		var s, sz, szz, sd, szd float64
		for i := range n {
			z := (float64(i) + 0.5) * h
			d := want(cut.From+z, 0)
			s, sz, szz, sd, szd = s+1, sz+z, szz+z*z, sd+d, szd+z*d
		}
		slope := (s*szd - sz*sd) / (s*szz - sz*sz)
		mean := sd / s
		near(t, "slope over the length", tp.Line.Slope*(cut.To-cut.From), slope*(cut.To-cut.From), 1e-6)
		near(t, "middle", tp.Line.At((cut.From+cut.To)/2), mean, 1e-6)
		near(t, "ends", tp.Ends, want(cut.From, 0)-want(cut.To, 0), 1e-11)
		lo, hi := sampled(cut.From, cut.To, n, func(z float64) float64 {
			return want(z,
				0) - mean - slope*(z-(cut.From+cut.To)/2)
		})
		near(t, "form", tp.Form, hi-lo, 1e-5)
	}
}

// A parabola turned by shift: d = 2·a·(z − m)² over a length L has form 2·a·L²/4, whatever its line. The knots
// are close enough for the cubic to follow it.
func TestShapes(t *testing.T) {
	var z, hump, wave []float64
	for i := range 401 {
		p := float64(i)
		z = append(z, p)
		hump = append(hump, -0.05*(p/400-0.5)*(p/400-0.5)+0.0001*p)
		wave = append(wave, 0.01*math.Sin(2*math.Pi*p/400*1.5))
	}
	minus := make([]float64, len(hump))
	for i, v := range hump {
		minus[i] = -v
	}
	for _, c := range []struct {
		shift []float64
		want  compensate.Shape
	}{{hump, compensate.Barrel}, {minus, compensate.Waist}, {wave, compensate.Uneven}} {
		tp := mustCurve(t, guided(t, z, c.shift), compensate.Cut{Feature: work.Feature{From: 0, To: 400, Diameter: 30},
			SetAt: 400}).Taper()
		if tp.Shape != c.want {
			t.Errorf("%s is called %s", c.want, tp.Shape)
		}
		if c.want != compensate.Uneven {
			near(t, "form", tp.Form, 2*0.05*0.25, 1e-5)
			near(t, "slope", math.Abs(tp.Line.Slope), 2*0.0001, 1e-8)
		}
	}
}
