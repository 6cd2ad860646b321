// Package lesson writes a page that shows what the wear of a lathe does: one HTML file with its script, style and
// numbers in it, which asks nothing of a network.
//
// The page reckons nothing of the lathe's physics. [Page] holds every number that it can show, as whole tenths of a
// micrometre; the script looks them up and draws them.
package lesson

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"html/template"
	"io"

	"wornway/cmd/wornway/internal/safe"
)

// Page is what the page shows. Positions are in the file's unit, everything else in tenths of a micrometre or as it
// says.
type Page struct {
	Lathe, Unit, Small, SetAt string
	SmallPerTenth             float64 // of the unit of small errors in a tenth of a micrometre
	Decimals                  int     // of a small error
	Post                      int     // 1 in front, −1 behind
	Span                      float64
	// length of the saddle's bearing, and the tool from its middle, plus toward the tailstock
	Bearing, Beside                 float64
	Positions                       []float64
	Heights, Diameters, Tools, Held []string  // what can be chosen
	Thick                           []float64 // the diameters, mm
	Wears                           []Named
	Ways                            []Ways // by wear
	// Errors are those on the diameter by position, for each wear, height, diameter, tool and holding in this order of
	// nesting, twice: before correction and after. Moves is how many settings the correction has, −1 for none known.
	Errors   [][]int
	Moves    []int
	Chapters []Chapter
	Methods  []Method
}

// Named is a choice with what it means.
type Named struct{ Name, What string }

// Ways is a wear along the bed, and what the saddle makes of it for each centre height.
type Ways struct {
	Front, Rear, Shift []int
	Steps              []Steps
}

// Steps lead from the ways to the tool: roll in ten-millionths of a radian, down for each diameter.
type Steps struct {
	Front, Shift, Roll, Out []int
	Ends                    [2][]int // how far the front way has sunk under the saddle's two ends, headstock side first
	Down                    [][]int
}

// Chapter is a question with its answer in paragraphs.
type Chapter struct {
	Question string
	Answer   []string
}

// Method is a way of measuring.
type Method struct{ Name, How, Sees string }

//go:embed page.html
var pageText string

//go:embed page.js
var script string

//go:embed page.css
var style string

// Write writes the page.
func Write(w io.Writer, p Page) error {
	numbers, err := json.Marshal(p)
	if err != nil {
		return err
	}
	t, err := template.New("lesson").Parse(pageText)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	err = t.Execute(&b, struct {
		Page
		Numbers, Script template.JS
		Style           template.CSS
		Last            int
	}{p, template.JS(numbers), template.JS(script), template.CSS(style), len(p.Positions) - 1})
	if err != nil {
		return err
	}
	_, err = io.WriteString(w, safe.Text(b.String()))
	return err
}
