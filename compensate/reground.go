package compensate

import (
	"gonum.org/v1/gonum/mat"

	"wornway/profile/bed"
	"wornway/profile/wear"
)

// Reground returns the machine as it would be with its ways straight and without twist: what stays is the spindle's
// lean, with its uncertainty, as a regrind of the bed does not touch it.
func (m Machine) Reground() (Machine, error) {
	from, to := m.Wear.Range()
	straight := []float64{0, 0}
	w, err := wear.New([]float64{from, to}, map[bed.Curve][]float64{bed.Front: straight, bed.Shift: straight,
		bed.Rear: straight})
	if err != nil {
		return Machine{}, err
	}
	leans := []bed.Scalar{bed.LeanOut, bed.LeanUp}
	weights := make([]wear.Weights, len(leans))
	var of []wear.Unknown
	for i, k := range leans {
		w = w.WithScalar(k, m.Wear.Scalar(k))
		m.Wear.Weigh(&weights[i], bed.Of(k), 1, 1)
		of = append(of, wear.Unknown{Knot: -1, Scalar: k})
	}
	if m.Wear.Stated() {
		cov := mat.NewSymDense(len(leans), nil)
		for i := range leans {
			for j := i; j < len(leans); j++ {
				v, _ := m.Wear.CovarianceOf(&weights[i], &weights[j])
				cov.SetSym(i, j, v)
			}
		}
		w = w.WithCovariance(wear.NewFull(2, of, cov))
	}
	m.Wear = w
	return m, nil
}
