// Package length reads and prints lengths and slopes in the units a turner uses.
//
// Inside the program every length is a float64 in millimetres and every slope a bare ratio, rise over run. This package
// is the edge where units come and go: [Parse] reads what a person typed ("3in", "75mm", "0.5thou"), [Unit.ToMM] and
// [Unit.From] convert, and [Position], [Diameter], [Small], [PlusMinus] and [Taper] print for people. Numbers for other
// programs come from [Unit.From], which does not round them for show.
//
// It does not know where a length was written, so its errors carry no file name or line; the caller adds those.
package length

import (
	"math"
	"strconv"
	"strings"
)

// Unit is a unit of length. The zero value is the millimetre.
type Unit int

// The units that are read and printed. An inch is 25.4 mm exactly (international yard and pound agreement, 1959; from
// memory).
const (
	Millimetre Unit = iota
	Inch
	Thou       // a thousandth of an inch
	Micrometre // a thousandth of a millimetre
)

// knownUnits lists the spellings for error messages.
const knownUnits = "mm, in, thou or um"

// ParseUnit reads the name of a unit: mm, in, thou or um. The micrometre may also be written µm, with either of the
// two code points that look like a mu. Anything else is an error that names the known units; case counts.
func ParseUnit(s string) (Unit, error) {
	switch s {
	case "mm":
		return Millimetre, nil
	case "in":
		return Inch, nil
	case "thou":
		return Thou, nil
	case "um", "\u00b5m", "\u03bcm":
		return Micrometre, nil
	}
	return 0, fault(s, "is not a known unit", unitHint(s))
}

// spokenUnit reads the name of a unit as people write it. A file is stricter: see [ParseUnit].
func spokenUnit(s string) (Unit, bool) {
	switch strings.ToLower(s) {
	case "in", "in.", "inch", "inches", `"`, "''", "″", "”":
		return Inch, true
	case "mm", "millimetre", "millimetres", "millimeter", "millimeters":
		return Millimetre, true
	case "thou", "thous":
		return Thou, true
	case "um", "\u00b5m", "\u03bcm", "micron", "microns", "micrometre", "micrometres", "micrometer", "micrometers":
		return Micrometre, true
	}
	return 0, false
}

// unitHint says which known unit was probably meant.
func unitHint(s string) string {
	switch s {
	case `"`, `''`, "″", "”", "inch", "inches", "IN", "In", "in.":
		return "write in for inches"
	case "mil", "mils", "th", "THOU", "tenths":
		return "write thou for thousandths of an inch"
	case "MM", "Mm", "millimetre", "millimetres", "millimeter", "millimeters":
		return "write mm for millimetres"
	case "micron", "microns", "UM", "u", "µ", "μ":
		return "write um for micrometres"
	}
	return "use " + knownUnits
}

// MM returns how many millimetres one unit is.
func (u Unit) MM() float64 {
	switch u {
	case Inch:
		return 25.4
	case Thou:
		return 0.0254
	case Micrometre:
		return 0.001
	}
	return 1
}

// String returns the unit as it is printed: mm, in, thou or µm (with U+00B5).
func (u Unit) String() string {
	switch u {
	case Inch:
		return "in"
	case Thou:
		return "thou"
	case Micrometre:
		return "\u00b5m"
	}
	return "mm"
}

// Small returns the unit in which small errors are shown beside lengths in u: thou beside inches, micrometres beside
// millimetres.
func (u Unit) Small() Unit {
	switch u {
	case Inch:
		return Thou
	case Millimetre:
		return Micrometre
	}
	return u
}

// ToMM converts x in u to millimetres. Unlike x·[Unit.MM] it lands on the double nearest to the decimal result, so
// that 3 in is 76.2 mm and not 76.19999999999999 mm, and a position typed in inches meets one typed in millimetres. The
// result carries 15 significant digits.
func (u Unit) ToMM(x float64) float64 {
	if u == Millimetre {
		return x + 0 // drops a negative zero
	}
	return clean(x * u.MM())
}

// From converts mm millimetres to u. The result is rounded to 15 significant digits, which takes the noise of binary
// fractions out (101.6 mm is 4 in exactly) and nothing that was measured. It is never a negative zero.
func (u Unit) From(mm float64) float64 {
	return clean(mm / u.MM())
}

// clean rounds x to 15 significant digits, the most that every double carries. NaN and the infinities pass through.
func clean(x float64) float64 {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return x + 0
	}
	r, err := strconv.ParseFloat(strconv.FormatFloat(x, 'e', 14, 64), 64)
	if err != nil { // rounding up next to the largest double
		return x
	}
	return r
}
