package length

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Length is a length as a person typed it. Without a unit it is in the unit of the file it speaks about, which may not
// be known yet when a flag is read; [Length.MM] settles that.
type Length struct {
	Number  float64
	Unit    Unit
	HasUnit bool
}

// Error is what is wrong with a text that should have been a length, a slope, a number or a unit.
type Error struct {
	Text string // the text as it was given
	What string // what is wrong, a phrase that follows the text: "is not a known unit"
	Hint string // how to put it right, or empty
}

// Error gives the text, what is wrong and the hint on one line.
func (e *Error) Error() string {
	s := strconv.Quote(e.Text) + " " + e.What
	if e.Hint != "" {
		s += "; " + e.Hint
	}
	return s
}

func fault(text, what, hint string) error {
	if len(text) > 60 { // nobody typed this: keep the message to one line
		cut := 60
		for cut > 0 && !utf8.RuneStart(text[cut]) {
			cut--
		}
		text = text[:cut] + "…"
	}
	return &Error{Text: text, What: what, Hint: hint}
}

// Parse reads a length as people write it: a number, as [ParseNumber] reads it, and, with or without a blank between,
// one of the units mm, in, thou, um, in any of their usual spellings (inch, ", µm, micron). Without a unit the length
// is in the unit of the file. Errors are of type [*Error] and say what to write instead.
func Parse(s string) (Length, error) {
	t := strings.TrimSpace(s)
	x, num, rest, err := cutNumber(t)
	if err != nil {
		return Length{}, fault(s, "is not a length", err.Error())
	}
	rest = strings.TrimSpace(rest)
	if num == "" {
		return Length{}, fault(s, "is not a length", numberHint(t))
	}
	if hint := commaHint(num, rest); hint != "" {
		return Length{}, fault(s, "has a decimal comma", hint)
	}
	l := Length{Number: x + 0}
	if rest != "" {
		if l.Unit, l.HasUnit = spokenUnit(rest); !l.HasUnit {
			return Length{}, unitFault(s, rest)
		}
	}
	// Without a unit the file may still say inches, the largest unit there is.
	largest := Inch
	if l.HasUnit {
		largest = l.Unit
	}
	if math.IsInf(largest.ToMM(l.Number), 0) {
		return Length{}, fault(s, "is too large to be a length", "")
	}
	return l, nil
}

// unitFault describes a number followed by something that is no unit.
func unitFault(s, rest string) error {
	if two(s) {
		return fault(s, tooMany, "")
	}
	switch rest {
	case "'", "′", "’", "ft", "feet", "foot":
		return fault(s, "is in feet, which are not read here", "write it in inches, such as 12in")
	case "cm", "m":
		return fault(s, "is in "+rest+", which is not read here", "write it in millimetres, such as 75mm")
	}
	if c := rest[0]; c >= '0' && c <= '9' || strings.ContainsRune("+-._xX", rune(c)) {
		return fault(s, "is not a length", numberHint(s))
	}
	return fault(s, "has an unknown unit "+strconv.Quote(clip(rest)), unitHint(rest))
}

// clip shortens what goes into the middle of a message.
func clip(s string) string {
	if r := []rune(s); len(r) > 20 {
		return string(r[:20]) + "…"
	}
	return s
}

// MM returns the length in millimetres; file is the unit of the file, used where the person gave none.
func (l Length) MM(file Unit) float64 {
	if l.HasUnit {
		return l.Unit.ToMM(l.Number)
	}
	return file.ToMM(l.Number)
}

// String returns the length as [Parse] reads it: "3in", "0.5thou", "3". It is what help shows as a default.
func (l *Length) String() string {
	if l == nil {
		return "0"
	}
	s := formatNumber(l.Number)
	if l.HasUnit {
		s += l.Unit.String()
	}
	return s
}

// Set reads s with [Parse]. On an error the length stays as it was.
func (l *Length) Set(s string) error {
	v, err := Parse(s)
	if err != nil {
		return err
	}
	*l = v
	return nil
}

// Type names the kind of value in a command's help.
func (l *Length) Type() string { return "length" }
