package compensate_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/interp"
	"gonum.org/v1/gonum/mat"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// bench is a lathe with its wear, made up at random, from which both a Machine and a plain calculation of its own are
// built.
type bench struct {
	lathe   bed.Lathe
	z       []float64
	values  map[bed.Curve][]float64
	scalars [bed.Scalars]float64
}

// randomBench returns a bench lathe, in mm: n knots over some 900 mm, wear of up to 0.1 mm, a little twist and lean.
func randomBench(r *rand.Rand, n int) bench {
	b := bench{lathe: bed.Lathe{CentreHeight: 100 + r.Float64()*80, Span: 150 + r.Float64()*100,
		RearPost: r.IntN(3) == 0}}
	b.lathe.Setback = b.lathe.Span * (0.4 + 0.2*r.Float64())
	if r.IntN(2) == 0 {
		b.lathe.V = &bed.V{Outer: 0.6 + r.Float64()*0.4, Inner: 0.6 + r.Float64()*0.4, ContactSpacing: r.Float64() * 15}
	}
	b.lathe.Saddle = bed.Saddle{BearingLength: []float64{0, 0, 120, 280}[r.IntN(4)], Bearing: bed.Bearing(r.IntN(2)),
		ToolOffset: r.Float64()*60 - 40}
	for i := range n {
		b.z = append(b.z, -200+900*(float64(i)+0.8*r.Float64())/float64(n))
	}
	b.values = map[bed.Curve][]float64{}
	for _, c := range []bed.Curve{bed.Front, bed.Shift, bed.Rear} {
		deep, at, wide := []float64{0.1, 0.02, 0.03}[c]*r.Float64(), r.Float64()*500-100, 60+r.Float64()*200
		rough := 0.004 * r.Float64()
		for _, z := range b.z {
			b.values[c] = append(b.values[c], deep*math.Exp(-(z-at)*(z-at)/(2*wide*wide))+rough*r.NormFloat64())
		}
	}
	b.scalars = [bed.Scalars]float64{r.NormFloat64() * 5e-8, r.NormFloat64() * 2e-5, r.NormFloat64() * 2e-5}
	return b
}

func (b bench) machine(t testing.TB) compensate.Machine {
	t.Helper()
	w := mustWear(t, b.z, b.values)
	for k, v := range b.scalars {
		w = w.WithScalar(bed.Scalar(k), v)
	}
	return compensate.Machine{Lathe: b.lathe, Wear: w, Axis: compensate.SpindleAxis()}
}

// randomCut returns a cut somewhere on the bench.
func (b bench) randomCut(r *rand.Rand, length float64) compensate.Cut {
	first, last := b.z[0], b.z[len(b.z)-1]
	from := first + r.Float64()*(last-first-length)
	c := compensate.Cut{Feature: work.Feature{From: from, To: from + length, Diameter: 8 + r.Float64()*80,
		Bore: r.IntN(4) == 0}}
	c.SetAt = []float64{c.To, c.From, from + length*r.Float64()}[r.IntN(3)]
	if r.IntN(2) == 0 {
		c.ToolHeight = r.Float64() - 0.5
	}
	return c
}

// plain calculates the diameter error by the written-out equations alone: the curves by gonum, the bearings by hand,
// the radius by Pythagoras. Nothing of package bed or wear is asked.
type plain struct {
	bench
	curves map[bed.Curve]*interp.FritschButland
}

func (b bench) plain() plain {
	p := plain{b, map[bed.Curve]*interp.FritschButland{}}
	for c, v := range b.values {
		p.curves[c] = new(interp.FritschButland)
		if err := p.curves[c].Fit(b.z, v); err != nil {
			panic(err)
		}
	}
	return p
}

// bearing returns the saddle's line along a curve, as its mean and its slope.
func (p plain) bearing(c bed.Curve, z float64) (mean, slope float64) {
	f, ok := p.curves[c]
	if !ok {
		return 0, 0
	}
	s := p.lathe.Saddle
	if s.BearingLength == 0 {
		return f.Predict(z), 0
	}
	a, b := z-s.ToolOffset-s.BearingLength/2, z-s.ToolOffset+s.BearingLength/2
	if s.Bearing == bed.Ends {
		return (f.Predict(a) + f.Predict(b)) / 2, (f.Predict(b) - f.Predict(a)) / s.BearingLength
	}
	cuts := []float64{a}
	for _, k := range p.z {
		if k > a && k < b {
			cuts = append(cuts, k)
		}
	}
	cuts = append(cuts, b)
	var area, moment float64
	for i := 0; i+1 < len(cuts); i++ {
		m, h := (cuts[i]+cuts[i+1])/2, (cuts[i+1]-cuts[i])/2
		// Three-point Gauss, exact on a cubic times a straight line.
		for _, g := range [][2]float64{{-math.Sqrt(0.6), 5.0 / 9}, {0, 8.0 / 9}, {math.Sqrt(0.6), 5.0 / 9}} {
			v := f.Predict(m+g[0]*h) * g[1] * h
			area += v
			moment += v * (m + g[0]*h - (a+b)/2)
		}
	}
	return area / (b - a), 12 * moment / math.Pow(b-a, 3)
}

