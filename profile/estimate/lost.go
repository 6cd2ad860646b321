package estimate

import (
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"wornway/profile/bed"
)

// Metal is only lost: no way lies higher than when it was new. A normal density knows nothing of that, so the curves of
// each point of the mixture are cut to those that are nowhere higher than new by more than ways are off straight when
// they are made. What is left is again taken as normal, with the mean and the covariance of what was left. A point
// counts by the share of its curves that comply after the readings over the share that did before: wear that could only
// be explained by ways that have grown is the less probable.
const (
	proud      = 0.004 // mm that a way may stand above new: ways were never straighter than 1 to 3 µm
	lostPlaces = 10    // of each way
	shareDraws = 64    // for the share that complies
	cutDraws   = 256   // for the curves' means and covariance
)

// floor is one limit: the drop of a way, by its curve's index, at a knot is not below −proud.
type floor struct{ knot, curve int }

// floors spreads the limits over the stretch between the unworn ends.
func (p *problem) floors() []floor {
	if !p.in.OnlyLost {
		return nil
	}
	from, to := p.knots[0], p.knots[len(p.knots)-1]
	for _, u := range p.in.Unworn {
		if u[0] <= from && u[1] < to {
			from = u[1]
		}
		if u[1] >= to && u[0] > from {
			to = u[0]
		}
	}
	var out []floor
	last := -1
	for i := range lostPlaces {
		z := from + (to-from)*(float64(i)+0.5)/lostPlaces
		knot := nearest(p.knots, z)
		if knot == last {
			continue
		}
		last = knot
		for c, curve := range p.curves {
			if limits(curve) {
				out = append(out, floor{knot, c})
			}
		}
	}
	return out
}

// limits says whether a curve is limited: metal that is lost lets a way sink, and may shift it to either side.
func limits(c bed.Curve) bool { return c != bed.Shift }

func nearest(knots []float64, z float64) int {
	best := 0
	for i, k := range knots {
		if math.Abs(k-z) < math.Abs(knots[best]-z) {
			best = i
		}
	}
	return best
}

// relations is the covariances, mm², of curves at one place, by their index.
type relations [bed.Curves][bed.Curves]float64

// floorRelations returns those of the curves that limits speak of. All that is known of them before the readings hangs
// on these.
func (s *space) floorRelations(at strengths) (v relations) {
	for c, of := range s.p.curves {
		for d, with := range s.p.curves {
			if limits(of) && limits(with) {
				v[c][d] = s.p.between(at, of, with)
			}
		}
	}
	return v
}

// floorPrior returns the covariance of what the limits speak of, before the readings.
func (s *space) floorPrior(v relations) *mat.SymDense {
	n := len(s.floors)
	out := mat.NewSymDense(n, nil)
	for i, f := range s.floors {
		for j := i; j < n; j++ {
			g := s.floors[j]
			out.SetSym(i, j, v[f.curve][g.curve]*s.kernel.At(f.knot, g.knot))
		}
	}
	return out
}

// priorShare returns the logarithm of the share of the curves that comply before the readings. Points that differ in
// how good readings are, or in the shift, have the same.
func (s *space) priorShare(v relations) float64 {
	return s.made.share(v, func() float64 {
		return shareAbove(make([]float64, len(s.floors)), s.floorPrior(v), -proud, shareDraws)
	})
}

// floorGained returns what the readings take away from it: readings × limits, once freed.
func (s *space) floorGained(at strengths, k *solution) *mat.Dense {
	n, _ := s.a.Dims()
	g := mat.NewDense(n, len(s.floors), nil)
	s.each(at, func(c int, v float64, cross *mat.Dense) {
		for j, f := range s.floors {
			if c != f.curve {
				continue
			}
			for i := range n {
				g.Set(i, j, g.At(i, j)+v*cross.At(i, f.knot))
			}
		}
	})
	k.free(g)
	return g
}

// floorMean returns the mean of what the limits speak of, after the readings; k is the point's solution.
func floorMean(gained *mat.Dense, k *solution) []float64 {
	_, n := gained.Dims()
	mean := make([]float64, n)
	for i, w := range k.white {
		axpy(w, gained.RawRowView(i), mean)
	}
	return mean
}

