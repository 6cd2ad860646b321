package compensate

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/mat"
)

// Extreme is a greatest or least value, mm, and its position.
type Extreme struct{ Position, Value float64 }

// degree of the polynomials that stand in for the error on each smooth piece. The tool's motion is a cubic of position
// there (a quintic for a saddle that bears on its full length) and the diameter very nearly a straight function of it,
// so that six is ample; fit checks it all the same.
const degree = 6

// basis holds what a piece mapped to [0, 1] is sampled and judged with.
type basis struct {
	node      [degree + 1]float64 // Chebyshev-Lobatto points, ends included
	weight    [degree + 1]float64 // of the integral over [0, 1] (Clenshaw and Curtis)
	bernstein [degree + 1][degree + 1]float64
}

// samples is the basis, made once: Bernstein coefficients of the polynomial through the values at the nodes, and
// integration weights, both by solving the small linear systems that define them.
var samples = sync.OnceValue(func() basis {
	const n = degree + 1
	var b basis
	value := mat.NewDense(n, n, nil)  // Bernstein polynomials at the nodes
	powers := mat.NewDense(n, n, nil) // powers at the nodes, and their integrals
	integral := mat.NewVecDense(n, nil)
	for j := range n {
		t := (1 - math.Cos(math.Pi*float64(j)/degree)) / 2
		b.node[j] = t
		choose := 1.0
		for k := range n {
			value.Set(j, k, choose*math.Pow(t, float64(k))*math.Pow(1-t, float64(degree-k)))
			choose *= float64(degree-k) / float64(k+1)
			powers.Set(k, j, math.Pow(t, float64(k)))
		}
		integral.SetVec(j, 1/float64(j+1))
	}
	var inverse mat.Dense
	var weights mat.VecDense
	if inverse.Inverse(value) != nil || weights.SolveVec(powers, integral) != nil {
		panic("the sampling basis of degree 6 is regular")
	}
	for j := range n {
		b.weight[j] = weights.AtVec(j)
		for k := range n {
			b.bernstein[j][k] = inverse.At(j, k)
		}
	}
	return b
})

// hunt looks for the extremes of a smooth function, to well within 0.01 µm, over pieces given to it one after another.
//
// A polynomial lies between the least and the greatest of its Bernstein coefficients. A piece whose coefficients lie
// inside what was found already is done with; any other is halved, which brings its coefficients four times nearer to
// the curve.
type hunt struct {
	f               func(z float64) float64
	least, greatest Extreme
}

func newHunt(f func(z float64) float64) *hunt {
	return &hunt{f: f, least: Extreme{math.NaN(), math.Inf(1)}, greatest: Extreme{math.NaN(), math.Inf(-1)}}
}

const (
	huntNear = 1e-9 // mm: how near an extreme is taken
	huntFit  = 1e-7 // mm: how near the polynomial must come to the function
	huntDeep = 40   // halvings of a polynomial
	fitDeep  = 7    // halvings of a piece for the sake of the fit

	huntRound = 1e-14 // of a value: what rounding makes of it, so that halving stops there
)

func (h *hunt) take(z, v float64) {
	if v > h.greatest.Value {
		h.greatest = Extreme{z, v}
	}
	if v < h.least.Value {
		h.least = Extreme{z, v}
	}
}

// piece searches [a, b], on which the function is smooth.
func (h *hunt) piece(a, b float64) { fit(h.f, a, b, fitDeep, h.search) }

// search searches a polynomial that stands in for the function.
func (h *hunt) search(p polynomial) {
	h.take(p.from, p.c[0])
	h.take(p.to, p.c[degree])
	h.polynomial(p.c, p.from, p.to, huntDeep)
}

// polynomial is one on [from, to], by its Bernstein coefficients.
type polynomial struct {
	from, to float64
	c        [degree + 1]float64
}

// between returns it on [a, b], within its own piece.
func (p polynomial) between(a, b float64) polynomial {
	if a > p.from {
		_, p.c = split(p.c, (a-p.from)/(p.to-p.from))
		p.from = a
	}
	if b < p.to {
		p.c, _ = split(p.c, (b-p.from)/(p.to-p.from))
		p.to = b
	}
	return p
}

// fit yields, in order, polynomials as near as huntFit to a function that is smooth on [a, b], which is halved for that
// so many times at the most.
func fit(f func(z float64) float64, a, b float64, deeper int, yield func(polynomial)) {
	var at nodeValues
	for j, z := range sampledAt(a, b) {
		at[j] = f(z)
	}
	fitted(f, a, b, at, deeper, yield)
}

// nodeValues is what a function is at the nodes of a piece, and at one place between them by which the polynomial
// through the others is judged.
type nodeValues [degree + 2]float64

// sampledAt returns where a piece is sampled.
func sampledAt(a, b float64) (z nodeValues) {
	for j, t := range samples().node {
		z[j] = a + t*(b-a)
	}
	z[degree+1] = a + between*(b-a)
	return z
}

const between = 0.37 // of a piece; not a node

// fitted does so where the function was sampled.
func fitted(f func(z float64) float64, a, b float64, at nodeValues, deeper int, yield func(polynomial)) {
	p := polynomial{from: a, to: b}
	for k := range p.c {
		for j, x := range samples().bernstein[k] {
			p.c[k] += x * at[j]
		}
	}
	p.c[0], p.c[degree] = at[0], at[degree] // but for rounding they are
	off := math.Abs(bezier(p.c, between) - at[degree+1])
	if b > a && deeper > 0 && off > huntFit+10*huntRound*math.Abs(p.c[0]) {
		m := (a + b) / 2
		fit(f, a, m, deeper-1, yield)
		fit(f, m, b, deeper-1, yield)
		return
	}
	yield(p)
}

// polynomial searches the polynomial with Bernstein coefficients c on [a, b].
func (h *hunt) polynomial(c [degree + 1]float64, a, b float64, deeper int) {
	lo, hi := c[0], c[0]
	for _, x := range c {
		lo, hi = math.Min(lo, x), math.Max(hi, x)
	}
	near := huntNear + huntRound*math.Max(math.Abs(lo), math.Abs(hi))
	// as it stands, what is not a number ends here too
	if deeper == 0 || !(hi > h.greatest.Value+near || lo < h.least.Value-near) {
		return
	}
	left, right := split(c, 0.5)
	m := (a + b) / 2
	h.take(m, right[0])
	h.polynomial(left, a, m, deeper-1)
	h.polynomial(right, m, b, deeper-1)
}

// split divides a polynomial in Bernstein form at t (de Casteljau).
func split(c [degree + 1]float64, t float64) (left, right [degree + 1]float64) {
	for i := range c {
		left[i], right[degree-i] = c[0], c[degree-i]
		for k := range degree - i {
			c[k] += t * (c[k+1] - c[k])
		}
	}
	return left, right
}

func bezier(c [degree + 1]float64, t float64) float64 {
	_, right := split(c, t)
	return right[0]
}
