package profile

import (
	"errors"

	"wornway/profile/bed"
	"wornway/profile/wear"
)

// ErrNoWear says that a profile states no wear.
var ErrNoWear = errors.New("the profile says nothing of the wear")

// Estimate returns the wear of the lathe, with the lean of its spindle. It is ErrNoWear where the profile has no [wear].
func (p *Profile) Estimate() (*wear.Wear, error) {
	if p.Stated == nil {
		return nil, ErrNoWear
	}
	w, err := p.Stated.estimate(p)
	if err != nil {
		return nil, err
	}
	return w.WithScalar(bed.LeanOut, p.Lathe.Spindle.LeanOut).WithScalar(bed.LeanUp, p.Lathe.Spindle.LeanUp), nil
}
