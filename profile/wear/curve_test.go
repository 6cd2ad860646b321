package wear

import (
	"bufio"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/interp"
	"pgregory.net/rapid"

	"wornway/profile/bed"
	_ "wornway/testdata/steady"
)

// randomCurve returns random knots with random values, some of which are level or equal.
func randomCurve(r *rand.Rand, n int) (z, y []float64) {
	at := r.Float64()*200 - 100
	for range n {
		z = append(z, at)
		at += math.Pow(10, r.Float64()*3-1)
		v := r.Float64() * 0.1
		if len(y) > 0 && r.IntN(4) == 0 {
			v = y[len(y)-1]
		}
		y = append(y, v)
	}
	return z, y
}

// SciPy's PCHIP and gonum's FritschButland use the same interior slopes, the weighted harmonic mean of the neighbouring
// pieces' slopes, and the same three-point slope, limited, at the ends. They thus agree everywhere, ends included.
func TestCurveAgainstScipy(t *testing.T) {
	file, err := os.Open("../../testdata/reference/pchip.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	type point struct{ z, y float64 }
	var z, y, slope []float64
	var points []point
	cases, compared := 0, 0
	check := func() {
		if len(z) == 0 {
			return
		}
		cases++
		c := newTestCurve(t, z, y)
		for i := range z {
			if math.Abs(c.m[i]-slope[i]) > 1e-15 {
				t.Errorf("case %d: slope at %g = %g, want %g", cases, z[i], c.m[i], slope[i])
			}
		}
		for _, p := range points {
			compared++
			if got := c.at(p.z); math.Abs(got-p.y) > 1e-15 {
				t.Errorf("case %d: at %g = %.17g, want %.17g", cases, p.z, got, p.y)
			}
		}
		z, y, slope, points = nil, nil, nil, nil
	}
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for lines := bufio.NewScanner(file); lines.Scan(); {
		switch f := strings.Fields(lines.Text()); f[0] {
		case "case":
			check()
		case "knot":
			z, y, slope = append(z, number(f[1])), append(y, number(f[2])), append(slope, number(f[3]))
		case "point":
			points = append(points, point{number(f[2]), number(f[3])})
		}
	}
	check()
	if cases != 4 || compared != 4*(6+7+6+4) {
		t.Fatalf("read %d cases with %d points", cases, compared)
	}
}

func newTestCurve(t testing.TB, z, y []float64) *curve {
	t.Helper()
	w, err := New(z, map[bed.Curve][]float64{bed.Front: y})
	if err != nil {
		t.Fatal(err)
	}
	return w.curves[bed.Front]
}

// The cubic written out here against gonum's own evaluation (gonum v0.17.0, interp.FritschButland.Predict).
func TestCurveAgainstGonum(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for n := 2; n < 40; n++ {
		z, y := randomCurve(r, n)
		c := newTestCurve(t, z, y)
		var fb interp.FritschButland
		if err := fb.Fit(z, y); err != nil {
			t.Fatal(err)
		}
		for range 200 {
			p := z[0] + (r.Float64()*1.2-0.1)*(z[n-1]-z[0])
			if got, want := c.at(p), fb.Predict(p); math.Abs(got-want) > 1e-12 {
				t.Fatalf("%d knots, at %g: %.15g, want %.15g", n, p, got, want)
			}
		}
		for i := range z {
			if c.at(z[i]) != y[i] {
				t.Fatalf("knot %d: %g, want %g", i, c.at(z[i]), y[i])
			}
		}
	}
}

// Each piece is found whatever the spacing of the knots.
func TestPiece(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 60).Draw(t, "knots")
		z := make([]float64, n)
		for i := range z {
			if i > 0 {
				z[i] = z[i-1] + math.Pow(10, rapid.Float64Range(-6, 6).Draw(t, "gap"))
				if z[i] == z[i-1] {
					t.Skip("too close to tell apart")
				}
			}
		}
		c := &curve{z: z}
		p := z[0] + rapid.Float64Range(0, 1).Draw(t, "p")*(z[n-1]-z[0])
		if rapid.Bool().Draw(t, "on a knot") {
			p = z[rapid.IntRange(0, n-1).Draw(t, "knot")]
		}
		if i := c.piece(p); i < 0 || i > n-2 || z[i] > p || z[i+1] < p {
			t.Fatalf("piece %d of %d does not hold %g", i, n-1, p)
		}
	})
}

// Mean and least-squares slope over a stretch against the sums that define them, on a grid of even midpoints laid in
// each piece by itself so that the kinks in curvature do not matter.
func TestLineAgainstNumericIntegration(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 60 {
		z, y := randomCurve(r, 2+r.IntN(12))
		c := newTestCurve(t, z, y)
		n := len(z)
		whole := z[n-1] - z[0]
		a := z[0] + (r.Float64()*1.4-0.2)*whole
		b := a + (0.02+r.Float64())*whole
		cuts := []float64{a}
		for _, k := range z {
			if k > a && k < b {
				cuts = append(cuts, k)
			}
		}
		cuts = append(cuts, b)
		var area, moment float64
		for i := 0; i+1 < len(cuts); i++ {
			const parts = 2000
			h := (cuts[i+1] - cuts[i]) / parts
			for k := range parts {
				p := cuts[i] + (float64(k)+0.5)*h
				v := c.at(p) * h
				area += v
				moment += v * (p - (a+b)/2)
			}
		}
		mean, slope := c.line(a, b)
		wantMean, wantSlope := area/(b-a), 12*moment/math.Pow(b-a, 3)
		if math.Abs(mean-wantMean) > 1e-8 {
			t.Errorf("mean over %g to %g = %.10g, want %.10g", a, b, mean, wantMean)
		}
		if math.Abs(slope-wantSlope)*(b-a) > 1e-7 {
			t.Errorf("slope over %g to %g = %.10g, want %.10g", a, b, slope, wantSlope)
		}
	}
}

// On a straight line the mean and the slope are the line's own, in closed form; beyond the ends the end values go on.
func TestLineClosedForm(t *testing.T) {
	c := newTestCurve(t, []float64{0, 30, 100}, []float64{0, 0.03, 0.1})
	mean, slope := c.line(20, 60)
	if math.Abs(mean-0.04) > 1e-15 || math.Abs(slope-0.001) > 1e-16 {
		t.Errorf("mean and slope of a straight curve: %g, %g", mean, slope)
	}
	if mean, slope = c.line(-50, -10); mean != 0 || slope != 0 {
		t.Errorf("before the first knot: %g, %g", mean, slope)
	}
	if mean, slope = c.line(120, 150); math.Abs(mean-0.1) > 1e-14 || math.Abs(slope) > 1e-14 {
		t.Errorf("after the last knot: %g, %g", mean, slope)
	}
	// From −100 to 100: level at 0, then rising to 0.1. Mean 0.025; ∫ z·d dz = 0.001·100³/3, the slope 12/200³ of
	// that about the middle, which is 0.
	if mean, slope = c.line(-100, 100); math.Abs(mean-0.025) > 1e-15 || math.Abs(slope-12*1000.0/3/8e6) > 1e-16 {
		t.Errorf("across the first knot: %g, %g", mean, slope)
	}
}
