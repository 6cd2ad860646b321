// Package wear holds what is known of a bed's wear: curves along the bed through knots, the bed's twist and the
// spindle's lean, with their uncertainty.
//
// One type, [Wear], serves drops that somebody stated and an estimate made from readings. Build it with [New], add what
// is known of its uncertainty with [Wear.WithCovariance], then ask it for the value of any [bed.Sum] and, through
// [Weights], for the uncertainty of any weighted sum. Lengths are mm, angles radians. It knows nothing of files, tools
// or work.
//
// # Where the formulas come from
//
// "Derived" means from the geometry, in the comment beside it, held by a test against an independent calculation.
//
//   - curve between rows (wear/curve.go): F. N. Fritsch and J. Butland (1984), by gonum's interp; tested against SciPy.
//   - mean and slope of a curve over a bearing (wear/curve.go): Gauss–Legendre with three points, exact for the
//     degree.
//   - ± of a sum (wear/weights.go, covariance.go): GUM (JCGM 100), law of propagation; tested against dense matrices
//     and by simulation.
//   - errors of stated wear (wear/errors.go): derived: white noise averaged under cos² one and a half reaches wide;
//     tested against the integral of the window's product with itself, and by simulation.
package wear

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"

	"wornway/profile/bed"
)

// Wear is the wear of one bed. It is not changed once built and may be shared.
type Wear struct {
	knots   []float64
	curves  [bed.Curves]*curve // nil: the curve is zero everywhere
	scalars [bed.Scalars]float64
	errors  errorModel    // what the covariance is of
	cov     Covariance    // nil: not stated
	cases   func() []Case // nil: the covariance says it all
	about   *Wear         // about which what is not linear is taken; nil: exactly
}

// New returns the wear whose curves take the given values, mm, at the knots: positions in mm, at least two, ascending.
// A curve that is not given is zero. Between knots the curves follow a monotone cubic (see curve.go).
func New(knots []float64, values map[bed.Curve][]float64) (*Wear, error) {
	if len(knots) < 2 {
		return nil, errors.New("a wear curve needs at least two positions")
	}
	for i, z := range knots {
		if math.IsNaN(z) || math.IsInf(z, 0) {
			return nil, fmt.Errorf("position %d is not a finite number", i+1)
		}
		if i > 0 && !(z > knots[i-1]) {
			return nil, fmt.Errorf("position %d does not ascend", i+1)
		}
	}
	w := &Wear{knots: slices.Clone(knots)}
	w.errors = tents(w.knots)
	for c, v := range values {
		if c < 0 || c >= bed.Curves {
			return nil, fmt.Errorf("no such curve: %d", int(c))
		}
		if len(v) != len(knots) {
			return nil, fmt.Errorf("%s: %d values for %d positions", c, len(v), len(knots))
		}
		for i, y := range v {
			if math.IsNaN(y) || math.IsInf(y, 0) {
				return nil, fmt.Errorf("%s: value %d is not a finite number", c, i+1)
			}
		}
		k := newCurve(w.knots, slices.Clone(v))
		if !k.finite() {
			return nil, fmt.Errorf("%s: the values change too steeply to calculate with", c)
		}
		w.curves[c] = k
	}
	return w, nil
}

// WithScalar returns a copy in which the scalar has the given value: per mm, but for the seating.
func (w *Wear) WithScalar(k bed.Scalar, value float64) *Wear {
	out := *w
	out.scalars[k] = value
	return &out
}

// WithCovariance returns a copy with the covariance of its unknowns.
func (w *Wear) WithCovariance(c Covariance) *Wear {
	out := *w
	out.cov, out.cases, out.errors = c, nil, tents(w.knots)
	if s, ok := c.(Stationary); ok {
		out.errors = s.Reach
	}
	return &out
}

// WithCases returns a copy whose unknowns are spread as a mixture of cases where a length is asked about. Their weights
// add up to 1. They are made when they are first asked for; none: the covariance says it all.
func (w *Wear) WithCases(of func() []Case) *Wear {
	out := *w
	out.cases = sync.OnceValue(of)
	return &out
}

