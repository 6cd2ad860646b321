package compensate

import (
	"fmt"

	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// Axis is the line about which the work turns, as sums that say how far it has moved toward the operator (Out) and upward (Up), mm, at a
// position.
type Axis struct{ Out, Up bed.Sum }

// SpindleAxis is the axis of work held by the spindle alone: straight, with the spindle's lean against the bed.
func SpindleAxis() Axis { return Axis{Out: bed.Of(bed.LeanOut), Up: bed.Of(bed.LeanUp)} }

// Machine is a lathe with its wear and the work's axis.
type Machine struct {
	Lathe bed.Lathe
	Wear  *wear.Wear
	Axis  Axis
}

// Cut is one feature as it lies on the bed, and where and how the tool was set for it.
type Cut struct {
	work.Feature         // From and To count from the spindle nose, mm
	SetAt        float64 // where the diameter was measured and the dial set, mm
	ToolHeight   float64 // above centre when set, mm
}

// OutsideError says that the tool would stand where nothing is known of the wear.
type OutsideError struct{ Position, From, To float64 } // mm

func (e OutsideError) Error() string {
	return fmt.Sprintf("position %g mm lies outside the surveyed stretch from %g to %g mm", e.Position, e.From, e.To)
}

// Curve is the diameter error of a cut as a function of position.
type Curve struct {
	Machine
	Cut

	setting     bed.Setting
	out, down   bed.Sum // the tool point's motion relative to the work axis
	out0, down0 float64 // the same where it was set
	breaks      []float64
}

// Curve returns the error curve of the cut. The error is a [work.Problem] or an [OutsideError].
func (m Machine) Curve(c Cut) (*Curve, error) {
	job := work.Job{Features: []work.Feature{c.Feature}, ToolHeight: c.ToolHeight}
	if ps := job.Check(); len(ps) > 0 {
		return nil, ps[0]
	}
	first, last := m.Wear.Range()
	for _, p := range []float64{c.From, c.To, c.SetAt} {
		if !(p >= first && p <= last) {
			return nil, OutsideError{p, first, last}
		}
	}
	s, err := bed.SetTo(c.Diameter, c.ToolHeight)
	if err != nil {
		return nil, err
	}
	k := &Curve{Machine: m, Cut: c, setting: s}
	k.out = m.Lathe.ToolOut().Plus(m.Axis.Out.Times(-m.Lathe.Post()))
	k.down = m.Lathe.ToolDrop(c.Diameter).Plus(m.Axis.Up)
	k.out0, k.down0 = m.Wear.Value(k.out, c.SetAt), m.Wear.Value(k.down, c.SetAt)
	k.breaks = m.Wear.Breaks(c.From, c.To, k.out, k.down)
	return k, nil
}

// moved returns how far the tool point has moved out and down against the work axis since it was set, mm.
func (c *Curve) moved(z float64) (out, down float64) {
	return c.Wear.Value(c.out, z) - c.out0, c.Wear.Value(c.down, z) - c.down0
}

// At returns the diameter error at z, mm, with the tool turned in by setting (mm on radius) since it was set.
func (c *Curve) At(z, setting float64) float64 {
	out, down := c.moved(z)
	return c.setting.DiameterError(out-setting, down)
}

// Station is the diameter error at one position with every step that led to it. Lengths mm, roll in radians.
type Station struct {
	Position      float64
	Front, Shift  float64 // what the saddle makes of the front way, at the tool: plus down, plus toward the operator
	Roll          float64 // of the saddle, twist included
	ToolOut       float64 // away from the axis by wear and twist, before lean, absolute
	ToolDrop      float64 // down, likewise
	AxisOut       float64 // the work axis toward the operator, absolute
	AxisUp        float64 // the work axis upward, absolute
	Out, Down     float64 // the tool point against the axis since it was set: what counts
	Radius        float64 // cut here
	DiameterError float64
	Uncertainty   float64 // standard, of the difference to where it was set; meaningful where Stated
	Stated        bool
}

// Station returns the error at z, which lies in the surveyed stretch.
func (c *Curve) Station(z float64) Station {
	w, l := c.Wear, c.Lathe
	s := Station{
		Position: z,
		Front:    w.Value(l.FrontDrop(), z),
		Shift:    w.Value(l.FrontShift(), z),
		Roll:     w.Value(l.Roll(), z),
		ToolOut:  w.Value(l.ToolOut(), z),
		ToolDrop: w.Value(l.ToolDrop(c.Diameter), z),
		AxisOut:  w.Value(c.Axis.Out, z),
		AxisUp:   w.Value(c.Axis.Up, z),
	}
	s.Out, s.Down = c.moved(z)
	s.Radius = c.setting.Radius(s.Out, s.Down)
	s.DiameterError = c.setting.DiameterError(s.Out, s.Down)
	g := c.gradient(z)
	s.Uncertainty, s.Stated = w.Uncertainty(&g)
	return s
}

// gradient returns the weights of the diameter error at z on the wear's unknowns, to first order about the wear as it is.
func (c *Curve) gradient(z float64) wear.Weights {
	var g wear.Weights
	c.weigh(&g, z, 1)
	return g
}

// weigh adds f times the gradient at z.
func (c *Curve) weigh(g *wear.Weights, z, f float64) {
	out, down := c.weighHere(g, z, f)
	c.weighFrom(g, out, down)
}

// weighHere adds f times the part of the gradient that belongs to the tool's place at z, and returns what is due at the place where it was set.
func (c *Curve) weighHere(g *wear.Weights, z, f float64) (out, down float64) {
	out, down = c.setting.Slope(c.moved(z))
	out, down = f*out, f*down
	c.Wear.Weigh(g, c.out, z, out)
	c.Wear.Weigh(g, c.down, z, down)
	return out, down
}

// weighFrom takes off what is due at the place where the tool was set.
func (c *Curve) weighFrom(g *wear.Weights, out, down float64) {
	c.Wear.Weigh(g, c.out, c.SetAt, -out)
	c.Wear.Weigh(g, c.down, c.SetAt, -down)
}
