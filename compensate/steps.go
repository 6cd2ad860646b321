package compensate

import (
	"wornway/profile/bed"
)

// Steps is everything that leads to the diameter error at a position: the [Station] with what stands before it. Lengths
// mm, angles radians.
type Steps struct {
	Station
	// the ways under the saddle's two end bearings, headstock side first; for a point saddle twice the same
	Ends                [2]End
	FrontMean, RearMean float64 // mean drops over the bearings, which roll the saddle
	// what the roll has beyond (FrontMean − RearMean)/span: of how the saddle sits, and of the bed's twist here
	Rocked, Twist float64
}

// End is what the ways have lost under one end of the saddle.
type End struct {
	Position           float64
	Front, Rear, Shift float64
	Outer, Inner       float64 // metal lost from the flanks of a V, normal to them; 0 for a flat way
}

// Steps returns the steps at z, which lies in the surveyed stretch.
func (c *Curve) Steps(z float64) Steps {
	w, l := c.Wear, c.Lathe
	s := Steps{Station: c.Station(z)}
	left, right := l.Saddle.Reach()
	for i, d := range []float64{left, right} {
		e := End{Position: z + d, Front: w.Value(bed.At(bed.Front, d), z), Rear: w.Value(bed.At(bed.Rear, d), z),
			Shift: w.Value(bed.At(bed.Shift, d), z)}
		if l.V != nil {
			e.Outer, e.Inner = l.V.Normal(e.Front, e.Shift)
		}
		s.Ends[i] = e
	}
	s.FrontMean = w.Value(l.Saddle.Mean(bed.Front, l.Saddle.ToolOffset), z)
	s.RearMean = w.Value(l.Saddle.Mean(bed.Rear, l.Saddle.ToolOffset), z)
	s.Rocked = w.Value(l.Saddle.Rocked(l.Saddle.ToolOffset).Times(0.5/l.Span), z)
	s.Twist = w.Value(bed.Of(bed.Twist), z)
	return s
}

// Origin names where a part of a diameter error comes from.
type Origin string

// The origins.
const (
	FromShift  Origin = "shift"   // the saddle goes sideways with the front way
	FromFront  Origin = "front"   // the front way's drop rolls it
	FromRear   Origin = "rear"    // the rear way's drop rolls it back
	FromSeat   Origin = "seating" // a stiff saddle rides on one end of the rear way
	FromTwist  Origin = "twist"   // the bed's twist rolls it
	FromAxis   Origin = "axis"    // the work's axis goes aside
	FromPush   Origin = "push"    // the cut pushes the work away
	FromHeight Origin = "sinking" // the tool stands higher or lower against the axis
)

// Portion is what one origin has in a diameter error, mm, with its sign.
type Portion struct {
	Origin Origin
	Error  float64
}

// Portions splits the diameter error at a position, against where the tool was set, into its parts. Moving out counts
// twice on the diameter; what is left of the error is the sinking's, with the little that moving out makes by the
// second order. The parts add up to the error.
func (c *Curve) Portions(here, set Steps) []Portion {
	h, span, post := c.Lathe.GuideHeight(), c.Lathe.Span, c.Lathe.Post()
	out := []Portion{
		{FromShift, 2 * post * (here.Shift - set.Shift)},
		{FromFront, 2 * post * h * (here.FrontMean - set.FrontMean) / span},
		{FromRear, -2 * post * h * (here.RearMean - set.RearMean) / span},
		{FromTwist, 2 * post * h * (here.Twist - set.Twist)},
		{FromAxis, -2 * post * (here.AxisOut - set.AxisOut)},
		{FromPush, 2 * (here.Pushed - set.Pushed)},
	}
	if here.Rocked != 0 || set.Rocked != 0 {
		out = append(out, Portion{FromSeat, 2 * post * h * (here.Rocked - set.Rocked)})
	}
	rest := here.DiameterError
	for _, p := range out {
		rest -= p.Error
	}
	return append(out, Portion{FromHeight, rest})
}

// WithLathe returns the error curve of the same cut on a lathe of other dimensions with the same wear.
func (c *Curve) WithLathe(change func(*bed.Lathe)) (*Curve, error) {
	m := c.Machine
	change(&m.Lathe)
	return m.Curve(c.Cut)
}
