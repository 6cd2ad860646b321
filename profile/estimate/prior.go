package estimate

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/bed"
)

// What is known of wear before anything is read. Lengths mm. Logarithms are natural; each is a mean and a standard
// deviation of a normal distribution. Common practice, no source: wear is some thou, front more than rear, with a
// deepest place and dying out within a foot or two.
var (
	priorFront = [2]float64{math.Log(0.07), 0.8} // strength of the front way's wear where it is strongest
	priorRear  = [2]float64{math.Log(0.5), 0.6}  // the rear way's to the front's
	priorShift = [2]float64{math.Log(0.3), 0.6}  // the shift's to the front's
	// how much worse readings are than their uncertainties say; never better
	priorNoise = [2]float64{0, 0.35}
	priorReach = [2]float64{math.Log(200), 0.6} // length over which wear changes
	// how alike front and rear way wear, as the inverse hyperbolic tangent of a correlation: from 0.3 to 0.99, as the
	// saddle wears both where it is used most
	priorAlike = [2]float64{1.35, 0.8}
)

const (
	tailRatio = 0.1  // tailstock ways' wear to the front way's
	tailSlope = 2e-5 // how far a tailstock way is from parallel to the carriage ways, per length, standard
	unwornU   = 0.01 // how far unworn ways are from straight, as a share of the wear's strength, standard
)

// reaches are the lengths that are tried, mm.
var reaches = []float64{80, 125, 200, 315, 500, 800}

// strengths are the logarithms of what is averaged over beside the reach: the strength of the front's wear, the rear's
// to the front's, the shift's to the front's beside what equal wear of both flanks makes of it, and the factor by which
// all readings are worse than stated; then how alike front and rear wear, see priorAlike. The factor counts from zero
// up only: surveys that agree better than their uncertainties say are not taken to be better, surveys that disagree
// widen the result.
type strengths [5]float64

// priors are the strengths' prior means and standard deviations, in their order.
func priors() [len(strengths{})][2]float64 {
	return [...][2]float64{priorFront, priorRear, priorShift, priorNoise, priorAlike}
}

func priorCentre() strengths {
	var s strengths
	for i, p := range priors() {
		s[i] = p[0]
	}
	return s
}

// noise returns the factor by which readings are worse than stated.
func (s strengths) noise() float64 { return math.Exp(math.Max(0, s[3])) }

// asStated returns the strengths with readings as good as stated.
func (s strengths) asStated() strengths {
	s[3] = 0
	return s
}

// prior returns the logarithm of the prior density of the strengths, up to a constant.
func (s strengths) prior() float64 {
	sum := 0.0
	for i, p := range priors() {
		d := (s[i] - p[0]) / p[1]
		sum -= d * d / 2
	}
	return sum
}

// strength returns the standard deviation of a curve, mm; of the shift, of what the flanks wear apart.
func (s strengths) strength(c bed.Curve) float64 {
	front := math.Exp(s[0])
	switch c {
	case bed.Rear:
		return front * math.Exp(s[1])
	case bed.Shift:
		return front * math.Exp(s[2])
	case bed.TailFront, bed.TailRear:
		return front * tailRatio
	}
	return front
}

// alike returns the correlation of front and rear drop at one place.
func (s strengths) alike() float64 { return math.Tanh(s[4]) }

// between returns the covariance, mm², of two curves at one place. The shift is what equal wear of both flanks makes
// of the front's drop, and what the flanks wear apart.
func (p *problem) between(at strengths, c, d bed.Curve) float64 {
	if c > d {
		c, d = d, c
	}
	follows := p.in.Follows
	front := at.strength(bed.Front)
	switch {
	case c == bed.Shift && d == bed.Shift:
		own := at.strength(bed.Shift)
		return follows*follows*front*front + own*own
	case c == d:
		return at.strength(c) * at.strength(c)
	case c == bed.Front && d == bed.Shift:
		return follows * front * front
	case c == bed.Front && d == bed.Rear:
		return at.alike() * front * at.strength(bed.Rear)
	case c == bed.Shift && d == bed.Rear:
		return follows * at.alike() * front * at.strength(bed.Rear)
	}
	return 0
}

// related says whether what is known of one curve beforehand says something of another.
func (p *problem) related(c, d bed.Curve) bool {
	carries := func(c bed.Curve) bool { return c == bed.Front || c == bed.Rear || c == bed.Shift && p.in.Follows != 0 }
	return c == d || carries(c) && carries(d)
}

