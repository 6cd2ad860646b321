package length

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/spf13/pflag"
	"pgregory.net/rapid"

	_ "wornway/testdata/steady"
)

var (
	_ pflag.Value = (*Length)(nil)
)

func TestParse(t *testing.T) {
	for _, c := range []struct {
		text string
		want Length
		mmIn float64 // in mm, where the file is in inches: exact arithmetic with 25.4 mm to the inch
	}{
		{"3in", Length{3, Inch, true}, 76.2},
		{"3 in", Length{3, Inch, true}, 76.2},
		{" 3in ", Length{3, Inch, true}, 76.2},
		{"75mm", Length{75, Millimetre, true}, 75},
		{"0.5thou", Length{0.5, Thou, true}, 0.0127},
		{"12um", Length{12, Micrometre, true}, 0.012},
		{"12\u00b5m", Length{12, Micrometre, true}, 0.012},
		{"12\u03bcm", Length{12, Micrometre, true}, 0.012},
		{"3", Length{Number: 3}, 76.2},
		{"-8", Length{Number: -8}, -203.2},
		{"+.5", Length{Number: 0.5}, 12.7},
		{"5.", Length{Number: 5}, 127},
		{"1e1mm", Length{10, Millimetre, true}, 10},
		{"-0", Length{}, 0},
		{"0.1in", Length{0.1, Inch, true}, 2.54},
		{"6 1/2", Length{Number: 6.5}, 165.1},
		{"6-1/2in", Length{6.5, Inch, true}, 165.1},
		{"-6 1/2", Length{Number: -6.5}, -165.1},
		{"6½", Length{Number: 6.5}, 165.1},
		{"6 ½ in", Length{6.5, Inch, true}, 165.1},
		{"-½\"", Length{-0.5, Inch, true}, -12.7},
		{"⅜in", Length{0.375, Inch, true}, 9.525},
		{"1/64", Length{Number: 0.015625}, 0.396875},
		{"3/8\"", Length{0.375, Inch, true}, 9.525},
		{"3 / 2 in", Length{1.5, Inch, true}, 38.1},
		{"6.5\"", Length{6.5, Inch, true}, 165.1},
		{"6.5 inch", Length{6.5, Inch, true}, 165.1},
		{"3″", Length{3, Inch, true}, 76.2},
		{"40 thou", Length{40, Thou, true}, 1.016},
		{".0005", Length{Number: 0.0005}, 0.0127},
		{"0.02 mm", Length{0.02, Millimetre, true}, 0.02},
		{"3MM", Length{3, Millimetre, true}, 3},
		{"20 µm", Length{20, Micrometre, true}, 0.02},
		{"20 microns", Length{20, Micrometre, true}, 0.02},
	} {
		got, err := Parse(c.text)
		if err != nil {
			t.Errorf("Parse(%q): %v", c.text, err)
			continue
		}
		if got != c.want || math.Signbit(got.Number) != math.Signbit(c.want.Number) {
			t.Errorf("Parse(%q) = %+v, want %+v", c.text, got, c.want)
		}
		if mm := got.MM(Inch); mm != c.mmIn {
			t.Errorf("Parse(%q) is %v mm in an inch file, want %v", c.text, mm, c.mmIn)
		}
	}
	if l, _ := Parse("3"); l.MM(Millimetre) != 3 {
		t.Errorf("3 in a mm file is %v mm", l.MM(Millimetre))
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"", "nothing was given"},
		{"  ", "nothing was given"},
		{"in", "is not a length"},
		{"3'", "such as 12in"},
		{"3 ft", "such as 12in"},
		{"3cm", "such as 75mm"},
		{"3mil", "write thou"},
		{"3 furlongs", "use mm, in, thou or um"},
		{"NaN", "is not a length"},
		{"Inf", "is not a length"},
		{"-inf", "is not a length"},
		{"infinity mm", "is not a length"},
		{"0x1p-2", "is not a length"},
		{"1_000", "without underscores"},
		{"1.2.3", "is not a length"},
		{"3 4", "is two numbers"},
		{"8 to 40", "is two numbers"},
		{"8-40", "is two numbers"},
		{"--3", "is not a length"},
		{"−3", "ordinary hyphen"},
		{"0,5", "write 0.5"},
		{"0,5 mm", "write 0.5mm"},
		{",5", "write a decimal point"},
		{"1,000", "nothing between thousands"},
		{"1,000.5", "nothing between thousands"},
		{"1 3/2", "write a fraction as in 6 1/2"},
		{"6.5 1/2", "is two numbers"},
		{"6 -1/2", "is two numbers"},
		{"1/2.5", "is not a length"},
		{"1/0", "decimal number"},
		{"1/x", "unknown unit"},
		{"1e999", "too large"},
		{"1e308in", "too large"},
		{"1e308", "too large"}, // an inch file would make it infinite
		{strings.Repeat("9", 400), "too large"},
	} {
		l, err := Parse(c.text)
		if err == nil {
			t.Errorf("Parse(%q) = %+v, want an error", c.text, l)
			continue
		}
		var e *Error
		if !errors.As(err, &e) {
			t.Errorf("Parse(%q): %T is not *Error", c.text, err)
		}
		if !strings.Contains(err.Error(), c.want) {
			t.Errorf("Parse(%q): %q does not say %q", c.text, err, c.want)
		}
		if strings.Contains(err.Error(), "\n") || len(err.Error()) > 250 {
			t.Errorf("Parse(%q): message is not one short line: %q", c.text, err)
		}
	}
}

