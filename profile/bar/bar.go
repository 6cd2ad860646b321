// Package bar is a bar of even diameter as a lathe holds it: the ways of holding, by the names that files, flags and
// answers have for them; how it gives way to the cut; and how it follows the tailstock's centre.
//
// Lengths are mm, forces newtons. It leaves out steps, a steady, the headstock's bearings and the tailstock's own give.
//
// # Where the formulas come from
//
//   - deflections of a clamped beam and of a beam on two supports under one load: beam tables, from memory; tested by
//     the bending moment's work, and against the stepped shafts of package bend.
//   - how hard a light cut pushes: common practice, no source.
package bar

import (
	"fmt"
	"math"
	"strings"
)

// Holding is a way of holding work.
type Holding string

// The ways of holding work.
const (
	Chuck          Holding = "chuck"            // the spindle's jaws or taper hold it alone, the other end free
	ChuckAndCentre Holding = "chuck-and-centre" // in the jaws, the other end on the tailstock's centre
	Centres        Holding = "centres"          // between the headstock's centre and the tailstock's, driven by a dog
)

// All lists the ways of holding work.
func All() []Holding { return []Holding{Chuck, ChuckAndCentre, Centres} }

// Parse returns the way of that name. It takes the other spelling of centre, and spindle, as chuck was once called
// where readings are concerned.
func Parse(name string) (Holding, error) {
	if name == "spindle" {
		return Chuck, nil
	}
	for _, h := range All() {
		if string(h) == strings.ReplaceAll(name, "center", "centre") {
			return h, nil
		}
	}
	return "", fmt.Errorf("%q is no way of holding work", name)
}

// Words says the way of holding as one would at the machine.
func (h Holding) Words() string {
	switch h {
	case ChuckAndCentre:
		return "in the chuck and on the tailstock's centre"
	case Centres:
		return "between centres"
	}
	return "in the chuck"
}

// Tailed says whether the tailstock's centre carries the far end.
func (h Holding) Tailed() bool { return h != Chuck }

// Gripped says whether jaws hold the near end.
func (h Holding) Gripped() bool { return h != Centres }

// modulus of elasticity of steel, N/mm². Of another metal a bar gives more, which its collars then show.
const modulus = 206e3

// How hard a light cut pushes, N, and how far it may push a bar away at the most, mm on diameter: standard, common
// practice, no source.
const (
	usualPush = 60
	mostPush  = 0.02
)

// Bar is a bar as it is held.
type Bar struct {
	Held      Holding
	Near, Far float64 // the jaws' front or the headstock's centre; the tailstock's centre or the free end
	Diameter  float64
	Turning   float64 // how far it turns in the jaws under a moment, radians per N·mm
}

// Around returns a bar whose collars lie between two places. What is not known of it, NaN, is taken as usual: the jaws
// end half a diameter before the first collar, and the far end lies a diameter beyond the last.
func Around(h Holding, near, far, first, last, diameter float64) Bar {
	if math.IsNaN(near) {
		near = first - diameter/2
	}
	if math.IsNaN(far) {
		far = last + diameter
	}
	return Bar{Held: h, Near: near, Far: far, Diameter: diameter}
}

// length is how much of the bar bends.
func (b Bar) length() float64 { return b.Far - b.Near }

// stiff is E·I, N·mm².
func (b Bar) stiff() float64 { return modulus * math.Pi * math.Pow(b.Diameter, 4) / 64 }

// free returns how far a bar that jaws alone hold gives way at one distance from them to 1 N at another.
func (b Bar) free(at, by float64) float64 {
	x, p := min(at, by), max(at, by)
	return x*x*(3*p-x)/(6*b.stiff()) + b.Turning*x*p
}

// Give returns how far the bar gives way where the tool pushes, mm by radius for each N; 0 where nothing of it can.
func (b Bar) Give(z float64) float64 {
	a, l := z-b.Near, b.length()
	switch {
	case a <= 0 || b.Held.Tailed() && a >= l:
		return 0
	case b.Held == Centres:
		return a * a * (l - a) * (l - a) / (3 * b.stiff() * l)
	case b.Held == ChuckAndCentre: // the centre pushes back as hard as keeps the end where it is
		prop := b.free(a, l)
		return b.free(a, a) - prop*prop/b.free(l, l)
	}
	return b.free(a, a)
}

// Follow returns how far the bar moves for each mm that the tailstock's centre stands to a side: 0 where nothing but
// the spindle holds it.
func (b Bar) Follow(z float64) float64 {
	a, l := z-b.Near, b.length()
	switch {
	case !b.Held.Tailed() || a <= 0 && b.Held == ChuckAndCentre:
		return 0
	case b.Held == Centres:
		return a / l
	}
	return b.free(a, l) / b.free(l, l)
}

// Most is the most that the bar gives along a stretch, mm by radius for each N.
func (b Bar) Most(from, to float64) float64 {
	most := 0.0
	const steps = 64
	for i := range steps + 1 {
		most = math.Max(most, b.Give(from+(to-from)*float64(i)/steps))
	}
	return most
}

// Push returns how what the cut pushes away runs along a stretch of the bar, 1 where that is most, and how much it
// usually is there: standard, mm on diameter.
func (b Bar) Push(from, to float64) (shape func(z float64) float64, usual float64) {
	greatest := b.Most(from, to)
	if !(greatest > 0) {
		return func(float64) float64 { return 0 }, 0
	}
	return func(z float64) float64 { return b.Give(z) / greatest }, math.Min(usualPush*2*greatest, mostPush)
}
