package work

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Fit is a size tolerance of ISO 286 by its name, such as k6 or H7, for one nominal diameter.
type Fit struct {
	Name       string
	Limits     Limits // deviations from the nominal diameter, mm
	Bore       bool   // a capital letter: it is meant for a bore
	FromMemory bool   // the limits rest on no copy of the standard that was read: mark a promise that is made on them
	Source     string // where the limits are from, in words
}

// Where the limits are from.
const (
	fromGrades    = "ISO 286-1's table of standard tolerances, in three secondary copies that agree"
	fromCatalogue = "ISO 286-2 through JIS B 0401 (1999) in a toolmaker's catalogue"
	fromMemory    = "from memory; only their difference, IT6, is ISO 286-1's in secondary copies"
)

// The first and the last grade in the table.
const firstGrade, lastGrade = 5, 11

// A step is a range of nominal diameters for which the standard gives one set of values: over what the one before ends
// with, up to and including upTo, mm. The values are µm.
type step struct {
	upTo   float64
	grades [lastGrade - firstGrade + 1]float64 // IT5 to IT11
}

// steps are the standard tolerances of ISO 286-1. The standard itself was not read: three secondary copies agree on
// every value. The formula behind the values (multiples of i = 0.45∛D + 0.001·D) does not give them back, since the
// standard rounds in ways of its own: more than a third of them differ. So they are a table here too.
var steps = []step{
	{3, [...]float64{4, 6, 10, 14, 25, 40, 60}},
	{6, [...]float64{5, 8, 12, 18, 30, 48, 75}},
	{10, [...]float64{6, 9, 15, 22, 36, 58, 90}},
	{18, [...]float64{8, 11, 18, 27, 43, 70, 110}},
	{30, [...]float64{9, 13, 21, 33, 52, 84, 130}},
	{50, [...]float64{11, 16, 25, 39, 62, 100, 160}},
	{80, [...]float64{13, 19, 30, 46, 74, 120, 190}},
	{120, [...]float64{15, 22, 35, 54, 87, 140, 220}},
	{180, [...]float64{18, 25, 40, 63, 100, 160, 250}},
	{250, [...]float64{20, 29, 46, 72, 115, 185, 290}},
	{315, [...]float64{23, 32, 52, 81, 130, 210, 320}},
	{400, [...]float64{25, 36, 57, 89, 140, 230, 360}},
	{500, [...]float64{27, 40, 63, 97, 155, 250, 400}},
}

// A seat is a shaft's fit that does not begin or centre on the nominal diameter: its limits for the first of the steps,
// µm.
type seat struct {
	name   string
	limits []Limits
	read   func(step int) bool // whether the limits of the step were read in a copy; otherwise they are from memory
}

// seats are g6, k6 and n6 of ISO 286-2, to 80 mm. The column g6, and n6 over 18 to 30 mm, are those of JIS B 0401
// (1999), which is the same standard, as a toolmaker's catalogue prints them. The rest of k6 and n6 is from memory:
// nothing but its width was checked, which is IT6.
var seats = []seat{
	{"g6", []Limits{{-8, -2}, {-12, -4}, {-14, -5}, {-17, -6}, {-20, -7}, {-25, -9}, {-29, -10}},
		func(int) bool { return true }},
	{"k6", []Limits{{0, 6}, {1, 9}, {1, 10}, {1, 12}, {2, 15}, {2, 18}, {2, 21}}, func(int) bool { return false }},
	{"n6", []Limits{{4, 10}, {8, 16}, {10, 19}, {12, 23}, {15, 28}, {17, 33}, {20, 39}},
		func(step int) bool { return steps[step].upTo == 30 }},
}

// stepOf returns the number of the step that holds a diameter in mm, or -1 where none does. A diameter on the boundary
// belongs to the step that ends there; so does one that a conversion from inches has put a millionth of a millimetre
// beyond it.
func stepOf(diameter float64) int {
	if !(diameter > 0) {
		return -1
	}
	for i, s := range steps {
		if diameter <= s.upTo+1e-6 {
			return i
		}
	}
	return -1
}

// ParseFit returns the limits of the fit of that name for a nominal diameter in mm. It knows h and js for shafts, H and
// JS for bores, each with the grades 5 to 11 up to 500 mm; and g6, k6 and n6 for shafts up to 80 mm. The letter's case
// matters. The error says what is known, or which diameters the table is for.
//
// Limits of js and JS are half the standard tolerance to either side, not rounded to whole µm.
func ParseFit(name string, diameter float64) (Fit, error) {
	for _, s := range seats {
		if s.name != name {
			continue
		}
		i := stepOf(diameter)
		if i < 0 || i >= len(s.limits) {
			return Fit{}, outside(name, diameter, steps[len(s.limits)-1].upTo)
		}
		f := Fit{Name: name, Limits: inMM(s.limits[i]), Source: fromCatalogue}
		if !s.read(i) {
			f.FromMemory, f.Source = true, fromMemory
		}
		return f, nil
	}
	letter := strings.TrimRight(name, "0123456789")
	digits := name[len(letter):]
	grade, err := strconv.Atoi(digits)
	if err != nil || strconv.Itoa(grade) != digits || grade < firstGrade || grade > lastGrade {
		return Fit{}, unknown(name)
	}
	var below, above float64 // parts of the standard tolerance
	switch letter {
	case "h":
		below = 1
	case "H":
		above = 1
	case "js", "JS":
		below, above = 0.5, 0.5
	default:
		return Fit{}, unknown(name)
	}
	i := stepOf(diameter)
	if i < 0 {
		return Fit{}, outside(name, diameter, steps[len(steps)-1].upTo)
	}
	it := steps[i].grades[grade-firstGrade]
	return Fit{Name: name, Limits: inMM(Limits{Lower: 0 - below*it, Upper: above * it}),
		Bore: letter == strings.ToUpper(letter), Source: fromGrades}, nil
}

// inMM returns limits given in µm in mm.
func inMM(l Limits) Limits { return Limits{Lower: l.Lower / 1000, Upper: l.Upper / 1000} }

func unknown(name string) error {
	return fmt.Errorf("%q is no fit that is known here: there are h5 to h11 and js5 to js11 for shafts, H5 to H11 "+
		"and JS5 to JS11 for bores, and g6, k6 and n6 for shafts up to 80 mm; give the limits of any other as upper "+
		"and lower", name)
}

func outside(name string, diameter, upTo float64) error {
	if !(diameter > 0) || math.IsInf(diameter, 0) {
		return fmt.Errorf("%s needs a diameter greater than zero", name)
	}
	return fmt.Errorf("%s is known here for diameters up to %v mm, not for %.6g mm: give its limits as upper and lower",
		name, upTo, diameter)
}
