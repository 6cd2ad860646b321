package accord

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// State is what one estimate says of some unknowns. Two states that are compared have the same unknowns in the same
// order.
type State struct {
	Mean   []float64
	Left   *mat.SymDense // their covariance
	Before *mat.SymDense // their covariance before anything was read
	// so many of the unknowns, the first, are judged; the others are common to both states and only hang together with
	// them
	Judged int
}

// What is judged between two states is the directions in which both are sure: where the variances that are left in both
// add up to no more than this share of what was not known before. Of those the surest few: with many, in which little
// can be seen, a change would drown.
const (
	sureShare  = 0.5
	directions = 10
)

// Between says whether unknowns have changed from one state to the next, against the chance that both are off by.
// ErrNothing: nowhere are both sure enough.
//
// What was taken as known beforehand is the same in both, and pulls both toward the same. Let the unknowns w be
// unchanged, K their covariance beforehand and C, D what is left after the one set of readings and the other. The
// estimate's error is then −C·K⁻¹·w and the readings' part, which the other does not share; so the errors have
// the covariance C·K⁻¹·D between them, and the difference of both estimates has C + D − C·K⁻¹·D −
// D·K⁻¹·C. Derived here; tested by simulation. Where neither has looked, C and D are K and nothing is left: the
// difference is zero by itself, and is no witness for anything. Where the two states do not say the same of what was
// known beforehand, it is taken halfway between them.
func Between(x, y State) (Result, error) {
	n, m := len(x.Mean), x.Judged
	prior := mat.NewSymDense(n, nil)
	prior.AddSym(x.Before, y.Before)
	prior.ScaleSym(0.5, prior)
	off := mat.NewVecDense(m, nil)
	for i := range m {
		off.SetVec(i, y.Mean[i]-x.Mean[i])
	}

	// The covariance of the difference, by way of unknowns that are independent and of variance 1 beforehand.
	w, back, err := whitening(prior)
	if err != nil {
		return Result{}, err
	}
	c, d := shares(w, x.Left), shares(w, y.Left)
	var cd, v, half, whole mat.Dense
	cd.Mul(c, d)
	v.Add(c, d)
	v.Sub(&v, &cd)
	v.Sub(&v, cd.T())
	half.Mul(back, &v)
	whole.Mul(&half, back.T())

	// The directions in which both are sure, of the carriage ways alone.
	k, _, err := whitening(block(prior, m))
	if err != nil {
		return Result{}, err
	}
	var sum mat.SymDense
	sum.AddSym(shares(k, block(x.Left, m)), shares(k, block(y.Left, m)))
	var eigen mat.EigenSym
	if !eigen.Factorize(&sum, true) {
		return Result{}, ErrNothing
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	few := 0
	for few < directions && few < len(eigen.Values(nil)) && eigen.Values(nil)[few] < sureShare {
		few++
	}
	if few == 0 {
		return Result{}, ErrNothing
	}
	size, _ := vectors.Dims()
	var to, product, cov mat.Dense
	to.Mul(vectors.Slice(0, size, 0, few).T(), k)
	var numbers mat.VecDense
	numbers.MulVec(&to, off)
	product.Mul(&to, whole.Slice(0, m, 0, m))
	cov.Mul(&product, to.T())
	return Test(numbers.RawVector().Data, symmetric(&cov))
}

// whitening returns W with W·K·Wᵀ = 1, and V with V·Vᵀ = K, both without the directions in which K has next to
// nothing. Each unknown is scaled to its own uncertainty first.
func whitening(k *mat.SymDense) (w, v *mat.Dense, err error) {
	n := k.SymmetricDim()
	scale := make([]float64, n)
	for i := range n {
		if scale[i] = math.Sqrt(math.Max(0, k.At(i, i))); scale[i] == 0 {
			scale[i] = 1
		}
	}
	scaled := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			scaled.SetSym(i, j, k.At(i, j)/scale[i]/scale[j])
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(scaled, true) {
		return nil, nil, ErrNothing
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	values := eigen.Values(nil)
	const nothing = 1e-7
	first := 0
	for first < n && !(values[first] > nothing*values[n-1]) {
		first++
	}
	if first == n {
		return nil, nil, ErrNothing
	}
	w, v = mat.NewDense(n-first, n, nil), mat.NewDense(n, n-first, nil)
	for j := first; j < n; j++ {
		root := math.Sqrt(values[j])
		for i := range n {
			w.Set(j-first, i, vectors.At(i, j)/root/scale[i])
			v.Set(i, j-first, vectors.At(i, j)*root*scale[i])
		}
	}
	return w, v, nil
}

// shares returns W·C·Wᵀ with its eigenvalues held between 0 and 1: readings leave no more than there was before.
// Averaging over strengths may seem to.
func shares(w *mat.Dense, c *mat.SymDense) *mat.SymDense {
	var half, whole mat.Dense
	half.Mul(w, c)
	whole.Mul(&half, w.T())
	s := symmetric(&whole)
	var eigen mat.EigenSym
	if !eigen.Factorize(s, true) {
		return s
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	n := s.SymmetricDim()
	scaled := mat.NewDense(n, n, nil)
	for j, v := range eigen.Values(nil) {
		root := math.Sqrt(math.Max(0, math.Min(1, v)))
		for i := range n {
			scaled.Set(i, j, vectors.At(i, j)*root)
		}
	}
	out := mat.NewSymDense(n, nil)
	out.SymOuterK(1, scaled)
	return out
}

func symmetric(m *mat.Dense) *mat.SymDense {
	n, _ := m.Dims()
	out := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			out.SetSym(i, j, (m.At(i, j)+m.At(j, i))/2)
		}
	}
	return out
}

// block returns the first rows and columns.
func block(s *mat.SymDense, n int) *mat.SymDense {
	out := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			out.SetSym(i, j, s.At(i, j))
		}
	}
	return out
}