func TestParseNumber(t *testing.T) {
	for text, want := range map[string]float64{"3": 3, "-0.30": -0.3, " .5 ": 0.5, "1e-3": 0.001, "1/4": 0.25,
		"2 1/2": 2.5, "-0": 0, "33/32": 1.03125, "17/16": 1.0625, "-5/4": -1.25, "11/8": 1.375, "127/64": 1.984375,
		"5/2": 2.5} {
		if got, err := ParseNumber(text); err != nil || got != want || math.Signbit(got) != math.Signbit(want) {
			t.Errorf("ParseNumber(%q) = %v, %v; want %v", text, got, err, want)
		}
	}
	for text, want := range map[string]string{
		"":      "nothing was given",
		"nan":   "is not a number",
		"0x10":  "is not a number",
		"1_0":   "underscores",
		"1,5":   "write 1.5",
		"1/0":   "as in 6 1/2",
		"81/4":  "write 8 1/4, or 20.25 for the fraction", // 81 over 4 is 20.25
		"11/4":  "write 1 1/4, or 2.75 for the fraction",
		"21/8":  "write 2 1/8, or 2.625 for the fraction",
		"3in":   "is not a number",
		"2e308": "too large",
	} {
		if got, err := ParseNumber(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("ParseNumber(%q) = %v, %v; want %q", text, got, err, want)
		}
	}
}

// What a comma is, by hand: in 0,500 and 6,5 a decimal one, in 6,500 either.
func TestDecimal(t *testing.T) {
	for text, want := range map[string]string{"6,5": "6.5", "-0,02 mm": "-0.02 mm", ",5": ".5", "0,500": "0.500",
		"6,5000": "6.5000", "6.5": "6.5", "x": "x"} {
		if got, err := Decimal(text); err != nil || got != want {
			t.Errorf("Decimal(%q) = %q, %v; want %q", text, got, err, want)
		}
	}
	for text, want := range map[string]string{"6,500": "write 6.500 or 6500",
		"-6,500 mm": "write -6.500 mm or -6500 mm",
		"6,":        "decimal number", "1,2,3": "decimal number", "1.5,2": "decimal number",
		"1/2,5": "decimal number"} {
		if got, err := Decimal(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("Decimal(%q) = %q, %v; want %q", text, got, err, want)
		}
	}
}

func TestUnits(t *testing.T) {
	for _, c := range []struct {
		name  string
		unit  Unit
		print string
		small Unit
		mm    float64
	}{
		{"mm", Millimetre, "mm", Micrometre, 1},
		{"in", Inch, "in", Thou, 25.4},
		{"thou", Thou, "thou", Thou, 0.0254},
		{"um", Micrometre, "\u00b5m", Micrometre, 0.001},
		{"\u00b5m", Micrometre, "\u00b5m", Micrometre, 0.001},
		{"\u03bcm", Micrometre, "\u00b5m", Micrometre, 0.001},
	} {
		u, err := ParseUnit(c.name)
		if err != nil || u != c.unit {
			t.Errorf("ParseUnit(%q) = %v, %v", c.name, u, err)
		}
		if u.String() != c.print || u.Small() != c.small || u.MM() != c.mm {
			t.Errorf("%s: String %q, Small %v, MM %v", c.name, u, u.Small(), u.MM())
		}
	}
	var zero Unit
	if zero != Millimetre {
		t.Error("the zero unit is not the millimetre")
	}
	for _, bad := range []string{"", "MM", " mm", "inch", "m", "ft", `"`} {
		if u, err := ParseUnit(bad); err == nil {
			t.Errorf("ParseUnit(%q) = %v, want an error", bad, u)
		}
	}
	if _, err := ParseUnit("ell"); err == nil || !strings.Contains(err.Error(), "mm, in, thou or um") {
		t.Errorf("unknown unit: %v does not name the known ones", err)
	}
}

