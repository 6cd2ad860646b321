package compensate

import (
	"gonum.org/v1/gonum/mat"

	"wornway/profile/wear"
)

// Covariance returns the covariance of the diameter errors at some positions, mm², to first order about the wear as it
// is; nil where no uncertainty was stated. On its diagonal are the squares of what [Curve.Station] gives as the
// uncertainty.
func (c *Curve) Covariance(at []float64) *mat.SymDense {
	if !c.Wear.Stated() {
		return nil
	}
	gradients, weights := make([]gradient, len(at)), make([]*wear.Weights, len(at))
	for i, z := range at {
		gradients[i] = c.gradient(z)
		weights[i] = &gradients[i].wear
	}
	out := c.Wear.Covariances(weights)
	for i := range at {
		for j := i; j < len(at); j++ {
			out.SetSym(i, j, out.At(i, j)+gradients[i].apart(&gradients[j]))
		}
	}
	return out
}
