package work

import "wornway/profile/bar"

// Holding is a way of holding work.
type Holding = bar.Holding

// The ways of holding work.
const (
	Chuck          = bar.Chuck
	ChuckAndCentre = bar.ChuckAndCentre
	Centres        = bar.Centres
)

// AllHoldings lists the ways of holding work.
func AllHoldings() []Holding { return bar.All() }

// ParseHolding returns the way of that name.
func ParseHolding(name string) (Holding, error) { return bar.Parse(name) }
