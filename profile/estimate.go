package profile

import (
	"errors"
	"math"

	"wornway/profile/bed"
	"wornway/profile/estimate"
	"wornway/profile/survey"
)

// ErrNoWear says that a profile has neither stated wear nor readings.
var ErrNoWear = errors.New("the profile says nothing of the wear")

// What is not known of a lathe that was surveyed, standard, where its profile does not say it.
const (
	usualTwist = 5e-8 // radians per mm: 0.05 mm/m in a metre
	UsualLean  = 2e-4 // per length: before a bar or a cut in the spindle was read
)

// Estimate returns the wear of the lathe, with the lean of its spindle: stated drops alone as they are, otherwise one
// estimate of all readings, to which stated drops are one survey more. It is ErrNoWear where the profile has neither.
func (p *Profile) Estimate() (*estimate.Result, error) {
	if len(p.Surveys) == 0 {
		if p.Stated == nil {
			return nil, ErrNoWear
		}
		w, err := p.Stated.estimate(p)
		if err != nil {
			return nil, err
		}
		w = w.WithScalar(bed.LeanOut, p.Lathe.Spindle.LeanOut).WithScalar(bed.LeanUp, p.Lathe.Spindle.LeanUp)
		seating, _ := p.Lathe.seating()
		w = w.WithScalar(bed.Seating, seating)
		return &estimate.Result{Wear: w, TwistU: p.Lathe.TwistUncertainty}, nil
	}
	return estimate.Estimate(p.input())
}

// unknownSeating is the standard uncertainty of how a saddle sits that nobody knows. It is taken to give and bear on
// both ends, as most do; that it may be anything between that and stiff, 0 to 1, has the second moment of a third.
var unknownSeating = 1 / math.Sqrt(3)

// seating returns how the saddle sits, with its standard uncertainty.
func (l Lathe) seating() (v, u float64) {
	switch {
	case !l.Bed.Saddle.Rocks():
		return 0, 0
	case l.Seating != nil:
		return *l.Seating, 0
	}
	return 0, unknownSeating
}

// input puts a profile with surveys together for the estimate.
func (p *Profile) input() estimate.Input {
	l := p.Lathe
	in := estimate.Input{
		Bed: [2]float64{l.Ways.From, l.Ways.To}, TwistU: usualTwist,
		Lean:  [2]float64{l.Spindle.LeanOut, l.Spindle.LeanUp},
		LeanU: [2]float64{l.Spindle.Uncertainty, l.Spindle.Uncertainty},
	}
	in.OnlyLost = true
	in.Seating, in.SeatingU = l.seating()
	if l.Bed.V != nil {
		in.Follows = l.Bed.V.Follows()
	}
	if l.TwistUncertainty > 0 || l.TwistStated {
		in.TwistU = l.TwistUncertainty
	}
	for _, u := range l.Unworn {
		in.Unworn = append(in.Unworn, [2]float64{u.From, u.To})
	}
	if p.Stated != nil {
		in.Surveys = append(in.Surveys, p.Stated.set)
	}
	for _, s := range p.Surveys {
		in.Surveys = append(in.Surveys, s.Set)
	}
	for i, k := range []bed.Scalar{bed.LeanOut, bed.LeanUp} {
		if sees(in.Surveys, k) {
			in.LeanU[i] = math.Max(in.LeanU[i], UsualLean)
		}
	}
	return in
}

// sees says whether any reading tells of the scalar. Collars on the tailstock's centre hardly tell of the spindle's
// lean, as where that centre stands is not known: they count it as it usually is, in a term of their own.
func sees(sets []survey.Set, k bed.Scalar) bool {
	for _, s := range sets {
		if c, ok := s.Cut(); ok && c.Held.Tailed() && k != bed.Twist {
			continue
		}
		for _, e := range s.Equations {
			for _, q := range e.Parts {
				if q.Sum.PerLength[k] != 0 {
					return true
				}
			}
		}
	}
	return false
}