// WithAbout returns a copy in which how the saddle sits is taken linearly about another wear. That is the product of
// the seating and of how the ways differ under the saddle's two ends; readings of the saddle say the product, and may
// say little of either by itself. What is asked then has to be taken about the same wear as the readings were.
func (w *Wear) WithAbout(from *Wear) *Wear {
	out := *w
	out.about = from
	return &out
}

// rock is what comes of how the saddle sits, seating·|apart|, about a wear: apart there, and its weight.
type rock struct{ apart, weight float64 }

// rocked returns that at z. The weight has the sign of apart, as far as the wear is sure of it: the mean slope of the
// size of what has a normal distribution. Where the two ways are hardly known to differ, the size does not follow them.
func (w *Wear) rocked(r bed.Rock, z float64) rock {
	from, sits := w, w.scalars[bed.Seating]
	if w.about != nil {
		from, sits = w.about, math.Max(0, math.Min(1, w.about.scalars[bed.Seating]))
	}
	out := rock{apart: from.Value(r.Apart(), z)}
	switch {
	case sits == 0 || out.apart == 0:
	case w.about != nil && from.cov != nil:
		var g Weights
		from.Weigh(&g, r.Apart(), z, 1)
		u, _ := from.Uncertainty(&g)
		out.weight = sits * math.Erf(out.apart/math.Sqrt2/u)
	default:
		out.weight = sits * math.Copysign(1, out.apart)
	}
	return out
}

// Range returns the first and the last knot, mm.
func (w *Wear) Range() (from, to float64) { return w.knots[0], w.knots[len(w.knots)-1] }

// Knots returns the positions of the knots, mm. They must not be changed.
func (w *Wear) Knots() []float64 { return w.knots }

// Scalar returns the scalar's value: per mm, but for the seating.
func (w *Wear) Scalar(k bed.Scalar) float64 { return w.scalars[k] }

// Seating returns how the saddle sits, bed.Seating, with its standard uncertainty, and false where none was stated. A
// value found by readings may lie a little outside 0 to 1, as their errors have it.
func (w *Wear) Seating() (v, u float64, stated bool) {
	var g Weights
	g.WeighScalar(bed.Seating, 1)
	u, stated = w.Uncertainty(&g)
	return w.scalars[bed.Seating], u, stated
}

// Stated says whether an uncertainty is known.
func (w *Wear) Stated() bool { return w.cov != nil }

// Reach returns how far apart errors go together, mm, where that is the same all along the bed; 0 where it is not.
func (w *Wear) Reach() float64 {
	r, _ := w.errors.(Reach)
	return float64(r)
}

// Value returns the value of the sum at position z, mm or radians as the sum has it. Beyond the first and last knot the
// curves keep their end values.
func (w *Wear) Value(s bed.Sum, z float64) float64 {
	v := w.even(s, z)
	if w.uneven() {
		for _, r := range s.Rocks {
			v = w.rolled(v, r, w.rocked(r, z), z)
		}
	}
	return v
}

// Both returns the values of two sums at a position. What comes of how the saddle sits, most often the same in both, is
// then reckoned once.
func (w *Wear) Both(a, b bed.Sum, z float64) (float64, float64) {
	if !w.uneven() || len(a.Rocks) != 1 || len(b.Rocks) != 1 || a.Rocks[0].From != b.Rocks[0].From ||
		a.Rocks[0].To != b.Rocks[0].To {
		return w.Value(a, z), w.Value(b, z)
	}
	k := w.rocked(a.Rocks[0], z)
	return w.rolled(w.even(a, z), a.Rocks[0], k, z), w.rolled(w.even(b, z), b.Rocks[0], k, z)
}

// even returns what a sum is at z with a saddle that gives.
func (w *Wear) even(s bed.Sum, z float64) float64 {
	v := 0.0
	for _, t := range s.Terms {
		c := w.curves[t.Curve]
		if c == nil {
			continue
		}
		if t.From == t.To {
			v += t.Mean * c.at(z+t.From)
			continue
		}
		mean, slope := c.line(z+t.From, z+t.To)
		v += t.Mean * mean
		if t.Slope != 0 {
			v += t.Slope * slope
		}
	}
	for k, f := range s.PerLength {
		v += f * w.scalars[k] * z
	}
	return v
}

