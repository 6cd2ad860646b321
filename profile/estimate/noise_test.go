package estimate

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// How much worse than stated readings are taken to be, where two surveys of one way contradict each other. Held against
// a bracket worked out apart: half of each difference of the two, freed of a line (their zeros and slopes), is all that
// a common curve cannot explain; it makes up χ². The noise s then has its most probable value where m·ln s +
// χ²/2s² + (ln s/0.35)²/2 is least, with m between the differences' own degrees of freedom, n − 2, and all
// readings, 2n. It holds while the noise is small beside the hollow, so that a common curve explains the mean of the
// two.
func TestNoiseOfTwoSurveys(t *testing.T) {
	const n, u = 10, 0.003
	for _, deeper := range []float64{0, 0.01, 0.0254, 0.04} {
		in := Input{Bed: [2]float64{-203.2, 812.8}, Unworn: [][2]float64{{-203.2, -152.4}, {762, 812.8}}, TwistU: 5e-8}
		var x, difference []float64
		for _, more := range []float64{0, deeper} {
			var rows [][]float64
			for k := range n {
				z := -150 + 100*float64(k)
				d := (z - 250) / 150
				rows = append(rows, []float64{z, 25 - (0.0762+more)*math.Exp(-d*d)})
				if more == deeper && len(x) < n {
					x, difference = append(x, z/100), append(difference, deeper*math.Exp(-d*d))
				}
			}
			in.Surveys = append(in.Surveys, read(t, usual, fmt.Sprintf("method = 'way-micrometer'\non = "+
				"'rear'\nuncertainty = %g\ncolumns = ['position', 'reading']", u), rows))
		}
		chi2 := 0.0
		var b mat.VecDense
		line := powers(x, 0, 1)
		if err := b.SolveVec(line, mat.NewVecDense(n, difference)); err != nil {
			t.Fatal(err)
		}
		for i, d := range difference {
			off := d - b.AtVec(0) - b.AtVec(1)*x[i]
			chi2 += off * off / (2 * u * u)
		}
		most := func(m float64) float64 {
			best, at := math.Inf(1), 0.0
			for l := 0.0; l < 5; l += 1e-4 {
				if v := m*l + chi2*math.Exp(-2*l)/2 + l*l/(2*0.35*0.35); v < best {
					best, at = v, l
				}
			}
			return math.Exp(at)
		}
		best, err := mostProbable(mustProblem(t, in), point{at: priorCentre()})
		if err != nil {
			t.Fatal(err)
		}
		low, high := most(2*n), most(n-2)
		t.Logf("deeper by %g: χ² %.1f, noise %.3f, between %.3f and %.3f", deeper, chi2, best.at.noise(), low, high)
		if got := best.at.noise(); got < 0.99*low || got > 1.015*high {
			t.Errorf("deeper by %g mm: readings are taken to be %.3f times worse, worked out apart between %.3f and "+
				"%.3f", deeper, got, low, high)
		}
	}
}
