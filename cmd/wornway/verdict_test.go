package main

import (
	"context"
	"encoding/json"
	"io"
	"math"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/invented"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/ways"
	"wornway/compensate"
	"wornway/compensate/work"
)

// opened opens a profile for a test.
func opened(t testing.TB, text string) *shop.Bench {
	t.Helper()
	e := env.New(context.Background(), onTestDay, strings.NewReader(text), io.Discard, io.Discard)
	l, err := flags.Open(e, "-", nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// surveyedLathe is invented: a level near the headstock only, in a unit of so many mm. Further out nothing was read.
func surveyedLathe(unit string, mm float64) string {
	l := someLathe{height: 150, span: 200, setback: 100, bearing: 280, offset: -25, division: 0.02, backlash: 0.1,
		dial: "diameter", positions: []float64{-200, 1000}, front: []float64{0, 0}, back: []float64{0, 0},
		shift: []float64{0, 0}}
	text, _, _ := strings.Cut(l.toml(unit, mm), "[wear]")
	text += "[[survey]]\nmethod = \"saddle-level\"\nper_division = \"0.02 mm/m\"\ncolumns = [\"position\", " +
		"\"reading\"]\nrows = ["
	for i, r := range []float64{0, -1.2, -2.4, -3.1, -3.2, -2.6} {
		text += "[" + digits((50+50*float64(i))/mm) + ", " + digits(r) + "], "
	}
	return text + "]\n"
}

// The verdict promises nothing that the estimate does not: at no place, surveyed or not, does a length's 95 % limit
// exceed what is said to hold anywhere, nor does one fall much below what is said of the best place. Places are tried
// that the verdict did not try, by the curve's own sampling.
func TestVerdictHoldsAnywhere(t *testing.T) {
	alongside(t)
	if testing.Short() {
		t.Skip("takes ten seconds")
	}
	step := 97.0
	if *study {
		step = 47
	}
	for name, text := range map[string]string{"surveyed": surveyedLathe("mm", 1), "demo": string(invented.Lathe)} {
		l := opened(t, text)
		from, to := l.Reach()
		vs, err := ways.Capabilities(l)
		if err != nil {
			t.Fatal(err)
		}
		if len(vs) != 6 {
			t.Fatalf("%s: %d lengths", name, len(vs))
		}
		for _, v := range vs {
			const little = 1.1 // between the places that are tried, and for the draws
			for a := from; a+v.Length <= to; a += step {
				cut := compensate.Cut{Feature: work.Feature{From: a, To: a + v.Length,
					Diameter: shop.UsualDiameter(l.In)},
					SetAt: a + v.Length}
				c, err := l.Machine.Curve(cut)
				if err != nil {
					t.Fatal(err)
				}
				s, ok := c.Sample(c.Spaced(), 0)
				if !ok {
					t.Fatalf("%s: no ±", name)
				}
				if s.Limit > little*v.Anywhere {
					t.Errorf("%s: %g mm from %g keep within %g, anywhere within %g", name, v.Length, a, s.Limit,
						v.Anywhere)
				}
				if s.Limit < v.Best/1.3 {
					t.Errorf("%s: %g mm from %g keep within %g, at best within %g", name, v.Length, a, s.Limit,
						v.Best)
				}
				_, corrected, err := l.Machine.KeptByDial(cut, l.Dial(), l.RuleStep())
				if err != nil {
					t.Fatal(err)
				}
				if corrected > 1.15*v.Corrected {
					t.Errorf("%s: corrected, %g mm from %g keep within %g, anywhere within %g", name, v.Length, a,
						corrected, v.Corrected)
				}
			}
			if !(v.Best <= v.Anywhere && v.Corrected <= v.Anywhere && v.BestCorrected <= v.Best &&
				v.BestCorrected <= v.Corrected) {
				t.Errorf("%s: %+v", name, v)
			}
		}
	}
}

// A lathe in millimetres and the same in inches are judged alike: a cut by its spread, with and without the dial.
func TestVerdictInEitherUnit(t *testing.T) {
	alongside(t)
	a, b := opened(t, surveyedLathe("mm", 1)), opened(t, surveyedLathe("in", 25.4))
	for _, from := range []float64{0, 200, 600} {
		cut := compensate.Cut{Feature: work.Feature{From: from, To: from + 150, Diameter: 25}, SetAt: from + 150}
		x, err := a.Machine.Kept(cut)
		if err != nil {
			t.Fatal(err)
		}
		y, err := b.Machine.Kept(cut)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(x-y) > 1e-7*x {
			t.Errorf("from %g: %.9g mm in the one, %.9g mm in the other", from, x, y)
		}
	}
}

// The longest length is the last up to which all keep within the tolerance.
func TestLongestWithin(t *testing.T) {
	of := func(spreads ...float64) []compensate.Capability {
		var out []compensate.Capability
		for i, s := range spreads {
			out = append(out, compensate.Capability{Length: float64(i + 1), Anywhere: s})
		}
		return out
	}
	anywhere := func(v compensate.Capability) float64 { return v.Anywhere }
	for _, tt := range []struct {
		spreads []float64
		want    float64
	}{{[]float64{1, 2, 3}, 2}, {[]float64{1, 3, 2}, 1}, {[]float64{3, 1}, math.NaN()}, {nil, math.NaN()},
		{[]float64{math.NaN(), 1}, math.NaN()}} {
		got := ways.LongestWithin(of(tt.spreads...), 2, anywhere)
		if got != tt.want && !(math.IsNaN(got) && math.IsNaN(tt.want)) {
			t.Errorf("%v: %v, want %v", tt.spreads, got, tt.want)
		}
	}
}

// Who takes the covariance that wear --json gives can work out the ± that predict states: on a saddle that bears at a
// point, by the formula of the tool's motion, out = shift + H·(front − rear)/S + H·τ·z, twice of its difference
// between two places and, small, what the tool's sinking adds.
func TestCovarianceGivesTheUncertainty(t *testing.T) {
	alongside(t)
	text := someLathe{height: 150, span: 200, setback: 100, bearing: 0, division: 0.02, backlash: 0.1,
		dial: "diameter", positions: []float64{0, 200, 400, 1000}, front: []float64{0.01, 0.04, 0.02, 0},
		back: []float64{0, 0.01, 0, 0}, shift: []float64{0, 0.002, 0, 0}}.toml("mm", 1)
	l := opened(t, strings.Replace(text, "[wear]\n", "[wear]\nuncertainty = 0.003\n", 1))
	const from, to = 100.0, 300.0
	raw, err := json.Marshal(ways.Covariance(l, from, to))
	if err != nil {
		t.Fatal(err)
	}
	var c struct {
		Of []struct {
			What     string
			Position *float64
		}
		Matrix [][]float64
	}
	if err := json.Unmarshal(raw, &c); err != nil || len(c.Of) == 0 {
		t.Fatal(err, string(raw))
	}
	weights := make([]float64, len(c.Of))
	for i, o := range c.Of {
		for z, sign := range map[float64]float64{from: 1, to: -1} {
			h := map[string]float64{"front": 150.0 / 200, "rear": -150.0 / 200, "shift": 1}[o.What]
			if o.Position != nil && math.Abs(*o.Position-z) < 1e-9 {
				weights[i] += 2 * sign * h
			}
			if o.What == "twist" {
				weights[i] += 2 * sign * 150 * z
			}
		}
	}
	sum := 0.0
	for i, a := range weights {
		for k, b := range weights {
			sum += a * b * c.Matrix[i][k]
		}
	}
	curve, err := l.Machine.Curve(compensate.Cut{Feature: work.Feature{From: from, To: to, Diameter: 30}, SetAt: to})
	if err != nil {
		t.Fatal(err)
	}
	if u := curve.Station(from).Uncertainty; math.Abs(math.Sqrt(sum)-u) > 0.01*u || u == 0 {
		t.Errorf("%v mm by the covariance, %v by predict", math.Sqrt(sum), u)
	}
}
