package form_test

import (
	"fmt"

	"wornway/profile/document"
	"wornway/profile/form"
	"wornway/profile/length"
)

// A length of a file in inches comes out in mm; one that must be greater than zero is refused with the key's own hint.
func Example() {
	keys := []form.Key{{Path: "stock", Required: true, How: "measure it with a micrometer"}}
	for _, text := range []string{"stock = 2\n", "stock = -2\n"} {
		d, err := document.Parse("job.toml", []byte(text))
		if err != nil {
			fmt.Println(err)
			return
		}
		r := form.Reader{Doc: d, Unit: length.Inch, How: func(path string) string { return form.HowOf(keys, path) }}
		mm := r.Length(d.Root(), "stock", form.Limit{Required: true, Above: form.Zero}, 0)
		fmt.Println(mm, d.Faults())
	}
	// Output:
	// 50.8 <nil>
	// 0 job.toml:1:9: stock = -2: must be greater than zero
}
