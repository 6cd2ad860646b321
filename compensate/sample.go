package compensate

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/wear"
)

// Held is a position with the setting, mm in on radius, under which it is cut.
type Held struct{ Position, Setting float64 }

// Sampled is what the uncertainty of the wear makes of a length's spread and form. Lengths mm, on diameter.
type Sampled struct {
	Spread [2]float64 // the interval that holds the spread with 95 % probability, cut equally at both ends
	Form   [2]float64 // likewise
	Within float64    // probability that the spread is not greater than the tolerance
}

const (
	sampleSeed  = 20260314 // fixed: the same input gives the same answer
	sampleDraws = 10000
	rankDraws   = 2000 // where many places are compared: the same draws for all, so that their order is sure before their values are
)

// Sample draws errors that are as likely as the wear's uncertainty has it and returns what spread and form they make, and with which probability the
// spread stays within the tolerance (mm). The error itself is taken to first order in the wear's deviations. It returns false where no
// uncertainty was stated.
//
// at says where the errors are compared and how the tool is set there; [Curve.Spaced] gives a good choice.
// Source: propagation of distributions by a Monte Carlo method, JCGM 101:2008.
func (c *Curve) Sample(at []Held, tolerance float64) (Sampled, bool) {
	return c.sample(at, tolerance, sampleDraws)
}

func (c *Curve) sample(at []Held, tolerance float64, draws int) (Sampled, bool) {
	if !c.Wear.Stated() || len(at) == 0 {
		return Sampled{}, false
	}
	n := len(at)
	mean := make([]float64, n)
	gradients := make([]wear.Weights, n)
	for i, h := range at {
		mean[i] = c.At(h.Position, h.Setting)
		gradients[i] = c.gradient(h.Position)
	}
	factor := c.factor(gradients)
	_, rank := factor.Dims()

	r := rand.New(rand.NewPCG(sampleSeed, uint64(n)))
	spreads, forms := make([]float64, draws), make([]float64, draws)
	normal, values := mat.NewVecDense(rank, nil), mat.NewVecDense(n, nil)
	within := 0
	for k := range draws {
		for i := range rank {
			normal.SetVec(i, r.NormFloat64())
		}
		values.MulVec(factor, normal)
		for i := range n {
			values.SetVec(i, values.AtVec(i)+mean[i])
		}
		v := values.RawVector().Data
		spreads[k] = slices.Max(v) - slices.Min(v)
		forms[k] = formOf(at, v)
		if spreads[k] <= tolerance {
			within++
		}
	}
	return Sampled{Spread: middle95(spreads), Form: middle95(forms), Within: float64(within) / float64(draws)}, true
}

// factor returns a matrix whose product with its transpose is the covariance of the errors, from the covariance's eigenvectors: the error where the
// tool was set has none, so that the covariance is singular and has no Cholesky factor.
func (c *Curve) factor(gradients []wear.Weights) *mat.Dense {
	n := len(gradients)
	cov := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			v, _ := c.Wear.CovarianceOf(&gradients[i], &gradients[j])
			cov.SetSym(i, j, v)
		}
	}
	var eigen mat.EigenSym
	var vectors mat.Dense
	if !eigen.Factorize(cov, true) {
		// Not seen; the diagonal alone is then the honest answer: no error helps another.
		d := mat.NewDense(n, n, nil)
		for i := range n {
			d.Set(i, i, math.Sqrt(math.Max(0, cov.At(i, i))))
		}
		return d
	}
	eigen.VectorsTo(&vectors)
	for j, v := range eigen.Values(nil) {
		root := math.Sqrt(math.Max(0, v))
		for i := range n {
			vectors.Set(i, j, vectors.At(i, j)*root)
		}
	}
	return &vectors
}

// formOf returns the range left of values when their least-squares line is taken away.
func formOf(at []Held, v []float64) float64 {
	var fit LineFit
	for i, h := range at {
		fit.Add(h.Position, v[i], 1)
	}
	l := fit.Line()
	least, greatest := math.Inf(1), math.Inf(-1)
	for i, h := range at {
		left := v[i] - l.At(h.Position)
		least, greatest = math.Min(least, left), math.Max(greatest, left)
	}
	return greatest - least
}

// middle95 returns the 2.5 % and the 97.5 % quantile. It sorts the values.
func middle95(values []float64) [2]float64 {
	slices.Sort(values)
	n := float64(len(values) - 1)
	return [2]float64{values[int(math.Round(0.025*n))], values[int(math.Round(0.975*n))]}
}

// Spaced returns positions over the cut's length, evenly spaced with those of the extremes of the error among them, to be compared by Sample; nothing
// is dialled.
func (c *Curve) Spaced() []Held {
	const count = 33
	least, greatest := c.Extremes(c.From, c.To, 0)
	at := []Held{{least.Position, 0}, {greatest.Position, 0}}
	for i := range count {
		at = append(at, Held{c.From + (c.To-c.From)*float64(i)/(count-1), 0})
	}
	return at
}
