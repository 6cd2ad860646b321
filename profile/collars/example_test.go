package collars_test

import (
	"fmt"

	"wornway/profile/bar"
	"wornway/profile/collars"
	"wornway/profile/length"
)

// A bar that came out with an even taper of 0.02 mm in 160: the tool stands out by half of that.
func Example() {
	table := "position,diameter\n40,30.020\n80,30.015\n120,30.010\n160,30.005\n200,30.000\n"
	t, err := collars.Parse("collars.csv", []byte(table), length.Millimetre, length.Millimetre)
	if err != nil {
		fmt.Println(err)
		return
	}
	e, err := t.Estimate(collars.Conditions{Held: bar.Centres, U: 0.001, HeldAt: 20, CentreAt: 220})
	if err != nil {
		fmt.Println(err)
		return
	}
	w, err := e.Wear(true) // of work that gives as the bar did
	if err != nil {
		fmt.Println(err)
		return
	}
	out := collars.Lathe().ToolOut()
	fmt.Printf("%.3f\n", w.Value(out, 40)-w.Value(out, 200))
	// Output:
	// 0.010
}
