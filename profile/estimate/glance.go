package estimate

import (
	"math"
	"slices"

	"wornway/profile/survey"
)

// glance is a look at readings, as good as stated, at the strengths and the reach of a point.
type glance struct {
	point
	by *solution
}

// first looks at the problem's readings with what is not linear as it is.
func (p *problem) first(from point) (g glance, err error) {
	g.point = point{space: newSpace(p, newSystem(p), from.space.manner), at: from.at.asStated(), weight: 1}
	g.by, err = solve(g.space.covariance(g.at), g.space.f, g.space.y)
	return g, err
}

// like looks at other readings of the same places in the same way; false where the problem has others, or more rows
// than are solved for.
func (g glance) like(p *problem) (glance, bool, error) {
	w := g.space.p
	if len(g.space.y) != len(p.rows) || !slices.Equal(w.knots, p.knots) || !slices.Equal(w.curves, p.curves) ||
		!slices.Equal(w.terms, p.terms) || !slices.EqualFunc(w.rows, p.rows, func(a, b row) bool {
		return slices.Equal(a.known, b.known) && slices.Equal(a.flat, b.flat)
	}) {
		return g, false, nil
	}
	s := *g.space
	s.p, s.seen, s.complied = p, nil, nil
	_, _, s.y = p.inOrder()
	g.space = &s
	var err error
	g.by, err = g.by.with(s.y)
	return g, true, err
}

// glance looks at the problem's readings, with what is not linear taken at the wear that they make. Where it is no use,
// as all readings are less probable than least, it says so. written is a first look at the readings as written; nil:
// none.
func (p *problem) glance(from point, least float64, written *glance) (g glance, use bool, err error) {
	alike := false
	if written != nil {
		g, alike, err = written.like(p)
	}
	if err == nil && !alike {
		g, err = p.first(from)
	}
	if err != nil {
		return g, false, err
	}
	if p.nonlinear() && g.atMost() >= least-hopeless {
		w, err := p.loneBy(g.point, g.by)
		if err != nil {
			return g, false, err
		}
		p.relinearize(w)
		if g, err = p.first(from); err != nil {
			return g, false, err
		}
	}
	return g, g.atMost() >= least, nil
}

// score returns the logarithm of the density of the readings, and of that no way has grown.
func (g glance) score() float64 { return g.evidence() + g.space.complying(g.at, g.by) }

// atMost returns what the score may be at the most: as if all curves complied. It takes no draws.
func (g glance) atMost() float64 {
	return g.evidence() - g.space.priorShare(g.space.floorRelations(g.at))
}

func (g glance) evidence() float64 { return g.by.evidence + g.space.evidence }

// against returns how far a survey's readings are from what the rest says, root mean square in times what is expected.
func (g glance) against(s survey.Set, rest *glance) float64 {
	if rest == nil {
		return math.NaN()
	}
	freedom := 0.0
	for _, e := range s.Equations {
		if e.Side == survey.Value || e.Side == survey.Between {
			freedom++
		}
	}
	for _, t := range s.Terms {
		if t.Flat {
			freedom--
		}
	}
	if freedom <= 0 {
		return math.NaN()
	}
	return math.Sqrt(math.Max(0, g.by.rss-rest.by.rss) / freedom)
}

// glance looks at the input's readings.
func (in Input) glance(from point, least float64, written *glance) (glance, bool, error) {
	p, err := in.ready()
	if err != nil {
		return glance{}, false, err
	}
	return p.glance(from, least, written)
}

// written takes a first look at the input's readings.
func (in Input) written(from point) (*glance, error) {
	p, err := in.ready()
	if err != nil {
		return nil, err
	}
	g, err := p.first(from)
	return &g, err
}
