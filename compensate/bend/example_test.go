package bend_test

import (
	"fmt"
	"math"

	"wornway/compensate/bend"
)

// A bar of 20 mm that stands out 100 mm from jaws that do not give: F·L³/3EI, as in any handbook.
func Example() {
	s := bend.Shaft{Sections: []bend.Section{{From: 0, To: 100, Diameter: 20}}, Modulus: 206000, Clamp: &bend.Clamp{}}
	b, err := s.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	byHand := math.Pow(100, 3) / (3 * 206000 * math.Pi * math.Pow(20, 4) / 64)
	fmt.Printf("%.5f mm for 50 N, by hand %.5f\n", 50*b.Under(100), 50*byHand)
	// Output:
	// 0.01030 mm for 50 N, by hand 0.01030
}
