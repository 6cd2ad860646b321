package estimate_test

import (
	"fmt"

	"wornway/profile/bed"
	"wornway/profile/estimate"
	"wornway/profile/survey"
)

// Two readings of the front way's drop by hand, of 20 µm and 0: the estimate follows them to within their uncertainty
// of 1 µm, and what lies between them is less sure than they are.
func Example() {
	reads := func(row int, z, drop float64) survey.Equation {
		return survey.Equation{Row: row, Position: z, Reading: drop, U: 0.001,
			Parts: []bed.Addend{{Sum: bed.At(bed.Front, 0), At: z, Factor: 1}}}
	}
	m, _ := survey.Find("way-micrometer")
	set := survey.Set{Method: m, Scale: 1, Rows: 2,
		Equations: []survey.Equation{reads(1, 100, 0.020), reads(2, 500, 0)}}
	r, err := estimate.Estimate(estimate.Input{Bed: [2]float64{0, 600}, Surveys: []survey.Set{set}, TwistU: 1e-7,
		LeanU: [2]float64{1e-5, 1e-5}, OnlyLost: true})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f mm\n", r.Wear.Value(bed.At(bed.Front, 0), 100))
	// Output:
	// 0.02 mm
}
