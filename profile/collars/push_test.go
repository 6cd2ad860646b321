package collars

import (
	"math"
	"testing"
)

// How beams give, by the work of a unit force over the bending moment, summed along the beam; a prop's force is such
// that the beam does not move there.
func TestGiveAgainstBending(t *testing.T) {
	const d, jaws, end, at = 30.0, 50.0, 250.0, 190.0
	l, a := end+d-jaws, at-jaws
	stiff := modulus * math.Pi * math.Pow(d, 4) / 64
	clamped := func(x, p float64) float64 { return math.Max(0, p-x) } // moment at x of 1 N at p on a clamped beam
	along := func(m, n func(x float64) float64) float64 {
		const steps = 20000
		sum := 0.0
		for i := range steps {
			x := l * (float64(i) + 0.5) / steps
			sum += m(x) * n(x) * l / steps
		}
		return sum / stiff
	}
	load := func(x float64) float64 { return clamped(x, a) }
	prop := func(x float64) float64 { return clamped(x, l) }
	force := along(load, prop) / along(prop, prop)
	propped := func(x float64) float64 { return load(x) - force*prop(x) }
	resting := func(x float64) float64 { return math.Min(x*(l-a), a*(l-x)) / l }
	for held, moment := range map[Held]func(float64) float64{Chuck: load, ChuckAndCentre: propped, Centres: resting} {
		want := 2 * along(moment, moment)
		if got := give(held, jaws, end, d, at); math.Abs(got/want-1) > 1e-6 {
			t.Errorf("held %d: %g mm/N, want %g", held, got, want)
		}
	}
}
