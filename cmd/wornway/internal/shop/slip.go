package shop

import (
	"fmt"

	"wornway/profile"
)

// Slip is a slip with a survey that is taken to have been made.
type Slip struct {
	Number int
	Name   string
}

// String writes it as the flag takes it.
func (s Slip) String() string {
	if s.Number == profile.StatedDrops {
		return "wear:" + s.Name
	}
	return fmt.Sprintf("%d:%s", s.Number, s.Name)
}
