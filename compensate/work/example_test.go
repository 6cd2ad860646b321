package work_test

import (
	"fmt"

	"wornway/compensate/work"
)

// ISO 286-2 gives k6 at 30 mm as +15 and +2 µm; bearing catalogues print the same.
func ExampleParseFit() {
	f, err := work.ParseFit("k6", 30)
	fmt.Printf("%+.3f %+.3f bore %v, %v\n", f.Limits.Lower, f.Limits.Upper, f.Bore, err)
	// Output:
	// +0.002 +0.015 bore false, <nil>
}

// What is wrong with a job is told before any lathe is looked at.
func ExampleJob_Check() {
	j := work.Job{Features: []work.Feature{{Name: "seat", From: 40, To: 10, Diameter: 30}}}
	for _, p := range j.Check() {
		fmt.Printf("%+v\n", p)
	}
	// Output:
	// from: must lie nearer to the headstock than to
}
