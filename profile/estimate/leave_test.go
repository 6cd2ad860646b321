package estimate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/bed"
)

// leaveOneOut is what all others say of every row of a problem.
func leaveOneOut(p *problem, at point) ([]expectation, error) {
	all := p.all()
	return leaveEachOut(p, system{digest: all}.made(p), at)
}

// mixedSurveys is an invented bed read in several ways: everything that a row can hold, some thirty readings.
func mixedSurveys(t testing.TB, n int) Input {
	r := rand.New(rand.NewPCG(7, 11))
	worn := func(z float64) float64 { d := (z - 200) / 130; return 0.08 * math.Exp(-d*d) }
	in := Input{Bed: [2]float64{-200, 900}, Unworn: [][2]float64{{-200, -150}, {850, 900}}, TwistU: 5e-8,
		LeanU: [2]float64{2e-4, 2e-4}}
	run := func(keys string, f func(z float64) float64, scale float64) {
		var rows [][]float64
		for i := range n {
			z := -100 + 900*float64(i)/float64(n)
			rows = append(rows, []float64{z, f(z) + scale*r.NormFloat64()})
		}
		in.Surveys = append(in.Surveys, read(t, usual, keys, rows))
	}
	run("method = 'carriage-indicator'\ntouch = 'tail-front'\ncolumns = ['position', 'reading']",
		func(z float64) float64 { return 1 + worn(z)*0.8 }, 0.003)
	run("method = 'bar-side'\ncolumns = ['position', 'reading']",
		func(z float64) float64 { return 0.2 - worn(z)*0.6 + 1e-5*z }, 0.003)
	run("method = 'saddle-level'\nper_division = 2e-5\ncolumns = ['position', 'reading']",
		func(z float64) float64 { return 3 - worn(z)*0.6/200/2e-5 }, 0.2)
	run("method = 'way-micrometer'\non = 'rear'\ncolumns = ['position', 'reading']",
		func(z float64) float64 { return 25 - worn(z)*0.4 + 1e-4*z }, 0.003)
	return in
}

// What the others say of a reading, by the formula and by really leaving it out.
func TestLeaveOneOut(t *testing.T) {
	p := mustProblem(t, mixedSurveys(t, 8))
	f := fix(t, p, 200, 0.06, 0.03, 0.02)
	all, err := leaveOneOut(p, f.point)
	if err != nil {
		t.Fatal(err)
	}
	for i := range p.rows {
		mean, variance := predicted(t, p, f.point, i)
		near(t, fmt.Sprintf("row %d: mean", i), all[i].mean, mean, 1e-6*math.Sqrt(variance))
		near(t, fmt.Sprintf("row %d: variance", i), all[i].variance, variance, 1e-6*variance)
	}
}

// predicted is what all rows but one say of that one, from the covariance of the others and theirs with it: f·b +
// c'C⁻¹(y − F·b), the variance with what b leaves open. (Universal kriging, from memory; written out with
// inverses.)
func predicted(t *testing.T, p *problem, at point, row int) (mean, variance float64) {
	t.Helper()
	rows := p.all()
	flat, y := rows.f, rows.y
	full := newSpace(p, system{digest: rows}.made(p), at.space.manner).covariance(at.at)
	n, m := flat.Dims()
	var rest []int
	for i := range n {
		if i != row {
			rest = append(rest, i)
		}
	}
	c, cross, f, rhs := mat.NewDense(n-1, n-1, nil), mat.NewVecDense(n-1, nil), mat.NewDense(n-1, m, nil),
		mat.NewVecDense(n-1, nil)
	for i, k := range rest {
		for j, l := range rest {
			c.Set(i, j, full.At(k, l))
		}
		cross.SetVec(i, full.At(k, row))
		f.SetRow(i, flat.RawRowView(k))
		rhs.SetVec(i, y[k])
	}
	invert := func(x mat.Matrix) *mat.Dense {
		var out mat.Dense
		if err := out.Inverse(x); err != nil && !isCondition(err) {
			t.Fatal(err)
		}
		return &out
	}
	inverse := invert(c)
	var ft, normal, gain mat.Dense
	ft.Mul(f.T(), inverse)
	normal.Mul(&ft, f)
	open := invert(&normal)
	gain.Mul(open, &ft)
	var b, fitted, off, weights, share mat.VecDense
	b.MulVec(&gain, rhs)
	fitted.MulVec(f, &b)
	off.SubVec(rhs, &fitted)
	weights.MulVec(inverse, cross)
	own := mat.NewVecDense(m, flat.RawRowView(row))
	share.MulVec(&ft, cross)
	share.SubVec(own, &share)
	return mat.Dot(own, &b) + mat.Dot(&weights, &off), full.At(row, row) - mat.Dot(&weights, cross) +
		mat.Inner(&share, open, &share)
}

// Of very many rows the estimate itself stands in for what the others say; it must be the estimate.
func TestFittedIsTheEstimate(t *testing.T) {
	p := mustProblem(t, mixedSurveys(t, 8))
	f := fix(t, p, 200, 0.06, 0.03, 0.02)
	fits, err := p.fitted(f.point)
	if err != nil {
		t.Fatal(err)
	}
	all, err := leaveOneOut(p, f.point)
	if err != nil {
		t.Fatal(err)
	}
	// A reading less its fit is 1/variance of the reading less the others' prediction (P·y = P_ii·(y − others), and
	// the fit's residual is P·y for unit errors).
	for i, r := range p.rows {
		near(t, fmt.Sprintf("row %d", i), r.y-fits[i].mean, (r.y-all[i].mean)/all[i].variance, 1e-6)
	}
}

