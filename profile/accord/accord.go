// Package accord asks whether numbers that should be zero are so but for chance: differences of what was measured and
// what was foretold, or of one survey and the next. The numbers go together as their covariance has it, and are judged
// all at once: one by one, many that hang together would pass for as many witnesses.
//
// It knows no lathe and no unit. The only entry is [Test].
//
// # Where the formulas come from
//
// "Derived" means from the geometry, in the comment beside it, held by a test against an independent calculation.
//
//   - a bed that has worn on (profile/accord/between.go, profile/change.go): derived, see below; tested by simulation.
//
// # A bed that has worn on
//
// compare has two questions, and two covariances of the difference.
//
//   - Is there wear at all? Both estimates share what was taken as known beforehand, so their errors are not
//     independent. With K the covariance of the wear beforehand, C and D what is left after the one and the other, and
//     the wear unchanged, the difference has C + D − C·K⁻¹·D − D·K⁻¹·C. Without the last two terms places
//     where nobody looked would count as places that agree. It is judged in the ten directions at the most in which
//     both are surest: fixed before the readings' values are looked at, and few, so that a change does not drown in
//     what can hardly be seen. Twist and lean may have changed by levelling; they are free in each. Wear and slope of
//     the tailstock ways are common to both.
//   - How far has it worn on here? The ± is the root of C + D: nothing is taken as known of how far a bed wears on, so
//     it is wide where either has not looked. Where readings are few this is more than is needed, and never less.
//
// Both estimates are made on the same knots (estimate.Pair), which may differ a little from those that wear uses for
// each alone. Of 200 made-up beds that had not changed, 12 were called changed after a bar and a level, 5 after a level
// across, one along and a micrometer, 12 after two indicators and a level (one in twenty would be 10, give or take 3);
// of 100 that had worn on by half, 98, 100 and 98, and 96.0, 99.8 and 99.7 % of the growth lay within its 95 %. Of 500
// beds surveyed with a bar and a level and then cut, twice E_n (which is at k = 2) scattered by 0.985, and by 0.967
// with bars that bend as much as is stated beforehand; 95.8 and 96.6 % agreed; learning from the cut brought the mean
// standard uncertainty from 8.7 to 3.2 (6.1) µm and the error from 7.2 to 2.8 (5.2) µm. go test ./profile/study -run
// 'CutChecked|BedCompared' -study -beds 2000 -v asks it again; the ordinary tests ask it of a few beds.
//
// A survey is known again by its readings (survey.Set.Same), to a tenth of their uncertainty, since another unit rounds
// them. The clock is the command's (env.Now); tests run on a fixed day.
package accord

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Result is how far numbers are from zero as a whole.
type Result struct {
	ChiSquare   float64
	Freedom     int     // degrees of freedom
	Probability float64 // that chance alone makes so much or more; NaN without a degree of freedom
	Terms       []Term  // what was left free, in the order given
}

// Term is the size of something that was left free, with its standard uncertainty.
type Term struct{ Value, U float64 }

// ErrNothing says that the covariance leaves nothing to be judged.
var ErrNothing = errors.New("nothing is uncertain in these numbers")

// Test judges numbers by their covariance, each set of free multiples of the given shapes apart: those are fitted
// first, by generalized least squares, and what is left is judged. A direction in which the covariance has nothing is
// left out.
//
// Source: the quadratic form of a normal vector in its inverse covariance is distributed as chi-square, less a degree
// of freedom for each term fitted; as in any text on least squares.
func Test(off []float64, covariance mat.Symmetric, free ...[]float64) (Result, error) {
	white, err := whitener(covariance)
	if err != nil {
		return Result{}, err
	}
	y := white(off)
	n, m := len(y), len(free)
	r := Result{Freedom: n}
	left := mat.NewVecDense(n, y)
	if m > 0 {
		if n < m {
			return Result{}, ErrNothing
		}
		x := mat.NewDense(n, m, nil)
		size := make([]float64, m)
		for j, f := range free {
			for _, v := range f {
				size[j] = math.Max(size[j], math.Abs(v))
			}
			if size[j] == 0 {
				return Result{}, ErrNothing
			}
			c := white(f)
			for i := range c {
				x.Set(i, j, c[i]/size[j])
			}
		}
		var qr mat.QR
		qr.Factorize(x)
		var b mat.VecDense
		if err := qr.SolveVecTo(&b, false, left); err != nil {
			return Result{}, ErrNothing // two shapes that are one
		}
		var fit mat.VecDense
		fit.MulVec(x, &b)
		left.SubVec(left, &fit)
		var square, inverse mat.Dense
		square.Mul(x.T(), x)
		if err := inverse.Inverse(&square); err != nil {
			return Result{}, ErrNothing
		}
		for j := range m {
			r.Terms = append(r.Terms, Term{b.AtVec(j) / size[j], math.Sqrt(math.Max(0, inverse.At(j, j))) / size[j]})
		}
		r.Freedom -= m
	}
	r.ChiSquare = mat.Dot(left, left)
	r.Probability = math.NaN()
	if r.Freedom > 0 {
		r.Probability = distuv.ChiSquared{K: float64(r.Freedom)}.Survival(r.ChiSquare)
	}
	return r, nil
}

// whitener returns what makes independent numbers of variance 1 out of numbers with the covariance.
func whitener(covariance mat.Symmetric) (func([]float64) []float64, error) {
	n := covariance.SymmetricDim()
	sd := make([]float64, n)
	for i := range sd {
		sd[i] = math.Sqrt(math.Max(0, covariance.At(i, i)))
	}
	correlation := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			if sd[i] > 0 && sd[j] > 0 {
				correlation.SetSym(i, j, covariance.At(i, j)/sd[i]/sd[j])
			}
		}
	}
	var eigen mat.EigenSym
	if n == 0 || !eigen.Factorize(correlation, true) {
		return nil, ErrNothing
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	values := eigen.Values(nil)
	const nothing = 1e-10 // of the greatest: what rounding leaves of zero
	first := 0
	for first < n && !(values[first] > nothing*values[n-1]) {
		first++
	}
	if first == n || !(values[n-1] > 0) {
		return nil, ErrNothing
	}
	return func(x []float64) []float64 {
		out := make([]float64, n-first)
		for k := range out {
			for i := range n {
				if sd[i] > 0 {
					out[k] += vectors.At(i, first+k) * x[i] / sd[i]
				}
			}
			out[k] /= math.Sqrt(values[first+k])
		}
		return out
	}, nil
}
