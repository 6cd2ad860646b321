package cause

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// whiteWorld is a world in which what is off has the unit covariance.
type whiteWorld struct {
	chol mat.Cholesky
	y    []float64
	log  float64 // of the density that nothing but chance makes of it
}

var errCovariance = errors.New("the readings' covariance cannot be calculated with")

func (w world) white() (*whiteWorld, error) {
	out := &whiteWorld{}
	if !out.chol.Factorize(w.covariance) {
		return nil, errCovariance
	}
	out.y = out.of(w.off)
	out.log = -0.5*dot(out.y, out.y) - 0.5*out.chol.LogDet()
	return out, nil
}

// of whitens a column.
func (w *whiteWorld) of(v []float64) []float64 {
	var l mat.TriDense
	w.chol.LTo(&l)
	n := len(v)
	out := make([]float64, n)
	for i := range n {
		s := v[i]
		for j := range i {
			s -= l.At(i, j) * out[j]
		}
		out[i] = s / l.At(i, i)
	}
	return out
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i := range a {
		s += a[i] * b[i]
	}
	return s
}

// share is a whitened column for one standard deviation of a cause's size beforehand.
type share struct {
	x   []float64
	one bool
}

// evidence is what the readings say of a world with up to two causes whose sizes are unknown.
type evidence struct {
	log  float64    // of the evidence
	size [2]float64 // in standard deviations beforehand
	u    [2]float64
	chi  float64 // what is left once the causes have these sizes
}

// fit returns the evidence with up to two columns. The sizes have standard normal densities beforehand, or the upper
// halves of them, so that they are normal afterwards, cut off at zero.
func (w *whiteWorld) fit(of ...share) evidence {
	out := evidence{log: w.log, chi: dot(w.y, w.y)}
	switch len(of) {
	case 1:
		a := of[0].x
		p := 1 + dot(a, a)
		m, u := dot(a, w.y)/p, 1/math.Sqrt(p)
		out.log += -0.5*math.Log(p) + 0.5*m*m*p
		if of[0].one {
			out.log += math.Ln2 + logNormal(m/u)
			m, u = cutOff(m, u)
		}
		out.size[0], out.u[0] = m, u
	case 2:
		a, b := of[0].x, of[1].x
		aa, bb, ab := 1+dot(a, a), 1+dot(b, b), dot(a, b)
		ay, by := dot(a, w.y), dot(b, w.y)
		det := aa*bb - ab*ab
		m := [2]float64{(bb*ay - ab*by) / det, (aa*by - ab*ay) / det}
		v := [2]float64{bb / det, aa / det}
		c := -ab / det
		out.log += -0.5*math.Log(det) + 0.5*(m[0]*ay+m[1]*by)
		for i := range m {
			out.size[i], out.u[i] = m[i], math.Sqrt(v[i])
		}
		switch {
		case of[0].one && of[1].one:
			out.log += 2*math.Ln2 + math.Log(quadrant(m, v, c))
			for i := range m {
				out.size[i], out.u[i] = cutOff(m[i], math.Sqrt(v[i])) // each by itself: they hang together but little
			}
		case of[0].one || of[1].one:
			i, k := 0, 1
			if of[1].one {
				i, k = 1, 0
			}
			u := math.Sqrt(v[i])
			out.log += math.Ln2 + logNormal(m[i]/u)
			size, less := cutOff(m[i], u)
			out.size[k] += c / v[i] * (size - m[i])
			out.u[k] = math.Sqrt(math.Max(0, v[k]-c*c/v[i]+c*c/(v[i]*v[i])*less*less))
			out.size[i], out.u[i] = size, less
		}
	}
	left := make([]float64, len(w.y))
	copy(left, w.y)
	for k, s := range of {
		for i := range left {
			left[i] -= out.size[k] * s.x[i]
		}
	}
	out.chi = dot(left, left)
	return out
}

