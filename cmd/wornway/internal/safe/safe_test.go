package safe

import (
	"encoding/json"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	_ "wornway/testdata/steady"
)

// The characters are those of ECMA-48 (ESC, CSI as C1), ASCII (DEL, BEL) and Unicode's UAX #9 (LRE, RLO, FSI, ALM).
func TestHidden(t *testing.T) {
	for _, r := range "\x00\x07\x1b\x7f\u0085\u009b\u061c\u200e\u202a\u202e\u2066\u2068\u2069\u2028\u2029\n\t\r" {
		if !Hidden(r) {
			t.Errorf("%U is not hidden", r)
		}
	}
	for _, r := range "aµ±Ø½–“”€Ж旋\u00a0\u2007" {
		if Hidden(r) {
			t.Errorf("%U is hidden", r)
		}
	}
}

func TestText(t *testing.T) {
	for _, c := range []struct{ of, line, text, cell string }{
		{"bed \x1b[2J", "bed \ufffd[2J", "bed \ufffd[2J", "bed \ufffd[2J"},
		{"a\nb\tc", "a\ufffdb\ufffdc", "a\nb\tc", "a\ufffdb\ufffdc"},
		{"x\xff", "x\ufffd", "x\ufffd", "x\ufffd"},
		{"=1+1", "=1+1", "=1+1", "'=1+1"}, {"@SUM", "@SUM", "@SUM", "'@SUM"}, {"-1 deg", "-1 deg", "-1 deg", "'-1 deg"},
		{"+cmd", "+cmd", "+cmd", "'+cmd"}, {"\tx", "\ufffdx", "\tx", "'\ufffdx"},
		{"", "", "", ""}, {"3 µm", "3 µm", "3 µm", "3 µm"},
	} {
		if l, x, k := Line(c.of), Text(c.of), Cell(c.of); l != c.line || x != c.text || k != c.cell {
			t.Errorf("%q: line %q, text %q, cell %q", c.of, l, x, k)
		}
	}
}

// Whatever is encoded reads back as it was, and holds nothing hidden but line feeds.
func TestJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := rapid.MapOf(rapid.String(), rapid.String()).Draw(t, "in")
		in["\u009b\u202e\x7f"] = "\u2069\u009b31m"
		encoded, err := json.MarshalIndent(in, "", "  ")
		if err != nil {
			t.Fatal(err)
		}
		out := JSON(encoded)
		for _, r := range string(out) {
			if Hidden(r) && r != '\n' {
				t.Fatalf("%U in %q", r, out)
			}
		}
		var back map[string]string
		if err := json.Unmarshal(out, &back); err != nil {
			t.Fatal(err)
		}
		for k, v := range in {
			if back[k] != v && utf8.ValidString(k+v) {
				t.Fatalf("%q: %q became %q", k, v, back[k])
			}
		}
	})
}
