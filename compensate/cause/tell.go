package cause

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/survey"
)

// Proposal is a cut or a reading that could be made. Its readings count for nothing.
type Proposal struct {
	Name string
	Set  survey.Set
}

// Distinction is what a further cut or reading would say of two explanations.
type Distinction struct {
	Proposal
	// symmetrised: how much the logarithm of their odds is expected to move toward the right one, the sum for both
	Separation float64
	// How far the two differ in the further one's greatest difference between two of its places, mm or radians, as root
	// mean square over what is open of their sizes; From and To are the places, mm.
	Apart, From, To float64
	// how well that difference is known where all but the causes is counted: measurement and wear, standard
	U   float64
	Cut bool
}

// Rivals returns the most probable explanation that has the first cause, and the most probable one that has it not.
func (r *Result) Rivals() (with, without Explanation) {
	first := r.Causes[0].Kind
	for _, e := range slices.Backward(r.Explanations) { // the last ones taken are the most probable
		if slices.Contains(e.Causes, first) {
			with = e
		} else {
			without = e
		}
	}
	return with, without
}

// Tell returns what each of the further cuts and readings would say of the two rivals, in the order given. Each is
// foreseen from the readings so far, as normal; a size that can only go one way counts by the mean and variance of its
// half of a normal density. The separation is the sum of both divergences after S. Kullback and R. A. Leibler (1951),
// from memory.
func (r *Result) Tell(further []Proposal) ([]Distinction, error) {
	var out []Distinction
	a, b := r.Rivals()
	q := r.question
	for _, f := range further {
		sets := append(append([]survey.Set{}, q.Readings...), f.Set)
		g, err := gather(q.Bed, sets, len(q.Readings))
		if err != nil {
			return nil, err
		}
		known := r.Freedom
		var m [2]*mat.VecDense
		var c [2]*mat.SymDense
		for i, e := range []Explanation{a, b} {
			if m[i], c[i], err = r.foreseen(g, e, known); err != nil {
				return nil, err
			}
		}
		t := Distinction{Proposal: f}
		if t.Separation, err = apart(m, c); err != nil {
			return nil, err
		}
		r.inPlaces(g, &t, m, c, known)
		out = append(out, t)
	}
	return out, nil
}

// stateOf returns the state of an explanation for other readings.
func (r *Result) stateOf(g *readings, e Explanation) state {
	q := r.question
	s := state{wider: 1}
	if e.Causes[0] == LevelSign {
		for _, m := range q.Mistaken {
			if m.Survey == e.Survey {
				s.prediction = g.known(m.Wear)
				return s
			}
		}
	}
	s.prediction = g.known(q.Wear)
	switch e.Causes[0] {
	case Radius: // what is to come is noted on diameter
		var cuts []int
		for _, k := range g.cuts {
			if k < len(q.Readings) {
				cuts = append(cuts, k)
			}
		}
		s.factor = halved(cuts, e.Survey)
	case Other:
		const middling = 2 // the smooth error of middling size that all share
		return g.others(s)[middling].state
	}
	for i, k := range e.Causes {
		if k == WornOn {
			s.worn = e.Size[i]
		}
	}
	return s
}

// foreseen returns mean and covariance of what an explanation expects of the last readings, given the first so many
// differences.
func (r *Result) foreseen(g *readings, e Explanation, known int) (*mat.VecDense, *mat.SymDense, error) {
	w := g.world(r.stateOf(g, e))
	n := len(w.off)
	for i, k := range e.Causes {
		p, ok := priors[k]
		if !ok || math.IsNaN(p.u) {
			continue
		}
		if most := stretches[len(stretches)-1].factor; math.Abs(e.Size[i]) > 2*p.u { // it is far from usual
			p.u *= most
		}
		x := g.reduced(g.column(k))
		u, mean := p.u, 0.0
		if p.one {
			mean, u = p.u*math.Sqrt(2/math.Pi), p.u*math.Sqrt(1-2/math.Pi)
		}
		for i := range x {
			w.mean[i] += mean * x[i]
			w.off[i] -= mean * x[i]
		}
		w.covariance.SymRankOne(w.covariance, u*u, mat.NewVecDense(n, x))
	}
	var chol mat.Cholesky
	first := w.covariance.SliceSym(0, known)
	if !chol.Factorize(first) {
		return nil, nil, errCovariance
	}
	cross := mat.NewDense(known, n-known, nil)
	for i := range known {
		for j := range n - known {
			cross.Set(i, j, w.covariance.At(i, known+j))
		}
	}
	var gain mat.Dense
	if err := chol.SolveTo(&gain, cross); err != nil {
		return nil, nil, err
	}
	mean := mat.NewVecDense(n-known, w.mean[known:])
	var more mat.VecDense
	more.MulVec(gain.T(), mat.NewVecDense(known, w.off[:known]))
	mean.AddVec(mean, &more)
	var less mat.Dense
	less.Mul(cross.T(), &gain)
	c := mat.NewSymDense(n-known, nil)
	for i := range n - known {
		for j := i; j < n-known; j++ {
			c.SetSym(i, j, w.covariance.At(known+i, known+j)-(less.At(i, j)+less.At(j, i))/2)
		}
	}
	return mean, c, nil
}

// apart returns the symmetrised divergence of two normal densities.
func apart(m [2]*mat.VecDense, c [2]*mat.SymDense) (float64, error) {
	n := m[0].Len()
	var d mat.VecDense
	d.SubVec(m[0], m[1])
	sum := -float64(n)
	for i := range 2 {
		var chol mat.Cholesky
		if !chol.Factorize(c[i]) {
			return 0, errCovariance
		}
		var x mat.VecDense
		if err := chol.SolveVecTo(&x, &d); err != nil {
			return 0, err
		}
		sum += 0.5 * mat.Dot(&d, &x)
		var y mat.Dense
		if err := chol.SolveTo(&y, c[1-i]); err != nil {
			return 0, err
		}
		sum += 0.5 * mat.Trace(&y)
	}
	return math.Max(0, sum), nil
}

// inPlaces finds the two places of the further readings whose difference says most, and how far the explanations differ
// there.
func (r *Result) inPlaces(g *readings, t *Distinction, m [2]*mat.VecDense, c [2]*mat.SymDense, known int) {
	first := len(g.rows)
	for i, row := range g.rows {
		if row.of == len(r.question.Readings) {
			first = min(first, i)
		}
	}
	t.Cut = g.rows[first].cut
	best := -1.0
	for i := first; i < len(g.rows); i++ {
		for j := first; j < i; j++ {
			v := make([]float64, len(g.rows))
			v[i], v[j] = 1, -1
			x := mat.NewVecDense(m[0].Len(), g.reduced(v)[known:])
			d := mat.Dot(x, m[0]) - mat.Dot(x, m[1])
			va, vb := mat.Inner(x, c[0], x), mat.Inner(x, c[1], x)
			less := math.Min(va, vb)
			if s := (d*d + math.Abs(va-vb)) / less; s > best {
				best = s
				t.Apart, t.U = math.Sqrt(d*d+math.Abs(va-vb)), math.Sqrt(less)
				t.From, t.To = g.rows[j].e.Position, g.rows[i].e.Position
			}
		}
	}
	if t.From > t.To {
		t.From, t.To = t.To, t.From
	}
}
