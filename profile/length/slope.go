package length

import (
	"math"
	"strings"
)

// Slope is a rise over its run, without dimension: 0.00002 is 0.02 mm in a metre. A taper is a slope too, of diameter
// over length.
type Slope float64

// Arcseconds returns the slope of a line tilted by x seconds of arc, |x| < 324 000.
func Arcseconds(x float64) Slope { return Slope(math.Tan(x * arcsecond)) }

// arcsecond is one second of arc in radians.
const arcsecond = math.Pi / (180 * 3600)

const slopeForms = "write it as 0.02 mm/m, 10 um/m, 0.0005 in/ft, 0.01 mm/300 mm, 0.02/1000 or 4 arcsec"

// runs are what a slope may be counted over, in mm. Feet and metres are read here and nowhere else.
var runs = map[string]float64{"m": 1000, "ft": 304.8, "mm": 1, "in": 25.4, "metre": 1000, "meter": 1000, "foot": 304.8,
	"ft.": 304.8, "in.": 25.4, "inch": 25.4}

// ParseSlope reads a slope: a rise over a run, each with its unit ("0.02 mm/m", "0.0005 in/ft", "10 um/m", "0.01 mm/300
// mm"), a bare ratio ("0.02/1000"), or an angle ("4 arcsec"). Units may be spelled as people do, and per may stand in
// place of the stroke: `.0005" per foot`. A bare number is refused, since 0.02 could as well mean
// per metre as per foot. Errors are of type [*Error] and show the forms.
func ParseSlope(s string) (Slope, error) {
	bad := func(what string) (Slope, error) { return 0, fault(s, what, slopeForms) }
	t := strings.Replace(strings.TrimSpace(s), " per ", "/", 1)
	num, rest := splitNumber(t)
	if num == "" {
		return bad("is not a slope")
	}
	if hint := commaHint(num, rest); hint != "" {
		return bad("has a decimal comma")
	}
	x, err := ParseNumber(num)
	if err != nil {
		return bad("is too large to be a slope")
	}
	rest = strings.TrimSpace(rest)
	switch rest {
	case "":
		return bad("does not say over what length")
	case "arcsec", "″":
		if math.Abs(x) >= 324000 {
			return bad("is not less than a right angle")
		}
		return Arcseconds(x), nil
	}
	rise, run, found := strings.Cut(rest, "/")
	if !found {
		return bad("is not a slope")
	}
	rise, run = strings.TrimSpace(rise), strings.TrimSpace(run)
	over := 1.0
	if n, unit := splitNumber(run); n != "" {
		if over, err = ParseNumber(n); err != nil || over <= 0 {
			return bad("has no length to be counted over")
		}
		run = strings.TrimSpace(unit)
	}
	if rise == "" && run == "" {
		return finite(s, x/over)
	}
	u, spoken := spokenUnit(rise)
	mm, known := runs[run]
	if !spoken || !known {
		return bad("is not a slope")
	}
	// Units of one family divide first, so that 0.0005 in/ft is the double nearest to 0.0005/12 with no detour through
	// 25.4.
	down := over * mm
	if u == Inch || u == Thou {
		down = clean(down / 25.4)
	}
	if u == Thou || u == Micrometre {
		x /= 1000
	}
	return finite(s, x/down)
}

func finite(text string, x float64) (Slope, error) {
	if math.IsInf(x*1e6, 0) || math.IsNaN(x) { // ×1e6: whatever unit it is shown in, it stays finite
		return 0, fault(text, "is too large to be a slope", slopeForms)
	}
	return Slope(x + 0), nil
}

// Taper prints a small taper on diameter for people, with its unit: "1.60 thou/ft" where the file is in inches, "13.3
// µm/100 mm" where it is in millimetres. s is diameter over length, without dimension; u is the file's unit.
func Taper(s float64, u Unit) string {
	if u.Small() == Thou {
		return Fixed(clean(s*12000), 2) + " thou/ft"
	}
	return Fixed(clean(s*1e5), 1) + " \u00b5m/100 mm"
}
