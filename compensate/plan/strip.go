package plan

import "math"

// band is what is to be brought into the narrowest strip by one setting x, such as a set-over: the values value +
// x·share of its points. Only their range counts, in units of width.
type band struct {
	value, share []float64
	width        float64 // what the range is measured by, greater than zero
}

// bandEdge is the straight line along which the range of a strip, in units of its width, runs at some x: at + slope·x.
type bandEdge struct{ at, slope float64 }

// widest returns the greatest range of the strips at x and the line on which it lies.
func widest(strips []band, x float64) (float64, bandEdge) {
	best, line := math.Inf(-1), bandEdge{}
	for _, s := range strips {
		low, high := 0, 0
		for k := range s.value {
			v := s.value[k] + x*s.share[k]
			if v < s.value[low]+x*s.share[low] {
				low = k
			}
			if v > s.value[high]+x*s.share[high] {
				high = k
			}
		}
		e := bandEdge{(s.value[high] - s.value[low]) / s.width, (s.share[high] - s.share[low]) / s.width}
		if v := e.at + x*e.slope; v > best {
			best, line = v, e
		}
	}
	return best, line
}

// narrowest returns the x between −most and most at which the widest strip is narrowest, and that width. The width is
// the upper envelope of straight lines, and so convex: a line that falls and one that rises enclose the least, and
// where they cross lies either the answer or a steeper line. Each line is met once, so that it ends, exactly. Derived
// here.
func narrowest(strips []band, most float64) (x, width float64) {
	left, fall := widest(strips, -most)
	right, rise := widest(strips, most)
	switch {
	case fall.slope >= 0:
		return -most, left
	case rise.slope <= 0:
		return most, right
	}
	for range 1000 {
		x = (fall.at - rise.at) / (rise.slope - fall.slope)
		expected := fall.at + x*fall.slope
		value, line := widest(strips, x)
		const rounding = 1e-12
		if value <= expected+rounding*(1+math.Abs(expected)) || line == fall || line == rise {
			return x, value
		}
		switch {
		case line.slope < 0:
			fall = line
		case line.slope > 0:
			rise = line
		default:
			return x, value
		}
	}
	width, _ = widest(strips, x)
	return x, width
}
