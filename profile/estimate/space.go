package estimate

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/bed"
	"wornway/profile/survey"
)

// space is a problem made ready for many strengths: for one reach, what each curve and all the rest contribute to the
// covariance of the readings.
type space struct {
	p *problem
	manner
	digest
	made    *kernel
	kernel  *mat.Dense    // correlation of a curve's values at the knots
	cross   []*mat.Dense  // by curve: readings × knots, the rows' weights times the kernel
	pairs   []pair        // of related curves, each with itself among them
	rest    *mat.SymDense // what does not depend on the strengths: the readings' own (1), scalars, terms
	scratch *mat.SymDense
	floors  []floor
	seen    map[makings]float64 // evidence found so far
	// logarithms of the factor by which metal being only lost counts, found so far
	complied map[makings]float64
	limits   int // the last so many rows stand in for limits
}

// system is the readings of a problem as matrices, those with a value first and limits last.
type system struct {
	digest
	rest    *mat.SymDense
	limits  int         // how many limits
	weights [][][]entry // by curve and row: those on the curve's values at the knots
}

// newSystem prepares what is common to all reaches. The readings with a value are condensed; limits stay as they are.
func newSystem(p *problem) system {
	values, limits := *p, *p
	values.rows, limits.rows, _ = p.inOrder()
	shared := make([]bool, p.flats)
	for _, r := range limits.rows {
		for _, e := range r.flat {
			shared[e.column] = true
		}
	}
	s := system{limits: len(limits.rows)}
	if !values.condenses() {
		values.rows = append(values.rows, limits.rows...)
		s.digest = values.all()
		return s.made(p)
	}
	s.digest = values.condense(shared)
	if s.limits > 0 {
		a, f, y := limits.dense()
		s.a = stacked(s.a, a)
		if f != nil {
			f = stacked(s.f, f)
		}
		s.f, s.y = f, append(s.y, y...)
	}
	return s.made(p)
}

// made returns the system with what follows from its matrices.
func (s system) made(p *problem) system {
	if s.rest == nil {
		s.rest = restOf(p, s.a)
	}
	n, _ := s.a.Dims()
	m := len(p.knots)
	for c := range p.curves {
		s.weights = append(s.weights, sparse(s.a.Slice(0, n, c*m, (c+1)*m).(*mat.Dense)))
	}
	return s
}

