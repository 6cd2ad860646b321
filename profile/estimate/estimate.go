package estimate

import (
	"cmp"
	"errors"
	"math"
	"slices"
	"sync"

	"wornway/profile/bed"
	"wornway/profile/survey"
	"wornway/profile/wear"
)

// Result is what the surveys say together. Lengths mm.
type Result struct {
	Wear    *wear.Wear
	Twist   float64 // radians per mm
	TwistU  float64 // standard
	Surveys []Agreement
	Unseen  []BlindSpot // what no reading determines
	Grown   []HighSpot  // where a way would stand higher than when it was new

	in       Input
	solved   *problem
	best     point
	possible func() ([]remainder, error)
	slips    func() (*Diagnosis, error)
}

// ErrNothing says that there are no readings.
var ErrNothing = errors.New("there are no readings")

// passes is how often limits and readings that are not quite linear are taken again at the most probable estimate.
const passes = 3

// Estimate makes one estimate of all surveys.
func Estimate(in Input) (*Result, error) {
	p, err := newProblem(in)
	if err != nil {
		return nil, err
	}
	if len(p.rows) == 0 || len(in.Surveys) == 0 {
		return nil, ErrNothing
	}
	points, p, err := settle(p)
	if err != nil {
		return nil, err
	}
	var from *wear.Wear
	if p.seated() { // about the wear that all points make together
		if from, err = p.wear(points.edges); err != nil {
			return nil, err
		}
		points.about(from)
	}
	w, err := p.mixed(points)
	if err != nil {
		return nil, err
	}
	w = w.WithAbout(from)
	out := &Result{Wear: w, Twist: w.Scalar(bed.Twist)}
	if out.Surveys, err = agreement(p, points.edges); err != nil {
		return nil, err
	}
	var weights wear.Weights
	w.Weigh(&weights, bed.Of(bed.Twist), 1, 1)
	out.TwistU, _ = w.Uncertainty(&weights)
	out.Unseen = blindSpots(p, w, points.edges)
	if out.Grown, err = highSpots(p, points.edges[0]); err != nil {
		return nil, err
	}
	out.in, out.solved, out.best, out.possible = in, p, points.edges[0], possibles(points.edges)
	out.slips = sync.OnceValues(out.diagnose)
	return out, nil
}

// settle looks for the most probable wear, takes limits and readings that are not quite linear there until they settle,
// doubts what does not agree, and returns the points to be averaged over and the problem as it was solved. Where
// surveys, or two of their readings, contradict each other it is not known which to doubt: the points are those of each
// choice, by its probability, and the problem is that of the most probable one.
func settle(p *problem) (mixtures, *problem, error) {
	s := newSides(p)
	from, err := p.settled(point{at: priorCentre()}, s)
	if err != nil {
		return mixtures{}, nil, err
	}
	suspects, by, err := p.doubt(from)
	if err != nil {
		return mixtures{}, nil, err
	}
	const looks = 4
	for look := 0; look < looks && len(suspects) == 0; look++ {
		// Once more without what was set aside, which has bent the wear by which the others were judged, and without
		// what hides by having bent it.
		aside := count(p.aside)
		if aside > 0 {
			if from, err = p.settled(from, s); err != nil {
				return mixtures{}, nil, err
			}
			if suspects, by, err = p.doubt(from); err != nil || len(suspects) > 0 {
				break
			}
		}
		var found bool
		if from, found, err = p.lurking(from, by); err != nil || !found && count(p.aside) <= aside {
			break
		}
	}
	if err != nil {
		return mixtures{}, nil, err
	}
	if len(suspects) > 0 {
		return p.choices(from, s, suspects)
	}
	ways, err := p.ways(from, s)
	if err != nil {
		return mixtures{}, nil, err
	}
	return blended(ways)
}

// steepened looks for how steep the wear is, and takes limits and readings that are not quite linear again with that.
func (p *problem) steepened(from point, s sides) (err error) {
	if p.steep, err = p.steepness(from); err != nil {
		return err
	}
	return p.relax(from, s)
}

// seated says whether any reading sees how the saddle sits. It then sees the product of that and of how the ways differ
// under the saddle's ends, of which neither may be known well while the product is: what is asked of the wear has to
// take it as the readings did.
func (p *problem) seated() bool {
	return p.sits() && slices.ContainsFunc(p.in.Surveys, func(s survey.Set) bool {
		return slices.ContainsFunc(s.Equations, p.rocks)
	})
}

