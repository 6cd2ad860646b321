package main

import (
	"fmt"
	"math"
	"strings"

	"wornway/compensate"
	"wornway/profile/length"
)

// words puts lengths, given in mm, into the file's unit for people.
type words struct{ unit length.Unit }

// at writes a position or length with its unit: "4.25 in".
func (w words) at(mm float64) string { return w.bare(mm) + " " + w.unit.String() }

// bare writes it without the unit.
func (w words) bare(mm float64) string { return length.Position(mm, w.unit) }

// diameter writes a diameter, or what a micrometer reads, with its unit.
func (w words) diameter(mm float64) string {
	return length.Diameter(mm, w.unit) + " " + w.unit.String()
}

// about writes a position that was searched for, with its unit: no finer than a rule along the bed is read.
func (w words) about(mm float64) string { return w.bareAbout(mm) + " " + w.unit.String() }

// bareAbout writes it without the unit.
func (w words) bareAbout(mm float64) string {
	step := 0.1
	if w.unit == length.Inch {
		step = length.Inch.ToMM(0.01)
	}
	return w.bare(math.Round(mm/step) * step)
}

// small writes a small error with its unit: "1.10 thou".
func (w words) small(mm float64) string {
	return length.Small(mm, w.unit) + " " + w.unit.Small().String()
}

// cell writes a small error for a column whose heading names the unit.
func (w words) cell(mm float64) string { return length.Small(mm, w.unit) }

// plusMinus writes a standard uncertainty as people are told it, or that there is none.
func (w words) plusMinus(standard float64, stated bool) string {
	if !stated {
		return "± not stated"
	}
	return length.PlusMinus(standard, w.unit)
}

// expanded writes the uncertainty at k = 2 for a column.
func (w words) expanded(standard float64, stated bool) string {
	if !stated {
		return "–"
	}
	return length.Small(2*standard, w.unit)
}

// inch and smallName name the units in headings.
func (w words) inch() string      { return w.unit.String() }
func (w words) smallName() string { return w.unit.Small().String() }

// division writes a division or backlash with its unit, as short as it is.
func (w words) division(mm float64) string {
	return strings.TrimRight(strings.TrimRight(w.dial(mm), "0"), ".") + " " + w.unit.String()
}

// dial writes a length on a dial for a column.
func (w words) dial(mm float64) string {
	decimals := 3
	if w.unit == length.Inch {
		decimals = 4
	}
	return length.Fixed(w.unit.From(mm), decimals)
}

// divisions writes a number of divisions: "½ division", "2 divisions".
func divisions(n float64) string {
	name := "divisions"
	if n <= 1 {
		name = "division"
	}
	return fraction(n) + " " + name
}

// fraction writes a number with halves and quarters as a turner reads them.
func fraction(n float64) string {
	whole, part := math.Modf(math.Abs(n) + 1e-9)
	sign := map[float64]string{0.25: "¼", 0.5: "½", 0.75: "¾"}[math.Round(part*1000)/1000]
	switch {
	case part < 1e-6:
		return length.Fixed(whole, 0)
	case sign == "":
		return strings.TrimRight(length.Fixed(math.Abs(n), 3), "0")
	case whole == 0:
		return sign
	}
	return length.Fixed(whole, 0) + sign
}

// ends says which end is bigger: "1.10 thou smaller at the headstock end".
func (w words) ends(mm float64) string {
	s := w.small(math.Abs(mm))
	switch zero := w.small(0); {
	case s == zero:
		return "the same diameter at both ends"
	case mm > 0:
		return s + " bigger at the headstock end"
	}
	return s + " smaller at the headstock end"
}

// shape says what is left of the error beside the taper.
func (w words) shape(t compensate.Taper) string {
	switch t.Shape {
	case compensate.Barrel:
		return fmt.Sprintf("beside the taper it is barrel-shaped by %s", w.small(t.Form))
	case compensate.Waist:
		return fmt.Sprintf("beside the taper it has a waist of %s", w.small(t.Form))
	case compensate.Straight:
		return "beside the taper it is straight"
	}
	return fmt.Sprintf("beside the taper it is uneven by %s", w.small(t.Form))
}

// taper writes a slope on diameter both per foot and per 100 mm.
func (w words) taper(slope float64) string {
	inch, mm := length.Taper(slope, length.Inch), length.Taper(slope, length.Millimetre)
	if w.unit == length.Inch {
		return inch + " (" + mm + ")"
	}
	return mm + " (" + inch + ")"
}

// percent writes a probability without promising more than was computed: never 100 % or 0 %.
func percent(p float64) string {
	switch {
	case p > 0.99:
		return "over 99 %"
	case p < 0.01:
		return "under 1 %"
	case p >= 0.945 && p < 0.95: // from 95 % on something counts as promised: not so by rounding
		return "94 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

// count writes a number of things: "no moves", "1 move", "3 moves".
func count(n int, thing string) string {
	switch n {
	case 0:
		return "no " + thing + "s"
	case 1:
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