// manner is how wear changes along the bed: most of it over a reach, smoothly, and a share of it over a short reach
// whatever the rest does: edges and local hollows. Where the ways wear evenly a large share would have spreads
// overrated, where they wear with an edge a small one would have the ± too small there; so that is averaged over too.
type manner struct {
	reach float64 // mm
	share float64
}

// What changes over a short reach is greater where wear changes quickly as a whole: at the flanks of the worn stretch
// rather than in its middle. In steep places it has the share of a change of the whole over steepReach.
const (
	shortReach = 30.0  // mm
	steepReach = 150.0 // mm
)

// The share of what changes over a short reach. An edge or a hollow may lie anywhere, and the ± at a place allows for
// one there; but in one length of work they do not lie everywhere at once. What is asked of a whole length, its spread
// and form, is therefore asked of wear that is smooth but for very little.
const (
	edgeShare   = 0.05
	lengthShare = 0.002
)

// prior returns the logarithm of the prior density of the manner, up to a constant.
func (m manner) prior() float64 {
	d := (math.Log(m.reach) - priorReach[0]) / priorReach[1]
	return -d * d / 2
}

// smooth and rough return the correlation of values at two places so far apart (Matérn, ν = 5/2 and 3/2).
func smooth(apart, reach float64) float64 {
	d := math.Sqrt(5) * math.Abs(apart) / reach
	return (1 + d + d*d/3) * math.Exp(-d)
}

func rough(apart, reach float64) float64 {
	d := math.Sqrt(3) * math.Abs(apart) / reach
	return (1 + d) * math.Exp(-d)
}

// place is where a curve is taken, mm, how steep the wear is there (see steepReach), and how strong wear usually is
// there (see usualAt).
type place struct{ at, steep, usual float64 }

// usualAt returns how strong wear usually is at a place of a bed that ends at end, mm, as a share of what it is where
// it is strongest: in the bed's first third from the spindle, where most work is turned. It dies out to both sides, but
// nowhere so that wear there would be a surprise. Common practice, no source; how wide and how far down, is ours.
// Without it what no reading tells, such as how far both ways have sunk together, is taken to be as great near the
// bed's ends as in the worn stretch, and the wear in that stretch too small.
func usualAt(z, end float64) float64 {
	if end <= 0 {
		return 1 // all of it under the headstock: nothing is usual there
	}
	d := (z/end - usualMiddle) / usualWidth
	return usualLeast + (1-usualLeast)*math.Exp(-d*d/2)
}

// The middle and the width of the stretch that is worn most, of the bed's length from the spindle's nose on, and the
// least share.
const (
	usualMiddle = 0.25
	usualWidth  = 0.18
	usualLeast  = 0.15
)

// covariance returns that of a curve's values at two places, for a strength of 1.
func (m manner) covariance(a, b place) float64 {
	apart := a.at - b.at
	return a.usual * b.usual * ((1-m.share)*smooth(apart, m.reach) +
		m.share*a.steep*b.steep*rough(apart, math.Min(m.reach, shortReach)))
}

// kernelOn returns the covariance of a curve's values at the knots for a strength of 1, conditioned on there being no
// wear at the datum. It is conditioned once and for all strengths, so that the datum says nothing of how strong the
// wear is elsewhere.
func kernelOn(knots, datum []place, m manner) *mat.Dense {
	n, d := len(knots), len(datum)
	k := mat.NewDense(n, n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			v := m.covariance(knots[i], knots[j])
			k.Set(i, j, v)
			k.Set(j, i, v)
		}
	}
	if d == 0 {
		return k
	}
	at := mat.NewSymDense(d, nil)
	to := mat.NewDense(d, n, nil)
	for i := range d {
		for j := i; j < d; j++ {
			at.SetSym(i, j, m.covariance(datum[i], datum[j]))
		}
		at.SetSym(i, i, at.At(i, i)+unwornU*unwornU)
		for j := range n {
			to.Set(i, j, m.covariance(datum[i], knots[j]))
		}
	}
	var chol mat.Cholesky
	var solved, off mat.Dense
	if !chol.Factorize(at) || chol.SolveTo(&solved, to) != nil && solved.IsEmpty() {
		return k // not seen: a covariance with something added on its diagonal is regular
	}
	off.Mul(to.T(), &solved)
	k.Sub(k, &off)
	return k
}

// datumOf spreads positions over the unworn stretches. Those of one stretch are not independent of each other, so a few
// of them say it.
func datumOf(unworn [][2]float64) []float64 {
	const (
		apart = 25.0 // mm
		most  = 12   // in one stretch
	)
	var out []float64
	for _, u := range unworn {
		n := min(max(int((u[1]-u[0])/apart)+1, 2), most)
		out = append(out, even(u[0], u[1], n)...)
	}
	return out
}
