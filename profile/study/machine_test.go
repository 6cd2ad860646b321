package study

import (
	"math"
	"math/rand/v2"
)

// machine is a made-up lathe with its true wear. Lengths mm, angles radians, drops plus down, sideways plus toward the
// operator.
type machine struct {
	kind string

	// centre height above the contacts, the V's contact spacing, front way to rear, front way to spindle axis
	height, spacing, span, setback float64
	rearPost                       bool
	vee                            bool
	outer, inner                   float64 // flank angles
	saddle, offset                 float64 // bearing length; tool from the saddle's middle
	tail                           [2]float64
	base                           float64
	from, to                       float64 // the ways
	form                           form

	lostOuter, lostInner, lostRear shape // on a flat front way: drop and shift in place of the flanks
	scale                          [3]float64
	lostTail                       shape
	tailScale                      [2]float64
	tailSlope                      [2]float64
	twist, leanOut, leanUp         float64

	full    bool     // the saddle bears along its whole length, not at its ends
	stiff   float64  // 0: it gives and bears on both ends of the rear way; 1: it rides on the end that stands higher
	crooked [3]shape // how the ways of lost* were never straight, mm; nil: they were
}

// newMachine makes up a lathe whose front way has dropped by depth where it is deepest.
func newMachine(r *rand.Rand, kind string, depth float64) *machine {
	m := &machine{kind: kind, vee: r.Float64() < 0.8, rearPost: r.Float64() < 0.15}
	m.span = uniform(r, 180, 250)
	m.height = m.span * uniform(r, 0.6, 0.85)
	m.setback = m.span * uniform(r, 0.42, 0.55)
	m.saddle, m.offset = uniform(r, 178, 356), uniform(r, -60, 20)
	m.tail = [2]float64{m.span * uniform(r, 0.25, 0.35), m.span * uniform(r, 0.65, 0.75)}
	m.base = uniform(r, 120, 180)
	m.from, m.to = -uniform(r, 210, 260), uniform(r, 1000, 1150)
	if m.vee {
		m.outer, m.inner, m.spacing = math.Pi/4, math.Pi/4, uniform(r, 6, 15)
		if r.Float64() < 0.4 {
			m.outer, m.inner = uniform(r, 25, 50)*math.Pi/180, uniform(r, 40, 70)*math.Pi/180
		}
	}
	m.form = randomForm(r, kind)
	other := func() form {
		if f := m.form.like(r); r.Float64() < 0.7 {
			return f
		}
		f := randomForm(r, kinds[r.IntN(len(kinds))])
		f.start, f.end = m.form.start, m.form.end
		return f
	}
	m.lostOuter, m.lostInner, m.lostRear = m.form.shape(), m.form.like(r).shape(), other().shape()
	m.scale = [3]float64{1, uniform(r, 0.3, 1.2), 0}
	if !m.vee {
		m.scale[1] = uniform(r, -0.4, 0.4) // the guiding edge
	}
	deepest := 0.0
	for z := m.form.start; z < m.form.end; z++ {
		deepest = math.Max(deepest, m.front(z))
	}
	m.scale[0], m.scale[1] = depth/deepest, m.scale[1]*depth/deepest
	m.scale[2] = depth * uniform(r, 0.2, 0.8)
	if r.Float64() < 0.1 {
		m.scale[2] = depth * uniform(r, 0.8, 1.2) // now and then the rear way is the worse
	}
	tail := form{kind: "hump", deepest: uniform(r, 300, 600), wide: 1.5, start: m.form.start, end: m.form.end}
	m.lostTail = tail.shape()
	m.tailScale = [2]float64{depth * uniform(r, 0, 0.12), depth * uniform(r, 0, 0.12)}
	m.tailSlope = [2]float64{2e-5 * r.NormFloat64(), 2e-5 * r.NormFloat64()}
	m.twist = uniform(r, -5e-8, 5e-8)
	m.leanOut, m.leanUp = uniform(r, -1e-4, 1e-4), uniform(r, -1e-4, 1e-4)
	return m
}

// flanks returns the metal lost from the V's flanks, normal to them.
func (m *machine) flanks(z float64) (outer, inner float64) {
	return m.scale[0]*m.lostOuter(z) + m.made(0, z), m.scale[1]*m.lostInner(z) + m.made(1, z)
}

