package compensate

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/wear"
)

// Joint is the diameter errors of one or several cuts at some places each, as one distribution: cuts on one bed share its wear, the tailstock's alignment and the force of the cut.
// The errors are taken to first order in what is not known.
type Joint struct {
	wear      *wear.Wear
	mean      []float64
	bent      []float64 // what the push of the cut makes of each mean
	gradients []gradient
}

// NewJoint returns a Joint without errors as yet, for cuts on this wear.
func NewJoint(w *wear.Wear) *Joint { return &Joint{wear: w} }

// Add takes in the errors of a cut at some places, with the settings under which they are cut.
func (j *Joint) Add(c *Curve, at []Held) {
	for _, h := range at {
		j.mean = append(j.mean, c.At(h.Position, h.Setting))
		j.bent = append(j.bent, c.PushError(h.Position))
		j.gradients = append(j.gradients, c.gradient(h.Position))
	}
}

// Mean returns the errors for the wear as it is, mm, in the order in which they were added.
func (j *Joint) Mean() []float64 { return j.mean }

// Uncertainty returns the standard uncertainty of the error that was added as number i, mm, and false where that of the wear was not stated.
func (j *Joint) Uncertainty(i int) (float64, bool) {
	u, stated := j.wear.Uncertainty(&j.gradients[i].wear)
	return math.Sqrt(u*u + j.gradients[i].apart(&j.gradients[i])), stated
}

// Known returns what the errors would be if the wear were known to be as it is taken to be.
func (j *Joint) Known() *Joint {
	out := j.clone()
	for i := range out.gradients {
		out.gradients[i].wear = wear.Weights{}
	}
	return out
}

// Stiff returns what they would be if the cut did not push the work away.
func (j *Joint) Stiff() *Joint {
	out := j.clone()
	for i := range out.gradients {
		out.mean[i] -= out.bent[i]
		out.gradients[i].other[cutForce] = 0
	}
	return out
}

// Flat returns what they would be if all that is known of them, but for the push of the cut, were made good: what is not known remains.
func (j *Joint) Flat() *Joint {
	out := j.clone()
	copy(out.mean, out.bent)
	return out
}

func (j *Joint) clone() *Joint {
	return &Joint{wear: j.wear, mean: slices.Clone(j.mean), bent: slices.Clone(j.bent), gradients: slices.Clone(j.gradients)}
}

// Draw calls yield with errors, mm, that are as likely as the wear's uncertainty has it, in each of its cases in turn; the slice is used again. Without a stated uncertainty it
// calls it not at all.
//
// Source: propagation of distributions by a Monte Carlo method, JCGM 101:2008.
func (j *Joint) Draw(draws int, yield func(values []float64)) {
	n := len(j.mean)
	if !j.wear.Stated() || n == 0 {
		return
	}
	r := rand.New(rand.NewPCG(sampleSeed, uint64(n)))
	start, values := make([]float64, n), make([]float64, n)
	drawn, weight := 0, 0.0
	for _, possible := range j.wear.Cases() {
		for i := range start {
			start[i] = j.mean[i]
			if possible.Shift != nil {
				start[i] += possible.Shift(&j.gradients[i].wear)
			}
		}
		deviations := j.deviations(possible.Covariance)
		// Each case has its share of the draws, to the nearest one.
		for weight += possible.Weight; drawn < int(math.Round(weight*float64(draws))); drawn++ {
			copy(values, start)
			for _, d := range deviations {
				x := r.NormFloat64()
				for i, v := range d {
					values[i] += x * v
				}
			}
			yield(values)
		}
	}
}

// deviations returns vectors whose sum, each times a standard normal number, has the covariance of the errors: the covariance's eigenvectors times the roots of their values, those
// left out that hardly count. The error where the tool was set has none, so that the covariance is singular and has no Cholesky factor.
func (j *Joint) deviations(covariance wear.Covariance) [][]float64 {
	n := len(j.gradients)
	cov := mat.NewSymDense(n, nil)
	for i := range n {
		for k := i; k < n; k++ {
			cov.SetSym(i, k, covariance.Between(&j.gradients[i].wear, &j.gradients[k].wear)+j.gradients[i].apart(&j.gradients[k]))
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
	for k := n - 1; k >= 0 && values[k] > hardly*values[n-1]; k-- {
		d := make([]float64, n)
		for i := range n {
			d[i] = vectors.At(i, k) * math.Sqrt(values[k])
		}
		out = append(out, d)
	}
	return out
}