// inOrder returns the rows with a value, those that are limits, and the readings of both in that order.
func (p *problem) inOrder() (values, limits []row, y []float64) {
	for _, r := range p.rows {
		if p.in.Surveys[r.survey].Equations[r.equation].Side == survey.Value {
			values = append(values, r)
		} else {
			limits = append(limits, r)
		}
	}
	for _, r := range slices.Concat(values, limits) {
		y = append(y, r.y)
	}
	return values, limits, y
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

func newSpace(p *problem, sys system, how manner) *space {
	n, _ := sys.a.Dims()
	m := len(p.knots)
	s := &space{p: p, manner: how, digest: sys.digest, rest: sys.rest, scratch: mat.NewSymDense(n, nil),
		limits: sys.limits}
	s.floors = p.floors()
	s.made = p.in.kernels.of(p.places(p.knots), p.places(datumOf(p.in.Unworn)), how)
	s.kernel = s.made.matrix
	weights := sys.weights
	for c := range p.curves {
		cross := mat.NewDense(n, m, nil)
		for i, row := range weights[c] {
			to := cross.RawRowView(i)
			for _, e := range row {
				axpy(e.weight, s.kernel.RawRowView(e.column), to)
			}
		}
		s.cross = append(s.cross, cross)
	}
	for c := range p.curves {
		for d := c; d < len(p.curves); d++ {
			if p.related(p.curves[c], p.curves[d]) {
				q := pair{c: c, d: d}
				q.limited = touched(weights[c]) || touched(weights[d]) || limits(p.curves[c]) && limits(p.curves[d])
				if touched(weights[c]) && touched(weights[d]) {
					q.part = contribution(weights[c], weights[d], s.cross[c], s.cross[d])
				}
				s.pairs = append(s.pairs, q)
			}
		}
	}
	return s
}

// pair is two curves, by their index, and what they contribute together to the covariance of the readings for
// covariance 1 between them.
type pair struct {
	c, d int
	part *mat.SymDense // nil: nothing, as no reading sees one of them
	// what is limited, as metal is only lost, depends on it
	limited bool
}

// add adds the contribution, times a covariance, to the readings'.
func (q pair) add(covariance float64, to *mat.SymDense) {
	if q.part != nil {
		axpy(covariance, q.part.RawSymmetric().Data, to.RawSymmetric().Data)
	}
}

// touched says whether any row has a weight.
func touched(rows [][]entry) bool {
	return slices.ContainsFunc(rows, func(r []entry) bool { return len(r) > 0 })
}

// contribution returns a pair's part from the weights of the rows on either curve and their products with the kernel.
// For two different curves it holds both orders.
func contribution(wc, wd [][]entry, crossC, crossD *mat.Dense) *mat.SymDense {
	n := len(wc)
	out := mat.NewSymDense(n, nil)
	// adds what rows with weights w have in common with those whose other weights have made cross
	add := func(w, of [][]entry, cross *mat.Dense) {
		for i, entries := range w {
			if len(entries) == 0 {
				continue
			}
			to := out.RawSymmetric().Data[i*n : (i+1)*n]
			for j := i; j < n; j++ {
				if len(of[j]) > 0 {
					to[j] += times(cross.RawRowView(j), entries)
				}
			}
		}
	}
	add(wc, wd, crossD)
	if crossC != crossD {
		add(wd, wc, crossC)
	}
	return out
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

// covariance returns the covariance of the readings for the strengths.
func (s *space) covariance(at strengths) *mat.SymDense {
	return s.covarianceIn(mat.NewSymDense(s.rest.SymmetricDim(), nil), at)
}

// covarianceIn does so in a matrix of the right size.
func (s *space) covarianceIn(out *mat.SymDense, at strengths) *mat.SymDense {
	data := out.RawSymmetric().Data
	copy(data, s.rest.RawSymmetric().Data)
	n := out.SymmetricDim()
	worse := at.noise()*at.noise() - 1 // beside the 1 of each reading's own
	// what stands in for a limit is chosen to agree, and says nothing of how good readings are
	for i := range n - s.limits {
		data[i*n+i] += worse
	}
	for _, q := range s.pairs {
		q.add(s.p.between(at, s.p.curves[q.c], s.p.curves[q.d]), out)
	}
	return out
}

// score returns the logarithm of the posterior density of the strengths and the reach, up to a constant, without what
// is known of metal being only lost.
func (s *space) score(at strengths) float64 {
	evidence, known := s.seen[s.makings(at, pair.told)]
	if !known {
		score, _ := s.scored(at)
		return score
	}
	return s.scoreOf(evidence, at)
}

// whole returns it with that.
func (s *space) whole(at strengths) float64 {
	if share, known := s.complied[s.makings(at, pair.bounds)]; known {
		return s.score(at) + share
	}
	score, k := s.scored(at)
	if k == nil {
		return score
	}
	return score + s.complying(at, k)
}

func (s *space) scored(at strengths) (float64, *solution) {
	k, err := solve(s.covarianceIn(s.scratch, at), s.f, s.y)
	if err != nil {
		return unlikely, nil
	}
	if s.seen == nil {
		s.seen = map[makings]float64{}
	}
	s.seen[s.makings(at, pair.told)] = k.evidence
	return s.scoreOf(k.evidence, at), k
}

func (s *space) scoreOf(evidence float64, at strengths) float64 {
	return evidence + s.evidence - float64(s.lost)*math.Log(at.noise()) + at.prior() + s.manner.prior()
}

// makings is all that a covariance is made of for some strengths: the noise, and the covariance of each pair. Different
// strengths may have the same, as readings are never better than stated and need not tell of every curve.
type makings struct {
	noise float64
	pairs [int(bed.Curves) * (int(bed.Curves) + 1) / 2]float64
}

// makings returns those of some of the pairs.
func (s *space) makings(at strengths, of func(pair) bool) makings {
	m := makings{noise: at.noise()}
	for i, q := range s.pairs {
		if of(q) {
			m.pairs[i] = s.p.between(at, s.p.curves[q.c], s.p.curves[q.d])
		}
	}
	return m
}

// told says whether any reading tells of a pair, and bounds whether limits hang on it; any says nothing of it.
func (q pair) told() bool   { return q.part != nil }
func (q pair) bounds() bool { return q.limited }
func (q pair) any() bool    { return true }

// unlikely stands in for the logarithm of a density of nothing.
const unlikely = -1e300

// each calls yield for every curve, by its index, and every curve related to it, with their covariance and what that
// one has in common with the readings.
func (s *space) each(at strengths, yield func(c int, covariance float64, cross *mat.Dense)) {
	for c := range s.p.curves {
		for d := range s.p.curves {
			if v := s.p.between(at, s.p.curves[c], s.p.curves[d]); v != 0 {
				yield(c, v, s.cross[d])
			}
		}
	}
}

// posterior is the wear for known strengths: mean and, for its part of the covariance, what the readings take away from
// the prior.
type posterior struct {
	mean []float64 // of the curves and scalars
	// readings × unknowns, and what is taken away by metal being only lost: the covariance is the prior's less its
	// transpose times itself
	gained *mat.Dense
}

// wanted is how many unknowns the answer holds: curves and scalars.
func (p *problem) wanted() int { return p.termAt() }

func (s *space) posterior(at strengths) (*posterior, error) {
	k, err := solve(s.covariance(at), s.f, s.y)
	if err != nil {
		return nil, err
	}
	mean, after := s.middle(at, k)
	return &posterior{mean, s.shrunk(at, s.gained(at, k), after)}, nil
}

// unheld returns the wear as if metal could be gained.
func (s *space) unheld(at strengths) (*posterior, error) {
	k, err := solve(s.covariance(at), s.f, s.y)
	if err != nil {
		return nil, err
	}
	return &posterior{s.mean(at, k, k.white), s.gained(at, k)}, nil
}

// mean returns the unknowns' mean, where k is the point's solution and white what is left of the readings, or is to
// take their place.
func (s *space) mean(at strengths, k *solution, white []float64) []float64 {
	py := append([]float64{}, white...)
	k.back(py)
	mean := s.common(at, py)[:s.p.wanted()]
	for j, v := range s.p.mean {
		mean[s.p.scalarAt()+j] += v
	}
	return mean
}

// common returns what every unknown, surveys' terms with them, has in common with the readings, times a vector.
func (s *space) common(at strengths, v []float64) []float64 {
	p, m := s.p, len(s.p.knots)
	out := make([]float64, p.count())
	s.each(at, func(c int, covariance float64, cross *mat.Dense) {
		for i, x := range v {
			axpy(covariance*x, cross.RawRowView(i), out[c*m:(c+1)*m])
		}
	})
	for i, x := range v {
		row := s.a.RawRowView(i)
		for j, u := range p.scalar {
			out[p.scalarAt()+j] += u * u * row[p.scalarAt()+j] * x
		}
		for j, u := range p.terms {
			out[p.termAt()+j] += u * u * row[p.termAt()+j] * x
		}
	}
	return out
}

// gained returns what the readings take away from the prior, with room for what metal being only lost does.
func (s *space) gained(at strengths, k *solution) *mat.Dense {
	n, _ := s.a.Dims()
	m := len(s.p.knots)
	g := mat.NewDense(n+len(s.floors), s.p.wanted(), nil).Slice(0, n, 0, s.p.wanted()).(*mat.Dense)
	s.each(at, func(c int, v float64, cross *mat.Dense) {
		for i := range n {
			axpy(v, cross.RawRowView(i), g.RawRowView(i)[c*m:(c+1)*m])
		}
	})
	for j := range int(bed.Scalars) {
		u := s.p.scalar[j]
		for i := range n {
			g.Set(i, s.p.scalarAt()+j, u*u*s.a.At(i, s.p.scalarAt()+j))
		}
	}
	k.free(g)
	return g
}
