package estimate

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"wornway/profile/abreast"
)

// How strong wear is and how quickly it changes along the bed, is not known beforehand, and the readings say it only so
// well. To take the best values as true would make every ± too small, most where a survey is short but precise. They
// are averaged over instead: for each reach the most probable strengths are looked for, and a few points about them are
// weighted by their probability.

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
	climb(p, sys, edgeShare, from.at, 1, func(s *space, k peak) {
		if k.score > best.score {
			best = point{space: s, at: k.at, score: k.score, weight: 1}
		}
	})
	if best.score <= unlikely {
		return point{}, errSingular
	}
	return best, nil
}

// with returns a point to look near with another share.
func (t point) with(share float64) point {
	how := *t.space
	how.share = share
	t.space = &how
	return t
}

// nearby returns the most probable point near another, with its share.
func nearby(p *problem, from point) point {
	sys := newSystem(p)
	try := func(i int, at strengths, rounds int) point {
		m := from.space.manner
		m.reach = reaches[i]
		s := newSpace(p, sys, m)
		k := s.peak(at, rounds)
		return point{space: s, at: k.at, score: k.score, weight: 1}
	}
	start := slices.Index(reaches, from.space.reach)
	best := try(start, from.at, 2)
	for _, step := range []int{-1, 1} {
		for i := start + step; i >= 0 && i < len(reaches); i += step {
			t := try(i, best.at, 1)
			if t.score <= best.score {
				break
			}
			best = t
		}
	}
	return best
}

// hopelessReach is how far, as a logarithm, a reach lies behind the best before it counts no more: e⁹ is 8,000.
const hopelessReach = 9

// climb goes from the middle reach outward, as long as a reach is at all probable beside the best so far, and gives
// each peak to yield.
func climb(p *problem, sys system, share float64, from strengths, further int, yield func(*space, peak)) {
	middle := len(reaches) / 2
	best := unlikely
	try := func(i int, from strengths, rounds int) peak {
		s := newSpace(p, sys, manner{reaches[i], share})
		k := s.peak(from, rounds)
		yield(s, k)
		best = math.Max(best, k.score)
		return k
	}
	const first = 3 // rounds from where nothing is known yet
	start := try(middle, from, first)
	for _, step := range []int{-1, 1} {
		k := start
		for i := middle + step; i >= 0 && i < len(reaches) && k.score > best-hopelessReach; i += step {
			k = try(i, k.at, further)
		}
	}
}

// mixtures is what is averaged over.
type mixtures struct {
	edges  []point // with room for an edge anywhere: for the wear and its ±
	length []point // of smooth wear: for what is asked of a length
}

// average returns the points to be averaged over, most probable first, with weights that add up to 1. It looks for them
// from the given strengths.
func average(p *problem, from strengths) (mixtures, error) {
	sys := newSystem(p)
	var out mixtures
	var errs [2]error
	abreast.Do(2, func(i int) {
		of, share := &out.edges, edgeShare
		if i > 0 {
			of, share = &out.length, lengthShare
		}
		type top struct {
			space *space
			peak
		}
		var tops []top
		best := unlikely
		climb(p, sys, share, from, 2, func(s *space, k peak) {
			tops = append(tops, top{s, k})
			best = math.Max(best, s.whole(k.at))
		})
		var all []point
		for _, t := range tops {
			if t.space.whole(t.at) > best-hopelessReach {
				all = append(all, t.space.around(t.peak)...)
			}
		}
		if *of, errs[i] = weigh(all); errs[i] == nil && p.in.Single {
			*of = []point{slices.MaxFunc(*of, func(a, b point) int { return cmp.Compare(a.score, b.score) })}
			(*of)[0].weight = 1
		}
	})
	return out, errors.Join(errs[:]...)
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
	const enough = 0.98
	total := 0.0
	for i := range points {
		if total += points[i].weight; total >= enough {
			points = points[:i+1]
			break
		}
	}
	return normalized(points), nil
}

// normalized returns the points with weights that add up to 1, the weightiest first.
func normalized(points []point) []point {
	sum := 0.0
	for _, p := range points {
		sum += p.weight
	}
	for i := range points {
		points[i].weight /= sum
	}
	slices.SortStableFunc(points, func(a, b point) int { return cmp.Compare(b.weight, a.weight) })
	return points
}

// peak is the most probable strengths for a reach, with how far they may be off, as standard deviations.
type peak struct {
	at    strengths
	score float64
	off   strengths
}

// peak looks for the most probable strengths from a start: along one axis after the other, each step to the top of the
// parabola through three scores.
func (s *space) peak(from strengths, rounds int) peak {
	k := peak{at: from, score: s.score(from)}
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
func (k *peak) along(s *space, axis int, step float64) {
	const (
		furthest = 1.5
		// where the readings say nothing along an axis, the bend is the prior's own but for this, and its top counts
		rounding = 1e-9
	)
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
	if bend*widest*widest > 1-rounding {
		k.off[axis] = math.Max(1/math.Sqrt(bend), 0.05)
		top := math.Max(-furthest, math.Min(furthest, (up-down)/(2*step)/bend))
		take(top, try(top))
	}
}

// around returns points about the peak: itself, and two on each axis at twice the standard deviation. Their weights are
// those of a cubature that is exact to the third order for a normal density (scaled unscented points), corrected for
// what the density is really like.
func (s *space) around(k peak) []point {
	const axes = float64(len(strengths{}))
	const centre = 1.0 // the free parameter of the cubature
	radius := math.Sqrt(axes + centre)
	volume := 1.0
	for _, o := range k.off {
		volume *= o
	}
	points := []point{{space: s, at: k.at, score: s.whole(k.at), weight: volume * centre / (axes + centre)}}
	for i, o := range k.off {
		for _, sign := range []float64{-1, 1} {
			at := k.at
			at[i] += sign * radius * o
			points = append(points, point{space: s, at: at, score: s.whole(at),
				weight: volume / (2 * (axes + centre)) * math.Exp(radius*radius/2)})
		}
	}
	return points
}