// pool is the evidence of several possibilities together; what is told of it is the one that weighs most.
type pool struct {
	best      evidence
	most, sum float64 // the logarithm of the greatest weight, and the sum of all in units of that
	any       bool
}

// add takes in one possibility with its probability, and says whether it weighs most so far.
func (p *pool) add(f evidence, probability float64) (most bool) {
	l := f.log + math.Log(probability)
	if !p.any {
		p.best, p.most, p.sum, p.any = f, l, 1, true
		return true
	}
	if l > p.most {
		p.sum *= math.Exp(p.most - l)
		p.best, p.most, most = f, l, true
	}
	p.sum += math.Exp(l - p.most)
	return most
}

// all returns the most weighty possibility with the evidence of all.
func (p *pool) all() evidence {
	out := p.best
	out.log = p.most + math.Log(p.sum)
	return out
}

// stretches are factors on the usual size of a cause, with their probabilities: what is wrong may be far worse than
// usual, and a narrow density would rule that out more surely than anybody knows.
var stretches = []struct{ factor, probability float64 }{{1, 0.8}, {3, 0.2}}

// stretched is fit with sizes that may each be greater than usual. The sizes told are those of the stretches that fit
// best.
func (w *whiteWorld) stretched(of []share) evidence {
	combinations := 1
	for range of {
		combinations *= len(stretches)
	}
	var p pool
	for c := range combinations {
		wide := make([]share, len(of))
		probability, left := 1.0, c
		factors := make([]float64, len(of))
		for i, s := range of {
			t := stretches[left%len(stretches)]
			left /= len(stretches)
			probability *= t.probability
			factors[i] = t.factor
			wide[i] = share{make([]float64, len(s.x)), s.one}
			for j, x := range s.x {
				wide[i].x[j] = t.factor * x
			}
		}
		f := w.fit(wide...)
		for i, t := range factors {
			f.size[i] *= t
			f.u[i] *= t
		}
		p.add(f, probability)
	}
	return p.all()
}

var normal = distuv.UnitNormal

// logNormal returns the logarithm of the normal distribution function, far out in its tail by the first terms of its
// series.
func logNormal(x float64) float64 {
	const far = -25.0
	if x < far {
		return -0.5*x*x - math.Log(-x) - 0.5*math.Log(2*math.Pi) + math.Log1p(-1/(x*x))
	}
	return math.Log(math.Max(normal.CDF(x), math.SmallestNonzeroFloat64))
}

// cutOff returns mean and standard deviation of a normal density that is cut off at zero, its upper part kept.
func cutOff(m, u float64) (mean, sd float64) {
	x := m / u
	if x < -25 { // nearly an exponential density
		return u / -x, u / -x
	}
	ratio := math.Exp(-0.5*x*x-0.5*math.Log(2*math.Pi)) / normal.CDF(x)
	return m + u*ratio, u * math.Sqrt(math.Max(0, 1-ratio*(ratio+x)))
}

// quadrant returns the probability that two normal numbers are both above zero: by Simpson's rule over the first, the
// second being normal for each of its values.
func quadrant(m, v [2]float64, c float64) float64 {
	u := math.Sqrt(v[0])
	least, most := math.Max(0, m[0]-8*u), math.Max(0, m[0])+8*u
	rest := math.Sqrt(math.Max(v[1]-c*c/v[0], 1e-300))
	const pieces = 400
	sum := 0.0
	for i := range pieces + 1 {
		f := 2.0
		switch {
		case i == 0 || i == pieces:
			f = 1
		case i%2 == 1:
			f = 4
		}
		a := least + (most-least)*float64(i)/pieces
		z := (a - m[0]) / u
		sum += f * math.Exp(-0.5*z*z) / math.Sqrt(2*math.Pi) / u * normal.CDF((m[1]+c/v[0]*(a-m[0]))/rest)
	}
	return math.Max(sum*(most-least)/pieces/3, math.SmallestNonzeroFloat64)
}
