package form

import (
	"math"
	"testing"
)

// A pound is 0.45359237 kg, standard gravity 9.80665 m/s², both by definition (NIST SP 811, from memory): a
// pound-force is their product.
func TestParseForce(t *testing.T) {
	for text, want := range map[string]float64{
		"9 N": 9, "9N": 9, " 1.5e2 N ": 150, "1 lbf": 0.45359237 * 9.80665, "9lbf": 9 * 0.45359237 * 9.80665,
		"-2 kgf": -19.6133, "4 kgf": 39.2266,
	} {
		if got, err := parseForce(text); err != nil || math.Abs(got-want) > 1e-12*math.Abs(want) {
			t.Errorf("parseForce(%q) = %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "9", "N", "lbf", "9 lb", "9 n", "9 kN", "9,5 N", "NaN N", "Inf N", "0x1 N",
		"1e999 N", "1e308 lbf", "9 N 9 N"} {
		if got, err := parseForce(text); err == nil {
			t.Errorf("parseForce(%q) = %v", text, got)
		}
	}
}

func FuzzParseForce(f *testing.F) {
	for _, s := range []string{"9 N", "9 lbf", "1e308 lbf", "kgf", "-0N", "\xffN"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if n, err := parseForce(text); err == nil && (math.IsNaN(n) || math.IsInf(n, 0)) {
			t.Fatalf("parseForce(%q) = %v", text, n)
		}
	})
}