// floorLeft returns the covariance of what the limits speak of, less what the readings take away.
func (s *space) floorLeft(at strengths, gained *mat.Dense) *mat.SymDense {
	left := mat.NewSymDense(len(s.floors), nil)
	left.SymOuterK(-1, gained.T())
	left.AddSym(left, s.floorPrior(s.floorRelations(at)))
	return left
}

// complying returns the logarithm of the factor by which a point counts as metal is only lost: the share of its curves
// that comply after the readings over the share that did before; k is the point's solution.
func (s *space) complying(at strengths, k *solution) float64 {
	if len(s.floors) == 0 {
		return 0
	}
	of := s.makings(at, pair.bounds)
	share, known := s.complied[of]
	if !known {
		gained := s.floorGained(at, k)
		share = shareAbove(floorMean(gained, k), s.floorLeft(at, gained), -proud, shareDraws) -
			s.priorShare(s.floorRelations(at))
		if s.complied == nil {
			s.complied = map[makings]float64{}
		}
		s.complied[of] = share
	}
	return share
}

// unlikelyShare stands in for the logarithm of a share of nothing.
const unlikelyShare = -500

// middle returns the mean of the curves that comply, and how the limits cut them; k is the point's solution. The mean
// moves by what the unknowns have in common with what is cut, which is that before the readings less what they take
// away.
func (s *space) middle(at strengths, k *solution) (mean []float64, after truncation) {
	if len(s.floors) == 0 {
		return s.mean(at, k, k.white), after
	}
	gained := s.floorGained(at, k)
	after = cutAbove(floorMean(gained, k), s.floorLeft(at, gained), -proud, cutDraws)
	white := append([]float64{}, k.white...)
	for i := range white {
		white[i] -= dot(gained.RawRowView(i), after.pull)
	}
	mean = s.mean(at, k, white)
	for j, f := range s.floors {
		s.floorCommon(at, f, after.pull[j], mean)
	}
	return mean, after
}

// shrunk adds to what the readings take away from the prior what the limits do.
func (s *space) shrunk(at strengths, gained *mat.Dense, after truncation) *mat.Dense {
	if after.root == nil {
		return gained
	}
	n, wanted := gained.Dims()
	rows, _ := after.root.Dims()
	_, common := s.floorsOf(at, gained)
	out := gained.Grow(rows, 0).(*mat.Dense)
	out.Slice(n, n+rows, 0, wanted).(*mat.Dense).Mul(after.root, common)
	return out
}

// floorsOf returns the covariance of what the limits speak of, after the readings, and what each unknown has in common
// with it: limits × unknowns. Nothing where there are no limits.
func (s *space) floorsOf(at strengths, gained *mat.Dense) (left *mat.SymDense, common *mat.Dense) {
	if len(s.floors) == 0 {
		return nil, nil
	}
	n, _ := gained.Dims()
	of := mat.NewDense(n, len(s.floors), nil)
	common = mat.NewDense(len(s.floors), s.p.wanted(), nil)
	for j, f := range s.floors {
		row := common.RawRowView(j)
		s.floorCommon(at, f, 1, row)
		for i := range n {
			v := gained.At(i, s.floorAt(f))
			of.Set(i, j, v)
			axpy(-v, gained.RawRowView(i), row)
		}
	}
	return s.floorLeft(at, of), common
}

// floorAt returns which unknown a limit speaks of.
func (s *space) floorAt(f floor) int { return f.curve*len(s.p.knots) + f.knot }

// floorCommon adds what each unknown has in common with what a limit speaks of before the readings, so many times.
func (s *space) floorCommon(at strengths, f floor, times float64, to []float64) {
	m := len(s.p.knots)
	for d := range s.p.curves {
		if v := s.p.between(at, s.p.curves[f.curve], s.p.curves[d]); v != 0 {
			axpy(times*v, s.kernel.RawRowView(f.knot), to[d*m:(d+1)*m])
		}
	}
}

// truncation is a normal density of some values, of which only what lies above a limit is left.
type truncation struct {
	share float64    // logarithm of the share that is left
	pull  []float64  // the mean moves by the covariance times this
	root  *mat.Dense // the covariance shrinks by (root·covariance)ᵀ·(root·covariance); nil where nothing is cut
}

