package compensate_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"wornway/compensate"
)

func TestRoundStep(t *testing.T) {
	for _, c := range []struct {
		length, unit float64
		most         int
		want         float64
	}{
		{100, 1, 25, 5}, {10, 1, 25, 0.5}, {24, 1, 25, 2}, {23.9, 1, 25, 1}, {8 * 25.4, 25.4, 25, 0.5 * 25.4},
		{1000, 1, 25, 50},
		{0.01, 1, 25, 0.0005}, {0, 1, 25, 1}, {-3, 25.4, 25, 25.4}, {math.NaN(), 1, 25, 1}, {10, 1, 1, 20},
		{10, 1, 0, 20},
	} {
		if got := compensate.RoundStep(c.length, c.unit, c.most); math.Abs(got-c.want) > 1e-12*c.want {
			t.Errorf("a length of %g in units of %g, at most %d: %g, want %g", c.length, c.unit, c.most, got, c.want)
		}
	}
}

func TestStations(t *testing.T) {
	for _, c := range []struct {
		from, to, step float64
		want           []float64
	}{
		{0, 10, 5, []float64{0, 5, 10}},
		{1, 9, 5, []float64{1, 5, 9}},
		{-7.5, 3, 2.5, []float64{-7.5, -5, -2.5, 0, 2.5, 3}},
		{-8, -4.5, 1, []float64{-8, -7, -6, -5, -4.5}},
		{-0.3, 0.3, 0.1, []float64{-0.3, -0.2, -0.1, 0, 0.1, 0.2, 0.3}},
		{1, 2, 50, []float64{1, 2}},
		{1, 2, 0, []float64{1, 2}}, {1, 2, -1, []float64{1, 2}}, {1, 2, math.NaN(), []float64{1, 2}},
	} {
		got := compensate.Stations(c.from, c.to, c.step)
		if !slices.EqualFunc(got, c.want, func(a, b float64) bool { return math.Abs(a-b) < 1e-12 }) {
			t.Errorf("%g to %g by %g: %v, want %v", c.from, c.to, c.step, got, c.want)
		}
	}
}

func TestRoundStations(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.Float64Range(-2000, 2000).Draw(t, "from")
		length := math.Pow(10, rapid.Float64Range(-1, 3.5).Draw(t, "length"))
		unit := rapid.SampledFrom([]float64{1, 25.4}).Draw(t, "unit")
		most := rapid.IntRange(2, 60).Draw(t, "most")
		step := compensate.RoundStep(length, unit, most)
		mantissa := step / unit / math.Pow(10, math.Floor(math.Log10(step/unit)+1e-9))
		if !slices.ContainsFunc([]float64{1, 2, 5}, func(m float64) bool { return math.Abs(mantissa-m) < 1e-9 }) {
			t.Fatalf("a step of %g units is not round", step/unit)
		}
		at := compensate.Stations(from, from+length, step)
		if len(at)-1 > most {
			t.Fatalf("%d parts, at most %d asked", len(at)-1, most)
		}
		if at[0] != from || at[len(at)-1] != from+length {
			t.Fatalf("from %g to %g: %v", from, from+length, at)
		}
		for i, z := range at {
			if i > 0 && z <= at[i-1] || i > 1 && i < len(at)-1 && math.Abs(z-at[i-1]-step) > 1e-6*step {
				t.Fatalf("stations %v", at)
			}
			if i > 0 && i < len(at)-1 && math.Abs(z/step-math.Round(z/step)) > 1e-9 {
				t.Fatalf("%g is no multiple of %g", z, step)
			}
		}
	})
}

// A dial by hand: half a division of 0.02 moves the slide 0.01, or half of that where it counts diameter; a compound at
// 30° moves the tool in by half of its own way and along the bed by cos 30° of it. At 5.739170° it is a tenth (sin
// 5.739170° = 0.1).
func TestDial(t *testing.T) {
	d := compensate.Dial{Division: 0.02, Finest: 0.5}
	near(t, "step", d.Step(), 0.01, 1e-17)
	near(t, "limit", d.Limit(), 0.02, 1e-17)
	near(t, "along", d.Along(), 0, 0)
	near(t, "reading", d.Reading(-3), -0.03, 1e-17)
	near(t, "divisions", d.Divisions(3), 1.5, 0)
	d.Diameter = true
	near(t, "step by diameter", d.Step(), 0.005, 1e-17)
	near(t, "limit by diameter", d.Limit(), 0.01, 1e-17)
	c := compensate.Dial{Division: 0.02, Finest: 0.5, Angle: math.Pi / 6}
	near(t, "compound's step", c.Step(), 0.005, 1e-16)
	near(t, "compound along", c.Along(), 0.01*math.Sqrt(3)/2, 1e-16)
	c.Angle = 5.739170 * math.Pi / 180
	near(t, "a tenth", c.Step(), 0.001, 1e-9)
	c.Diameter = true
	near(t, "a twentieth", c.Step(), 0.0005, 1e-9)
}
