package estimate

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"wornway/profile/bed"
)

// stepped is a way read with a level, or an autocollimator's mirror, step by step.
type stepped struct {
	step        float64 // mm
	perDivision string
	readings    []float64 // one for each step
	back        []float64 // nil: not read back
}

// free estimates the way's heights at the stations, mm, plus up. What is known of wear beforehand is set aside: fixed
// strengths of 10 mm, which are thousands of times what a step's reading leaves open, and a reach of a quarter of a
// step; and no unworn stretch. So the published evaluations, which know nothing beforehand, must come out.
func (s stepped) free(t *testing.T) (heights []float64, f fixed, weights [][]float64) {
	t.Helper()
	n := len(s.readings)
	keys := "method = 'level-along'\non = 'front'\nper_division = " + s.perDivision +
		"\nuncertainty = 0.1\ncolumns = ['from', 'to', 'reading'"
	var rows [][]float64
	for i, r := range s.readings {
		row := []float64{float64(i) * s.step, float64(i+1) * s.step, r}
		if s.back != nil {
			row = append(row, s.back[i])
		}
		rows = append(rows, row)
	}
	if s.back != nil {
		keys += ", 'back'"
	}
	in := Input{Bed: [2]float64{0, float64(n) * s.step}}
	in.Surveys = append(in.Surveys, read(t, usual, keys+"]", rows))
	f = fix(t, mustProblem(t, in), s.step/4, 10, 10, 10)
	for i := range n + 1 {
		w := f.weigh(bed.At(bed.Front, 0).Times(-1), float64(i)*s.step)
		weights = append(weights, w)
		heights = append(heights, f.value(w))
	}
	return heights, f, weights
}

// fromEnds returns the heights about the line through the ends.
func fromEnds(h []float64) []float64 {
	n := len(h) - 1
	out := make([]float64, len(h))
	for i := range h {
		out[i] = h[i] - h[0] - (h[n]-h[0])*float64(i)/float64(n)
	}
	return out
}

// fromLine returns the heights about their least-squares line.
func fromLine(h []float64) []float64 {
	n := float64(len(h))
	var mean, slope, square float64
	for _, y := range h {
		mean += y / n
	}
	for i, y := range h {
		x := float64(i) - (n-1)/2
		slope += x * y
		square += x * x
	}
	out := make([]float64, len(h))
	for i, y := range h {
		out[i] = y - mean - slope/square*(float64(i)-(n-1)/2)
	}
	return out
}

func spread(h []float64) float64 { return slices.Max(h) - slices.Min(h) }

// Straightness from stepped readings, as printed; heights and spreads in µm. The least-squares values are recomputed
// here from the published readings with exact fractions; the rest is as published.
func TestPublishedStraightness(t *testing.T) {
	for _, c := range []struct {
		source      string
		s           stepped
		deviations  []float64 // about the ends, µm
		ends, least float64   // spreads, µm
		within      float64   // of the latter
	}{
		{"a fitter's examination (in Chinese), " +
			"app.ixiawen.com/question/44391893/a016c7b62619cd91d8cfa01a9c7586da.html: 0.02 mm",
			stepped{step: 200, perDivision: "'0.01 mm/m'", readings: []float64{3, 6, -3, -1, -3, 4}},
			[]float64{0, 4, 14, 6, 2, -6, 0}, 20, 16.571429, 1e-3},
		{"the same method, 274949.com/670/t28546001.html: 0.006 mm (the page prints the bridge as 20 mm, its " +
			"arithmetic has 200)",
			stepped{step: 200, perDivision: "'0.01 mm/m'", readings: []float64{2, 1, 2, -1, 0, 2}},
			[]float64{0, 2, 2, 4, 0, -2, 0}, 6, 5.285714, 1e-3},
		{"a graphical solution, jikaoti.com/ti/vKYiFFFM: 0.014 mm from the graph, 0.0136 exactly; a hollow bed",
			stepped{step: 200, perDivision: "'0.01 mm/m'", readings: []float64{-4, -2, 2, 4, 0, 2.4}},
			[]float64{0, -8.8, -13.6, -10.4, -3.2, -4, 0}, 14, math.NaN(), 0.5},
		{"an autocollimator with 0.5 µm for a second of arc on its 100 mm base, lecture slides 13-15, " +
			"www.coursehero.com/file/pgh1bs/: 3 µm. Its first reading is the datum only",
			stepped{step: 100, perDivision: "5e-6", readings: []float64{128, 131, 135, 128, 129, 134},
				back: []float64{132, 135, 139, 128, 131, 134}},
			[]float64{0, -1, -0.5, 2, 0, -1, 0}, 3, 3.035714, 1e-3},
		{"the same with a true second of arc",
			stepped{step: 100, perDivision: "'1 arcsec'", readings: []float64{128, 131, 135, 128, 129, 134},
				back: []float64{132, 135, 139, 128, 131, 134}},
			nil, 2.9089, math.NaN(), 5e-5},
	} {
		h, _, _ := c.s.free(t)
		ends := fromEnds(h)
		for i, d := range c.deviations {
			near(t, fmt.Sprintf("%s: station %d", c.source, i), ends[i]*1000, d, 1e-3)
		}
		near(t, c.source+": about the ends", spread(ends)*1000, c.ends, c.within)
		if !math.IsNaN(c.least) {
			near(t, c.source+": about the least-squares line", spread(fromLine(h))*1000, c.least, 1e-3)
		}
	}
}

