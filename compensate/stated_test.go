package compensate_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
)

// hump is the drop of an invented bed, mm, worn over 400 mm or so.
func hump(z float64) float64 { return 0.08 * math.Exp(-(z-250)*(z-250)/(2*150*150)) }

// typed is that bed written down in rows so far apart from one position on, to a last one.
func typed(from, to, apart float64, bearing bed.Bearing) bench {
	b := bench{lathe: bed.Lathe{CentreHeight: 150, Span: 220, Setback: 110,
		Saddle: bed.Saddle{BearingLength: 280, Bearing: bearing, ToolOffset: -30}}, values: map[bed.Curve][]float64{}}
	for z := from; z <= to+1e-9; z += apart {
		b.z = append(b.z, z)
		b.values[bed.Front] = append(b.values[bed.Front], hump(z))
		b.values[bed.Rear] = append(b.values[bed.Rear], 0.3*hump(z))
		b.values[bed.Shift] = append(b.values[bed.Shift], 0.2*hump(z))
	}
	return b
}

// Rows thinned or refined along the same curve change no ± by more than 5 %: not that of a place, of the ends, of the
// slope, nor the range and probability of the spread; and midway between rows it is not less than on one.
func TestUncertaintyDoesNotHangOnTheRows(t *testing.T) {
	for _, bearing := range []bed.Bearing{bed.Ends, bed.Full} {
		var first compensate.Taper
		var spread compensate.Prospect
		var u []float64
		thin := typed(-200, 1000, 100, bearing).machine(t).Wear
		for i, apart := range []float64{100, 50, 25, 3, 0.5} {
			rows := typed(-200, 1000, apart, bearing)
			for c, v := range rows.values { // along the curve of the thinnest
				for i, z := range rows.z {
					v[i] = thin.Value(bed.At(c, 0), z)
				}
			}
			m := rows.machine(t)
			m.Wear = m.Wear.WithCovariance(statedTo(0.004, 75))
			c := mustCurve(t, m, compensate.Cut{Feature: work.Feature{From: 50, To: 350, Diameter: 30}, SetAt: 350})
			k := c.Taper()
			s, _ := c.Sample(c.Spaced(), 0.03)
			if i == 0 {
				first, spread = k, s
			}
			near(t, "ends", k.UEnds, first.UEnds, 0.01*first.UEnds)
			near(t, "slope", k.USlope, first.USlope, 0.01*first.USlope)
			near(t, "spread from", s.Spread[0], spread.Spread[0], 0.05*spread.Spread[1])
			near(t, "spread to", s.Spread[1], spread.Spread[1], 0.05*spread.Spread[1])
			near(t, "probability", s.Within, spread.Within, 0.03)
			for j := range 30 {
				got := c.Station(50 + 10*float64(j)).Uncertainty
				if i == 0 {
					u = append(u, got)
				}
				near(t, "station", got, u[j], 0.01*u[j])
			}
		}
		// The further from where the tool was set, the less is known, until the two go together no longer.
		for j := 1; j < len(u); j++ {
			if u[j] > 1.02*u[j-1] && 50+10*float64(j) > 250 {
				t.Errorf("nearer to where the tool was set the ± grows: %v", u)
			}
		}
	}
}

// A saddle that hangs off the bed makes no probability larger than it is on the same bed written down further: past the
// last row the curve keeps its end value, but is off by itself.
func TestHangingOffTheBedMakesNothingSurer(t *testing.T) {
	for _, bearing := range []bed.Bearing{bed.Ends, bed.Full} {
		for _, apart := range []float64{20, 90, 400} {
			for _, from := range []float64{800, 900, 950} {
				cut := compensate.Cut{Feature: work.Feature{From: from, To: 1000, Diameter: 30}, SetAt: 1000}
				var got [2]compensate.Prospect
				for i, to := range []float64{1000, 1600} {
					b := typed(1000-apart*math.Ceil(1200/apart), 1000, apart, bearing)
					for z := 1000 + apart; z <= to; z += apart {
						b.z = append(b.z, z)
						for c, v := range b.values {
							b.values[c] = append(v, v[len(v)-1])
						}
					}
					m := b.machine(t)
					m.Wear = m.Wear.WithCovariance(statedTo(0.004, 75))
					c := mustCurve(t, m, cut)
					got[i], _ = c.Sample(c.Spaced(), 0.008)
				}
				if math.Abs(got[0].Within-got[1].Within) > 0.02 {
					t.Errorf("from %v, rows %v apart: with a probability of %v, written down further %v", from, apart,
						got[0].Within, got[1].Within)
				}
			}
		}
	}
}

