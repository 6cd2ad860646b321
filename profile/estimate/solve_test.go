package estimate

import (
	"bufio"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// table reads a reference table: numbers by row.
func table(t *testing.T, name string) [][]float64 {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "reference", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out [][]float64
	for s := bufio.NewScanner(f); s.Scan(); {
		if strings.HasPrefix(s.Text(), "#") {
			continue
		}
		var row []float64
		for _, w := range strings.Fields(s.Text()) {
			v, err := strconv.ParseFloat(w, 64)
			if err != nil {
				t.Fatal(err)
			}
			row = append(row, v)
		}
		out = append(out, row)
	}
	return out
}

// coefficientCovariance returns the covariance of b, (FᵀC⁻¹F)⁻¹; zero for columns left out.
func (s *solution) coefficientCovariance(columns int) *mat.SymDense {
	out := mat.NewSymDense(columns, nil)
	k := len(s.kept)
	if k == 0 {
		return out
	}
	inverse := mat.NewTriDense(k, mat.Upper, nil)
	for j := range k {
		for i := 0; i <= j; i++ {
			inverse.SetTri(i, j, s.r[j][i])
		}
	}
	if err := inverse.InverseTri(inverse); err != nil && !isCondition(err) {
		return out
	}
	for i := range k {
		for j := i; j < k; j++ {
			v := 0.0
			for l := j; l < k; l++ {
				v += inverse.At(i, l) * inverse.At(j, l)
			}
			out.SetSym(s.kept[i], s.kept[j], v)
		}
	}
	return out
}

// fit solves y = F·b + e for errors with these standard uncertainties.
func fit(t *testing.T, f *mat.Dense, y, u []float64) (s *solution, b []float64, cov *mat.SymDense, chi2 float64) {
	t.Helper()
	n, m := f.Dims()
	c := mat.NewSymDense(n, nil)
	for i := range n {
		c.SetSym(i, i, u[i]*u[i])
	}
	s, err := solve(c, f, y)
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range s.white {
		chi2 += w * w
	}
	return s, s.coefficients(m), s.coefficientCovariance(m), chi2
}

func ones(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = 1
	}
	return out
}

// close compares to so many digits.
func digits(t *testing.T, what string, got, want float64, n float64) {
	t.Helper()
	if !(math.Abs(got-want) <= math.Pow(10, -n)*math.Abs(want)) {
		t.Errorf("%s is %.16g, want %.16g to %g digits", what, got, want, n)
	}
}

// powers returns the columns x⁰ … of a polynomial, the constant left out where first is 1.
func powers(x []float64, first, last int) *mat.Dense {
	f := mat.NewDense(len(x), last-first+1, nil)
	for i, v := range x {
		for p := first; p <= last; p++ {
			f.Set(i, p-first, math.Pow(v, float64(p)))
		}
	}
	return f
}

func column(rows [][]float64, j int) []float64 {
	out := make([]float64, len(rows))
	for i, r := range rows {
		out[i] = r[j]
	}
	return out
}

// Certified values: NIST StRD, https://www.itl.nist.gov/div898/strd/lls/lls.shtml. Standard deviations are for an
// unknown variance, so that here the covariance, whose errors are taken as 1, is multiplied by RSS/(n − parameters).
func TestSolveAgainstStRD(t *testing.T) {
	check := func(t *testing.T, f *mat.Dense, y, b, sd []float64, rss float64, n float64) {
		t.Helper()
		rows, m := f.Dims()
		_, got, cov, chi2 := fit(t, f, y, ones(rows))
		digits(t, "RSS", chi2, rss, n)
		s2 := rss / float64(rows-m)
		for i := range b {
			digits(t, "B"+strconv.Itoa(i), got[i], b[i], n)
			digits(t, "its standard deviation", math.Sqrt(cov.At(i, i)*s2), sd[i], n)
		}
	}
	t.Run("Norris", func(t *testing.T) {
		d := table(t, "norris.txt")
		check(t, powers(column(d, 0), 0, 1), column(d, 1), []float64{-0.262323073774029, 1.00211681802045},
			[]float64{0.232818234301152, 0.429796848199937e-03}, 26.6173985294224, 11)
		_, _, cov, chi2 := fit(t, powers(column(d, 0), 0, 1), column(d, 1), ones(36))
		// recomputed in exact fractions, not certified
		digits(t, "covariance", cov.At(0, 1)*chi2/34, -7.74327536315644e-05, 11)
	})
	t.Run("NoInt1", func(t *testing.T) {
		var x, y []float64
		for i := range 11 {
			x, y = append(x, float64(60+i)), append(y, float64(130+i))
		}
		check(t, powers(x, 1, 1), y, []float64{2.07438016528926}, []float64{0.0165289256198347}, 127.272727272727, 13)
	})
	t.Run("Pontius", func(t *testing.T) {
		d := table(t, "pontius.txt")
		check(t, powers(column(d, 0), 0, 2), column(d, 1), []float64{0.673565789473684e-03, 0.732059160401003e-06,
			-0.316081871345029e-14},
			[]float64{0.107938612033077e-03, 0.157817399981659e-09, 0.486652849992036e-16}, 0.155761768796992e-05, 9)
	})
	t.Run("Longley", func(t *testing.T) {
		d := table(t, "longley.txt")
		f := mat.NewDense(16, 7, nil)
		scale := []float64{1, 100, 1e5, 1e3, 1e3, 1e5, 1e3}
		for i, r := range d {
			f.Set(i, 0, 1)
			for j := range 6 {
				f.Set(i, j+1, r[j]/scale[j+1])
			}
		}
		b := []float64{-3482258.63459582, 15.0618722713733, -0.0358191792925910, -2.02022980381683, -1.03322686717359,
			-0.0511041056535807, 1829.15146461355}
		sd := []float64{890420.383607373, 84.9149257747669, 0.0334910077722432, 0.488399681651699, 0.214274163161675,
			0.226073200069370, 455.478499142212}
		for i := range b {
			b[i] *= scale[i]
			sd[i] *= scale[i]
		}
		check(t, f, column(d, 6), b, sd, 836424.055505915, 7)
	})
}

