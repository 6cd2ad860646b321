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

// passes is how often limits and readings that are not quite linear are taken again at the most probable estimate.
const passes = 4

// Estimate makes one estimate of all surveys.
func Estimate(in Input) (*Result, error) {
	p, err := newProblem(in)
	if err != nil {
		return nil, err
	}
	if len(p.rows) == 0 || len(in.Surveys) == 0 {
		return nil, ErrNothing
	}
	points, sides, err := settle(p)
	if err != nil {
		return nil, err
	}
	w, err := p.wear(points)
	if err != nil {
		return nil, err
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

// settle takes limits and readings that are not quite linear until they settle, and returns the points to be averaged over.
func settle(p *problem) ([]point, sides, error) {
	sides := newSides(p)
	var err error
	from := point{at: priorCentre()}
	if p.nonlinear() || sides.any() {
		for i := range passes {
			// The strengths are looked for twice; in between they hardly change.
			if i == 0 || i == passes-1 {
				if from, err = mostProbable(p, from); err != nil {
					return nil, sides, err
				}
			}
			if err := p.again(from, sides); err != nil {
				return nil, sides, err
			}
		}
	}
	points, err := average(p, from.at)
	return points, sides, err
}

// again takes limits and readings that are not quite linear again, at the wear that is most probable for the strengths of a point.
func (p *problem) again(at point, s sides) error {
	at.space = newSpace(p, newSystem(p), at.space.manner)
	if p.nonlinear() {
		w, err := p.wear([]point{at})
		if err != nil {
			return err
		}
		p.relinearize(w)
	}
	return s.update(at)
}
