package estimate

import (
	"errors"

	"wornway/profile/bed"
	"wornway/profile/wear"
)

// Result is what the surveys say together. Lengths mm.
type Result struct {
	Wear    *wear.Wear
	Twist   float64 // radians per mm
	TwistU  float64 // standard
	Surveys []Agreement
	Unseen  []Unseen // what no reading determines
}

// ErrNothing says that there are no readings.
var ErrNothing = errors.New("there are no readings")

// passes is how often one-sided readings and readings that are not quite linear are taken again at the estimate.
const passes = 3

// Estimate makes one estimate of all surveys.
func Estimate(in Input) (*Result, error) {
	p, err := newProblem(in)
	if err != nil {
		return nil, err
	}
	if len(p.rows) == 0 || len(in.Surveys) == 0 {
		return nil, ErrNothing
	}
	sides := newSides(p)
	var w *wear.Wear
	var points []point
	again := 1
	if p.nonlinear() {
		again = 2
	}
	if sides.any() {
		again = passes
	}
	for range again {
		if points, err = average(p); err != nil {
			return nil, err
		}
		if w, err = p.wear(points); err != nil {
			return nil, err
		}
		if again == 1 {
			break
		}
		p.relinearize(w)
		if err := sides.update(points[0]); err != nil {
			return nil, err
		}
	}
	out := &Result{Wear: w, Twist: w.Scalar(bed.Twist)}
	if out.Surveys, err = agreement(p, points[0], sides); err != nil {
		return nil, err
	}
	var weights wear.Weights
	w.Weigh(&weights, bed.Of(bed.Twist), 1, 1)
	out.TwistU, _ = w.Uncertainty(&weights)
	out.Unseen = unseen(p, w, points)
	return out, nil
}

// wear puts the mixture into a Wear.
func (p *problem) wear(points []point) (*wear.Wear, error) {
	mean, cov, err := mixed(p, points)
	if err != nil {
		return nil, err
	}
	m := len(p.knots)
	values := map[bed.Curve][]float64{}
	var of []wear.Unknown
	for i, c := range p.curves {
		values[c] = mean[i*m : (i+1)*m]
		for k := range m {
			of = append(of, wear.Unknown{Knot: k, Curve: c})
		}
	}
	for k := range bed.Scalars {
		of = append(of, wear.Unknown{Knot: -1, Scalar: k})
	}
	w, err := wear.New(p.knots, values)
	if err != nil {
		return nil, err
	}
	for k := range bed.Scalars {
		w = w.WithScalar(k, mean[p.scalarAt()+int(k)])
	}
	for i := range len(mean) {
		if cov.At(i, i) < 0 {
			cov.SetSym(i, i, 0) // rounding of what is known exactly
		}
	}
	return w.WithCovariance(wear.NewFull(m, of, cov)), nil
}
