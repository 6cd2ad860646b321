package length

import (
	"math"
	"strconv"
	"strings"
)

// Fixed prints x with a fixed number of decimals and never as a negative zero: what rounds to nothing is "0.00",
// whatever its sign.
func Fixed(x float64, decimals int) string {
	s := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.HasPrefix(s, "-") && strings.Trim(s, "-0.") == "" {
		return s[1:]
	}
	return s
}

// trimZeros takes trailing zeros behind the decimal point away, and the point with them.
func trimZeros(s string) string {
	if !strings.Contains(s, ".") {
		return s
	}
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

// Position prints a position or a length along the bed for people, without its unit: up to 3 decimals of an inch or 2
// of a millimetre, as many as it needs. mm is in millimetres, u the unit to print in.
func Position(mm float64, u Unit) string {
	return trimZeros(Fixed(u.From(mm), [...]int{Millimetre: 2, Inch: 3, Thou: 0, Micrometre: 0}[u.known()]))
}

// Diameter prints a diameter, or whatever a micrometer reads, for people, without its unit: up to 4 decimals of an inch
// or 3 of a millimetre.
func Diameter(mm float64, u Unit) string {
	return trimZeros(Fixed(u.From(mm), [...]int{Millimetre: 3, Inch: 4, Thou: 1, Micrometre: 0}[u.known()]))
}

// Small prints a small error for people, without its unit: in thou with 2 decimals where the file is in inches, in
// micrometres with 1 decimal where it is in millimetres. mm is in millimetres, u the file's unit. All errors of one
// column so have the same decimals.
func Small(mm float64, u Unit) string {
	return Fixed(u.Small().From(mm), u.smallDecimals())
}

// PlusMinus prints how sure a value is, from its standard uncertainty in millimetres: the expanded uncertainty at k = 2
// with its unit, such as "± 0.42 thou". It shows two significant digits, but none finer than [Small] shows, and never
// less than one of those digits for an uncertainty that is not zero. u is the file's unit. NaN, the mark of an
// uncertainty that nobody stated, gives "± not stated"; so does a negative one.
//
// Two digits: JCGM 100:2008 (GUM), 7.2.6, from memory.
func PlusMinus(standard float64, u Unit) string {
	if math.IsNaN(standard) || standard < 0 {
		return "± not stated"
	}
	small := u.Small()
	if math.IsInf(standard, 1) {
		return "± unlimited"
	}
	return "± " + twoDigits(small.From(2*standard), u.smallDecimals()) + " " + small.String()
}

// twoDigits prints x ≥ 0 to two significant digits but at most the given decimals, and as no less than one in the
// last of them unless it is 0.
func twoDigits(x float64, decimals int) string {
	if x == 0 {
		return Fixed(x, decimals)
	}
	x = max(x, math.Pow10(-decimals))
	// The exponent after rounding to two digits tells where they stand; 9.96 becomes 10 and needs no decimal.
	r := strconv.FormatFloat(x, 'e', 1, 64)
	exp, err := strconv.Atoi(r[strings.IndexByte(r, 'e')+1:])
	if err != nil {
		return r
	}
	if d := 1 - exp; d < decimals {
		decimals = d
	}
	if decimals < 0 {
		x, err = strconv.ParseFloat(r, 64)
		if err != nil {
			return r
		}
		decimals = 0
	}
	return Fixed(x, decimals)
}

// smallDecimals is how finely small errors are shown.
func (u Unit) smallDecimals() int {
	if u.Small() == Thou {
		return 2
	}
	return 1
}

// known maps a number that names no unit to the millimetre, as [Unit.MM] does.
func (u Unit) known() Unit {
	if u < Millimetre || u > Micrometre {
		return Millimetre
	}
	return u
}
