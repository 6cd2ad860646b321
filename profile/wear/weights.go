package wear

import (
	"math"
	"slices"

	"wornway/profile/bed"
)

// Weights is a weighted sum of a Wear's unknowns: the curves' values at the knots, then the scalars. It is built up by
// [Wear.Weigh] and read by a [Covariance]. Between knots it uses straight lines: an uncertainty needs no finer curve.
type Weights struct {
	terms  []weight
	merged bool
}

type weight struct {
	index int
	w     float64
}

// unknown returns the place of a curve's value at a knot among the unknowns; those of one knot stand together.
func unknown(knot int, c bed.Curve) int { return knot*int(bed.Curves) + int(c) }

// scalarBase returns the place of the first scalar among the unknowns of a wear of n knots.
func scalarBase(n int) int { return n * int(bed.Curves) }

// Weigh adds f times the sum at position z to the weights. What is not linear in it is taken so about the wear as it is.
func (w *Wear) Weigh(into *Weights, s bed.Sum, z, f float64) {
	into.merged = false
	for _, t := range s.Terms {
		if w.curves[t.Curve] == nil {
			continue
		}
		if t.From == t.To {
			w.weighPoint(into, t.Curve, z+t.From, f*t.Mean)
		} else {
			w.weighStretch(into, t, z, f)
		}
	}
	for k, per := range s.PerLength {
		if per != 0 {
			into.terms = append(into.terms, weight{scalarBase(len(w.knots)) + k, f * per * z})
		}
	}
	for _, r := range s.Rocks {
		k := w.rocked(r, z)
		into.terms = append(into.terms, weight{scalarBase(len(w.knots)) + int(bed.Seating), f * r.Per * math.Abs(k.apart)})
		if k.weight != 0 {
			w.Weigh(into, r.Apart(), z, f*r.Per*k.weight)
		}
	}
	w.compact(into)
}

// compact unites weights on the same unknown once there are far more of them than unknowns, so that a sum of very many
// parts takes no more room than the unknowns do. It is done so seldom that it costs each weight but little.
func (w *Wear) compact(into *Weights) {
	size := scalarBase(len(w.knots)) + int(bed.Scalars)
	if len(into.terms) < max(1<<16, 2*size) {
		return
	}
	all := make([]float64, size)
	for _, t := range into.terms {
		all[t.index] += t.w
	}
	into.terms = into.terms[:0]
	for i, f := range all {
		if f != 0 {
			into.terms = append(into.terms, weight{i, f})
		}
	}
}

func (w *Wear) weighPoint(into *Weights, c bed.Curve, p, f float64) {
	n := len(w.knots)
	switch {
	case p <= w.knots[0]:
		into.terms = append(into.terms, weight{unknown(0, c), f})
	case p >= w.knots[n-1]:
		into.terms = append(into.terms, weight{unknown(n-1, c), f})
	default:
		i := w.curves[c].piece(p)
		t := (p - w.knots[i]) / (w.knots[i+1] - w.knots[i])
		into.terms = append(into.terms, weight{unknown(i, c), f * (1 - t)}, weight{unknown(i+1, c), f * t})
	}
}

// weighStretch spreads a term's mean and slope over the knots under it. The density of its weight is a straight line
// along the stretch, a curve between knots is one too, so that Simpson's rule on each piece is exact.
func (w *Wear) weighStretch(into *Weights, t bed.Term, z, f float64) {
	a, b := z+t.From, z+t.To
	length, middle := b-a, (a+b)/2
	density := func(p float64) float64 {
		return f * (t.Mean/length + t.Slope*12*(p-middle)/(length*length*length))
	}
	cut := func(p, q float64) { // a piece between neighbouring knots, or beyond the ends
		d := (q - p) / 6
		w.weighPoint(into, t.Curve, p, d*density(p))
		w.weighPoint(into, t.Curve, (p+q)/2, 4*d*density((p+q)/2))
		w.weighPoint(into, t.Curve, q, d*density(q))
	}
	first, _ := slices.BinarySearch(w.knots, a)
	from := a
	for i := first; i < len(w.knots) && w.knots[i] < b; i++ {
		if w.knots[i] > from {
			cut(from, w.knots[i])
			from = w.knots[i]
		}
	}
	cut(from, b)
}

// merge sorts the weights and unites those on the same unknown.
func (s *Weights) merge() []weight {
	if s.merged {
		return s.terms
	}
	slices.SortFunc(s.terms, func(a, b weight) int { return a.index - b.index })
	out := s.terms[:0]
	for _, t := range s.terms {
		if n := len(out); n > 0 && out[n-1].index == t.index {
			out[n-1].w += t.w
			continue
		}
		out = append(out, t)
	}
	s.terms, s.merged = out, true
	return out
}

// Unknown is one unknown of a Wear: a curve's value at a knot, or where Knot is negative a scalar.
type Unknown struct {
	Knot   int
	Curve  bed.Curve
	Scalar bed.Scalar
}

// Each calls yield for every unknown that has a weight, in a fixed order; n is the number of the wear's knots.
func (s *Weights) Each(n int, yield func(u Unknown, weight float64)) {
	for _, t := range s.merge() {
		if k := t.index - scalarBase(n); k >= 0 {
			yield(Unknown{Knot: -1, Scalar: bed.Scalar(k)}, t.w)
			continue
		}
		yield(Unknown{Knot: t.index / int(bed.Curves), Curve: bed.Curve(t.index % int(bed.Curves))}, t.w)
	}
}

// Uncertainty returns the standard uncertainty of the weighted sum, in the sum's unit, and false where none was stated.
func (w *Wear) Uncertainty(s *Weights) (float64, bool) {
	if w.cov == nil {
		return 0, false
	}
	return math.Sqrt(math.Max(0, w.cov.Between(s, s))), true
}

// CovarianceOf returns the covariance of two weighted sums, and false where no uncertainty was stated.
func (w *Wear) CovarianceOf(a, b *Weights) (float64, bool) {
	if w.cov == nil {
		return 0, false
	}
	return w.cov.Between(a, b), true
}
