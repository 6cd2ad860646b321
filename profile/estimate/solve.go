package estimate

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// errSingular says that a system has no usable solution.
var errSingular = errors.New("the readings cannot be solved for: they contradict each other beyond all rounding")

// solution is a system y = F·b + e solved by generalized least squares, where e has covariance C and nothing is known
// of b beforehand. With L the Cholesky factor of C and Q an orthonormal basis of L⁻¹F, everything that is asked for is
// built of L⁻¹ and of I − QQᵀ.
type solution struct {
	upper    blas64.Triangular // Lᵀ
	q        *mat.Dense        // Qᵀ, one row for each column of F that adds something; nil for none
	r        [][]float64       // L⁻¹F = Q·R, the columns of R by column of Q
	kept     []int             // the columns of F that Q's columns stand for
	white    []float64         // (I − QQᵀ)·L⁻¹y
	onto     []float64         // Qᵀ·L⁻¹y
	evidence float64           // log of the restricted likelihood, up to a constant
	rss      float64           // the readings' weighted sum of squares about what is fitted
}

// solve solves the system. cov is overwritten. Columns of F that others make up already are left out: their
// coefficients are then zero.
func solve(cov *mat.SymDense, f *mat.Dense, y []float64) (*solution, error) {
	// LAPACK's factorization by itself: gonum's Cholesky type also estimates the condition, which takes longer than the
	// factorization.
	upper, ok := lapack64.Potrf(cov.RawSymmetric())
	if !ok {
		return nil, errSingular
	}
	s := &solution{upper: upper}
	for i := range len(y) {
		s.evidence -= math.Log(s.upper.Data[i*s.upper.Stride+i])
	}
	if f != nil {
		s.orthonormal(f)
	}
	return s.with(y)
}

// with returns the solution for other readings: factor and basis stay as they are.
func (s *solution) with(y []float64) (*solution, error) {
	out := *s
	out.evidence += s.rss / 2
	out.white, out.onto, out.rss = append([]float64{}, y...), nil, 0
	blas64.Trsv(blas.Trans, s.upper, blas64.Vector{N: len(y), Inc: 1, Data: out.white})
	for i := range len(s.kept) {
		c := s.q.RawRowView(i)
		d := dot(c, out.white)
		out.onto = append(out.onto, d)
		axpy(-d, c, out.white)
	}
	for i := range len(s.kept) { // once more, for the rounding of the first
		c := s.q.RawRowView(i)
		axpy(-dot(c, out.white), c, out.white)
	}
	for _, w := range out.white {
		out.rss += w * w
	}
	out.evidence -= out.rss / 2
	if math.IsNaN(out.evidence) || math.IsInf(out.evidence, 0) {
		return nil, errSingular
	}
	return &out, nil
}

// orthonormal makes Q and R by Gram and Schmidt, each column freed twice of those before it. Columns lie as rows, one
// number behind the other, which takes a fraction of the time.
func (s *solution) orthonormal(f *mat.Dense) {
	_, m := f.Dims()
	w := mat.DenseCopyOf(f.T())
	blas64.Trsm(blas.Right, blas.NoTrans, 1, s.upper, w.RawMatrix())
	var columns [][]float64
	for j := range m {
		v := w.RawRowView(j)
		length := norm(v)
		r := make([]float64, len(columns)+1)
		for range 2 {
			for i, c := range columns {
				d := dot(c, v)
				r[i] += d
				axpy(-d, c, v)
			}
		}
		left := norm(v)
		const dependent = 1e-11
		if !(left > dependent*length) {
			continue
		}
		for i := range v {
			v[i] /= left
		}
		r[len(columns)] = left
		s.evidence -= math.Log(left)
		columns, s.r, s.kept = append(columns, v), append(s.r, r), append(s.kept, j)
	}
	if len(columns) == 0 {
		return
	}
	for i, c := range columns {
		copy(w.RawRowView(i), c)
	}
	_, n := w.Dims()
	s.q = w.Slice(0, len(columns), 0, n).(*mat.Dense)
}

// free replaces m, of as many rows as there are readings, by (I − QQᵀ)·L⁻¹·m.
func (s *solution) free(m *mat.Dense) {
	blas64.Trsm(blas.Left, blas.Trans, 1, s.upper, m.RawMatrix())
	if s.q == nil {
		return
	}
	var onto, part mat.Dense
	onto.Mul(s.q, m)
	part.Mul(s.q.T(), &onto)
	m.Sub(m, &part)
}

// back replaces v by L⁻ᵀ·v.
func (s *solution) back(v []float64) {
	blas64.Trsv(blas.NoTrans, s.upper, blas64.Vector{N: len(v), Inc: 1, Data: v})
}

// coefficients returns b.
func (s *solution) coefficients(columns int) []float64 {
	b := make([]float64, columns)
	for i := len(s.kept) - 1; i >= 0; i-- {
		v := s.onto[i]
		for j := i + 1; j < len(s.kept); j++ {
			v -= s.r[j][i] * b[s.kept[j]]
		}
		b[s.kept[i]] = v / s.r[i][i]
	}
	return b
}

func isCondition(err error) bool {
	var c mat.Condition
	return errors.As(err, &c)
}

func dot(a, b []float64) float64 {
	return blas64.Dot(blas64.Vector{N: len(a), Inc: 1, Data: a}, blas64.Vector{N: len(b), Inc: 1, Data: b})
}

func axpy(f float64, x, y []float64) {
	blas64.Axpy(f, blas64.Vector{N: len(x), Inc: 1, Data: x}, blas64.Vector{N: len(y), Inc: 1, Data: y})
}

func norm(a []float64) float64 { return blas64.Nrm2(blas64.Vector{N: len(a), Inc: 1, Data: a}) }
