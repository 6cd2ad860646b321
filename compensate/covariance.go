package compensate

import "gonum.org/v1/gonum/mat"

// Covariance returns the covariance of the diameter errors at some positions, mm², to first order about the wear as it
// is; nil where no uncertainty was stated. On its diagonal are the squares of what [Curve.Station] gives as the
// uncertainty.
func (c *Curve) Covariance(at []float64) *mat.SymDense {
	if !c.Wear.Stated() {
		return nil
	}
	gradients := make([]gradient, len(at))
	for i, z := range at {
		gradients[i] = c.gradient(z)
	}
	out := mat.NewSymDense(len(at), nil)
	for i := range at {
		for j := i; j < len(at); j++ {
			v, _ := c.Wear.CovarianceOf(&gradients[i].wear, &gradients[j].wear)
			out.SetSym(i, j, v+gradients[i].apart(&gradients[j]))
		}
	}
	return out
}
