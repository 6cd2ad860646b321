package estimate

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/wear"
)

// lone returns the wear of one point by itself. Little is asked of it before another takes its place, such as how far
// the ways differ under the saddle where a reading was taken. So its covariance is not made but worked out as it is
// asked for: a whole one takes most of the time that the point takes.
func (p *problem) lone(t point) (*wear.Wear, error) {
	k, err := solve(t.space.covariance(t.at), t.space.f, t.space.y)
	if err != nil {
		return nil, err
	}
	return p.loneBy(t, k)
}

// loneBy does so where the point's solution is known.
func (p *problem) loneBy(t point, k *solution) (*wear.Wear, error) {
	mean, after := t.space.middle(t.at, k)
	for _, v := range mean {
		if math.IsNaN(v) {
			return nil, errSingular
		}
	}
	return p.known(mean, pointCovariance{p, t, sync.OnceValue(func() *mat.Dense {
		return t.space.shrunk(t.at, t.space.gained(t.at, k), after)
	})})
}

// pointCovariance is the covariance of one point's unknowns, a wear.Covariance.
type pointCovariance struct {
	p      *problem
	at     point
	gained func() *mat.Dense // what readings and limits take away from the prior
}

// entries returns a weighted sum's weights by unknown.
func (l pointCovariance) entries(w *wear.Weights) []entry {
	var out []entry
	w.Each(func(k wear.Unknown, weight float64) { out = append(out, entry{l.p.column(k), weight}) })
	return out
}

// Between implements wear.Covariance.
func (l pointCovariance) Between(a, b *wear.Weights) float64 {
	of := l.entries(a)
	with := of
	if a != b {
		with = l.entries(b)
	}
	v := l.at.space.before(l.at.at, of, with)
	gained := l.gained()
	n, _ := gained.Dims()
	for i := range n {
		row := gained.RawRowView(i)
		v -= times(row, of) * times(row, with)
	}
	return v
}

// Among implements wear.Covariance.
func (l pointCovariance) Among(sums []*wear.Weights) *mat.SymDense {
	out := mat.NewSymDense(len(sums), nil)
	for i, a := range sums {
		for j := range i + 1 {
			out.SetSym(i, j, l.Between(a, sums[j]))
		}
	}
	return out
}
