package estimate

import (
	"errors"
	"math"
	"sync"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"wornway/profile/abreast"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// Range returns the limits between which a carriage way's drop lies at z with a probability of 95 %, mm, where that is
// skewed: where the ± would have the way stand higher than when it was new. It returns false elsewhere: the ± says
// it.
//
// They are the limits of draws, of each point of the mixture its curves that comply with metal being only lost, as much
// being left out at either end; but nowhere less than the ± on its side, cut where the way is new. The draws know the
// prior as if it were true, and held 87 % of the front way's drops on 100 made-up beds of all kinds (seed 71401), the
// ± 90 %; where it is skewed both together held 95 %, and are shorter than the ±.
//
// Source: probabilistically symmetric coverage interval by a Monte Carlo method, JCGM 101:2008, 7.7.
func (r *Result) Range(way bed.Curve, z float64) (low, high float64, skewed bool) {
	if r.possible == nil {
		return 0, 0, false
	}
	sum := bed.At(way, 0)
	v, u := r.Wear.Value(sum, z), standard(r.Wear, sum, z)
	const k = 2
	if v-k*u > -proud {
		return 0, 0, false
	}
	all, err := r.possible()
	if err != nil {
		return 0, 0, false // not seen: what can be solved once can be solved again
	}
	var g wear.Weights
	r.Wear.Weigh(&g, sum, z, 1)
	var of []entry
	g.Each(func(u wear.Unknown, weight float64) {
		of = append(of, entry{r.solved.curveAt(u.Curve) + u.Knot, weight})
	})
	var draws, weights []float64
	for _, s := range all {
		draws, weights = s.draw(of, draws, weights)
	}
	low, high = middle95(draws, weights)
	return math.Max(0, math.Min(low, v-k*u)), math.Max(high, v+k*u), true
}

// middle95 returns the limits of weighted draws, which it sorts.
func middle95(draws, weights []float64) (low, high float64) {
	stat.SortWeighted(draws, weights)
	const left = 0.025 // at either end
	return stat.Quantile(left, stat.Empirical, draws, weights), stat.Quantile(1-left, stat.Empirical, draws, weights)
}

// remainder is what one point of the mixture leaves possible: a normal density, of which only what complies counts.
type remainder struct {
	weight float64
	space  *space
	at     strengths
	free   *posterior
	part   *mat.Dense // independent values that the limits speak of × unknowns: what each makes of an unknown
	shares []float64  // of the draws; they add up to 1
	values [][]float64
}

// possibles returns them for the points of the mixture, made when they are first asked for.
func possibles(points []point) func() ([]remainder, error) {
	return sync.OnceValues(func() ([]remainder, error) {
		out := make([]remainder, len(points))
		errs := make([]error, len(points))
		abreast.Do(len(points), func(i int) { out[i], errs[i] = points[i].possible() })
		return out, errors.Join(errs...)
	})
}

func (t point) possible() (remainder, error) {
	q, err := t.space.unheld(t.at)
	if err != nil {
		return remainder{}, err
	}
	s := remainder{weight: t.weight, space: t.space, at: t.at, free: q}
	var mean []float64
	for _, f := range t.space.floors {
		mean = append(mean, q.mean[t.space.floorAt(f)])
	}
	left, common := t.space.floorsOf(t.at, q.gained)
	o := ordered(mean, left, -proud)
	n := len(o.of)
	if n > 0 {
		s.part = mat.NewDense(n, t.space.p.wanted(), nil)
		inverse := mat.NewTriDense(n, mat.Lower, nil)
		if err := inverse.InverseTri(o.lower); err != nil && !isCondition(err) {
			return remainder{}, err
		}
		for i := range n {
			for j := range i + 1 {
				axpy(inverse.At(i, j), common.RawRowView(o.of[j]), s.part.RawRowView(i))
			}
		}
	}
	sum := 0.0
	for d := range cutDraws {
		z := make([]float64, n)
		w := o.draw(-proud, d, z)
		s.values, s.shares = append(s.values, z), append(s.shares, w)
		sum += w
	}
	for d := range s.shares {
		s.shares[d] /= sum
	}
	if !(sum > 0) { // nothing complies: the readings contradict it, which is told elsewhere
		s.part = nil
		for d := range s.shares {
			s.shares[d] = 1.0 / cutDraws
		}
	}
	return s, nil
}

// draw adds draws of a weighted sum of the curves, and how much each counts.
func (s *remainder) draw(of []entry, draws, weights []float64) (_, _ []float64) {
	mean, variance := 0.0, s.space.before(s.at, of, of)
	n, _ := s.free.gained.Dims()
	for _, e := range of {
		mean += e.weight * s.free.mean[e.column]
	}
	for i := range n {
		variance -= squared(s.free.gained.RawRowView(i), of)
	}
	var parts []float64
	if s.part != nil {
		n, _ := s.part.Dims()
		for i := range n {
			row := s.part.RawRowView(i)
			parts = append(parts, times(row, of))
			variance -= squared(row, of)
		}
	}
	rest := math.Sqrt(math.Max(0, variance))
	for d, share := range s.shares {
		v := mean
		if s.part != nil {
			v += dot(parts, s.values[d])
		}
		// What the limits do not speak of, evenly over its distribution, in an order that goes with no other.
		v += rest * distuv.UnitNormal.Quantile(mixed(d))
		draws, weights = append(draws, v), append(weights, share*s.weight)
	}
	return draws, weights
}

// mixed returns numbers evenly between 0 and 1, one for each draw, in another order than theirs: the step has no factor
// in common with how many there are.
func mixed(draw int) float64 {
	const step = 101
	return (float64(draw*step%cutDraws) + 0.5) / cutDraws
}

func times(row []float64, of []entry) float64 {
	v := 0.0
	for _, e := range of {
		v += e.weight * row[e.column]
	}
	return v
}

func squared(row []float64, of []entry) float64 {
	v := times(row, of)
	return v * v
}

// before returns the covariance of two weighted sums of the unknowns before anything is read.
func (s *space) before(at strengths, of, with []entry) float64 {
	m, curves := len(s.p.knots), s.p.scalarAt()
	v := 0.0
	for _, a := range of {
		for _, b := range with {
			switch {
			case a.column < curves && b.column < curves:
				between := s.p.between(at, s.p.curves[a.column/m], s.p.curves[b.column/m])
				v += a.weight * b.weight * between * s.kernel.At(a.column%m, b.column%m)
			case a.column == b.column:
				u := s.p.scalar[a.column-curves]
				v += a.weight * b.weight * u * u
			}
		}
	}
	return v
}
