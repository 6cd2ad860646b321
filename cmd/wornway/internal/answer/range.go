package answer

import "wornway/profile"

type PlacedJSON struct {
	From   float64 `json:"from"`
	To     float64 `json:"to"`
	Spread float64 `json:"spread"`
}

// BoundedJSON is a place with what can be promised there, and what it cannot be moved beyond.
type BoundedJSON struct {
	PlacedJSON
	Spread95  *float64 `json:"spread_95"`
	LimitedBy *string  `json:"limited_by"` // null: it can be moved either way
}

type RangeJSON struct {
	From float64 `json:"from"`
	To   float64 `json:"to"`
}

// NumberOrNull is a survey's number for JSON.
func NumberOrNull(number int) *int {
	if number == profile.StatedDrops {
		return nil
	}
	return &number
}
