package bar_test

import (
	"math"
	"testing"

	"wornway/profile/bar"
)

// How beams give, by the work of a unit force over the bending moment, summed along the beam, and over the turning of
// the jaws; a prop's force is such that the beam does not move there.
func TestGiveAgainstBending(t *testing.T) {
	const d, jaws, end, at, modulus = 30.0, 50.0, 280.0, 190.0, 206e3
	for _, turning := range []float64{0, 3e-9} {
		l, a := end-jaws, at-jaws
		stiff := modulus * math.Pi * math.Pow(d, 4) / 64
		clamped := func(x, p float64) float64 { return math.Max(0, p-x) } // moment at x of 1 N at p on a clamped beam
		along := func(m, n func(x float64) float64) float64 {
			const steps = 20000
			sum := 0.0
			for i := range steps {
				x := l * (float64(i) + 0.5) / steps
				sum += m(x) * n(x) * l / steps
			}
			return sum/stiff + turning*m(0)*n(0)
		}
		load := func(x float64) float64 { return clamped(x, a) }
		prop := func(x float64) float64 { return clamped(x, l) }
		force := along(load, prop) / along(prop, prop)
		propped := func(x float64) float64 { return load(x) - force*prop(x) }
		resting := func(x float64) float64 { return math.Min(x*(l-a), a*(l-x)) / l }
		for held, moment := range map[bar.Holding]func(float64) float64{bar.Chuck: load, bar.ChuckAndCentre: propped,
			bar.Centres: resting} {
			b := bar.Bar{Held: held, Near: jaws, Far: end, Diameter: d, Turning: turning}
			want := along(moment, moment)
			if held == bar.Centres && turning > 0 {
				continue // no jaws
			}
			if got := b.Give(at); math.Abs(got/want-1) > 1e-6 {
				t.Errorf("%s, turning %g: gives %g mm/N, want %g", held, turning, got, want)
			}
		}
		// Moving the centre by 1 mm takes the force that moves the free end so far.
		b := bar.Bar{Held: bar.ChuckAndCentre, Near: jaws, Far: end, Diameter: d, Turning: turning}
		if got, want := b.Follow(at), along(load, prop)/along(prop, prop); math.Abs(got-want) > 1e-6 {
			t.Errorf("turning %g: follows by %g, want %g", turning, got, want)
		}
	}
}

// What holds a bar does not give, and the centre takes its own end along.
func TestEnds(t *testing.T) {
	for _, h := range bar.All() {
		b := bar.Bar{Held: h, Near: 20, Far: 320, Diameter: 25}
		for _, z := range []float64{0, 20, 320, 400} {
			if got := b.Give(z); got != 0 && (h.Tailed() || z <= 20) {
				t.Errorf("%s gives %g at %g", h, got, z)
			}
		}
		want := 1.0
		if !h.Tailed() {
			want = 0
		}
		if got := b.Follow(320); math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: its end follows by %g, want %g", h, got, want)
		}
		if got := b.Follow(20); got != 0 {
			t.Errorf("%s: where it is held it follows by %g", h, got)
		}
	}
}

// What is written: the names, the other spelling, and the name of before.
func TestParse(t *testing.T) {
	for name, want := range map[string]bar.Holding{"chuck": bar.Chuck, "spindle": bar.Chuck, "centers": bar.Centres,
		"chuck-and-center": bar.ChuckAndCentre, "centres": bar.Centres} {
		if got, err := bar.Parse(name); err != nil || got != want {
			t.Errorf("%s: %s, %v", name, got, err)
		}
	}
	for _, name := range []string{"", "faceplate", "Chuck"} {
		if got, err := bar.Parse(name); err == nil {
			t.Errorf("%q: %s", name, got)
		}
	}
}
