package wear

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"wornway/profile/bed"
)

// Skewed returns how far below and above a weighted sum with something beside it, of this standard uncertainty and
// independent of all wear, the limits lie that hold it with a probability of 95 %, as much being left out at either
// end. It does so where they do not lie alike to both sides, the further one more than half as far again as the nearer;
// it returns false elsewhere: the uncertainty says it.
//
// That is so where how the saddle sits matters and nobody says it. The value is the springy saddle's, and a stiffer one
// moves it to one side only: what it may be is spread evenly from nothing to the stiff saddle's, with the second moment
// that the uncertainty counts, and normally by all else. On made-up beds (package study) limits of draws that comply
// with metal being only lost were as unlike as that where the ways alone had been read, and nowhere else.
func (w *Wear) Skewed(g *Weights, beside float64) (below, above float64, skewed bool) {
	sits, known, stated := w.Seating()
	const open = 0.99 // of the uncertainty of what may be anything from 0 to 1
	if !stated || sits != 0 || known < open/math.Sqrt(3) {
		return 0, 0, false
	}
	stiff := g.scalars[bed.Seating]
	u, _ := w.Uncertainty(g)
	rest := math.Sqrt(math.Max(0, u*u-stiff*stiff*known*known) + beside*beside)
	if near, far := normalAndEven(rest, math.Abs(stiff)); far > 1.5*near {
		near = math.Max(0, near) // the springy saddle itself is always possible
		if stiff < 0 {
			near, far = far, near
		}
		return near, far, true
	}
	return 0, 0, false
}

// normalAndEven returns how far below nothing and above it the limits lie, 2.5 % being left out at either end, of the
// sum of a normal value with this standard deviation and one that lies evenly between 0 and a width. Its distribution
// is the mean of the normal one over the width; the integral of Φ is y·Φ(y) + φ(y).
func normalAndEven(deviation, width float64) (below, above float64) {
	if deviation < 1e-9*width {
		deviation = 1e-9 * width
	}
	if width <= 1e-6*deviation {
		return 1.96 * deviation, 1.96 * deviation
	}
	area := func(y float64) float64 { return y*distuv.UnitNormal.CDF(y) + distuv.UnitNormal.Prob(y) }
	quantile := func(p float64) float64 {
		low, high := -9*deviation, width+9*deviation
		for range 60 {
			middle := (low + high) / 2
			if deviation/width*(area(middle/deviation)-area((middle-width)/deviation)) < p {
				low = middle
			} else {
				high = middle
			}
		}
		return (low + high) / 2
	}
	const left = 0.025
	return -quantile(left), quantile(1 - left)
}