// For known strengths a survey more never widens a ±.
func TestMoreReadingsNeverWiden(t *testing.T) {
	in := mixedSurveys(t, 8)
	all := fix(t, mustProblem(t, in), 200, 0.06, 0.03, 0.02)
	for left := range in.Surveys {
		less := in
		less.Surveys = slices.Delete(slices.Clone(in.Surveys), left, left+1)
		few := fix(t, mustProblem(t, less), 200, 0.06, 0.03, 0.02)
		for _, s := range []bed.Sum{bed.At(bed.Front, 0), bed.At(bed.Rear, 0), bed.At(bed.Shift, 0), usual.ToolOut(),
			usual.ToolDrop(40)} {
			for z := -100.0; z <= 800; z += 100 {
				v, w := all.weigh(s, z), few.weigh(s, z)
				if a, b := all.covariance(v, v), few.covariance(w, w); !(a <= b*(1+1e-9)) {
					t.Errorf("at %g all surveys leave a variance of %g, without survey %d it is %g", z, a, left+1, b)
				}
			}
		}
	}
}

// Many readings solved as the few rows that they condense to, against all of them.
func TestCondensed(t *testing.T) {
	in := mixedSurveys(t, 220)
	p := mustProblem(t, in)
	rows := p.all()
	n, short := len(rows.y), p.condense(make([]bool, p.flats))
	if m := len(short.y); m >= n || n != 880 || len(short.solved) != p.flats || p.flats == 0 {
		t.Fatalf("%d rows condense to %d, and %d of %d free terms are solved for", n, m, len(short.solved), p.flats)
	}
	at := strengths{math.Log(0.06), math.Log(0.5), math.Log(0.3)}
	dense := newSpace(p, system{digest: rows}.made(p), manner{200, 0.002})
	few := newSpace(p, newSystem(p), manner{200, 0.002})
	want, err := dense.posterior(at)
	if err != nil {
		t.Fatal(err)
	}
	got, err := few.posterior(at)
	if err != nil {
		t.Fatal(err)
	}
	compare(t, fixed{p, point{space: few, at: at}, got}, fixed{p, point{space: dense, at: at}, want}, 1e-7)

	fits, err := p.fitted(point{space: few, at: at})
	if err != nil {
		t.Fatal(err)
	}
	fit, err := p.fitted(point{space: dense, at: at})
	if err != nil {
		t.Fatal(err)
	}
	for i := range fit { // in times a reading's uncertainty
		near(t, fmt.Sprintf("what is made of row %d", i), fits[i].mean, fit[i].mean, 1e-4)
	}

	// The likelihood is the same.
	near(t, "likelihood", few.score(at), dense.score(at), 1e-5)
	other := strengths{math.Log(0.02), math.Log(0.8), math.Log(0.1)}
	for _, noise := range []float64{0, 0.3, 1} { // the readings left out have their share in how good readings are
		other[3] = noise
		near(t, "likelihood ratio", few.score(other)-few.score(at), dense.score(other)-dense.score(at), 1e-5)
	}
}

// Five thousand readings, five times the same thousand, against the thousand with uncertainties a √5 smaller, solved
// without condensing.
func TestCondensedFiveThousand(t *testing.T) {
	once := mixedSurveys(t, 250)
	sharper, five := once, once
	sharper.Surveys, five.Surveys = nil, nil
	for _, s := range once.Surveys {
		sharp, many := s, s
		sharp.Equations, many.Equations = nil, nil
		for _, e := range s.Equations {
			for range 5 {
				many.Equations = append(many.Equations, e)
			}
			e.U /= math.Sqrt(5)
			sharp.Equations = append(sharp.Equations, e)
		}
		sharper.Surveys, five.Surveys = append(sharper.Surveys, sharp), append(five.Surveys, many)
	}
	p, q := mustProblem(t, five), mustProblem(t, sharper)
	if len(p.rows) != 5000 {
		t.Fatalf("%d rows", len(p.rows))
	}
	at := strengths{math.Log(0.06), math.Log(0.5), math.Log(0.3)}
	few := newSpace(p, newSystem(p), manner{200, 0.002})
	rows := q.all()
	dense := newSpace(q, system{digest: rows}.made(q), manner{200, 0.002})
	got, err := few.posterior(at)
	if err != nil {
		t.Fatal(err)
	}
	want, err := dense.posterior(at)
	if err != nil {
		t.Fatal(err)
	}
	compare(t, fixed{p, point{space: few, at: at}, got}, fixed{q, point{space: dense, at: at}, want}, 1e-7)
}

// compare holds two estimates against each other: values and uncertainties, mm, within a share of the wear's scale,
// 0.06 mm.
func compare(t *testing.T, got, want fixed, share float64) {
	t.Helper()
	worst, worstU := 0.0, 0.0
	for _, c := range []bed.Curve{bed.Front, bed.Shift, bed.Rear, bed.TailFront} {
		for z := -200.0; z <= 900; z += 50 {
			v, w := got.weigh(bed.At(c, 0), z), want.weigh(bed.At(c, 0), z)
			worst = math.Max(worst, math.Abs(got.value(v)-want.value(w)))
			worstU = math.Max(worstU, math.Abs(math.Sqrt(math.Max(0, got.covariance(v, v)))-math.Sqrt(math.Max(0,
				want.covariance(w, w)))))
		}
	}
	if worst > share*0.06 || worstU > share*0.06 {
		t.Errorf("values differ by %.3g mm and uncertainties by %.3g mm", worst, worstU)
	}
}
