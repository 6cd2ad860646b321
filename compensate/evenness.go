package compensate

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// evenness is how much a length's error may change along it, as a share of what the bed's wear as a whole would have
// it, with the probability of that beforehand. One strength of wear along the whole bed gives a length over which
// hardly anything changes next to no probability; yet wear is even in places, and what the two ways and the shift make
// of the tool cancels in others, in more than one length in ten. The readings then weigh the shares: by how probable
// each makes them. Source: common practice that worn beds have even places; the probabilities are set by made-up beds
// of other seeds than that on which profile/study judges.
var evenness = []struct{ share, probability float64 }{{1, 0.63}, {0.35, 0.09}, {0.2, 0.15}, {0.05, 0.05}, {1.5, 0.08}}

// easer makes of errors drawn along a length with the bed's own strength of wear what they are with each share of it.
// What is drawn is taken apart into what is independent both before and after the readings; each such part is then
// shrunk or stretched.
type easer struct {
	// errors along the length to the parts, in standard deviations from before the readings: parts × places along it;
	// and what errors one part makes at all places: parts × places
	into, back *mat.Dense
	factor     [][]float64 // by share and part
	add        [][]float64
	odds       []float64 // by share, after the readings, up to a factor that is the same in all cases of the wear
}

// easedBy returns what the shares make of a length's differences to its reference, whose covariance, all places ×
// those along it, was one before anything was read and is another after; off is what those along it are by the wear as
// estimated. It returns false where nothing is open.
func easedBy(earlier, later *mat.Dense, off []float64) (easer, bool) {
	n := len(off)
	// What was less than this beforehand, the standard deviation of a part, matters to nobody.
	const small = 0.001 // mm
	var before mat.EigenSym
	var vectors mat.Dense
	if !before.Factorize(symmetric(earlier, n), true) {
		return easer{}, false
	}
	before.VectorsTo(&vectors)
	values := before.Values(nil)
	parts := 0
	for parts < n && values[n-1-parts] > small*small {
		parts++
	}
	if parts == 0 {
		return easer{}, false
	}
	whiten := mat.NewDense(parts, n, nil)
	for p := range parts {
		root := math.Sqrt(values[n-1-p])
		for i := range n {
			whiten.Set(p, i, vectors.At(i, n-1-p)/root)
		}
	}
	var half, left mat.Dense
	half.Mul(whiten, symmetric(later, n))
	left.Mul(&half, whiten.T())
	var eigen mat.EigenSym
	var turn mat.Dense
	if !eigen.Factorize(symmetric(&left, parts), true) {
		return easer{}, false
	}
	eigen.VectorsTo(&turn)
	e := easer{into: new(mat.Dense), back: new(mat.Dense)}
	e.into.Mul(turn.T(), whiten)
	// A part's variance was one, so that what goes with it is its covariance.
	e.back.Mul(e.into, earlier.T())
	var mean mat.VecDense
	mean.MulVec(e.into, mat.NewVecDense(n, off))
	e.weigh(eigen.Values(nil), mean.RawVector().Data)
	return e, true
}

// weigh works out the shares from the parts' variances and means after the readings. Both are for a variance of one
// beforehand; what the readings alone say of a part is the one divided by the other.
func (e *easer) weigh(variance, mean []float64) {
	const (
		unread = 0.999 // of a part the readings say nothing
		known  = 1e-9
		most   = 200 // logarithm of odds that are beyond all doubt
	)
	for _, s := range evenness {
		factor, add, log := make([]float64, len(mean)), make([]float64, len(mean)), 0.0
		for p := range mean {
			v := math.Max(variance[p], known)
			information, pull := 0.0, 0.0
			if v < unread {
				information, pull = (1-v)/v, mean[p]/v
			}
			now := 1 / (1/(s.share*s.share) + information)
			factor[p] = math.Sqrt(now / v)
			add[p] = now*pull - factor[p]*mean[p]
			log += (pull*pull*(now-1/(1+information)) - math.Log((1+information*s.share*s.share)/(1+information))) / 2
		}
		e.factor, e.add = append(e.factor, factor), append(e.add, add)
		e.odds = append(e.odds, s.probability*math.Exp(math.Min(log, most)))
	}
}

// evidence is how probable the readings are with all shares together, beside one strength of wear along the whole bed.
func (e *easer) evidence() float64 {
	sum := 0.0
	for _, o := range e.odds {
		sum += o
	}
	return sum
}

// ease changes errors, less those at the reference, into what they are with a share; at says which share, from 0 to 1
// in the order of the odds. off is what the errors along the length are off.
func (e *easer) ease(off, errs []float64, at float64) {
	at *= e.evidence()
	s := 0
	for s < len(e.odds)-1 && at >= e.odds[s] {
		at -= e.odds[s]
		s++
	}
	if evenness[s].share == 1 {
		return
	}
	parts, n := e.into.Dims()
	for p := range parts {
		row := e.into.RawRowView(p)
		x := 0.0
		for i, v := range off[:n] {
			x += row[i] * v
		}
		step := (e.factor[s][p]-1)*x + e.add[s][p]
		for i, v := range e.back.RawRowView(p) {
			errs[i] += step * v
		}
	}
}

// differences returns the covariance of a length's errors less that at its reference, all places × those along it,
// from that of all errors.
func (l length) differences(all *mat.SymDense) *mat.Dense {
	n, r := l.last-l.first, l.first+l.reference
	out := mat.NewDense(n, l.along, nil)
	for i := range n {
		for k := range l.along {
			a, b := l.first+i, l.first+k
			out.Set(i, k, all.At(a, b)-all.At(a, r)-all.At(r, b)+all.At(r, r))
		}
	}
	return out
}

// symmetric returns the first rows and columns of a matrix that is symmetric but for rounding.
func symmetric(m *mat.Dense, n int) *mat.SymDense {
	out := mat.NewSymDense(n, nil)
	for i := range n {
		for k := i; k < n; k++ {
			out.SetSym(i, k, (m.At(i, k)+m.At(k, i))/2)
		}
	}
	return out
}