// Exact arithmetic with 25.4 mm to the inch.
func TestFrom(t *testing.T) {
	for _, c := range []struct {
		mm   float64
		unit Unit
		want float64
	}{
		{101.6, Inch, 4}, {76.19999999999999, Inch, 3}, {0.1 + 0.2, Millimetre, 0.3}, {0.0127, Thou, 0.5},
		{0.012, Micrometre, 12},
		{0.00254, Thou, 0.1}, {math.Copysign(0, -1), Inch, 0}, {math.MaxFloat64, Millimetre, math.MaxFloat64},
	} {
		if got := c.unit.From(c.mm); got != c.want || math.Signbit(got) {
			t.Errorf("%v mm is %v %v, want %v", c.mm, got, c.unit, c.want)
		}
	}
	if !math.IsNaN(Inch.From(math.NaN())) || !math.IsInf(Inch.From(math.Inf(-1)), -1) {
		t.Error("NaN and infinities must pass through")
	}
}

func TestSetKeepsOldValue(t *testing.T) {
	l := Length{2, Inch, true}
	if err := l.Set("two"); err == nil || l != (Length{2, Inch, true}) {
		t.Errorf("after a refused Set: %+v, %v", l, err)
	}
	if err := l.Set("4mm"); err != nil || l != (Length{4, Millimetre, true}) {
		t.Errorf("after Set: %+v, %v", l, err)
	}
	if l.Type() != "length" {
		t.Errorf("Type() = %q", l.Type())
	}
	if s := (*Length)(nil).String(); s != "0" {
		t.Errorf("nil prints as %q", s)
	}
}

func units(t *rapid.T) Unit { return Unit(rapid.IntRange(0, 3).Draw(t, "unit")) }

// A number of up to 12 digits, as somebody may type, comes back from millimetres exactly.
func TestRoundTripTyped(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := units(t)
		digits := rapid.Int64Range(-999_999_999_999, 999_999_999_999).Draw(t, "digits")
		x := float64(digits) / math.Pow10(rapid.IntRange(0, 10).Draw(t, "decimals"))
		if got := u.From(u.ToMM(x)); got != x {
			t.Fatalf("%v %v came back as %v", x, u, got)
		}
	})
}

// Any number of millimetres comes back from any unit to 1.5e-14 of itself: two roundings to 15 digits, each at most
// 5e-15.
func TestRoundTripComputed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := units(t)
		mm := rapid.Float64Range(-1e6, 1e6).Draw(t, "mm")
		if got := u.ToMM(u.From(mm)); math.Abs(got-mm) > 1.5e-14*math.Abs(mm)+1e-300 {
			t.Fatalf("%v mm came back from %v as %v", mm, u, got)
		}
	})
}

func TestParseString(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := Length{Number: rapid.Float64Range(-1e300, 1e300).Draw(t, "number") + 0}
		if rapid.Bool().Draw(t, "has unit") {
			l.Unit, l.HasUnit = units(t), true
		}
		got, err := Parse(l.String())
		if err != nil || got != l {
			t.Fatalf("%+v prints as %q and reads as %+v, %v", l, l.String(), got, err)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"3in", "75 mm", "0,5", "1 1/2in", `3"`, "NaN", "0x1p-2", "1_0", "-.5e3um", "1e308",
		"\xff", "3\x00", "1/", "-1-/"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if x, err := ParseNumber(s); err == nil && (math.IsNaN(x) || math.IsInf(x, 0)) {
			t.Fatalf("ParseNumber(%q) = %v", s, x)
		}
		l, err := Parse(s)
		if err != nil {
			if msg := err.Error(); msg == "" || strings.ContainsAny(msg, "\n\r") || len(msg) > 700 {
				t.Fatalf("Parse(%q): message %q", s, msg)
			}
			return
		}
		for u := Millimetre; u <= Micrometre; u++ {
			if mm := l.MM(u); math.IsNaN(mm) || math.IsInf(mm, 0) {
				t.Fatalf("Parse(%q) is %v mm", s, mm)
			}
		}
		if back, err := Parse(l.String()); err != nil || back != l {
			t.Fatalf("Parse(%q) = %+v, prints as %q, reads as %+v, %v", s, l, l.String(), back, err)
		}
	})
}
