package length

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("%s = %v, want %v ± %v", what, got, want, tolerance)
	}
}

// Morse tapers: taper per foot, diameter at the small end of the plug, at the gauge line, and plug depth, in inches.
// Published: engineersedge.com, Morse taper table (13465); plug depths of numbers 1 to 5 from a woodturners' table
// (woodsthebest), of 6 and 7 from memory. mm per metre and included angle were recomputed from the printed taper per
// foot.
func TestMorseTapers(t *testing.T) {
	for _, c := range []struct {
		number                        string
		perFoot                       float64
		small, gauge, depth           float64
		perMetre, included, tolerance float64
	}{
		{"0", 0.62460, 0.252, 0.3561, 2.0, 52.0500, 2.98157, 1e-5},
		{"1", 0.59858, 0.369, 0.475, 2.125, 49.8817, 2.85742, 2e-5},
		{"2", 0.59941, 0.572, 0.700, 2.5625, 49.9508, 2.86138, 1e-5},
		{"3", 0.60235, 0.778, 0.938, 3.1875, 50.1958, 2.87541, 1e-5},
		{"4", 0.62326, 1.020, 1.231, 4.0625, 51.9383, 2.97518, 1e-5},
		{"5", 0.63151, 1.475, 1.748, 5.1875, 52.6258, 3.01454, 2e-5},
		{"6", 0.62565, 2.116, 2.494, 7.25, 52.1375, 2.98658, 2e-5},
		{"7", 0.62400, 2.750, 3.270, 10.0, 52.0000, 2.97871, 1e-5},
	} {
		s := InchesPerFoot(c.perFoot)
		near(t, "Morse "+c.number+" per foot", s.PerFoot(), c.perFoot, 0)
		near(t, "Morse "+c.number+" per metre", s.PerMetre(), c.perMetre, 5.1e-5)
		near(t, "Morse "+c.number+" per 100 mm", s.PerHundred(), c.perMetre/10, 5.1e-6)
		near(t, "Morse "+c.number+" included angle", s.IncludedAngleDegrees(), c.included, 5.1e-6)
		near(t, "Morse "+c.number+" from its plug", Slope((c.gauge-c.small)/c.depth).PerFoot(), c.perFoot, c.tolerance)
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
		near(t, c.text+" in mm/m", s.PerMetre(), c.perMetre, 5e-8)
		near(t, c.text+" in arcsec", s.Arcsec(), c.arcsecond, 6e-7)
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
	// 5/32 in per 2 ft is about 6.5 mm/m, 22.4 minutes of arc: published in a workshop blog (httprover2).
	s = Slope(5.0 / 32 / 24)
	near(t, "5/32 in per 2 ft", s.PerMetre(), 6.5, 0.05)
	near(t, "5/32 in per 2 ft, in minutes", s.Arcsec()/60, 22.4, 0.05)
	// 0.04 mm on diameter in 300 mm: each side leans 13.750987 seconds of arc (exact arithmetic).
	near(t, "half angle", Slope(0.04/300).IncludedAngleDegrees()*1800, 13.750987, 5e-7)
}

// Expected values by hand.
func TestParseSlope(t *testing.T) {
	for text, want := range map[string]float64{
		"0.02 mm/m":      2e-5,
		"0.02mm/m":       2e-5,
		" -0.02 mm / m ": -2e-5,
		"0.02 mm/1000mm": 2e-5,
		"0.01 mm/300 mm": 0.01 / 300,
		"0.02/1000":      2e-5,
		"0.02 / 1000":    2e-5,
		"0.001 in/in":    0.001,
		"0.001in/12in":   0.001 / 12,
		"0.0005 in/ft":   0.0005 / 12,
		"0.5 thou/ft":    0.0005 / 12,
		"1 thou/2 ft":    0.001 / 24,
		"10 um/m":        1e-5,
		"10 \u00b5m/m":   1e-5,
		"25.4 mm/in":     1,
		"0 arcsec":       0,
		"0″":             0,
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

func TestSlopeSet(t *testing.T) {
	s := MillimetresPerMetre(0.02)
	if got := s.String(); got != "0.02 mm/m" {
		t.Errorf("String() = %q", got)
	}
	if err := s.Set("steep"); err == nil || s != 2e-5 {
		t.Errorf("after a refused Set: %v, %v", float64(s), err)
	}
	if err := s.Set("0.05 mm/m"); err != nil || s != 5e-5 {
		t.Errorf("after Set: %v, %v", float64(s), err)
	}
	if s.Type() != "slope" || (*Slope)(nil).String() != "0 mm/m" {
		t.Errorf("Type %q, nil %q", s.Type(), (*Slope)(nil).String())
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

func TestSlopeRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-0.5, 0.5).Draw(t, "slope")
		s := Slope(x)
		for name, back := range map[string]Slope{
			"foot": InchesPerFoot(s.PerFoot()), "metre": MillimetresPerMetre(s.PerMetre()),
			"hundred":        Slope(s.PerHundred() / 100),
			"arcsec":         Arcseconds(s.Arcsec()),
			"included angle": Slope(2 * math.Tan(s.IncludedAngleDegrees()*math.Pi/360)),
		} {
			if math.Abs(float64(back-s)) > 2e-14*math.Abs(x) {
				t.Fatalf("%v came back from %s as %v", x, name, float64(back))
			}
		}
		back, err := ParseSlope(s.String())
		if err != nil || math.Abs(float64(back-s)) > 2e-14*math.Abs(x) {
			t.Fatalf("%v prints as %q and reads as %v, %v", x, s.String(), float64(back), err)
		}
	})
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
		for _, x := range []float64{float64(s), s.PerFoot(), s.PerMetre(), s.PerHundred(), s.Arcsec(),
			s.IncludedAngleDegrees()} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("ParseSlope(%q) = %v", text, float64(s))
			}
		}
		if back, err := ParseSlope(s.String()); err != nil || math.Abs(float64(back-s)) > 2e-14*math.Abs(float64(s)) {
			t.Fatalf("%q is %v, prints as %q, reads as %v, %v", text, float64(s), s.String(), float64(back), err)
		}
	})
}
