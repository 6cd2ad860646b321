package bed_test

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"wornway/profile/bed"
)

func setTo(t testing.TB, diameter, height float64) bed.Setting {
	t.Helper()
	s, err := bed.SetTo(diameter, height)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Exact arithmetic of r = √(R² + h²), derived, not published; the rule of thumb beside it is h²/2R.
func TestToolHeightTable(t *testing.T) {
	for _, c := range []struct{ r, h, dr, thumb, dd float64 }{
		{20, 0.1, 0.000249998, 0.000250000, 0.000499997},
		{20, 0.2, 0.000999975, 0.001, 0.001999950},
		{5, 0.5, 0.024937811, 0.025, 0.049875621},
		{2, 0.5, 0.061552813, 0.0625, 0.123105626},
		{50, 1.0, 0.009999000, 0.01, 0.019998000},
	} {
		for _, h := range []float64{c.h, -c.h} { // on centre, up and down are alike
			s := setTo(t, 2*c.r, 0)
			near(t, "radius", s.Radius(0, h)-c.r, c.dr, 6e-10)
			near(t, "diameter error", s.DiameterError(0, h), c.dd, 6e-10)
			near(t, "rule of thumb", s.DiameterError(0, h)/2, c.thumb, c.thumb*h*h/(2*c.r*c.r))
		}
	}
}

// A tool set off centre makes the drop count to first order: R 20 set 0.2 above centre, derived in closed form.
func TestFirstOrderTrap(t *testing.T) {
	s := setTo(t, 40, 0.2)
	near(t, "drop 0.1", s.DiameterError(0, 0.1)/2, -0.000750014, 6e-10)
	near(t, "rise 0.1", s.DiameterError(0, -0.1)/2, 0.001249961, 6e-10)
}

// A tool that sinks with the cross slide untouched leaves the work larger: 2√(x² + s²), derived. In inches.
func TestSagMakesWorkLarger(t *testing.T) {
	for _, c := range []struct{ d, sag, want float64 }{
		{1, 0.007, 1.0000979952}, {1, 0.020, 1.0007996803}, {4, 0.007, 4.0000244999}, {4, 0.020, 4.0001999950},
	} {
		s := setTo(t, c.d, 0)
		near(t, "diameter", c.d+s.DiameterError(0, c.sag), c.want, 6e-11)
		near(t, "twice the radius", 2*s.Radius(0, c.sag), c.want, 6e-11)
	}
}

// By hand: D 0.25, X0² = 0.125² − 0.02²; 5 thousandths lower: 2(√(X0² + 0.025²) − 0.125) = 0.00179 where the
// tool was low, and with 0.015² −0.00140 where it was high.
func TestSmallDiameterOffCentre(t *testing.T) {
	near(t, "tool low", setTo(t, 0.25, -0.020).DiameterError(0, 0.005), 0.00179, 5e-6)
	near(t, "tool high", setTo(t, 0.25, 0.020).DiameterError(0, 0.005), -0.00140, 5e-6)
}

// The definition of the diameter error, with 400 bits: 2√((X + out)² + (h − down)²) − 2√(X² + h²). The
// rounded X of the setting does not give the diameter back exactly, so that the diameter it is compared with is the one
// that X makes.
func bigError(s bed.Setting, out, down float64) float64 {
	f := func(x float64) *big.Float { return new(big.Float).SetPrec(400).SetFloat64(x) }
	hypot := func(x, y *big.Float) *big.Float {
		sum := new(big.Float).SetPrec(400).Mul(x, x)
		sum.Add(sum, new(big.Float).SetPrec(400).Mul(y, y))
		return sum.Sqrt(sum)
	}
	x, h := f(s.X), f(s.Height)
	r := hypot(new(big.Float).SetPrec(400).Add(x, f(out)), new(big.Float).SetPrec(400).Sub(h, f(down)))
	r.Sub(r, hypot(x, h))
	v, _ := r.Float64()
	return 2 * v
}

func TestDiameterErrorKeepsItsDigits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.Float64Range(0.1, 500).Draw(t, "diameter")
		h := float64(rapid.IntRange(-490, 490).Draw(t, "height")) / 1000 * d
		s, err := bed.SetTo(d, h)
		if err != nil {
			t.Fatal(err)
		}
		small := math.Pow(10, rapid.Float64Range(-12, 0).Draw(t, "size"))
		out, down := float64(rapid.IntRange(-1000, 1000).Draw(t, "out"))/1000*small,
			float64(rapid.IntRange(-1000, 1000).Draw(t, "down"))/1000*small
		got, want := s.DiameterError(out, down), bigError(s, out, down)
		// Out and down may cancel; what may be lost is a few roundings of the two parts.
		part := (math.Abs(out)*(2*s.X+math.Abs(out)) +
			math.Abs(down)*(2*math.Abs(h)+math.Abs(down))) * 2 / (s.Radius(out, down) + d/2)
		if math.Abs(got-want) > 4e-15*part {
			t.Fatalf("diameter error %g, exactly %g", got, want)
		}
	})
	// A ten-millionth of a micrometre still has its digits, where the plain difference of two diameters has none left.
	s := setTo(t, 100, 0)
	if got := s.DiameterError(1e-10, 0); math.Abs(got-2e-10) > 1e-24 {
		t.Errorf("diameter error of 1e-10 out = %g, want 2e-10", got)
	}
}

func TestOutUndoesRadius(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.Float64Range(1, 500).Draw(t, "diameter")
		s, err := bed.SetTo(d, rapid.Float64Range(-0.4, 0.4).Draw(t, "height")*d)
		if err != nil {
			t.Fatal(err)
		}
		out, down := rapid.Float64Range(-0.05, 0.05).Draw(t, "out")*d, rapid.Float64Range(-0.05, 0.05).Draw(t, "down")*d
		if got := s.Out(s.Radius(out, down), down); math.Abs(got-out) > 1e-11*d {
			t.Fatalf("out = %g, want %g", got, out)
		}
		// The slopes against a central difference.
		const e = 1e-4
		perOut, perDown := s.Slope(out, down)
		byOut := (s.DiameterError(out+e*d, down) - s.DiameterError(out-e*d, down)) / (2 * e * d)
		byDown := (s.DiameterError(out, down+e*d) - s.DiameterError(out, down-e*d)) / (2 * e * d)
		if math.Abs(perOut-byOut) > 1e-5 || math.Abs(perDown-byDown) > 1e-5 {
			t.Fatalf("slopes %g, %g, want %g, %g", perOut, perDown, byOut, byDown)
		}
	})
	s := setTo(t, 10, 0)
	for _, r := range []float64{3, -3, -20} { // 4 below the axis a radius of 3 cannot be cut, nor ever one below zero
		if got := s.Out(r, 4); !math.IsNaN(got) {
			t.Errorf("a radius of %g with the point 4 below the axis: out = %g, want none", r, got)
		}
	}
}

func TestSetToRefuses(t *testing.T) {
	for _, c := range [][2]float64{{0, 0}, {-1, 0}, {math.NaN(), 0}, {10, 5}, {10, -5}, {10, 7}, {10, math.NaN()}} {
		if _, err := bed.SetTo(c[0], c[1]); err == nil {
			t.Errorf("diameter %g with the tool %g above centre was taken", c[0], c[1])
		}
	}
}
