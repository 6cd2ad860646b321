package exercise_test

import (
	"fmt"

	"wornway/compensate/exercise"
)

// The same number gives the same exercise on every machine.
func Example() {
	n, err := exercise.ParseNumber("7", 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	a, err := exercise.New(n)
	if err != nil {
		fmt.Println(err)
		return
	}
	b, err := exercise.New(n)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: the same %v, cuts and readings %d\n", n, a.Text == b.Text, len(a.Readings))
	// Output:
	// 7-1: the same true, cuts and readings 4
}
