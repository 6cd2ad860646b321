package classroom

import (
	"fmt"

	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/testcut"
	"wornway/compensate/exercise"
)

// Assignment is an exercise with the words for it.
type Assignment struct {
	*testcut.Inquiry
	*exercise.Exercise
}

func NewAssignment(n exercise.Number) (*Assignment, error) {
	x, err := exercise.New(n)
	if err != nil {
		return nil, refuse.With(fmt.Sprintf("exercise %s: %v", n, err), "take the next number")
	}
	l, err := shop.NewBench(x.Profile, "exercise")
	if err != nil {
		return nil, err
	}
	k := &testcut.Inquiry{Bench: l, Result: x.Found()}
	for _, r := range x.Readings {
		k.Cuts, k.Files = append(k.Cuts, r.Cut), append(k.Files, r.Name)
	}
	return &Assignment{k, x}, nil
}