// about takes what is not linear in the readings about a wear.
func (a mixtures) about(w *wear.Wear) {
	systems := map[*problem]system{}
	spaces := map[*space]*space{}
	for _, points := range [][]point{a.edges, a.length} {
		for i, t := range points {
			p := t.space.p
			if _, ok := systems[p]; !ok {
				p.relinearize(w)
				systems[p] = newSystem(p)
			}
			if spaces[t.space] == nil {
				spaces[t.space] = newSpace(p, systems[p], t.space.manner)
			}
			points[i].space = spaces[t.space]
		}
	}
}

func count(of []bool) int {
	n := 0
	for _, b := range of {
		if b {
			n++
		}
	}
	return n
}

// choice is the problem with one survey doubted first, and with one reading of two set aside.
type choice struct {
	p     *problem
	best  point
	score float64 // logarithm of how probable it is, up to a constant
}

// choices returns the points with each of the suspects doubted first; many are doubted together.
func (p *problem) choices(from point, s sides, suspects []int) (mixtures, *problem, error) {
	p.believe()
	at := p.doubting(from) // the same for each
	var doubted []choice
	for _, first := range inTurn(suspects) {
		q := p.clone()
		if err := q.suspect(at, first); err != nil {
			return mixtures{}, nil, err
		}
		best, err := q.settled(from, sides{q, s.rows})
		if err != nil {
			return mixtures{}, nil, err
		}
		// Once more, as what was doubted has bent the wear by which it was judged.
		q.believe()
		if err := q.suspect(q.doubting(best), first); err != nil {
			return mixtures{}, nil, err
		}
		doubted = append(doubted, choice{q, best, q.belief()})
	}
	sortChoices(doubted)
	var all []choice
	best := math.Inf(-1)
	for _, c := range doubted {
		if c.score < best-hopelessChoice { // its ways are no more probable than all of it
			break
		}
		qs := sides{c.p, s.rows}
		from, err := c.p.settled(c.best, qs)
		if err != nil {
			return mixtures{}, nil, err
		}
		ways, err := c.p.ways(from, qs)
		if err != nil {
			return mixtures{}, nil, err
		}
		for _, w := range ways {
			w.score += c.score
			best = math.Max(best, w.score)
			all = append(all, w)
		}
	}
	return blended(all)
}

// hopelessChoice is how far behind the most probable choice, as a logarithm, another counts no more: e⁶ is 400.
const hopelessChoice = 6

// sortChoices puts the most probable first.
func sortChoices(all []choice) {
	slices.SortStableFunc(all, func(a, b choice) int { return cmp.Compare(b.score, a.score) })
}

// blended returns the points of all choices, each by its probability, and the problem of the most probable one.
func blended(all []choice) (mixtures, *problem, error) {
	sortChoices(all)
	var out mixtures
	for _, c := range all {
		if c.score < all[0].score-hopelessChoice || c.score < all[0].score && c.p.same(all[0].p) {
			continue
		}
		of, err := average(c.p, c.best.at)
		if err != nil {
			return mixtures{}, nil, err
		}
		w := math.Exp(c.score - all[0].score)
		for i := range of.edges {
			of.edges[i].weight *= w
		}
		for i := range of.length {
			of.length[i].weight *= w
		}
		out.edges, out.length = append(out.edges, of.edges...), append(out.length, of.length...)
	}
	return mixtures{normalized(out.edges), normalized(out.length)}, all[0].p, nil
}

// settled returns the most probable wear, with limits and readings that are not quite linear taken there.
func (p *problem) settled(from point, s sides) (point, error) {
	from, err := mostProbable(p, from)
	if err != nil || !p.nonlinear() && !s.any() {
		return from, err
	}
	if err := p.relax(from, s); err != nil {
		return from, err
	}
	return nearby(p, from), nil
}

// relax takes limits and readings that are not quite linear again and again for the strengths of a point, until they
// settle.
func (p *problem) relax(from point, s sides) error {
	if !p.nonlinear() && !s.any() {
		return nil
	}
	for range passes {
		if err := p.again(from, s); err != nil {
			return err
		}
	}
	return nil
}

// again takes limits and readings that are not quite linear again, at the wear that is most probable for the strengths
// of a point.
func (p *problem) again(at point, s sides) error {
	at.space = newSpace(p, newSystem(p), at.space.manner)
	if p.nonlinear() {
		w, err := p.lone(at)
		if err != nil {
			return err
		}
		p.relinearize(w)
	}
	return s.update(at)
}
