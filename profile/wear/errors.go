package wear

import (
	"math"
	"slices"

	"wornway/profile/bed"
)

// errorModel says by which unknowns a curve is off: numbered knots, each of which has a share in the error near it.
type errorModel interface {
	// point appends so many times the knots' shares in the error of a curve at a position.
	point(to []weight, c bed.Curve, p, times float64) []weight
	// stretch appends the knots' shares in the integral over a stretch of the error times a density, which takes the
	// value level in the stretch's middle and rises evenly by so much per mm. A knot may come several times.
	stretch(to []weight, c bed.Curve, a, b, level, rise float64) []weight
	// knots returns, ascending, where the shares stop being smooth, strictly between two positions.
	knots(from, to float64) []float64
}

// tents are errors at the knots of the curves themselves: straight lines between them, for an uncertainty needs no
// finer curve, and level beyond the ends.
type tents []float64

func (t tents) point(to []weight, c bed.Curve, p, times float64) []weight {
	n := len(t)
	switch i, _ := slices.BinarySearch(t, p); {
	case i == 0:
		return append(to, weight{unknown(0, c), times})
	case i == n:
		return append(to, weight{unknown(n-1, c), times})
	default:
		part := (p - t[i-1]) / (t[i] - t[i-1])
		return append(to, weight{unknown(i-1, c), times * (1 - part)}, weight{unknown(i, c), times * part})
	}
}

// stretch takes each piece between knots by Simpson's rule, which is exact for one straight line times another.
func (t tents) stretch(to []weight, c bed.Curve, a, b, level, rise float64) []weight {
	middle := (a + b) / 2
	from := a
	cut := func(end float64) {
		for _, s := range [3]struct{ at, weight float64 }{{from, 1}, {(from + end) / 2, 4}, {end, 1}} {
			to = t.point(to, c, s.at, s.weight*(end-from)/6*(level+rise*(s.at-middle)))
		}
		from = end
	}
	first, _ := slices.BinarySearch(t, a)
	for _, k := range t[first:] {
		if k >= b {
			break
		}
		if k > from {
			cut(k)
		}
	}
	cut(b)
	return to
}

func (t tents) knots(from, to float64) []float64 {
	first, _ := slices.BinarySearch(t, from)
	last, _ := slices.BinarySearch(t, to)
	if first < last && t[first] == from {
		first++
	}
	return t[first:max(first, last)]
}

// A Reach is how far apart places are, mm, whose errors still go together: places a quarter of it apart have errors of
// correlation 0.83, half of it 0.47, a reach 0.03, and those one and a half reaches apart none. It is more than zero.
//
// Errors are a sum of bumps a quarter of a reach apart, which go on along the bed without end, each the square of a
// cosine over one and a half reaches, each of a size that is independent of the others': the moving average of white
// noise. Six bumps cover any place. The squares of bumps that are a whole number of parts, three or more, of their
// width apart add up to the same everywhere, so that the variance is the same at every place whatever the position of
// the bumps; the correlation of two places depends on it by 0.005 at most. The correlation's integral over all
// distances is the reach: a stretch holds as many independent errors as it has reaches.
//
// Derived: cos⁴ is 3/8 and two harmonics, each of which adds up to nothing over evenly spaced places.
type Reach float64

// bumps is how many of them cover a place.
const bumps = 6

// step is how far bumps are apart, mm.
func (r Reach) step() float64 { return float64(r) / 4 }

// height makes the squares of the bumps at a place add up to 1.
var height = math.Sqrt(8.0 / 3 / bumps)

// farthest is the number of the last bump, far beyond all beds: positions further out than that are taken there.
const farthest = 1e9

// place returns a position in steps.
func (r Reach) place(p float64) float64 { return math.Min(math.Max(p/r.step(), -farthest), farthest) }

// bumps calls yield with the bumps at a position and their sizes there: cos² is (1 + cos of twice the angle)/2, and
// from one bump to the next that is a sixth of a turn further, so that one angle tells them all.
func (r Reach) bumps(p float64, yield func(k int, size float64)) {
	t := r.place(p)
	first := math.Floor(t) - bumps/2 + 1
	sin, cos := math.Sincos(2 * math.Pi / bumps * (t - first))
	near, far := cos/2+math.Sqrt(3)/2*sin, -cos/2+math.Sqrt(3)/2*sin
	for i, c := range [bumps]float64{cos, near, far, -cos, -near, -far} {
		yield(int(first)+i, height*(1+c)/2)
	}
}

func (r Reach) point(to []weight, c bed.Curve, p, times float64) []weight {
	const usual = 128 // of the tool's motion at a place less that where it was set
	if to == nil {
		to = make([]weight, 0, usual)
	}
	r.bumps(p, func(k int, size float64) { to = append(to, weight{unknown(k, c), times * size}) })
	return to
}

// stretch integrates in closed form: over a part of a bump from its middle's distance m−h to m+h, of cos² = (1 + cos
// 2ux)/2 and of that times x − m.
func (r Reach) stretch(to []weight, c bed.Curve, a, b, level, rise float64) []weight {
	middle, half := (a+b)/2, bumps*r.step()/2
	u := math.Pi / (2 * half)
	last := r.place(b) + bumps/2
	for k := math.Ceil(r.place(a) - bumps/2); k <= last; k++ {
		at := k * r.step()
		from, end := math.Max(a, at-half), math.Min(b, at+half)
		if !(from < end) {
			continue
		}
		m, h := (from+end)/2, (end-from)/2
		sinm, cosm := math.Sincos(2 * u * (m - at))
		sinh, cosh := math.Sincos(2 * u * h)
		area := h + cosm*sinh/(2*u)
		moment := -sinm * (sinh - 2*u*h*cosh) / (4 * u * u)
		to = append(to, weight{unknown(int(k), c), height * ((level+rise*(m-middle))*area + rise*moment)})
	}
	return to
}

func (r Reach) knots(from, to float64) []float64 {
	var out []float64
	for k := math.Floor(r.place(from)) + 1; k*r.step() < to && k <= farthest; k++ {
		out = append(out, k*r.step())
	}
	return out
}

// Crowded returns, for places in any order, how many of them each shares its error with, itself counted: the sum of its
// error's correlations with theirs. A table typed densely says no more than one whose rows are a reach apart; a row
// taken as independent of the others says the same if its variance is so many times as large.
func (r Reach) Crowded(at []float64) []float64 {
	sums := map[int]float64{}
	for _, p := range at {
		r.bumps(p, func(k int, share float64) { sums[k] += share })
	}
	out := make([]float64, len(at))
	for i, p := range at {
		r.bumps(p, func(k int, share float64) { out[i] += share * sums[k] })
	}
	return out
}
