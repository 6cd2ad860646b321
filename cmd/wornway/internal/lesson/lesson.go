// Package lesson writes a page that shows what the wear of a lathe does: one HTML file with its script, style and
// numbers in it, which asks nothing of a network.
//
// The page calculates nothing. [Page] holds every number that it can show, as whole counts of the last digit that
// people are shown, so that the page rounds nothing anew; the script looks them up, adds them and draws them.
package lesson

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"html/template"
	"io"

	"wornway/cmd/wornway/internal/safe"
)

// Page is what the page shows. Positions and lengths are in the file's unit. What is an int is a small error in counts
// of the last digit shown of one; a list of them goes by position.
type Page struct {
	Lathe, Unit, Small string
	Back               string `json:"-"` // the address of the page that it was opened from; empty: none
	Digits             int    // decimals of a small error
	SmallPerUnit       float64
	Section            Section
	// length of the saddle's bearing, and the tool from its middle, plus toward the tailstock
	Bearing, Beside                 float64
	Positions                       []float64
	Places                          []string // the positions as they are told
	Asked                           int      // the position near the headstock that questions are about
	Heights, Diameters, Tools, Held []string // what can be chosen
	Usual                           int      // of the diameters
	First                           int      // of the ways of holding, which is shown first
	Thick                           []float64
	Wears                           []Wear
	// Errors are different lists of errors on the diameter, the dial set at the last position. At says which of them
	// belongs to each wear, height, diameter, tool and holding in this order of nesting; Sure holds the ± at k = 2 of
	// those of the wear as found, empty where none is stated.
	Errors   [][]int
	At       []int
	Sure     [][]int
	Dials    []Dial
	Chapters []Chapter
	More     []Question
	Methods  []Method
}

// Section is the lathe as it is seen from its end.
type Section struct {
	Post                  int // 1 in front, −1 behind
	Span, Height, Setback float64
	Outer, Inner, Spacing float64 // of the V, degrees and a length; all 0 for a flat way
}

// Wear is a wear that can be chosen, and what it makes of the saddle and the tool.
type Wear struct {
	Name, What  string
	Front, Rear []int    // how far the ways have sunk
	Ends        [2][]int // the front way under the saddle's two ends, headstock side first
	// what the saddle makes of it, at the tool: the front's sinking and its going sideways, the mean drops of the two
	// ways under it, and how it leans, in millionths
	Sunk, Aside, FrontMean, RearMean, Lean []int
	Out                                    [][]int // of the tool, by centre height
	Down                                   [][]int // of the tool, by diameter
	Axis                                   [][]int // what the axis adds to its being out, since it was set, by holding
	Alike                                  string  // why chuck and centres make no difference; empty where they do
}

// Dial is how the dial was used, for the lathe as it is and the tool on centre, in the chuck.
type Dial struct {
	Name string
	Set  int   // the position at which it was set
	Runs []Run // by diameter
}

// Run is a cut with a dial used so.
type Run struct {
	Told   string // what was done, in words
	Left   string // what corrections leave, in words
	None   bool   // nothing can be done so
	Errors []int
	Sure   []int // their ± at k = 2; empty where none is stated
	In     []int // how far the settings hold the tool in
	Line   []Dot // the part's edge, ascending, with both sides of each step
	Stops  []Stop
}

// Dot is an error at a position.
type Dot struct {
	Z float64
	E int
}

// Stop is a place where the dial is turned.
type Stop struct {
	Z    float64
	Told string
}

// Chapter is something to guess, and then to see.
type Chapter struct {
	Name, Question string
	Options        []string
	Right          int
	Answer         []string
	Try            string
	Wear, Dial     int // that the page is set to
}

// Question has its answer in paragraphs.
type Question struct {
	Question string
	Answer   []string
}

// Method is a way of measuring.
type Method struct{ Name, How, Sees string }

// Cautions are said before anybody goes to the machine.
const Cautions = "Measure and indicate with the spindle stopped and the machine isolated. Chuck key out, no gloves, " +
	"sleeves rolled tight, no loose hair. The shop's own rules and local codes come first. The proof is in the cut."

//go:embed page.html
var pageText string

//go:embed draw.js
var drawing string

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
		Cautions        string
		Last            int
	}{p, template.JS(numbers), template.JS(drawing + script), template.CSS(style), Cautions, len(p.Positions) - 1})
	if err != nil {
		return err
	}
	_, err = io.WriteString(w, safe.Text(b.String()))
	return err
}
