package estimate

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// How strong wear is and how quickly it changes along the bed, is not known beforehand, and the readings say it only so well. To take the best values as true would make
// every ± too small, most where a survey is short but precise. They are averaged over instead: for each reach the most probable strengths are looked for,
// and a few points about them are weighted by their probability.

// point is one choice of reach and strengths with its probability.
type point struct {
	space  *space
	at     strengths
	score  float64
	weight float64
}

// mostProbable returns the most probable point by itself, from a start.
func mostProbable(p *problem, from point) (point, error) {
	sys := newSystem(p)
	start := len(reaches) / 2
	if from.space != nil {
		start = slices.Index(reaches, from.space.reach)
	}
	space := newSpace(p, sys, reaches[start])
	k := space.peak(from.at, 3)
	best := point{space: space, at: k.at, score: k.score, weight: 1}
	for _, step := range []int{-1, 1} {
		at := best.at
		for i := start + step; i >= 0 && i < len(reaches); i += step {
			s := newSpace(p, sys, reaches[i])
			k := s.peak(at, 1)
			if k.score <= best.score {
				break
			}
			best, at = point{space: s, at: k.at, score: k.score, weight: 1}, k.at
		}
	}
	if best.score <= unlikely {
		return point{}, errSingular
	}
	return best, nil
}

// average returns the points to be averaged over, most probable first, with weights that add up to 1. It looks for them from the given strengths.
func average(p *problem, from strengths) ([]point, error) {
	sys := newSystem(p)
	middle := len(reaches) / 2
	first := newSpace(p, sys, reaches[middle])
	start := first.peak(from, 3)
	all := make([][]point, len(reaches))
	all[middle] = first.around(start)
	var wait sync.WaitGroup
	for _, step := range []int{-1, 1} {
		wait.Go(func() {
			// Outward from the middle, as long as a reach is at all probable beside the best so far.
			const hopeless = 9 // e⁹ is 8,000
			from, best := start, start.score
			for i := middle + step; i >= 0 && i < len(reaches) && from.score > best-hopeless; i += step {
				s := newSpace(p, sys, reaches[i])
				from = s.peak(from.at, 2)
				best = math.Max(best, from.score)
				all[i] = s.around(from)
			}
		})
	}
	wait.Wait()
	points, err := weigh(slices.Concat(all...))
	if err == nil && p.in.Single {
		points = []point{slices.MaxFunc(points, func(a, b point) int { return cmp.Compare(a.score, b.score) })}
		points[0].weight = 1
	}
	return points, err
}

// weigh turns scores into weights and drops the points that hardly count.
func weigh(points []point) ([]point, error) {
	best := math.Inf(-1)
	for _, p := range points {
		best = math.Max(best, p.score)
	}
	if best <= unlikely {
		return nil, errSingular
	}
	sum := 0.0
	for i := range points {
		points[i].weight *= math.Exp(points[i].score - best)
		sum += points[i].weight
	}
	for i := range points {
		points[i].weight /= sum
	}
	slices.SortStableFunc(points, func(a, b point) int { return cmp.Compare(b.weight, a.weight) })
	const enough = 0.995
	total := 0.0
	for i := range points {
		if total += points[i].weight; total >= enough {
			points = points[:i+1]
			break
		}
	}
	for i := range points {
		points[i].weight /= total
	}
	return points, nil
}

// peaked is the most probable strengths for a reach, with how far they may be off, as standard deviations.
type peaked struct {
	at    strengths
	score float64
	off   strengths
}

// peak looks for the most probable strengths from a start: along one axis after the other, each step to the top of the parabola through three scores.
func (s *space) peak(from strengths, rounds int) peaked {
	k := peaked{at: from, score: s.score(from)}
	step := 0.6
	for range rounds {
		for i := range k.at {
			k.along(s, i, step)
		}
		step /= 1.5
	}
	return k
}

// along improves one of the strengths and notes how far it may be off.
func (k *peaked) along(s *space, axis int, step float64) {
	const furthest = 1.5
	from := k.at
	try := func(d float64) float64 {
		at := from
		at[axis] += d
		return s.score(at)
	}
	take := func(d, score float64) {
		if score > k.score {
			k.at[axis], k.score = from[axis]+d, score
		}
	}
	here, up, down := k.score, try(step), try(-step)
	take(step, up)
	take(-step, down)
	bend := (2*here - up - down) / (step * step)
	widest := priors()[axis][1]
	k.off[axis] = widest
	if bend*widest*widest > 1 {
		k.off[axis] = math.Max(1/math.Sqrt(bend), 0.05)
		top := math.Max(-furthest, math.Min(furthest, (up-down)/(2*step)/bend))
		take(top, try(top))
	}
}

// around returns points about the peak: itself, and two on each axis at twice the standard deviation. Their weights are those of a cubature that is exact to the third
// order for a normal density (scaled unscented points), corrected for what the density is really like.
func (s *space) around(k peaked) []point {
	const axes = float64(len(strengths{}))
	const centre = 1.0 // the free parameter of the cubature
	radius := math.Sqrt(axes + centre)
	volume := 1.0
	for _, o := range k.off {
		volume *= o
	}
	points := []point{{space: s, at: k.at, score: k.score, weight: volume * centre / (axes + centre)}}
	for i, o := range k.off {
		for _, sign := range []float64{-1, 1} {
			at := k.at
			at[i] += sign * radius * o
			points = append(points, point{space: s, at: at, score: s.score(at),
				weight: volume / (2 * (axes + centre)) * math.Exp(radius*radius/2)})
		}
	}
	return points
}

// mixed is the mixture's mean and covariance of the curves and scalars.
func mixed(p *problem, points []point) (mean []float64, cov *mat.SymDense, err error) {
	n := p.wanted()
	mean = make([]float64, n)
	cov = mat.NewSymDense(n, nil)
	means := make([][]float64, len(points))
	raw := cov.RawSymmetric()
	for i, t := range points {
		q, err := t.space.posterior(t.at)
		if err != nil {
			return nil, nil, err
		}
		means[i] = q.mean
		axpy(t.weight, q.mean, mean)
		t.space.addPrior(raw, t.at, t.weight)
		blas64.Syrk(blas.Trans, -t.weight, q.gained.RawMatrix(), 1, raw)
	}
	off := mat.NewVecDense(n, nil)
	for i, m := range means {
		for j := range n {
			off.SetVec(j, m[j]-mean[j])
		}
		cov.SymRankOne(cov, points[i].weight, off)
	}
	for i := range n {
		if math.IsNaN(mean[i]) || math.IsNaN(cov.At(i, i)) {
			return nil, nil, errSingular
		}
	}
	return mean, cov, nil
}

// addPrior adds the prior covariance of the curves and scalars, times a weight.
func (s *space) addPrior(to blas64.Symmetric, at strengths, weight float64) {
	m := len(s.p.knots)
	for _, q := range s.pairs {
		v := weight * at.between(s.p.curves[q.c], s.p.curves[q.d])
		for i := range m {
			first := 0
			if q.c == q.d {
				first = i // the upper half only
			}
			line := to.Data[(q.c*m+i)*to.Stride+q.d*m:]
			axpy(v, s.kernel.RawRowView(i)[first:], line[first:m])
		}
	}
	for j, u := range s.p.scalar {
		k := s.p.scalarAt() + j
		to.Data[k*to.Stride+k] += weight * u * u
	}
}
