package flags

import (
	"fmt"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/shop"
	"wornway/profile"
)

// Open reads a profile and its wear; centreHeight, mm, takes the place of the file's where it is not zero, and
// slips are undone.
func Open(e *env.Env, name string, slips Slips, centreHeight func(p *profile.Profile) (float64, error)) (*shop.Bench,
	error) {
	p, err := e.Open(name)
	if err != nil {
		return nil, err
	}
	h := 0.0
	if centreHeight != nil {
		if h, err = centreHeight(p); err != nil {
			return nil, err
		}
		if h != 0 {
			shop.OtherHeight(p, h)
		}
	}
	if err := slips.Undo(p); err != nil {
		return nil, err
	}
	e.Age(p)
	est, err := e.Estimate(p, fmt.Sprint(name, h, slips))
	return shop.Estimated(p, name, est, err)
}

// fixedHeight gives openLathe a centre height, mm, that is known beforehand; 0: the file's.
func fixedHeight(h float64) func(*profile.Profile) (float64, error) {
	return func(*profile.Profile) (float64, error) { return h, nil }
}
