package estimate

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/wear"
)

// lone returns the wear of one point by itself. Little is asked of it before another takes its place, such as how far
// the ways differ under the saddle where a reading was taken. So its covariance is not made but worked out as it is
// asked for: a whole one takes most of the time that the point takes.
func (p *problem) lone(t point) (*wear.Wear, error) {
	q, err := t.space.posterior(t.at)
	if err != nil {
		return nil, err
	}
	for _, v := range q.mean {
		if math.IsNaN(v) {
			return nil, errSingular
		}
	}
	return p.known(q.mean, lone{p, t, q})
}

// lone is the covariance of one point's unknowns, a wear.Covariance.
type lone struct {
	p    *problem
	at   point
	post *posterior
}

// entries returns a weighted sum's weights by unknown.
func (l lone) entries(w *wear.Weights) []entry {
	var out []entry
	w.Each(func(k wear.Unknown, weight float64) { out = append(out, entry{l.p.column(k), weight}) })
	return out
}

// Between implements wear.Covariance.
func (l lone) Between(a, b *wear.Weights) float64 {
	of := l.entries(a)
	with := of
	if a != b {
		with = l.entries(b)
	}
	v := l.at.space.before(l.at.at, of, with)
	n, _ := l.post.gained.Dims()
	for i := range n {
		row := l.post.gained.RawRowView(i)
		v -= times(row, of) * times(row, with)
	}
	return v
}

// Among implements wear.Covariance.
func (l lone) Among(sums []*wear.Weights) *mat.SymDense {
	out := mat.NewSymDense(len(sums), nil)
	for i, a := range sums {
		for j := range i + 1 {
			out.SetSym(i, j, l.Between(a, sums[j]))
		}
	}
	return out
}
