package plot

import (
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
)

// Labels stand at round numbers, 0 is one of them where the axis has it, and none reads "-0". What is expected is what
// a draughtsman would write along such an axis.
func TestTicksAreRound(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		most      int
		want      string
	}{
		{2.36, 10.24, 8, "3 4 5 6 7 8 9 10"},
		{-1.5, 2.5, 6, "-1 0 1 2"},
		{-8, 44, 8, "0 10 20 30 40"},
		{-0.037, 0.112, 6, "0 0.05 0.10"},
		{100, 990, 8, "200 400 600 800"},
		{-1, 1, 6, "-1.0 -0.5 0 0.5 1.0"},
	} {
		var got []string
		for _, k := range (roundTicks{c.most}).Ticks(c.low, c.high) {
			if k.Value < c.low-1e-9 || k.Value > c.high+1e-9 {
				t.Errorf("%v: a mark at %v", c, k.Value)
			}
			if k.Label != "" {
				got = append(got, k.Label)
			}
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("from %v to %v: %s, expected %s", c.low, c.high, s, c.want)
		}
	}
}

// A title goes over as many lines as it needs, each within the picture, and loses nothing.
func TestTitlesWrap(t *testing.T) {
	s := Figure{}.style(11)
	for _, title := range []string{"Wear", strings.Repeat("a lathe by the wall ", 20), strings.Repeat("W", 400), ""} {
		lines := wrapped(s, title)
		if strings.ReplaceAll(strings.Join(lines, ""), " ", "") != strings.ReplaceAll(title, " ", "") {
			t.Errorf("%q: %q", title, lines)
		}
		for _, l := range lines {
			if s.Width(l) > width-1*vg.Centimeter {
				t.Errorf("%q is %v wide", l, s.Width(l))
			}
		}
	}
}
