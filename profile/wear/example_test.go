package wear_test

import (
	"fmt"

	"wornway/profile/bed"
	"wornway/profile/wear"
)

// A straight slope stays one between its rows: half of the drop half way.
func Example() {
	w, err := wear.New([]float64{0, 100, 200}, map[bed.Curve][]float64{bed.Front: {0, 0.01, 0.02}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.4f\n", w.Value(bed.At(bed.Front, 0), 50))
	at, drop := w.Deepest(bed.Front)
	fmt.Printf("%.4f at %.0f\n", drop, at)

	// With a standard uncertainty of 0.003 mm at each place, that of twice the drop is 0.006 mm.
	var place [bed.Curves][bed.Curves]float64
	place[bed.Front][bed.Front] = 0.003 * 0.003
	w = w.WithCovariance(wear.Stationary{Reach: 75, Place: place})
	var twice wear.Weights
	w.Weigh(&twice, bed.At(bed.Front, 0), 50, 2)
	u, stated := w.Uncertainty(&twice)
	fmt.Printf("%.4f %v\n", u, stated)
	// Output:
	// 0.0050
	// 0.0200 at 200
	// 0.0060 true
}
