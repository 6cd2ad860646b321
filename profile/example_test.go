package profile_test

import (
	"fmt"
	"math"
	"testing/fstest"

	"wornway/profile"
	"wornway/profile/bed"
)

// What is written down of an invented lathe.
const written = `format = 1
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

// A file is read and its wear estimated. Five readings of a bar do not tell drop and roll apart, but they tell what the
// tool does between them: from 50 to 150 mm it moves by 12 µm.
func Example() {
	p, err := profile.Read(fstest.MapFS{"bench.toml": {Data: []byte(written)}}, "bench.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	e, err := p.Estimate()
	if err != nil {
		fmt.Println(err)
		return
	}
	out := p.Lathe.Bed.ToolOut()
	moved := math.Abs(e.Wear.Value(out, 150) - e.Wear.Value(out, 50))
	fmt.Printf("%s: %d survey, tool moved by %.2f mm\n", p.Lathe.Name, len(p.Surveys), moved)
	_, drop := e.Wear.Deepest(bed.Front)
	fmt.Println("worn:", drop > 0)
	// Output:
	// Invented: 1 survey, tool moved by 0.01 mm
	// worn: true
}

// Everything that is wrong is told at once, each with its place and how to mend it.
func ExampleParse() {
	const half = "format = 1\nunit = \"mm\"\n[lathe]\nname = \"Invented\"\ncentre_height = 150\nbed = [0, 1000]\n"
	_, err := profile.Parse(nil, "bench.toml", []byte(half))
	fmt.Println(err)
	// Output:
	// bench.toml:3:1: lathe.way_span: missing
	//   hint: measure across the bed from the front way's contact centre to the rear way's; it is not the bed's width
	// bench.toml:3:1: lathe.saddle: missing
	//   hint: write a header [lathe.saddle] and under it bearing_length; 0 takes the saddle as a point at the tool
}
