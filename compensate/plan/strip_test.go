package plan

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The setting that brings the widest strip to its narrowest is as good as any that is tried, and by hand: points (0,
// 0), (1, 1), (2, 0) of shares 0, 1, 2 are narrowest level, at 1; with the third at 1 the setting is −1/2 and half is
// left.
func TestNarrowest(t *testing.T) {
	for _, c := range []struct{ third, x, width float64 }{{0, 0, 1}, {1, -0.5, 0.5}} {
		x, width := narrowest([]band{{value: []float64{0, 1, c.third}, share: []float64{0, 1, 2}, width: 1}}, 10)
		if math.Abs(width-c.width) > 1e-12 || c.third == 1 && math.Abs(x-c.x) > 1e-12 {
			t.Errorf("third at %v: %v at %v, expected %v at %v", c.third, width, x, c.width, c.x)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		var strips []band
		for range rapid.IntRange(1, 4).Draw(t, "strips") {
			n := rapid.IntRange(1, 12).Draw(t, "points")
			number := rapid.Float64Range(-1, 1)
			strips = append(strips, band{value: rapid.SliceOfN(number, n, n).Draw(t, "value"),
				share: rapid.SliceOfN(number, n, n).Draw(t, "share"),
				width: rapid.Float64Range(0.1, 2).Draw(t, "width")})
		}
		most := rapid.Float64Range(0.1, 5).Draw(t, "most")
		x, width := narrowest(strips, most)
		if math.Abs(x) > most {
			t.Fatalf("set by %v, beyond %v", x, most)
		}
		if got, _ := widest(strips, x); math.Abs(got-width) > 1e-9 {
			t.Fatalf("the width at %v is %v, not %v", x, got, width)
		}
		for k := -200; k <= 200; k++ {
			if w, _ := widest(strips, most*float64(k)/200); w < width-1e-9 {
				t.Fatalf("%v at %v is narrower than %v at %v", w, most*float64(k)/200, width, x)
			}
		}
	})
}
