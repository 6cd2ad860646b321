package compensate

import (
	"math"

	"wornway/profile/wear"
)

// What is not known beside the wear, and independent of it.
const (
	alignedOut = iota // where the tailstock's centre stood sideways when it was aligned
	alignedUp         // and in height
	cutForce          // the force of the cut
	others
)

// gradient says how a diameter error depends on what is not known, to first order: on the wear's unknowns, by weights,
// and on everything else by how far its standard uncertainty moves the error, mm.
type gradient struct {
	wear  wear.Weights
	other [others]float64
}

// gradient returns that of the diameter error at z, about the wear as it is.
func (c *Curve) gradient(z float64) gradient {
	var g gradient
	c.weigh(&g, z, 1)
	return g
}

// weigh adds f times the gradient at z.
func (c *Curve) weigh(g *gradient, z, f float64) {
	out, down := c.weighHere(g, z, f)
	c.weighFrom(g, out, down)
}

// weighHere adds f times the part of the gradient that belongs to the tool's place at z, and returns what is due at the
// place where it was set.
func (c *Curve) weighHere(g *gradient, z, f float64) (out, down float64) {
	out, down = c.setting.Slope(c.moved(z))
	out, down = f*out, f*down
	c.weighAt(g, z, out, down)
	return out, down
}

// weighFrom takes off what is due at the place where the tool was set.
func (c *Curve) weighFrom(g *gradient, out, down float64) { c.weighAt(g, c.SetAt, -out, -down) }

// weighAt adds the tool's motion at z, so many times that outward and that downward.
func (c *Curve) weighAt(g *gradient, z, out, down float64) {
	c.Wear.Weigh(&g.wear, c.out, z, out)
	c.Wear.Weigh(&g.wear, c.down, z, down)
	if t := c.Axis.Tail; t != nil {
		share := t.Follow(z)
		for _, w := range t.Out {
			c.Wear.Weigh(&g.wear, w.Sum, w.At, -c.Lathe.Post()*share*out*w.Factor)
		}
		for _, w := range t.Up {
			c.Wear.Weigh(&g.wear, w.Sum, w.At, share*down*w.Factor)
		}
		g.other[alignedOut] += share * out * t.U
		g.other[alignedUp] += share * down * t.U
	}
	if c.Push != nil {
		g.other[cutForce] += c.pushed(z) * c.Push.U * out
	}
}

// uncertainty returns the standard uncertainty of what has this gradient, mm, and false where that of the wear is not
// stated.
func (c *Curve) uncertainty(g *gradient) (float64, bool) {
	u, stated := c.Wear.Uncertainty(&g.wear)
	if !stated {
		return 0, false
	}
	return math.Sqrt(u*u + g.apart(g)), true
}

// apart returns what the covariance with another gradient has beside the wear's, mm².
func (g *gradient) apart(o *gradient) float64 {
	sum := 0.0
	for i, v := range g.other {
		sum += v * o.other[i]
	}
	return sum
}
