package compensate

import (
	"fmt"
	"math"
	"slices"

	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

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
	Push         *Push   // how the cut pushes the work away; nil: left out
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
	out, down   bed.Sum    // the tool point's motion relative to the work axis, as far as it belongs to a position
	far         [2]float64 // where the tailstock's centre stands, out and down from where it was aligned, mm; see away
	out0, down0 float64    // the tool point's whole motion where it was set
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
	if t := m.Axis.Tail; t != nil {
		k.far = [2]float64{-m.Lathe.Post() * (m.valueOf(t.Out) + t.SetOver), m.valueOf(t.Up)}
	}
	k.out0, k.down0 = k.away(c.SetAt)
	k.breaks = k.joints(m.Wear.Breaks(c.From, c.To, k.out, k.down))
	return k, nil
}

// away returns how far the tool point stands out and down from the work, mm: the wear, the axis, and the push of the
// cut together.
func (c *Curve) away(z float64) (out, down float64) {
	out, down = c.Wear.Both(c.out, c.down, z)
	if t := c.Axis.Tail; t != nil {
		share := t.Follow(z)
		out, down = out+share*c.far[0], down+share*c.far[1]
	}
	return out + c.pushed(z), down
}

// joints adds to the places where the wear's pieces meet those where the work's do.
func (c *Curve) joints(breaks []float64) []float64 {
	var more []float64
	if t := c.Axis.Tail; t != nil {
		more = append(more, t.Breaks...)
	}
	if c.Push != nil {
		more = append(more, c.Push.Breaks...)
	}
	if len(more) == 0 {
		return breaks
	}
	for _, z := range more {
		if z > c.From && z < c.To {
			breaks = append(breaks, z)
		}
	}
	slices.Sort(breaks)
	return slices.Compact(breaks)
}

// moved returns how far the tool point has moved out and down against the work since it was set, mm.
func (c *Curve) moved(z float64) (out, down float64) {
	out, down = c.away(z)
	return out - c.out0, down - c.down0
}

// At returns the diameter error at z, mm, with the tool turned in by setting (mm on radius) since it was set.
func (c *Curve) At(z, setting float64) float64 {
	out, down := c.moved(z)
	return c.setting.DiameterError(out-setting, down)
}

// Station is the diameter error at one position with every step that led to it. Lengths mm, roll in radians.
type Station struct {
	Position     float64
	Front, Shift float64 // what the saddle makes of the front way, at the tool: plus down, plus toward the operator
	Roll         float64 // of the saddle, twist included
	ToolOut      float64 // away from the axis by wear and twist, before lean, absolute
	ToolDrop     float64 // down, likewise
	AxisOut      float64 // the work axis toward the operator, absolute
	AxisUp       float64 // the work axis upward, absolute
	// the tool point away from the axis because the cut pushes the work: plus leaves it bigger; absolute
	Pushed        float64
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
		Pushed:   c.pushed(z),
	}
	s.AxisOut, s.AxisUp = c.Machine.axisAt(z)
	s.Out, s.Down = c.moved(z)
	s.Radius = c.setting.Radius(s.Out, s.Down)
	s.DiameterError = c.setting.DiameterError(s.Out, s.Down)
	s.Uncertainty, s.Stated = c.Uncertainty(z)
	return s
}

// Uncertainty returns the standard uncertainty of the error at z as the difference to where the dial was set, mm, and
// false where that of the wear is not stated.
func (c *Curve) Uncertainty(z float64) (float64, bool) {
	g := c.gradient(z)
	return c.uncertainty(&g)
}

// Skewed returns the limits that hold the diameter error at z with a probability of 95 %, mm, where they do not lie
// alike to both sides of it; false elsewhere, where the ± says it.
func (c *Curve) Skewed(z float64) (low, high float64, skewed bool) {
	g := c.gradient(z)
	below, above, skewed := c.Wear.Skewed(&g.wear, math.Sqrt(g.apart(&g)))
	if !skewed {
		return 0, 0, false
	}
	e := c.At(z, 0)
	return e - below, e + above, true
}
