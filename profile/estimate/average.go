package estimate

import (
	"cmp"
	"math"
	"slices"
	"sync"
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
	best := point{score: unlikely}
	for _, share := range shares {
		if k := climb(p, sys, share, from.at, 3, 1, nil); k.score > best.score {
			best = k
		}
	}
	if best.score <= unlikely {
		return point{}, errSingular
	}
	return best, nil
}

// climb looks for the most probable point with a share: first at the middle reach, then outward from it as long as a reach is at all probable beside the best. Each peak is given to yield.
func climb(p *problem, sys system, share float64, from strengths, rounds, further int, yield func(*space, peaked)) (best point) {
	middle := len(reaches) / 2
	try := func(i int, from strengths, rounds int) peaked {
		s := newSpace(p, sys, manner{reaches[i], share})
		k := s.peak(from, rounds)
		if best.space == nil || k.score > best.score {
			best = point{space: s, at: k.at, score: k.score, weight: 1}
		}
		if yield != nil {
			yield(s, k)
		}
		return k
	}
	start := try(middle, from, rounds)
	for _, step := range []int{-1, 1} {
		const hopeless = 9 // e⁹ is 8,000
		k := start
		for i := middle + step; i >= 0 && i < len(reaches) && k.score > best.score-hopeless; i += step {
			k = try(i, k.at, further)
		}
	}
	return best
}

// average returns the points to be averaged over, most probable first, with weights that add up to 1. It looks for them from the given strengths.
func average(p *problem, from strengths) ([]point, error) {
	sys := newSystem(p)
	all := make([][]point, len(shares))
	var wait sync.WaitGroup
	for i, share := range shares {
		wait.Go(func() {
			climb(p, sys, share, from, 3, 2, func(s *space, k peaked) { all[i] = append(all[i], s.around(k)...) })
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
