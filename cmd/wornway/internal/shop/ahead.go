package shop

import (
	"errors"

	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/estimate"
	"wornway/profile/wear"
)

// OrBlind takes what opening a profile came to, to plan surveys by: one without readings and wear serves too, and blind
// is then true.
func OrBlind(l *Bench, failed error) (_ *Bench, blind bool, err error) {
	var none NoWearError
	if !errors.As(failed, &none) {
		return l, false, failed
	}
	l, err = Blind(none.Profile)
	return l, true, err
}

// Blind is a profile of whose wear nothing is known: its bed counts as new.
func Blind(p *profile.Profile) (*Bench, error) {
	ways := p.Lathe.Ways
	flat := map[bed.Curve][]float64{bed.Front: {0, 0}, bed.Shift: {0, 0}, bed.Rear: {0, 0}}
	w, err := wear.New([]float64{ways.From, ways.To}, flat)
	if err != nil {
		return nil, err
	}
	return &Bench{Profile: p, Estimate: &estimate.Result{Wear: w}, Units: word.Units{In: p.Unit},
		Machine: compensate.Machine{Lathe: p.Lathe.Bed, Wear: w, Axis: compensate.SpindleAxis()}}, nil
}

// Aims are the sums of wear that a length's diameter depends on, at places along it.
func Aims(curve *compensate.Curve) [][]bed.Addend {
	const places = 9
	var aims [][]bed.Addend
	for i := range places {
		z := curve.From + (curve.To-curve.From)*float64(i)/(places-1)
		if z == curve.SetAt { // where the tool is set there is no error
			continue
		}
		aims = append(aims, curve.Sums(z))
	}
	return aims
}