// tool returns how far the tool point has moved out and down against the work axis, absolute.
func (p plain) tool(z, diameter float64) (out, down float64) {
	l := p.lathe
	offset := l.Saddle.ToolOffset
	fm, fs := p.bearing(bed.Front, z)
	em, es := p.bearing(bed.Shift, z)
	rm, _ := p.bearing(bed.Rear, z)
	roll := (fm-rm)/l.Span + p.scalars[bed.Twist]*z
	if long := l.Saddle.BearingLength; long > 0 && l.Saddle.Bearing == bed.Ends {
		sunk := func(c bed.Curve, z float64) float64 { // a curve that is not given has not
			if f, ok := p.curves[c]; ok {
				return f.Predict(z)
			}
			return 0
		}
		left, right := z-offset-long/2, z-offset+long/2
		apart := sunk(bed.Front, left) - sunk(bed.Rear, left) - sunk(bed.Front, right) + sunk(bed.Rear, right)
		roll += p.scalars[bed.Seating] * math.Abs(apart) / l.Span / 2
	}
	h, s, y := l.CentreHeight, 1.0, l.Setback-diameter/2
	if l.V != nil {
		h += l.V.ContactSpacing / (math.Tan(l.V.Outer) + math.Tan(l.V.Inner))
	}
	if l.RearPost {
		s, y = -1, l.Setback+diameter/2
	}
	out = s*(em+es*offset+h*roll) - s*p.scalars[bed.LeanOut]*z
	down = fm + fs*offset - roll*y + p.scalars[bed.LeanUp]*z
	return out, down
}

// errors returns the diameter error as a function of position and of a setting, mm in on radius.
func (p plain) errors(c compensate.Cut) func(z, setting float64) float64 {
	x0 := math.Sqrt(c.Diameter*c.Diameter/4 - c.ToolHeight*c.ToolHeight)
	out0, down0 := p.tool(c.SetAt, c.Diameter)
	return func(z, setting float64) float64 {
		out, down := p.tool(z, c.Diameter)
		return 2*math.Hypot(x0+out-out0-setting, c.ToolHeight-(down-down0)) - c.Diameter
	}
}

// sampled returns the least and the greatest of a function over n even steps.
func sampled(a, b float64, n int, f func(z float64) float64) (least, greatest float64) {
	least, greatest = math.Inf(1), math.Inf(-1)
	for i := range n + 1 {
		v := f(a + (b-a)*float64(i)/float64(n))
		least, greatest = math.Min(least, v), math.Max(greatest, v)
	}
	return least, greatest
}

func mustCurve(t testing.TB, m compensate.Machine, c compensate.Cut) *compensate.Curve {
	t.Helper()
	k, err := m.Curve(c)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// rowsOf states the same standard uncertainty for each value of some curves, the three carriage curves where none is
// named, independent of all others.
func rowsOf(n int, u float64, curves ...bed.Curve) wear.Full { return seatedRowsOf(n, u, 0, curves...) }

// seatedRowsOf states how the saddle sits too, to a variance.
func seatedRowsOf(n int, u, seating float64, curves ...bed.Curve) wear.Full {
	if len(curves) == 0 {
		curves = []bed.Curve{bed.Front, bed.Shift, bed.Rear}
	}
	var of []wear.Unknown
	for k := range n {
		for _, c := range curves {
			of = append(of, wear.Unknown{Knot: k, Curve: c})
		}
	}
	of = append(of, wear.Unknown{Knot: -1, Scalar: bed.Seating})
	cov := mat.NewSymDense(len(of), nil)
	for i := range len(of) - 1 {
		cov.SetSym(i, i, u*u)
	}
	cov.SetSym(len(of)-1, len(of)-1, seating)
	return wear.NewFull(n, of, cov)
}

// statedTo states the same standard uncertainty of the three carriage curves wherever they are asked.
func statedTo(u float64, reach wear.Reach) wear.Stationary {
	s := wear.Stationary{Reach: reach}
	for _, c := range []bed.Curve{bed.Front, bed.Shift, bed.Rear} {
		s.Place[c][c] = u * u
	}
	return s
}
