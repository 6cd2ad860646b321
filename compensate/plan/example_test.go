package plan_test

import (
	"fmt"
	"math"

	"wornway/compensate"
	"wornway/compensate/plan"
	"wornway/compensate/setup"
	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// One seat, one lathe, an even taper of 0.0375 mm on diameter in 100 mm of bed: a seat of 20 mm that may spread by
// 0.02 can be held.
func Example() {
	w, err := wear.New([]float64{-100, 900}, map[bed.Curve][]float64{bed.Front: {0, 0.05}})
	if err != nil {
		fmt.Println(err)
		return
	}
	l := setup.Lathe{Name: "Invented", JawsFront: 100, JawsDepth: math.Inf(1), Headstock: math.NaN(), Overhang: 3,
		Machine: compensate.Machine{Lathe: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100}, Wear: w,
			Axis: compensate.SpindleAxis()}}
	q := plan.Question{Measuring: 0.002, Lathes: []setup.Lathe{l}, Job: work.Job{
		Part:     &work.Part{Length: 150, StockLength: 250, Stock: 60, Grip: 40, Held: []work.Holding{work.Chuck}},
		Features: []work.Feature{{Name: "seat", From: 100, To: 120, Diameter: 50, Tolerance: 0.02}}}}
	r, err := q.Search()
	if err != nil {
		fmt.Println(err)
		return
	}
	best := r.Plans[0]
	fmt.Printf("%s, %s, holds %v\n", l.Name, best.SetUps[0].Way, best.Holds)
	// Output:
	// Invented, chuck, holds true
}
