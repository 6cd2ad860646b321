package answer

import "wornway/profile"

type PlacedJSON struct {
	From   float64 `json:"from"`
	To     float64 `json:"to"`
	Spread float64 `json:"spread"`
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
