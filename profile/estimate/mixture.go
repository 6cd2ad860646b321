package estimate

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"

	"wornway/profile/abreast"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// component is a part of the mixture: of some points together, or of all.
type component struct {
	weight float64
	mean   []float64 // of the curves and scalars
	cov    *mat.SymDense
	prior  *mat.SymDense // the covariance before anything was read; of the parts only
}

// mostComponents is how many parts of the mixture are told apart. What a mixture says beyond its covariance is, above
// all, that some choices of strengths leave everything surer than others do; points that leave it about as sure go
// together.
const mostComponents = 4

// mixture returns the mixture of the points, and the parts that it is made of, the surest first.
func mixture(p *problem, points []point) (whole component, parts []component, err error) {
	posts := make([]*posterior, len(points))
	sizes := make([]float64, len(points))
	errs := make([]error, len(points))
	like, first := alike(points)
	abreast.Do(len(first), func(k int) {
		i := first[k]
		if posts[i], errs[i] = points[i].space.posterior(points[i].at); errs[i] == nil {
			sizes[i] = points[i].space.unsure(points[i].at, posts[i])
		}
	})
	for i, k := range like {
		posts[i], sizes[i] = posts[k], sizes[k]
	}
	for _, err := range errs {
		if err != nil {
			return component{}, nil, err
		}
	}
	groups := grouped(points, sizes)
	parts = make([]component, len(groups))
	abreast.Do(len(groups), func(k int) { parts[k] = united(p, points, posts, groups[k]) })
	whole = together(parts)
	for i, v := range whole.mean {
		if math.IsNaN(v) || math.IsNaN(whole.cov.At(i, i)) {
			return component{}, nil, errSingular
		}
	}
	return whole, parts, nil
}

// alike returns for each point the first that has the same posterior, and these.
func alike(points []point) (like, first []int) {
	type key struct {
		space *space
		of    makings
	}
	found := map[key]int{}
	for i, t := range points {
		k := key{t.space, t.space.makings(t.at, pair.any)}
		if _, ok := found[k]; !ok {
			found[k] = i
			first = append(first, i)
		}
		like = append(like, found[k])
	}
	return like, first
}

// grouped sorts the points' numbers by size and cuts them into groups of about the same weight. Sizes that differ by
// rounding alone are the same, or the groups would hang on it: two surveys that may be doubted make points in pairs.
func grouped(points []point, sizes []float64) [][]int {
	const rounding = 1e-7
	for i, s := range sizes {
		sizes[i] = math.Round(s / rounding)
	}
	order := make([]int, len(points))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(sizes[a], sizes[b]), a-b) })
	var groups [][]int
	before, last := 0.0, -1
	for _, i := range order {
		g := int((before + points[i].weight/2) * mostComponents)
		before += points[i].weight
		if g != last {
			groups, last = append(groups, nil), g
		}
		groups[len(groups)-1] = append(groups[len(groups)-1], i)
	}
	return groups
}

// unsure returns how unsure a point leaves the carriage ways, as the mean logarithm of the variances along the bed: a
// mean of logarithms lets no place drown the others.
func (s *space) unsure(at strengths, q *posterior) float64 {
	m := len(s.p.knots)
	n, _ := q.gained.Dims()
	gained := make([]float64, carriage*m)
	for i := range n {
		for j, v := range q.gained.RawRowView(i)[:carriage*m] {
			gained[j] += v * v
		}
	}
	const sure = 1e-8 // mm²: nobody asks for less than 0.1 µm
	sum := 0.0
	for c := range carriage {
		v := s.p.between(at, s.p.curves[c], s.p.curves[c])
		for k := range m {
			sum += math.Log(math.Max(0, v*s.kernel.At(k, k)-gained[c*m+k]) + sure)
		}
	}
	return sum
}

// united returns the mixture of the points of one group.
func united(p *problem, points []point, posts []*posterior, group []int) component {
	n := p.wanted()
	out := component{mean: make([]float64, n), cov: mat.NewSymDense(n, nil), prior: mat.NewSymDense(n, nil)}
	for _, i := range group {
		out.weight += points[i].weight
	}
	// points that have the same posterior count together
	shares := map[*posterior]float64{}
	var first []int
	for _, i := range group {
		if shares[posts[i]] == 0 {
			first = append(first, i)
		}
		shares[posts[i]] += points[i].weight / out.weight
	}
	raw := out.cov.RawSymmetric()
	for _, i := range first {
		share := shares[posts[i]]
		axpy(share, posts[i].mean, out.mean)
		points[i].space.addPrior(out.prior.RawSymmetric(), points[i].at, share)
		blas64.Syrk(blas.Trans, -share, posts[i].gained.RawMatrix(), 1, raw)
	}
	axpy(1, out.prior.RawSymmetric().Data, raw.Data)
	for _, i := range first {
		out.apart(posts[i].mean, shares[posts[i]])
	}
	return out
}

