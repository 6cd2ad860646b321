package exercise

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	"wornway/profile/length"
)

// page is one survey or cut as it is noted: a row for each place. Places are in the lathe's unit, readings and what
// goes with them in the reading's own.
type page struct {
	name    string // what it is called among cuts and readings; empty for a survey of the bed
	method  string
	keys    string
	reading string    // the column
	at      []float64 // places
	base    float64   // added to every reading: the nominal diameter of a cut
	per     float64   // mm or radians in one unit of a reading
	u, step float64   // error of a reading, standard, and how finely it is noted
	zero    float64   // half the range of an arbitrary zero; 0: the last reading is zero, as where the tool was set
}

// text writes the page with its readings.
func (p *page) text(readings []float64) string {
	var b strings.Builder
	fmt.Fprintf(&b, "[[survey]]\nmethod = %q\n%scolumns = [\"position\", %q]\nrows = [\n", p.method, p.keys, p.reading)
	for i, z := range p.at {
		fmt.Fprintf(&b, "  [%s, %s],\n", number(z), number(readings[i]))
	}
	b.WriteString("]\n")
	return b.String()
}

// page is the page with its readings.
func (p *page) page(readings []float64) Page {
	digits := 0
	for step := p.step; step < 1 && math.Abs(step-math.Round(step)) > 1e-9; step *= 10 {
		digits++
	}
	return Page{p.method, p.at, readings, digits}
}

// blank are readings before anything is read.
func (p *page) blank() []float64 {
	out := make([]float64, len(p.at))
	for i := range out {
		out[i] = p.base
	}
	return out
}

// read makes readings of what is there, mm or radians by place: a zero, an error each, rounded as they are noted.
func (p *page) read(r *rand.Rand, there []float64) []float64 {
	zero := -there[len(there)-1] / p.per
	if p.zero > 0 {
		zero = p.zero * (2*r.Float64() - 1)
	}
	out := make([]float64, len(there))
	for i, v := range there {
		out[i] = rounded(p.base+zero+v/p.per+p.u*r.NormFloat64(), p.step)
	}
	return out
}

// places returns n places from one to another, in steps that can be set by a rule.
func places(from, to float64, n int, step float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = rounded(from+(to-from)*float64(i)/float64(n-1), step)
	}
	return out
}

// level is a level of 0.02 mm/m or 0.0005 in/ft a division on the saddle.
func (m *machine) level(name string, from, to float64, n int) *page {
	per, text, fine := 0.02e-3, "0.02 mm/m", 5.0
	if m.unit == length.Inch {
		per, text, fine = 0.0005/12, "0.0005 in/ft", 0.25
	}
	return &page{name: name, method: "saddle-level", keys: fmt.Sprintf("per_division = %q\nuncertainty = 0.2\n", text),
		reading: "reading",
		at:      places(from, to, n, fine), per: per, u: 0.2, step: 0.1, zero: 3}
}

// bar is a test indicator along a bar, the mean of two runs half a turn apart.
func (m *machine) bar(from, to float64, n int) *page {
	p := &page{method: "bar-side", reading: "reading", per: 0.001, u: 1.5, step: 1, zero: 50}
	unit, fine := "um", 5.0
	if m.unit == length.Inch {
		p.per, p.u, p.step, p.zero = 0.0254, 0.06, 0.05, 2
		unit, fine = "thou", 0.25
	}
	p.keys = fmt.Sprintf("turned = true\nreading_unit = %q\nuncertainty = %s\n", unit, number(p.u))
	p.at = places(from, to, n, fine)
	return p
}

// practice is how cuts are made, in the lathe's unit.
type practice struct {
	first, last, centred             float64
	diameter, slender                float64 // of the bar in the chuck, and between centres
	jaws, light, deep, u, step, fine float64
}

func (m *machine) cutting() practice {
	if m.unit == length.Inch {
		return practice{first: 2, last: 10, centred: 16, diameter: 2, slender: 1, jaws: 1.25, light: 0.005, deep: 0.04,
			u: 0.0001, step: 0.00005, fine: 0.25}
	}
	return practice{first: 50, last: 250, centred: 400, diameter: 50, slender: 25, jaws: 30, light: 0.1, deep: 1,
		u: 0.002, step: 0.001, fine: 5}
}

// cut are six collars turned at one setting.
func (m *machine) cut(name string) *page {
	c := m.cutting()
	p := &page{name: name, method: "test-cut", reading: "diameter", base: c.diameter, per: 1, u: c.u, step: c.step}
	if m.unit == length.Inch {
		p.per = length.Inch.ToMM(1)
	}
	depth, last := c.light, c.last
	if name == "chucked-deep" {
		depth = c.deep
	}
	held := fmt.Sprintf("held_at = %s\n", number(c.jaws))
	if name == "centres" {
		held, last, p.base = "held = \"centres\"\n", c.centred, c.slender
	}
	p.keys = fmt.Sprintf("%sdepth = %s\nuncertainty = %s\n", held, number(depth), number(c.u))
	const collars = 6
	p.at = places(c.first, last, collars, c.fine)
	return p
}
