package wear

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/interp"
)

// curve is a monotone cubic through knots: on each piece the cubic that takes the values and the slopes at its two
// ends.
//
// The slopes are gonum's (interp.FritschButland: F. N. Fritsch and J. Butland, "A method for constructing local
// monotone piecewise cubic interpolants", SIAM J. Sci. Stat. Comput. 5 (1984) 300-304), which keep the curve from
// overshooting its values. The cubic is written out here and not asked of gonum, because the mean and the slope over a
// bearing need its exact integral, and because a curve of a million knots is read in order: finding the piece from a
// guess beats a search at every reading.
type curve struct {
	z, y, m []float64 // positions, values, slopes
	middle  float64   // position about which first moments are taken
	area    []float64 // integral of the curve from the first knot to each knot
	moment  []float64 // the same of the curve times (position − middle)
}

func newCurve(z, y []float64) *curve {
	var fb interp.FritschButland
	if err := fb.Fit(z, y); err != nil {
		// Fit objects to fewer than two points or unequal lengths only, which New has refused.
		panic(err)
	}
	n := len(z)
	c := &curve{z: z, y: y, m: make([]float64, n), middle: (z[0] + z[n-1]) / 2, area: make([]float64, n),
		moment: make([]float64, n)}
	for i := range z {
		c.m[i] = fb.PredictDerivative(z[i])
	}
	for i := 0; i+1 < n; i++ {
		a, b := c.pieceIntegral(i, z[i], z[i+1], c.middle)
		c.area[i+1] = c.area[i] + a
		c.moment[i+1] = c.moment[i] + b
	}
	return c
}

// finite says whether slopes and integrals are numbers, which finite values too far apart do not ensure.
func (c *curve) finite() bool {
	for i := range c.m {
		if v := c.m[i] - c.m[i] + c.area[i] - c.area[i] + c.moment[i] - c.moment[i]; v != 0 {
			return false
		}
	}
	return true
}

// piece returns the index of the piece that holds p, which lies between the first and the last knot.
func (c *curve) piece(p float64) int {
	n := len(c.z)
	guess := int((p - c.z[0]) / (c.z[n-1] - c.z[0]) * float64(n-1))
	i := min(max(guess, 0), n-2)
	// Step outward from the guess, ever faster, until p is enclosed; then halve.
	lo, hi := i, i+1
	for step := 1; c.z[lo] > p && lo > 0; step *= 2 {
		hi, lo = lo, max(lo-step, 0)
	}
	for step := 1; c.z[hi] < p && hi < n-1; step *= 2 {
		lo, hi = hi, min(hi+step, n-1)
	}
	if hi-lo == 1 {
		return lo
	}
	return lo + sort.Search(hi-lo-1, func(k int) bool { return c.z[lo+k+1] > p })
}

// cubic evaluates piece i at p.
func (c *curve) cubic(i int, p float64) float64 {
	h := c.z[i+1] - c.z[i]
	t := (p - c.z[i]) / h
	u := 1 - t
	return u*u*((1+2*t)*c.y[i]+t*h*c.m[i]) + t*t*((1+2*u)*c.y[i+1]-u*h*c.m[i+1])
}

// at returns the curve's value at p, the end values beyond its ends.
func (c *curve) at(p float64) float64 {
	n := len(c.z)
	if p <= c.z[0] {
		return c.y[0]
	}
	if p >= c.z[n-1] {
		return c.y[n-1]
	}
	return c.cubic(c.piece(p), p)
}

// pieceIntegral returns the integrals over [a, b], inside piece i, of the curve and of the curve times (position −
// middle). Three-point Gauss is exact for the quartic that the latter is.
func (c *curve) pieceIntegral(i int, a, b, middle float64) (area, moment float64) {
	const node = 0.7745966692414834 // √(3/5)
	m, h := (a+b)/2, (b-a)/2
	for _, g := range [3][2]float64{{-node, 5.0 / 9}, {0, 8.0 / 9}, {node, 5.0 / 9}} {
		p := m + g[0]*h
		v := c.cubic(i, p) * g[1] * h
		area += v
		moment += v * (p - middle)
	}
	return area, moment
}

