package compensate

import "math"

// Shares returns how much of the spread along some places comes of the bed, the axis and the tailstock's alignment, and
// how much of the push of the cut: the range that each alone has there, mm on diameter, to first order and with nothing
// dialled.
func (c *Curve) Shares(at []Spot) (bed, push float64) {
	var least, greatest [2]float64
	for i, h := range at {
		bent := c.PushError(h.Position)
		for k, v := range [2]float64{c.At(h.Position, 0) - bent, bent} {
			if i == 0 {
				least[k], greatest[k] = v, v
			}
			least[k], greatest[k] = math.Min(least[k], v), math.Max(greatest[k], v)
		}
	}
	return greatest[0] - least[0], greatest[1] - least[1]
}

// PushError returns what the push of the cut alone makes of the diameter at z against where it was set, mm, to first
// order.
func (c *Curve) PushError(z float64) float64 {
	slope, _ := c.setting.Slope(c.moved(z))
	return slope * (c.pushed(z) - c.pushed(c.SetAt))
}
