package compensate

import (
	"gonum.org/v1/gonum/mat"

	"wornway/profile/accord"
)

// CheckAll judges several parts, or features of one, at once: each was set by itself, and all were turned on the same
// machine with the same wear. u is the standard uncertainty of one diameter, mm. It returns false where the wear has no
// uncertainty.
func CheckAll(checks []*Check, u float64) (accord.Result, bool, error) {
	type place struct {
		check    int
		off      float64
		gradient gradient
	}
	var all []place
	for i, c := range checks {
		if !c.Curve.Wear.Stated() {
			return accord.Result{}, false, nil
		}
		for k, s := range c.Stations {
			if k != c.Set {
				all = append(all, place{i, s.Difference, c.Curve.gradient(s.Position)})
			}
		}
	}
	off := make([]float64, len(all))
	covariance := mat.NewSymDense(len(all), nil)
	for i := range all {
		a := &all[i]
		off[i] = a.off
		for j := i; j < len(all); j++ {
			b := &all[j]
			v, _ := checks[0].Curve.Wear.CovarianceOf(&a.gradient.wear, &b.gradient.wear)
			v += a.gradient.apart(&b.gradient)
			if a.check == b.check { // they share the measurement that both are compared with
				v += u * u
			}
			if i == j {
				v += u * u
			}
			covariance.SetSym(i, j, v)
		}
	}
	r, err := accord.Test(off, covariance)
	return r, true, err
}
