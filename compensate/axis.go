package compensate

import (
	"wornway/profile/bed"
)

// Axis is the line about which the work turns: how far it lies toward the operator and upward, mm, of where it would
// lie on a bed without wear. Out and Up are sums at the position itself; where the tailstock's centre carries the far
// end, what that does comes on top.
type Axis struct {
	Out, Up bed.Sum
	Tail    *Tail // nil: the tailstock carries nothing
}

// Tail is the tailstock's centre where it carries the far end of the work. Lengths mm.
type Tail struct {
	Follow func(z float64) float64 // how much of the centre's motion the axis makes at a position: 1 at the centre
	Breaks []float64               // positions at which Follow bends anew, ascending
	// how far the centre stands toward the operator, and up, of where it was aligned; the set-over apart
	Out, Up []bed.Addend
	SetOver float64 // how far the centre was set over since, plus toward the operator
	U       float64 // standard uncertainty of the alignment, in each direction
}

// Push is how the cut pushes the work away from the tool. Lengths mm.
type Push struct {
	By     func(z float64) float64 // how far the work gives way where the tool stands, at least zero
	Breaks []float64               // positions at which By bends anew, ascending
	U      float64                 // standard uncertainty of the force, as a share of it
}

// SpindleAxis is the axis of work held by the spindle alone: straight, with the spindle's lean against the bed.
func SpindleAxis() Axis { return Axis{Out: bed.Of(bed.LeanOut), Up: bed.Of(bed.LeanUp)} }

// pushed returns how far the tool point stands out from the work's axis because the cut pushes the work, mm. Outside,
// the work moves away from the tool and is left bigger; a bore's wall moves away from the tool too, which brings the
// axis nearer and leaves the bore smaller.
func (c *Curve) pushed(z float64) float64 {
	switch {
	case c.Push == nil:
		return 0
	case c.Bore:
		return -c.Push.By(z)
	}
	return c.Push.By(z)
}

// valueOf returns the value of sums at places of their own, mm.
func (m Machine) valueOf(sums []bed.Addend) float64 {
	v := 0.0
	for _, w := range sums {
		v += w.Factor * m.Wear.Value(w.Sum, w.At)
	}
	return v
}

// axisAt returns how far the axis lies toward the operator and upward at z, mm, absolute.
func (m Machine) axisAt(z float64) (out, up float64) {
	out, up = m.Wear.Value(m.Axis.Out, z), m.Wear.Value(m.Axis.Up, z)
	if t := m.Axis.Tail; t != nil {
		share := t.Follow(z)
		out += share * (m.valueOf(t.Out) + t.SetOver)
		up += share * m.valueOf(t.Up)
	}
	return out, up
}
