package document_test

import (
	"fmt"

	"wornway/profile/document"
)

// Reading goes on past a fault, so that a person mends a file once.
func Example() {
	d, err := document.Parse("bench.toml", []byte("span = \"wide\"\nheigth = 150\n"))
	if err != nil {
		fmt.Println(err)
		return
	}
	root := d.Root()
	root.Number("span")
	if _, ok := root.Number("height"); !ok {
		root.Missing("height", "measure from the way to the spindle's axis")
	}
	fmt.Println(d.Faults())
	// Output:
	// bench.toml:1:1: height: missing
	//   hint: measure from the way to the spindle's axis
	// bench.toml:1:8: span = "wide": must be a number
	//   hint: write a plain decimal number, such as 2.5
	// bench.toml:2:1: heigth: unknown key; did you mean height?
	//   hint: write height
}

// An edit leaves the rest of the text alone, comments too.
func ExampleDocument_Set() {
	d, err := document.Parse("bench.toml", []byte("span = 200  # measured twice\n"))
	if err != nil {
		fmt.Println(err)
		return
	}
	text, err := d.Set("span", "203")
	fmt.Printf("%s%v\n", text, err)
	// Output:
	// span = 203  # measured twice
	// <nil>
}