// uneven says whether anything comes of how the saddle sits.
func (w *Wear) uneven() bool { return w.about != nil || w.scalars[bed.Seating] != 0 }

// rolled adds to v what comes of how the saddle sits at z, of which k is known.
func (w *Wear) rolled(v float64, r bed.Rock, k rock, z float64) float64 {
	v += r.Per * w.scalars[bed.Seating] * math.Abs(k.apart)
	if w.about != nil && k.weight != 0 {
		v += r.Per * k.weight * (w.even(r.Apart(), z) - k.apart)
	}
	return v
}

// Bent returns what is to be added to a sum at z, taken linearly as its weights have it, to get its value: they are
// those about the wear as it is, and what comes of how the saddle sits is a product.
func (w *Wear) Bent(s bed.Sum, z float64) float64 {
	v := 0.0
	for _, r := range s.Rocks {
		k := w.rocked(r, z)
		v -= r.Per * k.weight * k.apart
	}
	return v
}

// Breaks returns, ascending, the positions strictly between from and to at which a sum stops being one smooth piece:
// where one of its terms passes a knot, or a saddle that does not sit evenly goes over from one end to the other.
func (w *Wear) Breaks(from, to float64, sums ...bed.Sum) []float64 {
	return w.breaks(from, to, sums, tents(w.knots))
}

// ErrorBreaks returns the same of the sum's weights, which have knots of their own.
func (w *Wear) ErrorBreaks(from, to float64, sums ...bed.Sum) []float64 {
	return w.breaks(from, to, sums, w.errors)
}

func (w *Wear) breaks(from, to float64, sums []bed.Sum, of errorModel) []float64 {
	var offsets []float64
	var rocks []bed.Rock
	for _, s := range sums {
		for _, r := range s.Rocks {
			if w.scalars[bed.Seating] != 0 && !slices.ContainsFunc(rocks, func(q bed.Rock) bool {
				return q.From == r.From && q.To == r.To
			}) {
				rocks = append(rocks, r)
				offsets = append(offsets, r.From, r.To)
			}
		}
		for _, t := range s.Terms {
			if w.curves[t.Curve] != nil {
				offsets = append(offsets, t.From, t.To)
			}
		}
	}
	slices.Sort(offsets)
	offsets = slices.Compact(offsets)
	var out []float64
	for _, o := range offsets {
		for _, k := range of.knots(from+o, to+o) {
			if k-o > from && k-o < to {
				out = append(out, k-o)
			}
		}
	}
	slices.Sort(out)
	out = slices.Compact(out)
	pieces := slices.Concat([]float64{from}, out, []float64{to})
	for _, r := range rocks {
		for i := range len(pieces) - 1 {
			out = append(out, zeros(func(z float64) float64 { return w.rocked(r, z).apart }, pieces[i], pieces[i+1])...)
		}
	}
	if len(rocks) > 0 {
		slices.Sort(out)
		out = slices.Compact(out)
	}
	return out
}

// Deepest returns the position and drop, mm, at which the curve is greatest. The curves do not overshoot, so that it
// lies at a knot; of equals it is the first.
func (w *Wear) Deepest(c bed.Curve) (position, drop float64) {
	if w.curves[c] == nil {
		return w.knots[0], 0
	}
	y := w.curves[c].y
	i := 0
	for j := range y {
		if y[j] > y[i] {
			i = j
		}
	}
	return w.knots[i], y[i]
}

// WornDeepest returns the carriage way with the greatest drop, mm, and where that is; of equals it is the front one.
func (w *Wear) WornDeepest() (way bed.Curve, position, drop float64) {
	way = bed.Front
	position, drop = w.Deepest(bed.Front)
	if p, d := w.Deepest(bed.Rear); d > drop {
		way, position, drop = bed.Rear, p, d
	}
	return way, position, drop
}

// Above returns the stretch from the first to the last position at which the curve exceeds the level (mm), and false
// where it never does.
func (w *Wear) Above(c bed.Curve, level float64) (from, to float64, ok bool) {
	if w.curves[c] == nil {
		return 0, 0, false
	}
	return w.curves[c].above(level)
}
