package estimate

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"

	"wornway/profile/survey"
)

// sides are the readings that are limits and not values. Each is stood in for by a reading with a value and an
// uncertainty chosen so that, together with what all others say, it has the mean and the variance that the limits give
// (expectation propagation). A limit that nothing comes near says nothing.
//
// Source: moments of a normal density cut by a soft step, C. E. Rasmussen and C. K. I. Williams, Gaussian Processes for
// Machine Learning (2006), section 3.9, from memory; between two steps likewise, derived here.
type sides struct {
	p    *problem
	rows []int
}

// silent is the uncertainty, mm, of a limit that says nothing.
const silent = 1e3

func newSides(p *problem) sides {
	s := sides{p: p}
	for i, r := range p.rows {
		e := p.in.Surveys[r.survey].Equations[r.equation]
		switch e.Side {
		case survey.Value:
			continue
		case survey.Between: // to begin with, a rectangle
			p.rows[i].rescale(math.Hypot(e.U, e.Half/math.Sqrt(3)), e.Reading-p.offset[r.survey])
		default:
			p.rows[i].rescale(silent, 0)
		}
		s.rows = append(s.rows, i)
	}
	return s
}

func (s sides) any() bool { return len(s.rows) > 0 }

// rescale gives a row another uncertainty and another reading, mm.
func (r *row) rescale(u, reading float64) {
	f := r.u / u
	for i := range r.known {
		r.known[i].weight *= f
	}
	for i := range r.flat {
		r.flat[i].weight *= f
	}
	r.u, r.y = u, reading/u
}

// update chooses the stand-ins anew from what the other readings say at a point.
func (s sides) update(at point) error {
	if !s.any() {
		return nil
	}
	at.at = at.at.asStated()
	left, err := s.others(at)
	if err != nil {
		return err
	}
	for k, i := range s.rows {
		r := &s.p.rows[i]
		if s.p.aside[i] {
			r.rescale(silent, 0)
			continue
		}
		e := s.p.in.Surveys[r.survey].Equations[r.equation]
		mean, variance := left[k].mean*r.u, (left[k].variance-1)*r.u*r.u
		if !(variance > 0) || variance > silent*silent/100 {
			r.rescale(silent, 0)
			continue
		}
		moved, narrowed := cutTo(e, e.Reading-s.p.offset[r.survey], mean, variance)
		own := 1 / (1/narrowed - 1/variance)
		if !(own > 0) || own > silent*silent {
			r.rescale(silent, 0)
			continue
		}
		r.rescale(math.Sqrt(own), own*(moved/narrowed-mean/variance))
	}
	return nil
}

// cutTo returns mean and variance of a normal density once it is cut to the equation's limits, which are as soft as its
// uncertainty: the value and an error of it together lie within them.
func cutTo(e survey.Equation, reading, mean, variance float64) (moved, narrowed float64) {
	low, high := math.Inf(-1), math.Inf(1)
	switch e.Side {
	case survey.AtMost:
		high = reading
	case survey.AtLeast:
		low = reading
	case survey.Between:
		low, high = reading-e.Half, reading+e.Half
	}
	// The sum of value and error is cut sharply; the value follows it as far as the sum's variance is its own.
	total := variance + e.U*e.U
	spread := math.Sqrt(total)
	m, v := cutNormal((low-mean)/spread, (high-mean)/spread)
	return mean + variance/spread*m, variance * (e.U*e.U/total + variance/total*v)
}

// cutNormal returns mean and variance of a standard normal density cut to what is between a and b. They are integrated
// from the limit nearer to its middle over the stretch that counts, so that they keep their digits however far out and
// however near to each other the limits are; closed forms lose them there.
func cutNormal(a, b float64) (mean, variance float64) {
	if a+b < 0 {
		mean, variance = cutNormal(-b, -a)
		return -mean, variance
	}
	const (
		whole = 9.0 // beyond it the density is 10⁻¹⁸ of that in its middle
		nodes = 48  // enough for all of it
	)
	if a < -whole && b > whole {
		return 0, 1
	}
	from := math.Max(a, -whole)
	length := whole - from
	if from > 0 { // as far as the density falls by as much from there
		length = whole * whole / (from + math.Hypot(from, whole))
	}
	length = math.Min(length, b-from)
	if !(length > 0) {
		return from, 0
	}
	var y, w [nodes]float64
	quad.Legendre{}.FixedLocations(y[:], w[:], 0, length)
	sum := 0.0
	for i := range y {
		w[i] *= math.Exp(-y[i] * (from + y[i]/2))
		sum += w[i]
		mean += w[i] * y[i]
	}
	mean /= sum
	for i := range y {
		variance += w[i] / sum * (y[i] - mean) * (y[i] - mean)
	}
	return from + mean, variance
}

// others returns what all other rows say of each limit. The readings with a value are condensed, so that few limits
// beside a long run cost little.
func (s sides) others(at point) ([]expectation, error) {
	all, err := leaveEachOut(s.p, newSystem(s.p), at)
	if err != nil {
		return nil, err
	}
	return all[len(all)-len(s.rows):], nil
}

func stacked(upper, lower *mat.Dense) *mat.Dense {
	var out mat.Dense
	out.Stack(upper, lower)
	return &out
}

// expectation is what all other rows say of a row's reading, in units of its uncertainty: mean, and variance with that
// of the reading itself (1).
type expectation struct{ mean, variance float64 }

// leaveEachOut returns for every row what the others say of it.
//
// Source: with P = L⁻ᵀ(I − QQᵀ)L⁻¹ the reading less its prediction by the others is (P·y)/P_ii, with variance 1/P_ii
// (the same book, section 5.4.2, from memory; checked in the tests by leaving rows out).
func leaveEachOut(p *problem, sys system, at point) ([]expectation, error) {
	m, white, err := projected(p, sys, at)
	if err != nil {
		return nil, err
	}
	n := len(sys.y)
	out := make([]expectation, n)
	for i := range n {
		pii, py := 0.0, 0.0
		for j := range n {
			v := m.At(j, i)
			pii += v * v
			py += v * white[j]
		}
		out[i] = leftBy(sys.y[i], pii, py)
	}
	return out, nil
}

// leftBy returns what the others say of a reading y from P_ii and (P·y)_i.
func leftBy(y, pii, py float64) expectation {
	const nothing = 1e-24 // what rounding leaves of a reading that the others say nothing of
	if pii <= nothing {
		return expectation{y, math.Inf(1)}
	}
	return expectation{y - py/pii, 1 / pii}
}

// projected returns (I − QQᵀ)·L⁻¹ and its product with the readings: P is the former's transpose times itself.
func projected(p *problem, sys system, at point) (m *mat.Dense, white []float64, err error) {
	s := newSpace(p, sys, at.space.manner)
	k, err := solve(s.covariance(at.at), sys.f, sys.y)
	if err != nil {
		return nil, nil, err
	}
	n := len(sys.y)
	m = mat.NewDense(n, n, nil)
	for i := range n {
		m.Set(i, i, 1)
	}
	k.free(m)
	return m, k.white, nil
}
