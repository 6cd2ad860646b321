package jobfile_test

import (
	"fmt"

	"wornway/compensate/jobfile"
)

// A job in inches comes out in mm; a fit becomes limits of size.
func Example() {
	f, err := jobfile.Parse("pin.toml", []byte(`format = 1
unit = "in"
[job]
length = 4
stock_diameter = 1.5
[[feature]]
name = "seat"
from = 1
to = 2
diameter = 1.1811
fit = "h7"
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	s := f.Job.Features[0]
	fmt.Printf("%s: %.1f to %.1f mm, %+.3f to %+.3f\n", s.Name, s.From, s.To, s.Size.Lower, s.Size.Upper)
	// Output:
	// seat: 25.4 to 50.8 mm, -0.021 to +0.000
}