// cutAbove cuts a normal density, none of whose values may be below low. The values are drawn one after the other, each
// cut to what complies given those before it, the most restricted first; the product of the shares that comply is a
// draw's weight. The same draws without the limits serve as the measure of what the limits change, so that limits that
// nothing comes near change nothing at all. draws is how many points of a lattice are used.
//
// Source: sequential conditioning after A. Genz, Numerical computation of multivariate normal probabilities (1992),
// from memory. Tested against draws that are kept where they comply.
func cutAbove(mean []float64, cov *mat.SymDense, low float64, draws int) truncation {
	o := ordered(mean, cov, low)
	n := len(o.of)
	if n == 0 {
		return truncation{pull: make([]float64, len(mean))}
	}
	drawn := newMoments(n)
	z := make([]float64, n)
	for d := range draws {
		drawn.add(o.draw(low, d, z), z)
	}
	out := truncation{share: math.Log(drawn.weight / float64(draws)), pull: make([]float64, len(mean))}
	shift, shrunk := drawn.changes(free(draws))
	// From the independent values that were drawn back to the values themselves: with L their factor, cov·pull is
	// L·shift.
	inverse := mat.NewTriDense(n, mat.Lower, nil)
	if err := inverse.InverseTri(o.lower); err != nil && !isCondition(err) {
		return out
	}
	for i, v := range shift {
		for j := range i + 1 {
			out.pull[o.of[j]] += inverse.At(i, j) * v
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(shrunk, true) {
		return out
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	out.root = mat.NewDense(n, len(mean), nil)
	for k, v := range eigen.Values(nil) {
		if v <= 0 {
			continue // a limit never widens: what the draws leave of it is chance
		}
		row := out.root.RawRowView(k)
		for i := range n {
			f := math.Sqrt(v) * vectors.At(i, k)
			for j := range i + 1 {
				row[o.of[j]] += f * inverse.At(i, j)
			}
		}
	}
	return out
}

// shareAbove returns the logarithm of the share of a normal density none of whose values is below low: that of cutAbove
// by itself.
func shareAbove(mean []float64, cov *mat.SymDense, low float64, draws int) float64 {
	o := ordered(mean, cov, low)
	if len(o.of) == 0 {
		return 0
	}
	z := make([]float64, len(o.of))
	sum := 0.0
	for d := range draws {
		sum += o.draw(low, d, z)
	}
	return math.Max(math.Log(sum/float64(draws)), unlikelyShare)
}

// order is the values to be drawn, the most restricted first, with the Cholesky factor of their covariance. Values that
// those before them determine are left out: they comply where those do.
type order struct {
	of    []int
	mean  []float64
	lower *mat.TriDense
}

func ordered(mean []float64, cov *mat.SymDense, low float64) order {
	const known = 1e-8 // mm²: to 0.1 µm
	n := len(mean)
	variance, at := make([]float64, n), append([]float64{}, mean...)
	for i := range n {
		variance[i] = cov.At(i, i)
	}
	var o order
	rows := make([][]float64, n) // of the factor, by value in its old order
	taken := make([]bool, n)
	for {
		best, least := -1, math.Inf(1)
		for i := range n {
			if taken[i] || variance[i] < known {
				continue
			}
			if t := (at[i] - low) / math.Sqrt(variance[i]); t < least {
				best, least = i, t
			}
		}
		if best < 0 {
			break
		}
		taken[best] = true
		k := len(o.of)
		o.of, o.mean = append(o.of, best), append(o.mean, mean[best])
		root := math.Sqrt(variance[best])
		rows[best] = append(rows[best], root)
		// Where it complies it lies, in the mean, so many standard deviations above what it was.
		hazard := math.Exp(-least*least/2-logNormalCDF(least)) / math.Sqrt(2*math.Pi)
		for i := range n {
			if taken[i] {
				continue
			}
			f := (cov.At(i, best) - dot(rows[i][:k], rows[best][:k])) / root
			rows[i] = append(rows[i], f)
			variance[i] -= f * f
			at[i] += f * hazard
		}
	}
	o.lower = mat.NewTriDense(max(len(o.of), 1), mat.Lower, nil)
	for i, k := range o.of {
		for j, v := range rows[k][:i+1] {
			o.lower.SetTri(i, j, v)
		}
	}
	return o
}

// moments are weighted sums over draws: of the weight, of the values, and of their products (the lower triangle).
type moments struct {
	weight float64
	sum    []float64
	square []float64
}

func newMoments(n int) moments { return moments{sum: make([]float64, n), square: make([]float64, n*n)} }

func (m *moments) add(weight float64, z []float64) {
	m.weight += weight
	for i, v := range z {
		v *= weight
		m.sum[i] += v
		axpy(v, z[:i+1], m.square[i*len(z):i*len(z)+i+1])
	}
}

// covariance returns that of two values, i ≥ j.
func (m *moments) covariance(i, j int) float64 {
	return m.square[i*len(m.sum)+j]/m.weight - m.sum[i]/m.weight*m.sum[j]/m.weight
}

// free returns the moments of so many points of the lattice as they are, without limits: they are the same for whatever
// is drawn.
func free(draws int) *moments {
	if known, ok := freed.Load(draws); ok {
		return known.(*moments)
	}
	m := newMoments(len(lattice()[0]))
	z := make([]float64, len(m.sum))
	for _, point := range lattice()[:draws] {
		for i, c := range point {
			z[i] = c.normal
		}
		m.add(1, z)
	}
	freed.Store(draws, &m)
	return &m
}

var freed sync.Map // by how many points: *moments

// draw sets z to the d-th point of a lattice, each value cut to what complies given those before it; it returns the
// share that complies.
func (o order) draw(low float64, d int, z []float64) float64 {
	weight := 1.0
	n := len(z)
	point := lattice()[d]
	for i := range z {
		row := o.lower.RawTriangular().Data[i*n : i*n+i+1]
		above := (o.mean[i] - low) / row[i]
		if i > 0 {
			above += dot(row[:i], z[:i]) / row[i]
		}
		const (
			all  = 8.0   // standard deviations beyond which nothing is cut
			none = -30.0 // and beyond which hardly anything is left
		)
		switch {
		case above > all:
			z[i] = point[i].normal
		case above < none:
			weight = 0
			z[i] = -above
		default:
			p := distuv.UnitNormal.CDF(above)
			weight *= p
			z[i] = -distuv.UnitNormal.Quantile(point[i].even * p)
		}
	}
	return weight
}

// changes returns what the limits change of the independent values, beside the same draws without: how far their means
// move and what their covariance loses.
func (m *moments) changes(free *moments) (shift []float64, shrunk *mat.SymDense) {
	n := len(m.sum)
	shift, shrunk = make([]float64, n), mat.NewSymDense(n, nil)
	if !(m.weight > 0) {
		return shift, shrunk
	}
	for i := range n {
		shift[i] = m.sum[i]/m.weight - free.sum[i]/free.weight
		for j := range i + 1 {
			shrunk.SetSym(j, i, free.covariance(i, j)-m.covariance(i, j))
		}
	}
	return shift, shrunk
}

// lattice is points that fill a cube evenly, as many as are drawn at the most, each with the standard normal values
// that belong to its coordinates: multiples of the roots of primes less their whole part, folded.
var lattice = sync.OnceValue(func() [][]coordinate {
	out := make([][]coordinate, cutDraws)
	steps := rootsOfPrimes(int(bed.Curves) * lostPlaces)
	for d := range out {
		for _, step := range steps {
			_, f := math.Modf((float64(d) + 0.5) * step)
			const edge = 1e-12
			u := math.Max(edge, math.Min(1-edge, math.Abs(2*f-1)))
			out[d] = append(out[d], coordinate{u, -distuv.UnitNormal.Quantile(u)})
		}
	}
	return out
})

// coordinate is one of a point's: evenly between 0 and 1, and as a normal deviate, the greater the nearer to 0.
type coordinate struct{ even, normal float64 }

func rootsOfPrimes(n int) []float64 {
	var out []float64
	var primes []int
	for k := 2; len(out) < n; k++ {
		if slices.ContainsFunc(primes, func(p int) bool { return k%p == 0 }) {
			continue
		}
		primes, out = append(primes, k), append(out, math.Sqrt(float64(k)))
	}
	return out
}
