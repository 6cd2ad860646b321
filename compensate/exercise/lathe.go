package exercise

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	"wornway/profile/bed"
	"wornway/profile/length"
	"wornway/profile/wear"
)

// machine is an invented lathe: its dimensions in its own unit, round numbers all, and its true wear.
type machine struct {
	unit                           length.Unit
	height, span, setback          float64
	saddle, offset, from, to, bare float64 // bare: how far the ways are unworn at each end
	wear                           *wear.Wear
}

// between draws a number from a to b in steps, so that it is a round one.
func between(r *rand.Rand, a, b, step float64) float64 {
	return rounded(a+float64(r.IntN(int(math.Round((b-a)/step))+1))*step, step)
}

// rounded returns the multiple of a step next to a number, as the nearest decimal fraction.
func rounded(x, step float64) float64 {
	const fraction = 1e9
	return math.Round(math.Round(x/step)*step*fraction) / fraction
}

// newMachine draws a lathe of usual size, worn as lathes usually are: deepest half a foot or so from the spindle nose,
// the front way more than the rear (common practice, no source).
func newMachine(r *rand.Rand) (*machine, error) {
	m := &machine{unit: length.Millimetre}
	if r.IntN(2) == 0 {
		m.unit = length.Inch
	}
	if m.unit == length.Inch {
		m.height = between(r, 5, 7.5, 0.5)
		m.span = m.height + between(r, 1, 2, 0.25)
		m.setback = rounded(m.span/2, 0.25)
		m.saddle, m.offset = between(r, 9, 12, 0.5), between(r, -2, 0, 0.5)
		m.from, m.to, m.bare = -8, between(r, 40, 48, 2), 3.5
	} else {
		m.height = between(r, 125, 190, 5)
		m.span = m.height + between(r, 25, 50, 5)
		m.setback = rounded(m.span/2, 5)
		m.saddle, m.offset = between(r, 220, 300, 10), between(r, -50, 0, 10)
		m.from, m.to, m.bare = -200, between(r, 1000, 1200, 50), 90
	}
	var err error
	m.wear, err = m.worn(r)
	return m, err
}

// worn draws the true wear, in mm.
func (m *machine) worn(r *rand.Rand) (*wear.Wear, error) {
	mm := m.unit.ToMM
	uniform := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	deepest, rise, fall, depth := uniform(120, 230), uniform(110, 160), uniform(180, 300), uniform(0.05, 0.14)
	rear, shift, later := depth*uniform(0.25, 0.6), depth*uniform(0.05, 0.25), uniform(-20, 60)
	first, last, bare := mm(m.from), mm(m.to), mm(m.bare)
	hump := func(z, at float64) float64 {
		wide := rise
		if z > at {
			wide = fall
		}
		ends := math.Min(1, math.Max(0, math.Min(z-first-bare, last-bare-z)/50))
		return math.Exp(-(z-at)*(z-at)/(2*wide*wide)) * ends
	}
	const apart = 10.0
	var knots []float64
	values := map[bed.Curve][]float64{}
	for i := 0; ; i++ {
		z := first + float64(i)*apart
		if z > last {
			break
		}
		knots = append(knots, z)
		values[bed.Front] = append(values[bed.Front], depth*hump(z, deepest))
		values[bed.Rear] = append(values[bed.Rear], rear*hump(z, deepest+later))
		values[bed.Shift] = append(values[bed.Shift], shift*hump(z, deepest))
	}
	w, err := wear.New(knots, values)
	if err != nil {
		return nil, err
	}
	return w.WithScalar(bed.Twist, uniform(-3e-8, 3e-8)).WithScalar(bed.LeanOut, uniform(-5e-5, 5e-5)), nil
}

// head is the profile without its surveys.
func (m *machine) head(n Number) string {
	var b strings.Builder
	at := func(v float64) string { return number(v) }
	fmt.Fprintf(&b, "# Exercise %s. The lathe and all its readings are invented.\nformat = 1\nunit = "+
		"%q\n\n[lathe]\nname = \"Exercise %s (invented)\"\n", n, m.unit.String(), n)
	fmt.Fprintf(&b, "centre_height = %s\nway_span = %s\naxis_setback = %s\n", at(m.height), at(m.span), at(m.setback))
	fmt.Fprintf(&b, "bed = [%s, %s]\nunworn = [[%s, %s], [%s, %s]]\n", at(m.from), at(m.to), at(m.from),
		at(m.from+m.bare), at(m.to-m.bare), at(m.to))
	spacing := 10.0
	if m.unit == length.Inch {
		spacing = 0.4
	}
	fmt.Fprintf(&b, "\n[lathe.front_way]\nouter_angle = 45\ninner_angle = 45\ncontact_spacing = %s\n", at(spacing))
	fmt.Fprintf(&b, "\n[lathe.saddle]\nbearing_length = %s\ntool_offset = %s\n", at(m.saddle), at(m.offset))
	b.WriteString("seating = 0 # it gives, and bears on both ends\n")
	return b.String()
}

// number writes a number as short as it can be.
func number(v float64) string { return fmt.Sprintf("%.15g", v) }
