package survey_test

import (
	"fmt"
	"testing/fstest"

	"wornway/profile"
)

// Each row of a survey is an equation: weights on the wear, shares in what the survey leaves open, and the reading in
// mm. A dial that is read along a bar has an arbitrary zero.
func Example() {
	text := `format = 1
unit = "mm"
[lathe]
name = "Invented"
centre_height = 150
way_span = 200
bed = [-100, 900]
unworn = [[-100, -60], [800, 900]]
[lathe.saddle]
bearing_length = 250
tool_offset = -20
[[survey]]
method = "bar-side"
turned = true
reading_unit = "um"
uncertainty = 2
columns = ["position", "reading"]
rows = [[50, 0], [100, -8], [150, -12], [200, -11], [250, -4]]
`
	p, err := profile.Read(fstest.MapFS{"bench.toml": {Data: []byte(text)}}, "bench.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	set := p.Surveys[0].Set
	e := set.Equations[1]
	fmt.Printf("row %d at %g: %.3f, standard uncertainty %.3f\n", e.Row, e.Position, e.Reading, e.U)
	for _, t := range set.Terms {
		fmt.Println("left open:", t.Name)
	}
	fmt.Println("it cannot see:", set.Method.Unseen)
	// Output:
	// row 2 at 100: -0.008, standard uncertainty 0.002
	// left open: zero
	// left open: drift
	// it cannot see: a test bar's side sees shift and roll together, less the spindle's lean
}
