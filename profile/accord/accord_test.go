package accord

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	_ "wornway/testdata/steady"
)

func near(a, b, within float64) bool { return math.Abs(a-b) <= within*math.Max(1, math.Abs(b)) }

// Quantiles of chi-square at 5 % from the tables in print (from memory): 3.841, 5.991, 7.815, 9.488 for 1 to 4 degrees
// of freedom.
func TestQuantiles(t *testing.T) {
	for n, q := range map[int]float64{1: 3.841, 2: 5.991, 3: 7.815, 4: 9.488} {
		off, cov := make([]float64, n), mat.NewSymDense(n, nil)
		for i := range n {
			cov.SetSym(i, i, 4)
		}
		off[0] = 2 * math.Sqrt(q)
		r, err := Test(off, cov)
		if err != nil || r.Freedom != n || !near(r.ChiSquare, q, 1e-9) || !near(r.Probability, 0.05, 2e-4) {
			t.Errorf("%d: %+v, %v", n, r, err)
		}
	}
}

// ISO/TS 28037:2010's first example, a weighted line of six points whose uncertainties are all 0.5 (as the GTC's
// documentation has it): intercept 1.867 and slope 1.757 with standard uncertainties 0.465 and 0.120, and chi-square
// 1.665 with 4 degrees of freedom.
func TestLineOfISO28037(t *testing.T) {
	x := []float64{1, 2, 3, 4, 5, 6}
	y := []float64{3.3, 5.6, 7.1, 9.3, 10.7, 12.1}
	cov := mat.NewSymDense(6, nil)
	ones := make([]float64, 6)
	for i := range 6 {
		cov.SetSym(i, i, 0.25)
		ones[i] = 1
	}
	r, err := Test(y, cov, ones, x)
	if err != nil {
		t.Fatal(err)
	}
	a, b := r.Terms[0], r.Terms[1]
	if !near(a.Value, 1.867, 1e-3) || !near(a.U, 0.465, 1e-3) || !near(b.Value, 1.757, 1e-3) ||
		!near(b.U, 0.120, 1e-3) || !near(r.ChiSquare, 1.665, 1e-3) || r.Freedom != 4 {
		t.Errorf("%+v", r)
	}
}

// Numbers turned into others by any regular matrix say the same, and a direction without uncertainty says nothing.
func TestInvariance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 6).Draw(t, "n")
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		random := func(rows int) *mat.Dense {
			m := mat.NewDense(rows, n, nil)
			for i := range rows {
				for j := range n {
					m.Set(i, j, r.NormFloat64())
				}
			}
			return m
		}
		root, change := random(n), random(n)
		for i := range n { // well away from singular
			root.Set(i, i, root.At(i, i)+5)
			change.Set(i, i, change.At(i, i)+5)
		}
		off, shape := mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
		for i := range n {
			off.SetVec(i, r.NormFloat64())
			shape.SetVec(i, r.NormFloat64())
		}
		covariance := func(of mat.Matrix) *mat.SymDense {
			var c mat.Dense
			c.Mul(of, of.T())
			k, _ := c.Dims()
			s := mat.NewSymDense(k, nil)
			for i := range k {
				for j := i; j < k; j++ {
					s.SetSym(i, j, c.At(i, j))
				}
			}
			return s
		}
		var off2, shape2 mat.VecDense
		var root2 mat.Dense
		off2.MulVec(change, off)
		shape2.MulVec(change, shape)
		root2.Mul(change, root)
		a, err := Test(off.RawVector().Data, covariance(root), shape.RawVector().Data)
		if err != nil {
			t.Fatal(err)
		}
		b, err := Test(off2.RawVector().Data, covariance(&root2), shape2.RawVector().Data)
		if err != nil || !near(a.ChiSquare, b.ChiSquare, 1e-6) || a.Freedom != n-1 || b.Freedom != n-1 ||
			!near(a.Terms[0].Value, b.Terms[0].Value, 1e-6) || !near(a.Terms[0].U, b.Terms[0].U, 1e-6) {
			t.Fatalf("%+v, %+v, %v", a, b, err)
		}
		// One number more that is the sum of two others.
		more := mat.NewDense(n+1, n, nil)
		for i := range n {
			more.Set(i, i, 1)
		}
		more.Set(n, 0, 1)
		more.Set(n, 1, 1)
		var off3, shape3 mat.VecDense
		var root3 mat.Dense
		off3.MulVec(more, off)
		shape3.MulVec(more, shape)
		root3.Mul(more, root)
		c, err := Test(off3.RawVector().Data, covariance(&root3), shape3.RawVector().Data)
		if err != nil || c.Freedom != n-1 || !near(a.ChiSquare, c.ChiSquare, 1e-6) {
			t.Fatalf("%+v, with a sum beside them %+v, %v", a, c, err)
		}
	})
}

// Of normal numbers with a covariance one in twenty is called more than chance.
func TestProbability(t *testing.T) {
	r := rand.New(rand.NewPCG(20260314, 0))
	const n, tries = 5, 4000
	root := mat.NewDense(n, n, nil)
	for i := range n {
		for j := range n {
			root.Set(i, j, r.NormFloat64())
		}
	}
	var c mat.Dense
	c.Mul(root, root.T())
	cov := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			cov.SetSym(i, j, c.At(i, j))
		}
	}
	shape := []float64{1, 2, 3, 4, 5}
	called := 0
	for range tries {
		z := mat.NewVecDense(n, nil)
		for i := range n {
			z.SetVec(i, r.NormFloat64())
		}
		var off mat.VecDense
		off.MulVec(root, z)
		got, err := Test(off.RawVector().Data, cov, shape)
		if err != nil {
			t.Fatal(err)
		}
		if got.Probability < 0.05 {
			called++
		}
	}
	spread := distuv.Binomial{N: tries, P: 0.05}.StdDev()
	if math.Abs(float64(called)-0.05*tries) > 4*spread {
		t.Errorf("%d of %d", called, tries)
	}
}

func TestNothing(t *testing.T) {
	if _, err := Test([]float64{1}, mat.NewSymDense(1, nil)); !errors.Is(err, ErrNothing) {
		t.Errorf("no uncertainty: %v", err)
	}
	one := mat.NewSymDense(2, []float64{1, 0, 0, 1})
	if _, err := Test([]float64{1, 2}, one, []float64{0, 0}); !errors.Is(err, ErrNothing) {
		t.Errorf("no shape: %v", err)
	}
	if _, err := Test([]float64{1, 2}, one, []float64{1, 1}, []float64{2, 2}); !errors.Is(err, ErrNothing) {
		t.Errorf("one shape twice: %v", err)
	}
	if r, err := Test([]float64{1, 2}, one, []float64{1, 0}, []float64{0, 1}); err != nil || r.Freedom != 0 ||
		!math.IsNaN(r.Probability) {
		t.Errorf("all fitted: %+v, %v", r, err)
	}
}
