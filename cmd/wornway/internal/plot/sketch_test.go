package plot

import (
	"math"
	"strings"
	"testing"
	"unicode/utf8"
)

// A sketch shows its curve where it is: a straight line from −1 to 1 goes from the lower left corner to the upper
// right, through 0 in the middle, and one that is drawn downward the other way; no line is too wide, and ASCII is
// ASCII.
func TestSketchShowsTheCurve(t *testing.T) {
	f := Figure{Y: "error, thou", Lines: []Line{{Name: "it", X: []float64{0, 10}, Y: []float64{-1, 1}}}}
	for _, down := range []bool{false, true} {
		f.Down = down
		for _, ascii := range []bool{false, true} {
			for _, width := range []int{40, 57, 72, 200} {
				lines := f.Sketch(width, ascii)
				if len(lines) != sketchRows+3 {
					t.Fatalf("%d lines", len(lines))
				}
				for _, l := range lines {
					if utf8.RuneCountInString(l) > width || ascii && len(l) != utf8.RuneCountInString(l) {
						t.Errorf("%d wide, ascii %v: %q", width, ascii, l)
					}
				}
				first, last := []rune(lines[1]), []rune(lines[sketchRows])
				if down {
					first, last = last, first
				}
				// margin of "-1.0 " or "-1 ", then the axis
				margin := strings.IndexAny(lines[sketchRows+1], "└+")
				margin = utf8.RuneCountInString(lines[sketchRows+1][:margin])
				if last[margin+1] == ' ' || first[len(first)-1] == ' ' || len(first) < min(width, 72)-2 {
					t.Errorf("the ends of the curve:\n%s", strings.Join(lines, "\n"))
				}
				middle := []rune(lines[1+sketchRows/2])
				at := 0
				for c := margin + 1; c < len(middle); c++ {
					if strings.ContainsRune("▀▄█'.|", middle[c]) {
						at = c - margin
						break
					}
				}
				if wide := len(first) - margin; math.Abs(float64(at)-float64(wide)/2) > float64(wide)/8 {
					t.Errorf("0 is crossed %d of %d in:\n%s", at, wide, strings.Join(lines, "\n"))
				}
			}
		}
	}
	f.Lines = append(f.Lines, Line{Name: "a second one that is not short", X: f.Lines[0].X, Y: []float64{0, 0.5}})
	for _, l := range f.Sketch(40, true) {
		if len(l) > 40 {
			t.Errorf("%d wide: %q", len(l), l)
		}
	}
	if f.Sketch(39, true) != nil || (Figure{}).Sketch(80, true) != nil {
		t.Error("a sketch of nothing, or without room")
	}
}
