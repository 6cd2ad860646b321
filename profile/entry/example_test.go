package entry_test

import (
	"fmt"

	"wornway/profile/entry"
	"wornway/profile/survey"
)

// Every step gives the whole text of the file after it; what stood there before stays as it was.
func Example() {
	m, _ := survey.Find("bar-side")
	text, err := entry.Begin([]byte("# my lathe\n"), m, "turned", "true")
	if err != nil {
		fmt.Println(err)
		return
	}
	e, err := entry.Find(text, m)
	if err != nil {
		fmt.Println(err)
		return
	}
	if text, err = e.Start([]string{"position", "reading"}, []entry.Station{{50}, {100}}); err != nil {
		fmt.Println(err)
		return
	}
	if e, err = entry.Find(text, m); err != nil {
		fmt.Println(err)
		return
	}
	text, err = e.Read(map[string]string{"position": "50", "reading": "-2"})
	fmt.Printf("%s%v\n", text, err)
	// Output:
	// # my lathe
	//
	// [[survey]]
	// method = "bar-side"
	// unfinished = [100.0]   # stations still to be read; wornway record takes this line away
	// turned = true
	// columns = ["position", "reading"]
	// stations = [50.0, 100.0]
	// rows = [
	//   [50.0, -2],
	// ]
	// <nil>
}
