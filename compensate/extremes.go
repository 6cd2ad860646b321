package compensate

import "slices"

// pieces calls yield for each smooth piece of the curve between from and to, in order.
func (c *Curve) pieces(from, to float64, yield func(a, b float64)) {
	first, _ := slices.BinarySearch(c.breaks, from)
	a := from
	for _, b := range c.breaks[first:] {
		if b >= to {
			break
		}
		if b > a {
			yield(a, b)
			a = b
		}
	}
	yield(a, to)
}

// Extremes returns the least and the greatest diameter error between from and to, taken over the continuous length,
// with the tool turned in by setting (mm on radius). Where several places are equal it is the one nearest to the
// headstock.
func (c *Curve) Extremes(from, to, setting float64) (least, greatest Extreme) {
	return c.extremesOf(from, to, func(z float64) float64 { return c.At(z, setting) })
}

func (c *Curve) extremesOf(from, to float64, f func(z float64) float64) (least, greatest Extreme) {
	h := newHunt(f)
	c.pieces(from, to, h.piece)
	return h.least, h.greatest
}

// Spread returns greatest less least diameter error over the cut's length, mm.
func (c *Curve) Spread() float64 {
	least, greatest := c.Extremes(c.From, c.To, 0)
	return greatest.Value - least.Value
}

// Joints returns the positions within the cut at which its smooth pieces meet, at most so many of them, evenly chosen:
// between two of them the uncertainty of the error runs straight, so that what is extreme by chance lies there.
func (c *Curve) Joints(most int) []Held {
	var at []Held
	n := len(c.breaks)
	step := max(1, (n+most-1)/most)
	for i := 0; i < n; i += step {
		if z := c.breaks[i]; z > c.From && z < c.To {
			at = append(at, Held{z, 0})
		}
	}
	return at
}
