package wear

import (
	"gonum.org/v1/gonum/mat"

	"wornway/profile/bed"
)

// Covariance is what is known of the uncertainty of a Wear's unknowns.
type Covariance interface {
	// Between returns the covariance of two weighted sums of the unknowns.
	Between(a, b *Weights) float64
}

// Case is one of the normal densities whose mixture says how the unknowns are spread together along a length. A mixture
// has more cases close to its middle and more far out than one normal density, which matters to a spread; and the
// covariance besides may allow at each place for what is nowhere along a length all at once.
type Case struct {
	Weight     float64
	Covariance Covariance
	Prior      Covariance // what it was before anything was read; nil: not known
	// Shift returns how far the case's mean of a weighted sum is from the wear's own; nil: not at all.
	Shift func(*Weights) float64
}

// Cases returns the cases in which the unknowns may be spread: one with the covariance itself where no others are
// known, none where no uncertainty was stated.
func (w *Wear) Cases() []Case {
	switch {
	case w.cov == nil:
		return nil
	case w.cases == nil:
		return []Case{{Weight: 1, Covariance: w.cov}}
	}
	return w.cases
}

// Rows is the covariance of a wear stated row by row: rows are independent of each other, and within a row the curves
// have one covariance that is the same in every row. The scalars are independent of all.
type Rows struct {
	Knots   int                             // how many rows
	Row     [bed.Curves][bed.Curves]float64 // mm²
	Scalars [bed.Scalars]float64            // variance of each scalar: per mm², but for the seating
}

// Between implements Covariance.
func (r Rows) Between(a, b *Weights) float64 {
	x, y := a.merge(), b.merge()
	base := scalarBase(r.Knots)
	sum := 0.0
	start := 0 // first weight of y in the knot that x stands on
	for _, p := range x {
		group := p.index / int(bed.Curves)
		if p.index >= base {
			group = r.Knots
		}
		for start < len(y) && y[start].index < group*int(bed.Curves) {
			start++
		}
		for _, q := range y[start:] {
			if p.index >= base {
				if q.index == p.index {
					sum += p.w * q.w * r.Scalars[p.index-base]
				}
				continue
			}
			if q.index >= (group+1)*int(bed.Curves) {
				break
			}
			sum += p.w * q.w * r.Row[p.index%int(bed.Curves)][q.index%int(bed.Curves)]
		}
	}
	return sum
}

// Full is a covariance of any unknowns with any others.
type Full struct {
	matrix *mat.SymDense
	place  []int32 // of each unknown in the matrix, −1 where it is known exactly
}

// NewFull returns the covariance of the given unknowns, in the order of the matrix's rows; all others are known
// exactly. n is the number of the wear's knots.
func NewFull(n int, of []Unknown, matrix *mat.SymDense) Full {
	f := Full{matrix: matrix, place: make([]int32, scalarBase(n)+int(bed.Scalars))}
	for i := range f.place {
		f.place[i] = -1
	}
	for i, u := range of {
		if u.Knot < 0 {
			f.place[scalarBase(n)+int(u.Scalar)] = int32(i)
		} else {
			f.place[unknown(u.Knot, u.Curve)] = int32(i)
		}
	}
	return f
}

// Between implements Covariance.
func (f Full) Between(a, b *Weights) float64 {
	sum := 0.0
	x, y := a.merge(), b.merge()
	for _, p := range x {
		i := f.place[p.index]
		if i < 0 {
			continue
		}
		row := 0.0
		for _, q := range y {
			if j := f.place[q.index]; j >= 0 {
				row += q.w * f.matrix.At(int(i), int(j))
			}
		}
		sum += p.w * row
	}
	return sum
}

// Dot returns the weighted sum of values given in the order of the matrix's rows; what is known exactly counts as zero.
func (f Full) Dot(w *Weights, values []float64) float64 {
	sum := 0.0
	for _, p := range w.merge() {
		if i := f.place[p.index]; i >= 0 {
			sum += p.w * values[i]
		}
	}
	return sum
}
