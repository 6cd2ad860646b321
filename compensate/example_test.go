package compensate_test

import (
	"fmt"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// A flat bed whose front way alone sinks evenly, by 0.04 mm in 400. Over 200 mm the roll carries the tool out by
// 0.02·150/200 = 0.015 mm, which is 0.030 on diameter; the drop of the tool changes that by less than 0.1 µm. Two
// settings of 0.01 mm, a third of the length apart, leave 0.010.
func Example() {
	w, err := wear.New([]float64{0, 400}, map[bed.Curve][]float64{bed.Front: {0, 0.04}})
	if err != nil {
		fmt.Println(err)
		return
	}
	m := compensate.Machine{Lathe: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100}, Wear: w,
		Axis: compensate.SpindleAxis()}
	cut := compensate.Cut{Feature: work.Feature{From: 100, To: 300, Diameter: 25}, SetAt: 300}
	c, err := m.Curve(cut)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("at the headstock end %.4f\n", c.Station(100).DiameterError)
	t := c.Taper()
	fmt.Printf("%s, spread %.4f\n", t.Shape, t.Spread)

	k, err := m.Correct(cut, compensate.CorrectOptions{Every: []float64{100, 200, 300},
		Dial: compensate.Dial{Diameter: true, Division: 0.02, Finest: 0.5}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d settings leave %.3f of %.3f\n", len(k.Moves), k.MovesSpread, k.Before)
	// Output:
	// at the headstock end -0.0300
	// straight, spread 0.0300
	// 2 settings leave 0.010 of 0.030
}