// integral returns the same from the first knot to p, the end values going on beyond the ends.
func (c *curve) integral(p float64) (area, moment float64) {
	n := len(c.z)
	if p <= c.z[0] || p >= c.z[n-1] {
		k := 0
		if p > c.z[0] {
			k = n - 1
		}
		area = c.y[k] * (p - c.z[k])
		return c.area[k] + area, c.moment[k] + area*((p+c.z[k])/2-c.middle)
	}
	i := c.piece(p)
	area, moment = c.pieceIntegral(i, c.z[i], p, c.middle)
	return c.area[i] + area, c.moment[i] + moment
}

// line returns the curve's mean over [a, b] and its least-squares slope there.
//
// A stretch within one piece is integrated by itself: the difference of two integrals from the first knot would leave a
// short one few digits.
func (c *curve) line(a, b float64) (mean, slope float64) {
	if n := len(c.z); a >= c.z[0] && b <= c.z[n-1] {
		if i := c.piece(a); b <= c.z[i+1] {
			area, moment := c.pieceIntegral(i, a, b, (a+b)/2)
			return area / (b - a), 12 * moment / math.Pow(b-a, 3)
		}
	}
	a0, a1 := c.integral(a)
	b0, b1 := c.integral(b)
	length := b - a
	area := b0 - a0
	moment := b1 - a1 - area*((a+b)/2-c.middle)
	return area / length, 12 * moment / (length * length * length)
}

// above returns the stretch from the first to the last position at which the curve exceeds the level.
func (c *curve) above(level float64) (from, to float64, ok bool) {
	n := len(c.z)
	first, last := -1, -1
	for i, y := range c.y {
		if y > level {
			if first < 0 {
				first = i
			}
			last = i
		}
	}
	if first < 0 {
		return 0, 0, false
	}
	from, to = c.z[0], c.z[n-1]
	if first > 0 {
		from = c.crossing(first-1, level)
	}
	if last < n-1 {
		to = c.crossing(last, level)
	}
	return from, to, true
}

// crossing returns where piece i, which is monotone and has the level between its ends, passes it.
func (c *curve) crossing(i int, level float64) float64 {
	a, b := c.z[i], c.z[i+1]
	rising := c.y[i+1] > c.y[i]
	for range 60 {
		m := (a + b) / 2
		if (c.cubic(i, m) > level) == rising {
			b = m
		} else {
			a = m
		}
	}
	return math.Min(math.Max((a+b)/2, c.z[i]), c.z[i+1])
}

// zeros returns where a function that is a cubic between a and b passes through zero there: between its ends and where
// it turns, each found by halving.
func zeros(f func(float64) float64, a, b float64) []float64 {
	if !(b > a) {
		return nil
	}
	// The cubic on [0, 1] from four values.
	y0, y1, y2, y3 := f(a), f(a+(b-a)/3), f(b-(b-a)/3), f(b)
	c1 := (-11*y0 + 18*y1 - 9*y2 + 2*y3) / 2
	c2 := (2*y0 - 5*y1 + 4*y2 - y3) * 9 / 2
	c3 := (-y0 + 3*y1 - 3*y2 + y3) * 9 / 2
	at := []float64{0}
	if d := c2*c2 - 3*c1*c3; d > 0 { // where its slope c1 + 2·c2·t + 3·c3·t² is zero, without losing digits
		q := -(c2 + math.Copysign(math.Sqrt(d), c2))
		for _, t := range []float64{q / (3 * c3), c1 / q} {
			if t > 0 && t < 1 {
				at = append(at, t)
			}
		}
	}
	at = append(at, 1)
	sort.Float64s(at)
	var out []float64
	for i := range len(at) - 1 {
		from, to := a+at[i]*(b-a), a+at[i+1]*(b-a)
		u, v := f(from), f(to)
		if u*v >= 0 {
			continue
		}
		for range 60 {
			m := (from + to) / 2
			if (f(m) > 0) == (u > 0) {
				from = m
			} else {
				to = m
			}
		}
		if m := (from + to) / 2; m > a && m < b {
			out = append(out, m)
		}
	}
	return out
}
