package word

import (
	"fmt"
	"math"
	"strings"

	"wornway/compensate"
	"wornway/profile"
	"wornway/profile/length"
)

// Units puts lengths, given in mm, into the file's unit for people.
type Units struct{ In length.Unit }

// At writes a position or length with its unit: "4.25 in".
func (w Units) At(mm float64) string { return w.Bare(mm) + " " + w.In.String() }

// Bare writes it without the unit.
func (w Units) Bare(mm float64) string { return length.Position(mm, w.In) }

// Diameter writes a diameter, or what a micrometer reads, with its unit.
func (w Units) Diameter(mm float64) string {
	return length.Diameter(mm, w.In) + " " + w.In.String()
}

// About writes a position that was searched for, with its unit: no finer than a rule along the bed is read.
func (w Units) About(mm float64) string { return w.BareAbout(mm) + " " + w.In.String() }

// BareAbout writes it without the unit.
func (w Units) BareAbout(mm float64) string {
	step := 0.1
	if w.In == length.Inch {
		step = length.Inch.ToMM(0.01)
	}
	return w.Bare(math.Round(mm/step) * step)
}

// Near writes a position that need not be found to the line, with its unit: where something is, not where to go.
func (w Units) Near(mm float64) string { return w.BareNear(mm) + " " + w.In.String() }

// BareNear writes it without the unit.
func (w Units) BareNear(mm float64) string {
	step := 1.0
	if w.In == length.Inch {
		step = length.Inch.ToMM(0.1)
	}
	return w.Bare(math.Round(mm/step) * step)
}

// Mark writes a position on a rule along the bed, with its unit: inches in sixteenths where it lies on one.
func (w Units) Mark(mm float64) string { return w.BareMark(mm) + " " + w.In.String() }

// BareMark writes it without the unit.
func (w Units) BareMark(mm float64) string {
	sixteenths := w.In.From(mm) * 16
	n := int(math.Round(sixteenths))
	const near = 1e-4
	if w.In != length.Inch || n%16 == 0 || n < 0 || math.Abs(sixteenths-float64(n)) > near {
		return w.BareAbout(mm)
	}
	part, of := n%16, 16
	for part%2 == 0 {
		part, of = part/2, of/2
	}
	if n < 16 {
		return fmt.Sprintf("%d/%d", part, of)
	}
	return fmt.Sprintf("%d %d/%d", n/16, part, of)
}

// Small writes a small error with its unit: "1.10 thou".
func (w Units) Small(mm float64) string {
	return length.Small(mm, w.In) + " " + w.In.Small().String()
}

// Cell writes a small error for a column whose heading names the unit.
func (w Units) Cell(mm float64) string { return length.Small(mm, w.In) }

// PlusMinus writes a standard uncertainty as people are told it, or that there is none.
func (w Units) PlusMinus(standard float64, stated bool) string {
	if !stated {
		return "± not stated"
	}
	return length.PlusMinus(standard, w.In)
}

// Between writes two limits of a small length, each rounded away from the other: "1.5 and 6.1 thou".
func (w Units) Between(low, high float64) string {
	step, decimals := 1e-3, 0
	if w.In == length.Inch {
		step, decimals = length.Inch.ToMM(1e-4), 1
	}
	const near = 1e-6 // of a step: rounding makes no further one
	small := w.In.Small()
	return length.Fixed(small.From(math.Floor(low/step+near)*step), decimals) + " and " +
		length.Fixed(small.From(math.Ceil(high/step-near)*step), decimals) + " " + small.String()
}

// Expanded writes the uncertainty at k = 2 for a column.
func (w Units) Expanded(standard float64, stated bool) string {
	if !stated {
		return "–"
	}
	return length.Small(2*standard, w.In)
}

// Twist writes how far a bed is twisted, given in radians per mm, as levels are marked in the file's unit; TwistUnit
// says how that counts.
func (w Units) Twist(perMM float64) string {
	const foot, inches = 304.8, 12 // a foot in mm, and how many inches it has
	if w.In == length.Inch {
		return length.Fixed(perMM*foot*inches, 5)
	}
	const metre = 1000 // in mm
	return length.Fixed(perMM*metre*metre, 3)
}

// TwistUnit is what Twist counts in.
func (w Units) TwistUnit() string {
	if w.In == length.Inch {
		return "in/ft in each foot"
	}
	return "mm/m in each metre"
}

// UnitName and smallName name the units in headings.
func (w Units) UnitName() string  { return w.In.String() }
func (w Units) SmallName() string { return w.In.Small().String() }

