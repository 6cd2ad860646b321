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
	plainDraws  = 1000 // where no tolerance is asked, and the ends of an interval need fewer
)

// Sample draws errors that are as likely as the wear's uncertainty has it, in each of its cases in turn, and returns what spread and form they make, and with which probability the
// spread stays within the tolerance (mm). The error itself is taken to first order in the wear's deviations. It returns false where no
// uncertainty was stated.
//
// at says where the errors are compared and how the tool is set there; [Curve.Spaced] gives a good choice.
// Source: propagation of distributions by a Monte Carlo method, JCGM 101:2008.
func (c *Curve) Sample(at []Held, tolerance float64) (Sampled, bool) {
	draws := plainDraws
	if tolerance > 0 {
		draws = sampleDraws
	}
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
	lever, square := levers(at)
	r := rand.New(rand.NewPCG(sampleSeed, uint64(n)))
	spreads, forms := make([]float64, 0, draws), make([]float64, 0, draws)
	start, values := make([]float64, n), make([]float64, n)
	within := 0
	weight := 0.0
	for _, possible := range c.Wear.Cases() {
		for i := range start {
			start[i] = mean[i]
			if possible.Shift != nil {
				start[i] += possible.Shift(&gradients[i])
			}
		}
		deviations := deviations(possible.Covariance, gradients)
		// Each case has its share of the draws, to the nearest one.
		for weight += possible.Weight; len(spreads) < int(math.Round(weight*float64(draws))); {
			copy(values, start)
			for _, d := range deviations {
				x := r.NormFloat64()
				for i, v := range d {
					values[i] += x * v
				}
			}
			spread, form := ranges(values, lever, square)
			spreads, forms = append(spreads, spread), append(forms, form)
			if spread <= tolerance {
				within++
			}
		}
	}
	draws = len(spreads)
	return Sampled{Spread: middle95(spreads), Form: middle95(forms), Within: float64(within) / float64(draws)}, true
}

// deviations returns vectors whose sum, each times a standard normal number, has the covariance of the errors: the covariance's eigenvectors times the roots of their values, those
// left out that hardly count. The error where the tool was set has none, so that the covariance is singular and has no Cholesky factor.
func deviations(covariance wear.Covariance, gradients []wear.Weights) [][]float64 {
	n := len(gradients)
	cov := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			cov.SetSym(i, j, covariance.Between(&gradients[i], &gradients[j]))
		}
	}
	var eigen mat.EigenSym
	var vectors mat.Dense
	if !eigen.Factorize(cov, true) {
		// Not seen; each error by itself is then the honest answer: none helps another.
		out := make([][]float64, n)
		for i := range n {
			out[i] = make([]float64, n)
			out[i][i] = math.Sqrt(math.Max(0, cov.At(i, i)))
		}
		return out
	}
	eigen.VectorsTo(&vectors)
	values := eigen.Values(nil)
	const hardly = 1e-9 // of the greatest variance: a few hundred-thousandths of a deviation
	var out [][]float64
	for j := n - 1; j >= 0 && values[j] > hardly*values[n-1]; j-- {
		d := make([]float64, n)
		for i := range n {
			d[i] = vectors.At(i, j) * math.Sqrt(values[j])
		}
		out = append(out, d)
	}
	return out
}

// levers returns how far each position lies from their mean, and the sum of the squares: with them the least-squares slope of any values is one sum.
func levers(at []Held) (lever []float64, square float64) {
	middle := 0.0
	for _, h := range at {
		middle += h.Position / float64(len(at))
	}
	lever = make([]float64, len(at))
	for i, h := range at {
		lever[i] = h.Position - middle
		square += lever[i] * lever[i]
	}
	return lever, math.Max(square, 1e-300)
}

// ranges returns the range of the values, and what is left of it when their least-squares line is taken away. It is the innermost loop of the sampling, and plain comparisons are
// several times faster there than math.Min.
func ranges(values, lever []float64, square float64) (spread, form float64) {
	slope := 0.0
	for i, v := range values {
		slope += v * lever[i]
	}
	slope /= square
	least, greatest := values[0], values[0]
	low := values[0] - slope*lever[0]
	high := low
	for i, v := range values {
		if v < least {
			least = v
		}
		if v > greatest {
			greatest = v
		}
		left := v - slope*lever[i]
		if left < low {
			low = left
		}
		if left > high {
			high = left
		}
	}
	return greatest - least, high - low
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
