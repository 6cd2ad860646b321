package length_test

import (
	"fmt"

	"wornway/profile/length"
)

// An inch is 25.4 mm, by definition.
func Example() {
	l, err := length.Parse("0.5thou")
	if err != nil {
		fmt.Println(err)
		return
	}
	mm := l.MM(length.Millimetre) // the file's unit counts only where the length has none of its own
	fmt.Printf("%.4f mm\n", mm)
	fmt.Println(length.Position(101.6, length.Inch))

	_, err = length.Parse("3 furlongs")
	fmt.Println(err != nil)
	// Output:
	// 0.0127 mm
	// 4
	// true
}
