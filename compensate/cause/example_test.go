package cause_test

import (
	"fmt"
	"math"
	"testing/fstest"

	"wornway/compensate/cause"
	"wornway/profile"
	"wornway/profile/survey"
)

// The same bar read once more, as it was: nothing is wrong, which a few readings can never make sure.
func ExampleFind() {
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
	e, err := p.Estimate()
	if err != nil {
		fmt.Println(err)
		return
	}
	b := cause.Bed{Lathe: p.Lathe.Bed, Wear: e.Wear, Headstock: math.NaN()}
	again := p.Surveys[0].Set // the same bar, read once more
	r, err := cause.Find(cause.Question{Bed: b, Readings: []survey.Set{again}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.Causes[0].Kind, r.Decided)
	// Output:
	// as-surveyed false
}