// made is how low a surface was at a place when it was new.
func (m *machine) made(i int, z float64) float64 {
	if m.crooked[i] == nil {
		return 0
	}
	return m.crooked[i](z)
}

// front is the front way's drop: where the V, sunk into its worn flanks, comes to rest.
func (m *machine) front(z float64) float64 {
	o, i := m.flanks(z)
	if !m.vee {
		return o
	}
	return (o*math.Sin(m.inner) + i*math.Sin(m.outer)) / math.Sin(m.outer+m.inner)
}

func (m *machine) shift(z float64) float64 {
	o, i := m.flanks(z)
	if !m.vee {
		return i
	}
	return (i*math.Cos(m.outer) - o*math.Cos(m.inner)) / math.Sin(m.outer+m.inner)
}

func (m *machine) rear(z float64) float64 { return m.scale[2]*m.lostRear(z) + m.made(2, z) }

// tailway is the drop of a tailstock way (0 front, 1 rear) against where the carriage ways once lay.
func (m *machine) tailway(i int, z float64) float64 {
	return m.tailScale[i]*m.lostTail(z) + m.tailSlope[i]*z
}

// rides returns what a slide that bears at two places a length apart makes of a way: at its middle, and the height of
// the line through both places at a distance from there.
func rides(way func(float64) float64, middle, length, at float64) (mean, there float64) {
	a, b := way(middle-length/2), way(middle+length/2)
	return (a + b) / 2, (a+b)/2 + (b-a)/length*at
}

// lies returns what the saddle's whole bearing makes of a way likewise: the line through its ends, or where it bears
// all along the least-squares line.
func (m *machine) lies(way func(float64) float64, middle, at float64) (mean, there float64) {
	if !m.full {
		return rides(way, middle, m.saddle, at)
	}
	const parts = 40
	lever, square := 0.0, 0.0
	for i := range parts {
		x := m.saddle * ((float64(i)+0.5)/parts - 0.5)
		v := way(middle + x)
		mean += v / parts
		lever += x * v
		square += x * x
	}
	return mean, mean + lever/square*at
}

// seat is how the saddle lies when its middle stands somewhere.
type seat struct{ drop, shift, roll float64 }

// seated returns the seat at a place so far from the saddle's middle; roll is that of the ways alone. Each end of the
// saddle would roll by what the ways under it make; the saddle rolls by the mean of the two, and by half of their
// difference more if it does not give at all.
func (m *machine) seated(place, fromMiddle float64) seat {
	middle := place - fromMiddle
	front, drop := m.lies(m.front, middle, fromMiddle)
	rear, _ := m.lies(m.rear, middle, fromMiddle)
	_, shift := m.lies(m.shift, middle, fromMiddle)
	roll := (front - rear) / m.span
	if m.stiff > 0 && !m.full {
		a, b := middle-m.saddle/2, middle+m.saddle/2
		roll += m.stiff * math.Abs(m.front(a)-m.rear(a)-m.front(b)+m.rear(b)) / m.span / 2
	}
	return seat{drop, shift, roll}
}

// guide is the spindle's height above the point about which the front guide lets the saddle roll.
func (m *machine) guide() float64 {
	if !m.vee {
		return m.height
	}
	return m.height + m.spacing/(math.Tan(m.outer)+math.Tan(m.inner))
}

func (m *machine) post() float64 {
	if m.rearPost {
		return -1
	}
	return 1
}

// tip returns how far the tool's point has moved out and down at a tool position, for work of a diameter.
func (m *machine) tip(z, diameter float64) (out, down float64) {
	s := m.seated(z, m.offset)
	roll := s.roll + m.twist*z
	return m.post() * (s.shift + m.guide()*roll), s.drop - roll*(m.setback-m.post()*diameter/2)
}

// diameterError is exact: twice the distance of the tool's point from the work's axis, less the diameter to which it
// was set on centre at setAt.
func (m *machine) diameterError(z, setAt, diameter, leanOut, leanUp float64) float64 {
	out, down := m.tip(z, diameter)
	out0, down0 := m.tip(setAt, diameter)
	x := diameter/2 + out - out0 - m.post()*leanOut*(z-setAt)
	y := -(down - down0) - leanUp*(z-setAt)
	return 2*math.Hypot(x, y) - diameter
}
