package wear

import (
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"wornway/profile/bed"
)

// Covariance is what is known of the uncertainty of a Wear's unknowns.
type Covariance interface {
	// Between returns the covariance of two weighted sums of the unknowns.
	Between(a, b *Weights) float64
	// Among returns what Between has for each two of many sums, found for all together in a fraction of the time.
	Among(sums []*Weights) *mat.SymDense
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
	if w.cov == nil {
		return nil
	}
	if w.cases != nil {
		if of := w.cases(); len(of) > 0 {
			return of
		}
	}
	return []Case{{Weight: 1, Covariance: w.cov}}
}

// Stationary is the covariance of errors that are alike all along the bed and without end beyond it: at every place the
// curves have one covariance, and places go together as the reach says. The scalars are independent of all.
type Stationary struct {
	Reach   Reach
	Place   [bed.Curves][bed.Curves]float64 // mm²
	Scalars [bed.Scalars]float64            // variance of each scalar: per mm², but for the seating
}

// Between implements Covariance.
func (s Stationary) Between(a, b *Weights) float64 {
	const curves = int(bed.Curves)
	sum := 0.0
	for k, v := range s.Scalars {
		sum += a.scalars[k] * b.scalars[k] * v
	}
	y := b.merge()
	start := 0 // first weight of y on the knot that x stands on
	for _, p := range a.merge() {
		of := p.index % curves
		knot := p.index - of
		for start < len(y) && y[start].index < knot {
			start++
		}
		for _, q := range y[start:] {
			if q.index >= knot+curves {
				break
			}
			sum += p.w * q.w * s.Place[of][q.index-knot]
		}
	}
	return sum
}

// Among implements Covariance.
func (s Stationary) Among(sums []*Weights) *mat.SymDense {
	var used []int // places of unknowns, those of a knot together
	for _, w := range sums {
		for _, t := range w.merge() {
			used = append(used, t.index)
		}
	}
	slices.Sort(used)
	used = slices.Compact(used)
	of := make([][]share, len(sums))
	for i, w := range sums {
		row := 0
		for _, t := range w.terms {
			for used[row] < t.index {
				row++
			}
			of[i] = append(of[i], share{row, t.w})
		}
		for k := range s.Scalars {
			of[i] = append(of[i], share{len(used) + k, w.scalars[k]})
		}
	}
	const curves = int(bed.Curves)
	return among(of, len(used)+len(s.Scalars), func(p share, to []float64) {
		if k := p.row - len(used); k >= 0 {
			to[p.row] += p.weight * s.Scalars[k]
			return
		}
		knot := used[p.row] / curves
		first := p.row
		for first > 0 && used[first-1]/curves == knot {
			first--
		}
		for q := first; q < len(used) && used[q]/curves == knot; q++ {
			to[q] += p.weight * s.Place[used[p.row]%curves][used[q]%curves]
		}
	})
}

// among returns the covariances of sums of so many unknowns; times adds so many times an unknown's covariances with
// all.
func among(sums [][]share, unknowns int, times func(p share, to []float64)) *mat.SymDense {
	out := mat.NewSymDense(max(1, len(sums)), nil)
	with := make([]float64, unknowns)
	for i, a := range sums {
		clear(with)
		for _, p := range a {
			times(p, with)
		}
		for k, b := range sums[i:] {
			sum := 0.0
			for _, q := range b {
				sum += q.weight * with[q.row]
			}
			out.SetSym(i, i+k, sum)
		}
	}
	return out
}

// Full is a covariance of any unknowns with any others, errors being at the wear's knots.
type Full struct {
	matrix  *mat.SymDense
	place   []int32 // of each curve's value at each knot in the matrix, −1 where it is known exactly
	scalars [bed.Scalars]int32
}

// NewFull returns the covariance of the given unknowns, in the order of the matrix's rows; all others are known
// exactly. n is the number of the wear's knots.
func NewFull(n int, of []Unknown, matrix *mat.SymDense) Full {
	f := Full{matrix: matrix, place: make([]int32, n*int(bed.Curves))}
	for i := range f.place {
		f.place[i] = -1
	}
	for i := range f.scalars {
		f.scalars[i] = -1
	}
	for i, u := range of {
		if u.Knot < 0 {
			f.scalars[u.Scalar] = int32(i)
		} else {
			f.place[u.Knot*int(bed.Curves)+int(u.Curve)] = int32(i)
		}
	}
	return f
}

// share is a row of the matrix with the weight on it.
type share struct {
	row    int
	weight float64
}

// shares appends the rows of the matrix on which there is a weight.
func (f Full) shares(to []share, w *Weights) []share {
	for _, t := range w.merge() {
		if i := f.place[t.index-unknown(0, 0)]; i >= 0 {
			to = append(to, share{int(i), t.w})
		}
	}
	for k, i := range f.scalars {
		if v := w.scalars[k]; i >= 0 && v != 0 {
			to = append(to, share{int(i), v})
		}
	}
	return to
}

// Between implements Covariance.
func (f Full) Between(a, b *Weights) float64 {
	var roomA, roomB [64]share // a place of the tool has hardly more
	of := f.shares(roomA[:0], a)
	with := of
	if a != b {
		with = f.shares(roomB[:0], b)
	}
	m := f.matrix.RawSymmetric()
	sum := 0.0
	for _, p := range of {
		for _, q := range with {
			sum += p.weight * q.weight * m.Data[min(p.row, q.row)*m.Stride+max(p.row, q.row)]
		}
	}
	return sum
}

// Among implements Covariance.
func (f Full) Among(sums []*Weights) *mat.SymDense {
	of, used := make([][]share, len(sums)), make([]int, f.matrix.SymmetricDim())
	for i, w := range sums {
		of[i] = f.shares(nil, w)
		for _, p := range of[i] {
			used[p.row] = 1
		}
	}
	var rows []int
	for row, is := range used {
		if is > 0 {
			used[row] = len(rows)
			rows = append(rows, row)
		}
	}
	n := len(rows)
	part := make([]float64, n*n) // of the matrix, what is used of it
	m := f.matrix.RawSymmetric()
	for i, row := range rows {
		for k, with := range rows[i:] {
			v := m.Data[row*m.Stride+with]
			part[i*n+i+k], part[(i+k)*n+i] = v, v
		}
	}
	for _, a := range of {
		for i := range a {
			a[i].row = used[a[i].row]
		}
	}
	return among(of, n, func(p share, to []float64) { floats.AddScaled(to, p.weight, part[p.row*n:(p.row+1)*n]) })
}

// Dot returns the weighted sum of values given in the order of the matrix's rows; what is known exactly counts as zero.
func (f Full) Dot(w *Weights, values []float64) float64 {
	var room [64]share
	sum := 0.0
	for _, s := range f.shares(room[:0], w) {
		sum += s.weight * values[s.row]
	}
	return sum
}
