package main

import (
	"errors"
	"fmt"
	"slices"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile"
	"wornway/profile/document"
	"wornway/profile/estimate"
)

// otherHeight puts another centre height, mm, in place of the file's, and with it what there is to say of its
// plausibility.
func otherHeight(p *profile.Profile, h float64) {
	p.Warnings = slices.DeleteFunc(p.Warnings, func(f document.Fault) bool {
		return f.Key == "lathe.centre_height" ||
			f.Key == "lathe.way_span"
	})
	p.Lathe.Bed.CentreHeight = h
	if _, message, hint := profile.Proportion(p.Lathe.Bed); message != "" {
		p.Warnings = append(p.Warnings, document.Fault{Key: "--centre-height", Message: message, Hint: hint})
	}
}

// lathe is a profile ready to be worked with.
type lathe struct {
	*profile.Profile
	machine  compensate.Machine
	estimate *estimate.Result
	word.Units
}

// noWear is the refusal of a profile that has neither wear nor readings.
type noWear struct {
	refuse.Refusal
	profile *profile.Profile
}

func (n noWear) Unwrap() error { return n.Refusal }

// openLathe reads a profile and its wear; centreHeight, mm, takes the place of the file's where it is not zero, and
// slips are undone.
func openLathe(e *env.Env, name string, slips slipFlag, centreHeight func(p *profile.Profile) (float64, error)) (*lathe,
	error) {
	p, err := e.Open(name)
	if err != nil {
		return nil, err
	}
	if centreHeight != nil {
		h, err := centreHeight(p)
		if err != nil {
			return nil, err
		}
		if h != 0 {
			otherHeight(p, h)
		}
	}
	if err := slips.undo(p); err != nil {
		return nil, err
	}
	e.Age(p)
	return ready(p, name)
}

// fixedHeight gives openLathe a centre height, mm, that is known beforehand; 0: the file's.
func fixedHeight(h float64) func(*profile.Profile) (float64, error) {
	return func(*profile.Profile) (float64, error) { return h, nil }
}

// ready estimates the wear of a profile; name is what it was opened under.
func ready(p *profile.Profile, name string) (*lathe, error) {
	est, err := p.Estimate()
	switch {
	case errors.Is(err, profile.ErrNoWear):
		return nil, noWear{refuse.With(fmt.Sprintf("%s: there is no [wear], so nothing is known of the bed", p.File),
			"add [wear] with columns and rows; wornway show "+name+" says what else is missing"), p}
	case err != nil:
		return nil, err
	}
	return &lathe{
		Profile:  p,
		estimate: est,
		machine:  compensate.Machine{Lathe: p.Lathe.Bed, Wear: est.Wear, Axis: compensate.SpindleAxis()},
		Units:    word.Units{In: p.Unit},
	}, nil
}
