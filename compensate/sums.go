package compensate

import "wornway/profile/bed"

// Addend is a sum of curves taken at a position, mm, and multiplied by Factor.
type Addend struct {
	Sum        bed.Sum
	At, Factor float64
}

// Sums returns the diameter error at z against that where the tool was set, to first order about the wear as it is:
// what a survey has to see for this cut to be known.
func (c *Curve) Sums(z float64) []Addend {
	out, down := c.setting.Slope(c.moved(z))
	sums := []Addend{{c.out, z, out}, {c.down, z, down}, {c.out, c.SetAt, -out}, {c.down, c.SetAt, -down}}
	if t := c.Axis.Tail; t != nil {
		share := t.Follow(z) - t.Follow(c.SetAt)
		for _, w := range t.Out {
			sums = append(sums, Addend{w.Sum, w.At, -c.Lathe.Post() * share * out * w.Factor})
		}
		for _, w := range t.Up {
			sums = append(sums, Addend{w.Sum, w.At, share * down * w.Factor})
		}
	}
	return sums
}