// Straight lines through points with known uncertainties: ISO/TS 28037:2010, examples of section 6.3 (page 13) and page
// 15, read through the documentation of the GTC uncertainty library (docs/API/straight_line_functions.rst), not in the
// standard itself. The uncertainties are known: nothing is scaled by χ².
func TestSolveWeightedLines(t *testing.T) {
	x := []float64{1, 2, 3, 4, 5, 6}
	for _, c := range []struct {
		y, u                    []float64
		a, ua, b, ub, cov, chi2 float64
	}{
		{[]float64{3.3, 5.6, 7.1, 9.3, 10.7, 12.1}, []float64{0.5, 0.5, 0.5, 0.5, 0.5, 0.5},
			1.86666666666667, 0.465474668125631, 1.75714285714286, 0.119522860933439, -0.05, 1.66476190476190},
		{[]float64{3.2, 4.3, 7.6, 8.6, 11.7, 12.8}, []float64{0.5, 0.5, 0.5, 1, 1, 1},
			0.885232067510549, 0.529708143508836, 2.05696202531646, 0.177892016741205, -0.0822784810126582,
			4.13080168776371},
	} {
		_, b, cov, chi2 := fit(t, powers(x, 0, 1), c.y, c.u)
		digits(t, "a", b[0], c.a, 13)
		digits(t, "u(a)", math.Sqrt(cov.At(0, 0)), c.ua, 13)
		digits(t, "b", b[1], c.b, 13)
		digits(t, "u(b)", math.Sqrt(cov.At(1, 1)), c.ub, 13)
		digits(t, "cov(a, b)", cov.At(0, 1), c.cov, 13)
		digits(t, "χ²", chi2, c.chi2, 13)
	}
}

// A thermometer's calibration: GUM (JCGM 100:2008), Annex H.3, Table H.6, read through the GTC uncertainty library's
// documentation and tests, not in the GUM itself. The variance is estimated from the residuals there.
func TestSolveThermometer(t *testing.T) {
	at := []float64{21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511}
	y := []float64{-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160}
	for i := range at {
		at[i] -= 20
	}
	_, b, cov, rss := fit(t, powers(at, 0, 1), y, ones(11))
	s2 := rss / 9
	digits(t, "y1", b[0], -0.17120379013135, 12)
	digits(t, "y2", b[1], 0.0021826977398873, 12)
	digits(t, "u(y1)", math.Sqrt(cov.At(0, 0)*s2), 0.002877597835, 9)
	digits(t, "u(y2)", math.Sqrt(cov.At(1, 1)*s2), 0.000667938773228, 9)
	digits(t, "r(y1, y2)", cov.At(0, 1)/math.Sqrt(cov.At(0, 0)*cov.At(1, 1)), -0.9304296, 7)
	digits(t, "RSS", rss, 0.000110096583109, 11)
	digits(t, "b(30 °C)", b[0]+10*b[1], -0.14937681, 7)
	digits(t, "its u", math.Sqrt((cov.At(0, 0)+20*cov.At(0, 1)+100*cov.At(1, 1))*s2), 0.0041385958, 7)
}

// A column that others make up already is left out and changes nothing; readings that contradict each other beyond
// rounding are an error.
func TestSolveDependentColumns(t *testing.T) {
	x := []float64{1, 2, 3, 4, 5, 6}
	y := []float64{3.3, 5.6, 7.1, 9.3, 10.7, 12.1}
	f := mat.NewDense(6, 4, nil)
	for i, v := range x {
		f.SetRow(i, []float64{1, 2, v, 3*v - 1})
	}
	_, b, cov, chi2 := fit(t, f, y, ones(6))
	digits(t, "a", b[0], 1.86666666666667, 12)
	digits(t, "b", b[2], 1.75714285714286, 12)
	digits(t, "χ²", chi2, 1.66476190476190/4, 12)
	if b[1] != 0 || b[3] != 0 || cov.At(1, 1) != 0 || cov.At(3, 3) != 0 {
		t.Errorf("left out: %v, %v", b[1], b[3])
	}
	if _, err := solve(mat.NewSymDense(2, []float64{1, 1, 1, 1}), nil, []float64{1, 2}); err != errSingular {
		t.Errorf("a singular covariance: %v", err)
	}
	if _, err := solve(mat.NewSymDense(1, []float64{1}), nil, []float64{math.NaN()}); err != errSingular {
		t.Errorf("a reading that is no number: %v", err)
	}
}

// Correlated errors: the mean of two readings with variances 1 and 4 and covariance 1 is the first alone, variance 1
// (weights C⁻¹1 ∝ (4−1, 1−1), by hand). The restricted likelihood, up to its constant, is −½·log|C| −
// ½·log(1ᵀC⁻¹1) − ½·(y₂ − y₁)²/3.
func TestSolveCorrelated(t *testing.T) {
	f := mat.NewDense(2, 1, []float64{1, 1})
	s, err := solve(mat.NewSymDense(2, []float64{1, 1, 1, 4}), f, []float64{5, 7})
	if err != nil {
		t.Fatal(err)
	}
	digits(t, "mean", s.coefficients(1)[0], 5, 14)
	digits(t, "variance", s.coefficientCovariance(1).At(0, 0), 1, 14)
	digits(t, "evidence", s.evidence, -math.Log(3)/2-2.0/3, 14)
}