// together returns the mixture of components whose weights add up to 1.
func together(parts []component) component {
	n := len(parts[0].mean)
	out := component{weight: 1, mean: make([]float64, n), cov: mat.NewSymDense(n, nil)}
	for _, c := range parts {
		axpy(c.weight, c.mean, out.mean)
		axpy(c.weight, c.cov.RawSymmetric().Data, out.cov.RawSymmetric().Data)
	}
	for _, c := range parts {
		out.apart(c.mean, c.weight)
	}
	return out
}

// apart adds to the covariance that a part of this share has its own mean.
func (c *component) apart(mean []float64, share float64) {
	off := append([]float64{}, mean...)
	axpy(-1, c.mean, off)
	c.cov.SymRankOne(c.cov, share, mat.NewVecDense(len(off), off))
}

// addPrior adds the prior covariance of the curves and scalars, times a weight.
func (s *space) addPrior(to blas64.Symmetric, at strengths, weight float64) {
	m := len(s.p.knots)
	for _, q := range s.pairs {
		v := weight * s.p.between(at, s.p.curves[q.c], s.p.curves[q.d])
		for i := range m {
			first := 0
			if q.c == q.d {
				first = i // the upper half only
			}
			line := to.Data[(q.c*m+i)*to.Stride+q.d*m:]
			axpy(v, s.kernel.RawRowView(i)[first:], line[first:m])
		}
	}
	for j, u := range s.p.scalar {
		k := s.p.scalarAt() + j
		to.Data[k*to.Stride+k] += weight * u * u
	}
}

// wear puts the mixture of points into a Wear.
func (p *problem) wear(points []point) (*wear.Wear, error) {
	whole, _, err := mixture(p, points)
	if err != nil {
		return nil, err
	}
	return p.wearOf(whole)
}

// mixed does so with what is averaged over: the wear and its covariance have room for edges, its cases for what is
// asked of a length have none. To make the cases takes as long as the wear itself, and much is asked that needs none.
func (p *problem) mixed(a mixtures) (*wear.Wear, error) {
	whole, _, err := mixture(p, a.edges)
	if err != nil {
		return nil, err
	}
	w, err := p.wearOf(whole)
	if err != nil {
		return nil, err
	}
	return w.WithCases(func() []wear.Case { return p.cases(a.length, whole.mean) }), nil
}

// cases returns the parts of the points' mixture as cases of a wear of that mean. Points that were scored can be solved;
// if rounding has made one of them singular there are none.
func (p *problem) cases(points []point, mean []float64) []wear.Case {
	_, parts, err := mixture(p, points)
	if err != nil {
		return nil
	}
	cases := make([]wear.Case, len(parts))
	for i, c := range parts {
		full := wear.NewFull(len(p.knots), p.listed(), unrounded(c.cov))
		axpy(-1, mean, c.mean)
		before := wear.NewFull(len(p.knots), p.listed(), unrounded(c.prior))
		cases[i] = wear.Case{Weight: c.weight, Covariance: full, Prior: before,
			Shift: func(g *wear.Weights) float64 { return full.Dot(g, c.mean) }}
	}
	return cases
}

// listed returns what the unknowns are, in their order.
func (p *problem) listed() []wear.Unknown {
	var of []wear.Unknown
	for _, c := range p.curves {
		for k := range p.knots {
			of = append(of, wear.Unknown{Knot: k, Curve: c})
		}
	}
	for k := range bed.Scalars {
		of = append(of, wear.Unknown{Knot: -1, Scalar: k})
	}
	return of
}

// wearOf puts a component into a Wear.
func (p *problem) wearOf(c component) (*wear.Wear, error) {
	return p.known(c.mean, wear.NewFull(len(p.knots), p.listed(), unrounded(c.cov)))
}

// known returns a Wear of some mean and covariance.
func (p *problem) known(mean []float64, cov wear.Covariance) (*wear.Wear, error) {
	m := len(p.knots)
	values := map[bed.Curve][]float64{}
	for i, curve := range p.curves {
		values[curve] = mean[i*m : (i+1)*m]
	}
	w, err := wear.New(p.knots, values)
	if err != nil {
		return nil, err
	}
	for k := range bed.Scalars {
		w = w.WithScalar(k, mean[p.scalarAt()+int(k)])
	}
	return w.WithCovariance(cov), nil
}

// unrounded mends variances that rounding has left below zero: of what is known exactly.
func unrounded(cov *mat.SymDense) *mat.SymDense {
	for i := range cov.SymmetricDim() {
		if cov.At(i, i) < 0 {
			cov.SetSym(i, i, 0)
		}
	}
	return cov
}
