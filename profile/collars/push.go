package collars

import "math"

// Held is how the bar was held.
type Held int

// The ways to hold a bar.
const (
	Chuck Held = iota
	ChuckAndCentre
	Centres
)

// Tailed says whether the tailstock's centre holds the far end.
func (h Held) Tailed() bool { return h != Chuck }

// modulus of elasticity of steel, N/mm². Of another metal the bar gives more than is taken for usual, which its
// collars then show.
const modulus = 206e3

// How hard a light cut pushes, N, and how far it may push the bar away at the most, mm on diameter: standard, common
// practice, no source. The second is what a survey of the method test-cut takes.
const (
	usualPush = 60
	mostPush  = 0.02
)

// give returns how far a bar gives way where the tool stands, mm on diameter for each N. A bar in the chuck is a beam
// clamped at the jaws; with a centre it is propped there, and between centres it rests on both. Its far end lies a
// diameter beyond the last collar.
//
// Source: the deflection of such beams under their load, from memory; tested by integrating the bending moment.
func give(held Held, heldAt, end, diameter, z float64) float64 {
	a := z - heldAt
	if a <= 0 {
		return 0
	}
	stiff := modulus * math.Pi * math.Pow(diameter, 4) / 64
	l := end + diameter - heldAt
	b := l - a
	switch held {
	case ChuckAndCentre:
		return 2 * a * a * a * b * b * (3*l + b) / (12 * stiff * l * l * l)
	case Centres:
		return 2 * a * a * b * b / (3 * stiff * l)
	}
	return 2 * a * a * a / (3 * stiff)
}

// pushShape is how the push-off runs along the bar, 1 where it is greatest, and how great it usually is there, mm on
// diameter: the scale of a half-normal density.
func (h How) pushShape(t *Table) (shape func(z float64) float64, scale float64) {
	first, last := t.Range()
	d := t.Diameter()
	at := h.jaws(t)
	of := func(z float64) float64 { return give(h.Held, at, last, d, z) }
	greatest := 0.0
	const steps = 64
	for i := range steps + 1 {
		greatest = math.Max(greatest, of(first+(last-first)*float64(i)/steps))
	}
	if !(greatest > 0) {
		return func(float64) float64 { return 0 }, 0
	}
	return func(z float64) float64 { return of(z) / greatest }, math.Min(usualPush*greatest, mostPush)
}