// A surface plate's lines: J. C. Moody, "How to Calibrate Surface Plates in the Plant", The Tool Engineer, October
// 1955, Table 1, 4 in steps, in seconds of arc. The original was not seen; two independent public transcriptions of the
// readings agree. The published values are rounded to a tenth, the ends of an edge are those of the diagonals. ends and
// least: spreads about the line's own ends and about its least-squares line, recomputed exactly from the readings.
func TestPublishedSurfacePlate(t *testing.T) {
	for _, c := range []struct {
		line        string
		readings    []float64
		published   []float64
		worst       float64 // of the published values, as the exact sums differ from them
		ends, least float64
	}{
		{"NW-SE", []float64{6.5, 6.0, 5.0, 5.2, 5.5, 5.6, 5.5, 5.0, 5.5, 4.8, 5.0, 5.2, 5.3, 4.9, 4.6, 4.2, 5.3, 4.9,
			4.5, 3.5},
			[]float64{-3.6, -2.2, -1.3, -1.4, -1.3, -0.9, -0.4, 0, -0.1, 0.3, 0, -0.1, 0, 0.2, 0, -0.5, -1.4, -1.2,
				-1.4, -2.0, -3.6}, 0.005, 3.9, 3.98286},
		{"NE-SW", []float64{6.6, 5.4, 5.4, 5.2, 5.5, 5.7, 5.0, 5.0, 5.4, 4.5, 4.4, 4.5, 4.5, 4.8, 4.2, 4.2, 4.2, 4.8,
			4.3, 3.2},
			[]float64{-5.3, -3.5, -3.0, -2.4, -2.1, -1.4, -0.5, -0.4, -0.2, 0.3, 0, -0.4, -0.8, -1.1, -1.2, -1.8, -2.4,
				-3.1, -3.1, -3.7, -5.3}, 0.045, 5.64, 5.84688},
		{"N edge", []float64{20.5, 19.7, 20.5, 20.3, 20.2, 19.9, 19.0, 19.5, 18.8, 18.6, 18.7, 18.6, 18.4, 18.5, 19.0,
			17.9},
			[]float64{-5.3, -4.0, -3.4, -2.1, -0.9, 0.1, 0.9, 0.7, 1.1, 0.8, 0.2, -0.2, -0.8, -1.5, -2.2, -2.3, -3.6},
			0.055, 5.5625, 5.76667},
		{"E edge", []float64{3.5, 2.1, 2.5, 2.8, 3.4, 3.2, 3.5, 4.0, 4.2, 3.5},
			[]float64{-5.3, -4.9, -6.0, -6.5, -6.8, -6.5, -6.4, -6.0, -5.1, -4.0, -3.6}, 0.105, 2.41, 2.33364},
		{"S edge", []float64{16.4, 15, 15.6, 15.5, 15.1, 15.3, 15.1, 14.6, 14, 13.5, 13.5, 13.3, 13.3, 13.4, 14, 13.9},
			[]float64{-3.6, -1.8, -1.4, -0.3, 0.6, 1.1, 1.8, 2.4, 2.4, 1.8, 0.8, -0.3, -1.6, -2.9, -4.0, -4.6, -5.3},
			0.055, 6.85, 7.53725},
		{"W edge", []float64{6, 4.6, 4.5, 4.7, 5.0, 4.5, 5.9, 6, 6, 4.9},
			[]float64{-3.6, -3.0, -3.8, -4.6, -5.3, -5.7, -6.6, -6.1, -5.4, -4.8, -5.3}, 0.045, 2.75, 2.46364},
	} {
		h, _, _ := stepped{step: 101.6, perDivision: "'1 arcsec'", readings: c.readings}.free(t)
		const second = 101.6 * 4.84813681109536e-6 // mm in a step
		for i := range h {
			h[i] /= second
		}
		n := len(h) - 1
		d := fromEnds(h)
		near(t, c.line+": about its ends", spread(d), c.ends, 1e-4)
		near(t, c.line+": about the least-squares line", spread(fromLine(h)), c.least, 1e-4)
		first, last := c.published[0], c.published[n]
		if n == 20 { // a diagonal: its ends are equal and its middle is zero
			first, last = -d[10], -d[10]
		}
		for i := range d {
			near(t, fmt.Sprintf("%s, station %d", c.line, i), d[i]+first+(last-first)*float64(i)/float64(n),
				c.published[i], c.worst)
		}
	}
}

// The uncertainty of a stepped profile about its ends: u(h_i) = u_step·√(i(n−i)/n), covariance u²·i(n−j)/n for
// i ≤ j; derived here (independent steps, their mean taken out).
func TestUncertaintyOfSteppedProfile(t *testing.T) {
	for n, printed := range map[int][]float64{
		6:  {0.912871, 1.154701, 1.224745, 1.154701, 0.912871},
		10: {4: 1.581139}, // its greatest
	} {
		s := stepped{step: 200, perDivision: "2e-5", readings: make([]float64, n)}
		_, f, w := s.free(t)
		ends := func(i int) []float64 {
			out := slices.Clone(w[i])
			axpy(-1+float64(i)/float64(n), w[0], out)
			axpy(-float64(i)/float64(n), w[n], out)
			return out
		}
		const step = 0.1 * 2e-5 * 200
		for i := 1; i < n; i++ {
			for j := i; j < n; j++ {
				near(t, fmt.Sprintf("n %d, covariance of %d and %d", n, i, j), f.covariance(ends(i), ends(j))/step/step,
					float64(i*(n-j))/float64(n), 1e-5)
			}
			if i <= len(printed) && printed[i-1] > 0 {
				near(t, fmt.Sprintf("n %d, uncertainty of %d", n, i), math.Sqrt(f.covariance(ends(i), ends(i)))/step,
					printed[i-1], 2e-6)
			}
		}
	}
}
