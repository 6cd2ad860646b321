package wear

import "wornway/profile/bed"

// Covariance is what is known of the uncertainty of a Wear's unknowns.
type Covariance interface {
	// Between returns the covariance of two weighted sums of the unknowns.
	Between(a, b *Weights) float64
}

// Rows is the covariance of a wear stated row by row: rows are independent of each other, and within a row the curves have one covariance that is
// the same in every row. The scalars are independent of all.
type Rows struct {
	Knots   int                             // how many rows
	Row     [bed.Curves][bed.Curves]float64 // mm²
	Scalars [bed.Scalars]float64            // variance of each scalar, per mm²
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
