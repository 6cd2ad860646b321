package work

import "wornway/profile/bar"

// Held is a way of holding work.
type Held = bar.Held

// The ways of holding work.
const (
	Chuck          = bar.Chuck
	ChuckAndCentre = bar.ChuckAndCentre
	Centres        = bar.Centres
)

// AllHeld lists the ways of holding work.
func AllHeld() []Held { return bar.All() }

// ParseHeld returns the way of that name.
func ParseHeld(name string) (Held, error) { return bar.Parse(name) }
