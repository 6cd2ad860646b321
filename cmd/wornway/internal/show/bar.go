package show

import (
	"math"
	"strings"
)

// Bar draws value as a bar, to be put into a column of its own: width characters long where value is max, shorter in
// proportion, in steps of an eighth of a character, or of a whole "#" where ascii is set. What is more than nothing
// shows at least the smallest step, what is more than max the whole width. It is empty for a value that is zero,
// negative or NaN, and for a max or width that is not positive.
func Bar(value, max float64, width int, ascii bool) string {
	if !(value > 0) || !(max > 0) || width <= 0 {
		return ""
	}
	part := 1.0
	if value < max {
		part = value / max
	}
	if ascii {
		return strings.Repeat("#", atLeastOne(part*float64(width)))
	}
	n := atLeastOne(part * float64(width) * 8)
	bar := strings.Repeat("█", n/8)
	if n%8 > 0 {
		bar += string([]rune("▏▎▍▌▋▊▉")[n%8-1])
	}
	return bar
}

func atLeastOne(x float64) int { return max(1, int(math.Round(x))) }
