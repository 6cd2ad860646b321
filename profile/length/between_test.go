package length

import "testing"

// What people write for a stretch is taken apart; one number is left alone, be it with a hyphen in it, and so is what
// may be meant in two ways. The ends are what the text says, by reading it.
func TestBetween(t *testing.T) {
	for _, c := range []struct{ text, from, to string }{
		{"8 to 40", "8", "40"},
		{"8-40", "8", "40"},
		{"8 - 40", "8", "40"},
		{"8..40", "8", "40"},
		{"8…40", "8", "40"},
		{"8–40", "8", "40"},
		{"-8 to 44", "-8", "44"},
		{"-8 - 44", "-8", "44"},
		{"-8..-4", "-8", "-4"},
		{"From 8 to 40", "8", "40"},
		{"between 8 and 40", "8", "40"},
		{"6 1/2 to 12-1/4", "6 1/2", "12-1/4"},
		{"6-1/2-12", "6-1/2", "12"},
		{"100 to 300 mm", "100mm", "300 mm"},
		{"4in-300mm", "4in", "300mm"},
		{`8" to 40"`, `8"`, `40"`},
	} {
		if from, to, ok := Between(c.text); !ok || from != c.from || to != c.to {
			t.Errorf("Between(%q) = %q, %q, %v; want %q and %q", c.text, from, to, ok, c.from, c.to)
		}
	}
	for _, text := range []string{"", "8", "-8", "6-1/2", "6-1/2in", "1e-3", "-8-4", "8 to", "to 40", "8-40-60",
		"8 to 40 to 60", "8,40", "8 40", "here to there", "8 to forty"} {
		if from, to, ok := Between(text); ok {
			t.Errorf("Between(%q) = %q and %q; want none", text, from, to)
		}
	}
}
