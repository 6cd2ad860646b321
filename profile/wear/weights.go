package wear

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/bed"
)

// Weights is a weighted sum of a Wear's unknowns: by how much its curves are off at the knots of their errors, then the
// scalars. It is built up by [Wear.Weigh] and read by a [Covariance].
type Weights struct {
	terms   []weight
	scalars [bed.Scalars]float64
	merged  bool
	room    int // how many terms there may be before they are merged
}

type weight struct {
	index int
	w     float64
}

// origin is added to the number of a knot, so that none is negative.
const origin = 1 << 40

// unknown returns the place of a curve's error at a knot among the unknowns; those of one knot stand together.
func unknown(knot int, c bed.Curve) int { return (origin+knot)*int(bed.Curves) + int(c) }

// Weigh adds f times the sum at position z to the weights. What is not linear in it is taken so about the wear as it
// is.
func (w *Wear) Weigh(into *Weights, s bed.Sum, z, f float64) {
	into.merged = false
	for _, t := range s.Terms {
		if w.curves[t.Curve] == nil {
			continue
		}
		a, b := z+t.From, z+t.To
		if a == b {
			into.terms = w.errors.point(into.terms, t.Curve, a, f*t.Mean)
			continue
		}
		length := b - a
		into.terms = w.errors.stretch(into.terms, t.Curve, a, b, f*t.Mean/length, f*t.Slope*12/(length*length*length))
	}
	for k, per := range s.PerLength {
		into.scalars[k] += f * per * z
	}
	for _, r := range s.Rocks {
		k := w.rocked(r, z)
		into.scalars[bed.Seating] += f * r.Per * math.Abs(k.apart)
		if k.weight != 0 {
			w.Weigh(into, r.Apart(), z, f*r.Per*k.weight)
		}
	}
	// A sum of very many parts takes no more room than its unknowns do. They are united so seldom that it costs each
	// but little.
	const seldom = 1 << 10
	if len(into.terms) > max(seldom, into.room) {
		into.room = 2 * len(into.merge())
	}
}

// merge sorts the weights and unites those on the same unknown.
func (s *Weights) merge() []weight {
	if s.merged || len(s.terms) == 0 {
		return s.terms
	}
	first, last := s.terms[0].index, s.terms[0].index
	for _, t := range s.terms {
		first, last = min(first, t.index), max(last, t.index)
	}
	out := s.terms[:0]
	if size := last - first + 1; size <= 4*len(s.terms) {
		all := make([]float64, size)
		for _, t := range s.terms {
			all[t.index-first] += t.w
		}
		for i, f := range all {
			if f != 0 {
				out = append(out, weight{first + i, f})
			}
		}
	} else {
		slices.SortFunc(s.terms, func(a, b weight) int { return a.index - b.index })
		for _, t := range s.terms {
			if n := len(out); n > 0 && out[n-1].index == t.index {
				out[n-1].w += t.w
				continue
			}
			out = append(out, t)
		}
	}
	s.terms, s.merged = out, true
	return out
}

// Unknown is one unknown of a Wear whose errors are at its knots: a curve's value at a knot, or where Knot is negative
// a scalar.
type Unknown struct {
	Knot   int
	Curve  bed.Curve
	Scalar bed.Scalar
}

// WeighScalar adds f times one of the scalars itself to the weights.
func (s *Weights) WeighScalar(k bed.Scalar, f float64) { s.scalars[k] += f }

// Each calls yield for every unknown that has a weight, in a fixed order.
func (s *Weights) Each(yield func(u Unknown, weight float64)) {
	for _, t := range s.merge() {
		yield(Unknown{Knot: t.index/int(bed.Curves) - origin, Curve: bed.Curve(t.index % int(bed.Curves))}, t.w)
	}
	for k, f := range s.scalars {
		if f != 0 {
			yield(Unknown{Knot: -1, Scalar: bed.Scalar(k)}, f)
		}
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

// Covariances returns the covariances of each two of some weighted sums; nil where no uncertainty was stated.
func (w *Wear) Covariances(sums []*Weights) *mat.SymDense {
	if w.cov == nil {
		return nil
	}
	return w.cov.Among(sums)
}
