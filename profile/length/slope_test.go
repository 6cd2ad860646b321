package length

import (
	"math"
	"strings"
	"testing"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("%s = %v, want %v ± %v", what, got, want, tolerance)
	}
}

// Level sensitivities: exact arithmetic (tangent of the angle), in agreement with the makers' printed conversions.
func TestLevelConversions(t *testing.T) {
	for _, c := range []struct {
		text                string
		perMetre, arcsecond float64
	}{
		{"0.02 mm/m", 0.02, 4.125296},
		{"0.01 mm/m", 0.01, 2.062648},
		{"0.04 mm/m", 0.04, 8.250592},
		{"0.05 mm/m", 0.05, 10.313240},
		{"0.0005 in/ft", 0.0416667, 8.594367},
		{"0.0001 in/ft", 0.0083333, 1.718873},
		{"0.001 in/ft", 0.0833333, 17.188734},
		{"1 arcsec", 0.004848137, 1},
	} {
		s, err := ParseSlope(c.text)
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		near(t, c.text+" in mm/m", float64(s)*1000, c.perMetre, 5e-8)
		near(t, c.text+" in arcsec", math.Atan(float64(s))*180*3600/math.Pi, c.arcsecond, 6e-7)
	}
	// One second of arc over a bridge, in µm (exact arithmetic).
	for run, rise := range map[float64]float64{100: 0.484814, 101.6: 0.492571, 110: 0.533295, 200: 0.969627,
		250: 1.212034, 300: 1.454441} {
		near(t, "rise of 1 arcsec", float64(Arcseconds(1))*run*1000, rise, 6e-7)
	}
	// 0.02/1000 on a bridge of 200 mm is 0.004 mm: published in a forum on measuring (3dportal).
	s, err := ParseSlope("0.02/1000")
	if err != nil || Millimetre.From(float64(s)*200) != 0.004 {
		t.Errorf("0.02/1000 over 200 mm is %v, %v", float64(s)*200, err)
	}
}

// Expected values by hand.
func TestParseSlope(t *testing.T) {
	for text, want := range map[string]float64{
		"0.02 mm/m":         2e-5,
		"0.02mm/m":          2e-5,
		" -0.02 mm / m ":    -2e-5,
		"0.02 mm/1000mm":    2e-5,
		"0.01 mm/300 mm":    0.01 / 300,
		"0.02/1000":         2e-5,
		"0.02 / 1000":       2e-5,
		"0.001 in/in":       0.001,
		"0.001in/12in":      0.001 / 12,
		"0.0005 in/ft":      0.0005 / 12,
		"0.5 thou/ft":       0.0005 / 12,
		`.0005"/ft`:         0.0005 / 12,
		"0.5 thou per foot": 0.0005 / 12,
		"0.02 mm per metre": 2e-5,
		"1 thou/2 ft":       0.001 / 24,
		"10 um/m":           1e-5,
		"10 \u00b5m/m":      1e-5,
		"25.4 mm/in":        1,
		"0 arcsec":          0,
		"0″":                0,
	} {
		s, err := ParseSlope(text)
		if err != nil || math.Abs(float64(s)-want) > 1e-15*math.Abs(want) {
			t.Errorf("ParseSlope(%q) = %v, %v; want %v", text, float64(s), err, want)
		}
	}
	for text, want := range map[string]string{
		"":                "is not a slope",
		"level":           "is not a slope",
		"0.02":            "over what length",
		"0,02 mm/m":       "decimal comma",
		"0.02 mm":         "is not a slope",
		"0.02 mm/":        "is not a slope",
		"0.02 mm/yd":      "is not a slope",
		"0.02 m/m":        "is not a slope",
		"0.02 mm/1000":    "is not a slope",
		"0.02/1000 mm":    "is not a slope",
		"0.02/0":          "no length",
		"0.02/-1000":      "no length",
		"0.02 mm/1e999 m": "no length",
		"0.02 mm/m/m":     "is not a slope",
		"324000 arcsec":   "right angle",
		"1e308/1e-308":    "too large",
		"1e999 mm/m":      "too large",
		"NaN mm/m":        "is not a slope",
		"0x1 mm/m":        "is not a slope",
		"5/0x1p3":         "no length",
		"5/1x":            "is not a slope",
	} {
		s, err := ParseSlope(text)
		if err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "0.0005 in/ft") {
			t.Errorf("ParseSlope(%q) = %v, %v; want %q and the forms", text, float64(s), err, want)
		}
	}
}

// By hand: 0.00013333 is 1.6 thou in a foot, and 13.3 µm in 100 mm.
func TestTaper(t *testing.T) {
	for _, c := range []struct {
		s    float64
		u    Unit
		want string
	}{
		{0.0016 / 12, Inch, "1.60 thou/ft"},
		{0.0016 / 12, Millimetre, "13.3 \u00b5m/100 mm"},
		{-0.0016 / 12, Inch, "-1.60 thou/ft"},
		{-1e-9, Inch, "0.00 thou/ft"},
		{-1e-9, Millimetre, "0.0 \u00b5m/100 mm"},
	} {
		if got := Taper(c.s, c.u); got != c.want {
			t.Errorf("Taper(%v, %v) = %q, want %q", c.s, c.u, got, c.want)
		}
	}
}

func FuzzParseSlope(f *testing.F) {
	for _, s := range []string{"0.02 mm/m", "0.0005 in/ft", "0.02/1000", "2 arcsec", "1e308 in/1e-300in", "0.02 mm/",
		"/", "1/", "1//", "\xff/m"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseSlope(text)
		if err != nil {
			return
		}
		if x := float64(s) * 1e6; math.IsNaN(x) || math.IsInf(x, 0) { // nor where it is shown in a small unit
			t.Fatalf("ParseSlope(%q) = %v", text, float64(s))
		}
	})
}
