package estimate

import (
	"gonum.org/v1/gonum/mat"

	"wornway/profile/bed"
)

// space is a problem made ready for many strengths: for one reach, what each curve and all the rest contribute to the covariance of the readings.
type space struct {
	p       *problem
	reach   float64
	a, f    *mat.Dense
	y       []float64
	kernel  *mat.Dense      // correlation of a curve's values at the knots
	cross   []*mat.Dense    // by curve: readings × knots, the rows' weights times the kernel
	own     []*mat.SymDense // by curve: its contribution for strength 1
	rest    *mat.SymDense   // what does not depend on the strengths: the readings' own (1), scalars, terms
	scratch *mat.SymDense
}

// system is the readings of a problem as matrices.
type system struct {
	a, f *mat.Dense
	y    []float64
	rest *mat.SymDense
}

// newSystem prepares what is common to all reaches.
func newSystem(p *problem) system {
	var s system
	s.a, s.f, s.y = p.condense()
	s.rest = restOf(p, s.a)
	return s
}

// restOf returns the part of the readings' covariance that does not depend on the strengths.
func restOf(p *problem, a *mat.Dense) *mat.SymDense {
	n, _ := a.Dims()
	rest := mat.NewSymDense(n, nil)
	for i := range n {
		rest.SetSym(i, i, 1)
	}
	add := func(column int, u float64) {
		if u == 0 {
			return
		}
		rest.SymRankOne(rest, u*u, mat.NewVecDense(n, mat.Col(nil, column, a)))
	}
	for k, u := range p.scalar {
		add(p.scalarAt()+k, u)
	}
	for i, u := range p.terms {
		add(p.termAt()+i, u)
	}
	return rest
}

func newSpace(p *problem, sys system, reach float64) *space {
	n, _ := sys.a.Dims()
	m := len(p.knots)
	s := &space{p: p, reach: reach, a: sys.a, f: sys.f, y: sys.y, rest: sys.rest, scratch: mat.NewSymDense(n, nil)}
	s.kernel = kernelOn(p.knots, datumOf(p.in.Unworn), reach)
	for c := range p.curves {
		weights := sparse(sys.a.Slice(0, n, c*m, (c+1)*m).(*mat.Dense))
		cross := mat.NewDense(n, m, nil)
		for i, row := range weights {
			to := cross.RawRowView(i)
			for _, e := range row {
				axpy(e.weight, s.kernel.RawRowView(e.column), to)
			}
		}
		own := mat.NewSymDense(n, nil)
		for i, row := range weights {
			for j := i; j < n; j++ {
				v := 0.0
				to := cross.RawRowView(j)
				for _, e := range row {
					v += e.weight * to[e.column]
				}
				own.SetSym(i, j, v)
			}
		}
		s.cross, s.own = append(s.cross, cross), append(s.own, own)
	}
	return s
}

// sparse returns the entries of a matrix that are not zero, by row.
func sparse(m *mat.Dense) [][]entry {
	n, k := m.Dims()
	out := make([][]entry, n)
	for i := range n {
		for j := range k {
			if v := m.At(i, j); v != 0 {
				out[i] = append(out[i], entry{j, v})
			}
		}
	}
	return out
}

// covariance returns the covariance of the readings for the strengths. It is overwritten by the next call.
func (s *space) covariance(at strengths) *mat.SymDense {
	data := s.scratch.RawSymmetric().Data
	copy(data, s.rest.RawSymmetric().Data)
	n := s.scratch.SymmetricDim()
	worse := at.noise()*at.noise() - 1 // beside the 1 of each reading's own
	for i := range n {
		data[i*n+i] += worse
	}
	for c, own := range s.own {
		axpy(at.variance(s.p.curves[c]), own.RawSymmetric().Data, data)
	}
	return s.scratch
}

// score returns the logarithm of the posterior density of the strengths and the reach, up to a constant.
func (s *space) score(at strengths) float64 {
	k, err := solve(s.covariance(at), s.f, s.y)
	if err != nil {
		return unlikely
	}
	return k.evidence + at.prior() + priorOfReach(s.reach)
}

// unlikely stands in for the logarithm of a density of nothing.
const unlikely = -1e300

// posterior is the wear for known strengths: mean and, for its part of the covariance, what the readings take away from the prior.
type posterior struct {
	mean   []float64  // of the curves and scalars
	gained *mat.Dense // readings × unknowns: the covariance is the prior's less its transpose times itself
}

// wanted is how many unknowns the answer holds: curves and scalars.
func (p *problem) wanted() int { return p.termAt() }

func (s *space) posterior(at strengths) (*posterior, error) {
	k, err := solve(s.covariance(at), s.f, s.y)
	if err != nil {
		return nil, err
	}
	n, _ := s.a.Dims()
	m := len(s.p.knots)
	g := mat.NewDense(n, s.p.wanted(), nil)
	for c, cross := range s.cross {
		v := at.variance(s.p.curves[c])
		for i := range n {
			axpy(v, cross.RawRowView(i), g.RawRowView(i)[c*m:(c+1)*m])
		}
	}
	for j := range int(bed.Scalars) {
		u := s.p.scalar[j]
		for i := range n {
			g.Set(i, s.p.scalarAt()+j, u*u*s.a.At(i, s.p.scalarAt()+j))
		}
	}
	k.free(g)
	out := &posterior{gained: g, mean: make([]float64, s.p.wanted())}
	for i, w := range k.white {
		axpy(w, g.RawRowView(i), out.mean)
	}
	for j, v := range s.p.mean {
		out.mean[s.p.scalarAt()+j] += v
	}
	return out, nil
}
