package compensate

import "slices"

// pieces calls yield for each smooth piece of the curve between from and to, in order.
func (c *Curve) pieces(from, to float64, yield func(a, b float64)) { pieces(c.breaks, from, to, yield) }

// pieces calls yield for each piece between from and to that breaks, which ascend, make of it.
func pieces(breaks []float64, from, to float64, yield func(a, b float64)) {
	first, _ := slices.BinarySearch(breaks, from)
	a := from
	for _, b := range breaks[first:] {
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

// unsureBreaks returns where the pieces meet on which the uncertainty is smooth.
func (c *Curve) unsureBreaks() []float64 {
	return c.joints(c.Wear.ErrorBreaks(c.From, c.To, c.out, c.down))
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

// Joints returns the positions within the cut at which the uncertainty of its error bends, at most so many of them,
// evenly chosen: between two of them it runs nearly straight, so that what is extreme by chance lies there.
func (c *Curve) Joints(most int) []Spot {
	var at []Spot
	breaks := c.unsureBreaks()
	n := len(breaks)
	step := max(1, (n+most-1)/most)
	for i := 0; i < n; i += step {
		if z := breaks[i]; z > c.From && z < c.To {
			at = append(at, Spot{z, 0})
		}
	}
	return at
}
