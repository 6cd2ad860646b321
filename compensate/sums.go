package compensate

import "wornway/profile/bed"

// Sums returns the diameter error at z against that where the tool was set, to first order about the wear as it is:
// what a survey has to see for this cut to be known.
func (c *Curve) Sums(z float64) []bed.Addend {
	out, down := c.setting.Slope(c.moved(z))
	sums := []bed.Addend{c.out.At(z, out), c.down.At(z, down), c.out.At(c.SetAt, -out), c.down.At(c.SetAt, -down)}
	if t := c.Axis.Tail; t != nil {
		share := t.Follow(z) - t.Follow(c.SetAt)
		for _, w := range t.Out {
			sums = append(sums, w.Sum.At(w.At, -c.Lathe.Post()*share*out*w.Factor))
		}
		for _, w := range t.Up {
			sums = append(sums, w.Sum.At(w.At, share*down*w.Factor))
		}
	}
	return sums
}
