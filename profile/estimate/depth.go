package estimate

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"

	"wornway/profile/abreast"
	"wornway/profile/bed"
)

const (
	depthDraws = 20000    // of what is usual
	curveDraws = 4000     // of whole curves, over all points of the mixture
	depthSeed  = 20260314 // fixed: the same readings give the same limits
)

// Depth returns the limits between which the greatest drop of the carriage ways lies with a probability of 95 %,
// whichever way and place that is, mm. It returns false where the ± at the deepest place of the estimate says as much.
//
// The estimate's deepest place is deepest in the mean alone: the true one may be another, and is then deeper. So the
// greatest drop is looked for in draws of whole curves. The limits are nowhere within the ±, nor within what is usual
// where nothing was read of how far both ways have sunk together: the draws know the prior as if it were true, and on
// made-up beds of all kinds (seeds 81901 to 81906) they held fewer than they should by themselves.
//
// Source: probabilistically symmetric coverage interval by a Monte Carlo method, JCGM 101:2008, 7.7.
func (r *Result) Depth() (low, high float64, ok bool) {
	if r.possible == nil {
		return 0, 0, false
	}
	way, z, drop := r.Wear.WornDeepest()
	u := standard(r.Wear, bed.At(way, 0), z)
	const k, near = 2, 1.1
	low, high, err := r.greatest()
	if err != nil {
		return 0, 0, false // not seen: what can be solved once can be solved again
	}
	if !r.Says(Together, z) {
		l, h := r.beside(way, z)
		low, high = math.Min(low, l), math.Max(high, h)
	}
	if low > drop-near*k*u && high < drop+near*k*u && drop-k*u > -proud {
		return 0, 0, false
	}
	return math.Max(0, math.Min(low, drop-k*u)), math.Max(high, drop+k*u), true
}

// greatest returns the limits of draws of the greatest drop of the carriage ways.
func (r *Result) greatest() (low, high float64, err error) {
	all, err := r.possible()
	if err != nil {
		return 0, 0, err
	}
	const most = 0.95 // of the weight: the points that count least change no limit that is seen
	sum, n := 0.0, 0
	for ; n < len(all) && sum < most; n++ { // the weightiest first
		sum += all[n].weight
	}
	all = all[:n]
	of := make([]struct{ draws, weights []float64 }, len(all))
	abreast.Do(len(all), func(i int) {
		of[i].draws, of[i].weights = all[i].greatest(rand.New(rand.NewPCG(depthSeed, uint64(i))))
	})
	var draws, weights []float64
	for _, d := range of {
		draws, weights = append(draws, d.draws...), append(weights, d.weights...)
	}
	low, high = middle95(draws, weights)
	return low, high, nil
}

// greatest returns draws of the greatest drop of the carriage ways, and how much each counts: the more draws, the more
// the point counts.
func (s *remainder) greatest(random *rand.Rand) (draws, weights []float64) {
	mean, part, rest := s.drops()
	const few = 8
	n := min(cutDraws, max(few, int(curveDraws*s.weight)))
	sum := 0.0
	for _, share := range s.shares[:n] {
		sum += share
	}
	v, z := make([]float64, len(mean)), make([]float64, len(mean))
	for d, share := range s.shares[:n] {
		copy(v, mean)
		for i, x := range s.values[d] {
			if part != nil {
				axpy(x, part.RawRowView(i), v)
			}
		}
		for i := range z {
			z[i] = random.NormFloat64()
		}
		most := 0.0
		for i := range v {
			most = math.Max(most, v[i]+dot(rest.RawRowView(i)[:i+1], z[:i+1]))
		}
		draws, weights = append(draws, most), append(weights, s.weight*share/sum)
	}
	return draws, weights
}

// drops returns mean and covariance of the carriage ways' drops at some knots: the latter as what the values make of
// them that the limits speak of, and the factor (lower) of the rest.
func (s *remainder) drops() (mean []float64, part, rest *mat.Dense) {
	p := s.space.p
	m := len(p.knots)
	const enough = 50 // of one way
	var columns []int
	for _, c := range []bed.Curve{bed.Front, bed.Rear} {
		for k := 0; k < m; k += max(1, m/enough) {
			columns = append(columns, p.curveAt(c)+k)
		}
	}
	n := len(columns)
	take := func(from []float64) []float64 {
		out := make([]float64, n)
		for i, c := range columns {
			out[i] = from[c]
		}
		return out
	}
	before := s.space.floorRelations(s.at)
	cov := mat.NewSymDense(n, nil)
	for i, a := range columns {
		for j, b := range columns[:i+1] {
			cov.SetSym(i, j, before[a/m][b/m]*s.space.kernel.At(a%m, b%m))
		}
	}
	less := func(of *mat.Dense) *mat.Dense {
		rows, _ := of.Dims()
		out := mat.NewDense(rows, n, nil)
		for i := range rows {
			out.SetRow(i, take(of.RawRowView(i)))
		}
		blas64.Syrk(blas.Trans, -1, out.RawMatrix(), 1, cov.RawSymmetric())
		return out
	}
	less(s.free.gained)
	if s.part != nil {
		part = less(s.part)
	}
	const known = 1e-8 // mm²: to 0.1 µm
	for i := range n {
		cov.SetSym(i, i, math.Max(0, cov.At(i, i))+known)
	}
	rest = mat.NewDense(n, n, nil)
	var chol mat.Cholesky
	if chol.Factorize(cov) {
		var lower mat.TriDense
		chol.LTo(&lower)
		rest.Copy(&lower)
	}
	return take(s.free.mean), part, rest
}

// beside returns the limits of what is usual, with a probability of 95 %, of a way's drop at z, where it is worn
// deepest and the readings say at the most how far one way has sunk against the other, mm.
//
// What one way has sunk against the other leaves open is a matter of proportion: beside a rear way worn three quarters
// as much as the front one, the front's depth is four times what is read between them; beside one that is not worn it
// is just that. So the limits do not lie alike to both sides, and are found by draws: of how strong wear is, how strong
// on the rear way, and how alike (prior.go); of the front's drop, no less than nothing; and of what was read, which
// gives the rear's, standing no higher than new by more than ways are off straight. Each counts by how usual such a
// rear way is beside such a front way.
//
// Source: importance sampling.
func (r *Result) beside(way bed.Curve, z float64) (low, high float64) {
	apart := bed.At(bed.Front, 0).Plus(bed.At(bed.Rear, 0).Times(-1))
	read, u := r.Wear.Value(apart, z), standard(r.Wear, apart, z)
	var drops, weights []float64
	random := rand.New(rand.NewPCG(depthSeed, 0))
	for range depthDraws {
		var at strengths
		for i, p := range priors() {
			at[i] = p[0] + p[1]*random.NormFloat64()
		}
		front, rear := at.strength(bed.Front), at.strength(bed.Rear)
		d := front * math.Abs(random.NormFloat64())
		other := d - read - u*random.NormFloat64()
		if other < -proud {
			continue
		}
		// how usual a rear way is that has sunk so far beside this front way
		usual := at.alike() * rear / front * d
		about := rear * math.Sqrt(1-at.alike()*at.alike())
		off := (other - usual) / about
		if way == bed.Rear {
			d = other
		}
		drops, weights = append(drops, math.Max(0, d)), append(weights, math.Exp(-off*off/2)/about)
	}
	return middle95(drops, weights)
}