// Division writes a division or backlash with its unit, as short as it is.
func (w Units) Division(mm float64) string {
	return strings.TrimRight(strings.TrimRight(w.Dial(mm), "0"), ".") + " " + w.In.String()
}

// Dial writes a length on a dial for a column, with up to two more decimals where it lies between those of a usual
// dial, as quarters of a division do.
func (w Units) Dial(mm float64) string {
	const more = 2
	decimals := 3
	if w.In == length.Inch {
		decimals = 4
	}
	s := length.Fixed(w.In.From(mm), decimals+more)
	for range more {
		s = strings.TrimSuffix(s, "0")
	}
	return s
}

// Ends says which end is bigger: "1.10 thou smaller at the headstock end".
func (w Units) Ends(mm float64) string {
	s := w.Small(math.Abs(mm))
	switch zero := w.Small(0); {
	case s == zero:
		return "the same diameter at both ends"
	case mm > 0:
		return s + " bigger at the headstock end"
	}
	return s + " smaller at the headstock end"
}

// Beside says what is left of the error beside the taper.
func (w Units) Beside(t compensate.Taper) string {
	switch t.Shape {
	case compensate.Barrel:
		return fmt.Sprintf("beside the taper it is barrel-shaped by %s", w.Small(t.Form))
	case compensate.Waist:
		return fmt.Sprintf("beside the taper it has a waist of %s", w.Small(t.Form))
	case compensate.Straight:
		return "beside the taper it is straight"
	}
	return fmt.Sprintf("beside the taper it is uneven by %s", w.Small(t.Form))
}

// Taper writes a slope on diameter both per foot and per 100 mm.
func (w Units) Taper(slope float64) string {
	inch, mm := length.Taper(slope, length.Inch), length.Taper(slope, length.Millimetre)
	if w.In == length.Inch {
		return inch + " (" + mm + ")"
	}
	return mm + " (" + inch + ")"
}

// ExpectedDiameter is a diameter to a hundredth of a thou or a tenth of a micrometre.
func (w Units) ExpectedDiameter(mm float64) string {
	if w.In == length.Inch {
		return length.Fixed(w.In.From(mm), 5)
	}
	return length.Fixed(mm, 4)
}

// Size writes a diameter that was measured, for a column: one figure more than it is read to.
func (w Units) Size(mm float64) string {
	decimals := 3
	if w.In == length.Inch {
		decimals = 4
	}
	const exact = 1e-3 // of the last of them
	if last := math.Pow(10, -float64(decimals)) * w.In.MM(); math.Abs(mm-math.Round(mm/last)*last) > exact*last {
		decimals++
	}
	return length.Fixed(w.In.From(mm), decimals)
}

// FromNose says where something lies along the bed.
func (w Units) FromNose(mm float64) string {
	if mm < 0 {
		return w.About(-mm) + " behind the spindle nose"
	}
	return w.About(mm) + " from the spindle nose"
}

// SetOver says how far the tailstock goes and where to.
func (w Units) SetOver(mm float64) string {
	to := "toward the operator"
	if mm < 0 {
		to = "away from the operator"
	}
	return fmt.Sprintf("set over by %s %s", w.Small(math.Abs(mm)), to)
}

// Bigger says to which end a slope grows.
func (w Units) Bigger(slope float64) string {
	switch {
	case slope > 0:
		return "bigger toward the tailstock"
	case slope < 0:
		return "bigger toward the headstock"
	}
	return "parallel"
}

// Slide says what a dial is.
func (w Units) Slide(s *profile.Slide) string {
	kind := "radius"
	if s.Diameter {
		kind = "diameter"
	}
	return fmt.Sprintf("%s dial, division %s", kind, w.Division(s.Division))
}

// Backlash says how much there is, mm as the dial counts.
func (w Units) Backlash(mm float64) string {
	if mm == 0 {
		return "none"
	}
	return w.Division(mm)
}

// LeanOver is the length, mm, over which a lean is told.
func (w Units) LeanOver() float64 {
	if w.In == length.Inch {
		return length.Inch.ToMM(12)
	}
	return 300
}

// ToolOffset says where along the saddle the tool stands.
func (w Units) ToolOffset(mm float64) string {
	switch {
	case mm < 0:
		return w.At(-mm) + " from its middle toward the headstock"
	case mm > 0:
		return w.At(mm) + " from its middle toward the tailstock"
	}
	return "over its middle"
}

// Flag writes a quantity as it is typed behind a flag, without a blank and in ASCII.
func Flag(quantity string) string {
	return strings.NewReplacer(" ", "", "µ", "u").Replace(quantity)
}
