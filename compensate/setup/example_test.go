package setup_test

import (
	"fmt"
	"math"

	"wornway/compensate"
	"wornway/compensate/setup"
	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// A part of 200 mm in the chuck: its headstock end lies where it is put, its features go with it. An overhang of more
// than three diameters is refused.
func Example() {
	w, err := wear.New([]float64{-100, 900}, map[bed.Curve][]float64{bed.Front: {0, 0.05}})
	if err != nil {
		fmt.Println(err)
		return
	}
	l := setup.Lathe{Name: "Invented", JawsFront: 100, JawsDepth: math.Inf(1), Headstock: math.NaN(), Overhang: 3,
		Machine: compensate.Machine{Lathe: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100}, Wear: w,
			Axis: compensate.SpindleAxis()}}
	job := work.Job{Part: &work.Part{Length: 200, StockLength: 250, Stock: 60, Grip: 40,
		Held: []work.Holding{work.Chuck}},
		Features: []work.Feature{{Name: "seat", From: 100, To: 150, Diameter: 50, Tolerance: 0.02}}}
	for _, at := range []float64{80, 90} {
		h, err := l.Set(job, setup.Setup{Way: work.Chuck, At: at})
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Printf("%s from %g to %g mm\n", h.Features[0].Name, h.Features[0].From, h.Features[0].To)
	}
	// Output:
	// seat from 180 to 230 mm
	// it would hang out by 3.2 diameters, and longest_overhang is 3.0
}