// Curves drawn at random, each put through the exact model anew, scatter as the ± says, and their spreads as the range
// and the probability say. A drawn error is white noise each 5 mm under the square of a cosine one and a half reaches
// wide, by code of its own; on the bed written down every 5 mm and on past its end.
func TestStatedAgainstMonteCarlo(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 31))
	const u, reach, step = 0.003, 75.0, 5.0
	draws := cases(3000, 3000)
	var window []float64
	square := 0.0
	for x := -0.75 * reach; x <= 0.75*reach; x += step {
		window = append(window, math.Pow(math.Cos(math.Pi*x/(1.5*reach)), 2))
		square += window[len(window)-1] * window[len(window)-1]
	}
	noise := func(n int) []float64 {
		white := make([]float64, n+len(window))
		for i := range white {
			white[i] = r.NormFloat64() * u / math.Sqrt(square)
		}
		out := make([]float64, n)
		for i := range out {
			for j, f := range window {
				out[i] += f * white[i+j]
			}
		}
		return out
	}
	for _, bearing := range []bed.Bearing{bed.Ends, bed.Full} {
		for _, length := range []float64{150, 800} {
			rows := typed(-200, 1000, 50, bearing)
			cut := compensate.Cut{Feature: work.Feature{From: 950 - length, To: 950, Diameter: 40}, SetAt: 950}
			m := rows.machine(t)
			m.Wear = m.Wear.WithCovariance(statedTo(u, reach))
			c := mustCurve(t, m, cut)
			fine := typed(-200, 1300, step, bearing)
			if bearing == bed.Full {
				fine = typed(-200, 1300, 2*step, bearing) // slower, and as good
			}
			exact := m.Wear
			for c, v := range fine.values { // the mean as the rows have it
				for i, z := range fine.z {
					v[i] = exact.Value(bed.At(c, 0), z)
				}
			}
			const tolerance = 0.02
			within, lower, upper, ends, squares := 0.0, 0.0, 0.0, 0.0, 0.0
			s, _ := c.Sample(c.Spaced(), tolerance)
			n := draws
			if bearing == bed.Full {
				n = draws / 6
			}
			for range n {
				drawn := bench{lathe: fine.lathe, z: fine.z, values: map[bed.Curve][]float64{}}
				for c := range bed.Curves { // in order, so that each run draws the same
					v := fine.values[c]
					e := noise(4 * len(v))
					every := int((fine.z[1] - fine.z[0]) / step)
					for i, y := range v {
						drawn.values[c] = append(drawn.values[c], y+e[i*every])
					}
				}
				f := drawn.plain().errors(cut)
				least, greatest := sampled(cut.From, cut.To, int(length/10), func(z float64) float64 { return f(z, 0) })
				spread := greatest - least
				d := f(cut.From, 0) - f(cut.To, 0)
				ends, squares = ends+d, squares+d*d
				if spread <= tolerance {
					within++
				}
				if spread < s.Spread[0] {
					lower++
				}
				if spread > s.Spread[1] {
					upper++
				}
			}
			of := float64(n)
			want := math.Sqrt((squares - ends*ends/of) / (of - 1))
			t.Logf("bearing %v, %v mm: u %.5f, drawn %.5f; within %.3f, drawn %.3f; below %.4f above %.4f",
				bearing, length, c.Taper().UEnds, want, s.Within, within/of, lower/of, upper/of)
			sure := 4 / math.Sqrt(2*of) // standard errors of a standard deviation
			near(t, "ends", c.Taper().UEnds, want, (0.01+sure)*want)
			near(t, "probability", s.Within, within/of, 4*0.5/math.Sqrt(of)+0.01)
			most := math.Max(0.02, 2.9*math.Sqrt(0.025*0.975/of)) // standard errors
			near(t, "below the range", lower/of, 0.025, most)
			near(t, "above it", upper/of, 0.025, most)
		}
	}
}
