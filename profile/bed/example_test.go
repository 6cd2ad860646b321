package bed_test

import (
	"fmt"
	"math"

	"wornway/profile/bed"
)

// Both flanks of a V of 45° have lost 0.02 mm, measured square to them: the saddle sinks by 0.02·√2 and does not
// shift.
func ExampleV_Motion() {
	v := bed.V{Outer: math.Pi / 4, Inner: math.Pi / 4, ContactSpacing: 12}
	drop, shift := v.Motion(0.02, 0.02)
	fmt.Printf("drop %.4f, shift %.4f\n", drop, shift)
	// Output:
	// drop 0.0283, shift 0.0000
}

// A flat bed that has sunk by 0.03 mm in front alone rolls by 0.03/200; the tool, 150 mm above the guiding edge, goes
// out by 150 times that.
func ExampleLathe_ToolOut() {
	l := bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100}
	out := 0.0
	for _, t := range l.ToolOut().Terms {
		if t.Curve == bed.Front {
			out += 0.03 * t.Mean
		}
	}
	fmt.Printf("%.4f\n", out)
	// Output:
	// 0.0225
}

// A tool that drops by 0.5 mm from centre on work of 20 mm cuts the radius √(10² + 0.5²).
func ExampleSetting_Radius() {
	s, err := bed.SetTo(20, 0)
	fmt.Printf("%.5f %v\n", s.Radius(0, 0.5), err)
	// Output:
	// 10.01249 <nil>
}
