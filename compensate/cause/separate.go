package cause

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Separation is how far two causes come apart in a reading, in standard uncertainties of it (the root of a chi-square);
// By is the reading in which they look alike, the reading itself where its own shape tells them.
type Separation struct {
	Apart float64
	By    int
}

// seen is how many standard uncertainties make a difference that somebody can see; below it two readings look alike.
const seen = 3.0

// Separate returns, for each reading, how far a cause of a given size and another one come apart in it. The other one
// is as strong as it must be to look most like the first, either in the reading itself, or in one of the first so many
// readings, which were made, in which the first is seen and the two look alike. So a reading separates them where they
// cannot both be right about it, and not because the first is seen there and the other is never tried.
func (q Question) Separate(a Kind, size float64, b Kind, made int) ([]Separation, error) {
	g, err := gather(q.Bed, q.Readings, made)
	if err != nil {
		return nil, err
	}
	k := g.known(q.Wear)
	covariance := g.world(state{prediction: k, wider: 1}).covariance
	first, second := g.reduced(g.effect(q, k, a, size)), g.reduced(g.effect(q, k, b, 1))
	s := blocks{}
	at := 0
	for of := range q.Readings {
		n := g.places(of) - 1
		var chol mat.Cholesky
		if !chol.Factorize(covariance.SliceSym(at, at+n)) {
			return nil, errCovariance
		}
		s = append(s, block{mat.NewVecDense(n, first[at:at+n]), mat.NewVecDense(n, second[at:at+n]), &chol})
		at += n
	}
	p, sized := priors[b]
	strength := func(of int) float64 {
		if !sized || math.IsNaN(p.u) { // it has one size only
			return 1
		}
		return s[of].like(p.one)
	}
	out := make([]Separation, len(s))
	for i := range s {
		out[i] = Separation{s[i].apart(strength(i)), i}
		for j := range made {
			f := strength(j)
			if j == i || s[j].apart(0) < seen || s[j].apart(f) >= seen {
				continue
			}
			if d := s[i].apart(f); d > out[i].Apart {
				out[i] = Separation{d, j}
			}
		}
	}
	return out, nil
}

// effect is what a cause makes of each reading, mm or radians, with the zeros in it still; of levels that may have been
// read the wrong way round it is the first one's.
func (g *readings) effect(q Question, k prediction, of Kind, size float64) []float64 {
	out := g.column(of)
	switch of {
	case Radius:
		for i, r := range g.rows {
			if r.cut {
				out[i] = -k.mean[i] / 2
			}
		}
		return out
	case LevelSign:
		if len(q.Mistaken) > 0 {
			for i, v := range g.known(q.Mistaken[0].Wear).mean {
				out[i] = v - k.mean[i]
			}
		}
		return out
	}
	for i := range out {
		out[i] *= size
	}
	return out
}

// places is how many rows a survey has.
func (g *readings) places(of int) (n int) {
	for _, r := range g.rows {
		if r.of == of {
			n++
		}
	}
	return n
}

// block is what two causes make of one reading, and how well that is known.
type block struct {
	a, b *mat.VecDense
	chol *mat.Cholesky
}

type blocks []block

// like is how strong the second must be to look most like the first: least squares.
func (s block) like(oneWay bool) float64 {
	var x mat.VecDense
	if s.chol.SolveVecTo(&x, s.b) != nil {
		return 0
	}
	square := mat.Dot(s.b, &x)
	if !(square > 0) {
		return 0
	}
	f := mat.Dot(s.a, &x) / square
	if oneWay {
		f = math.Max(0, f)
	}
	return f
}

// apart is how far they come apart with the second so strong.
func (s block) apart(f float64) float64 {
	var d, x mat.VecDense
	d.AddScaledVec(s.a, -f, s.b)
	if s.chol.SolveVecTo(&x, &d) != nil {
		return 0
	}
	return math.Sqrt(math.Max(0, mat.Dot(&d, &x)))
}

// Seen says whether a difference of so many standard uncertainties can be seen.
func Seen(apart float64) bool { return apart >= seen }
