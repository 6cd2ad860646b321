package compensate

import (
	"math"
	"slices"

	"wornway/profile/bed"
	"wornway/profile/wear"
)

// Seating is what the model takes for granted of how the saddle sits on the ways along a cut. Lengths mm.
type Seating struct {
	Past bool // a bearing runs past the surveyed stretch, whose end value was taken there
	// how far a way stands above the chord between the saddle's ends, at most, and the tool's position then
	Proud     Extreme
	ProudWay  bed.Curve
	ProudSure bool // that is more than the uncertainty of the wear explains
	// how much the diameter would differ if the saddle were stiff and rested on one end of the rear way; where an
	// uncertainty is stated that has it, and this is zero
	EndsDiffer   float64
	HeightMatter float64 // greatest change of the diameter error for a tool 0.1 mm higher or lower than stated
}

// ProudLimit is the height above the chord, mm, from which a saddle that bears on its ends may rock.
const ProudLimit = 0.008

// heightTried is the difference of tool height, mm, of which HeightMatter speaks.
const heightTried = 0.1

// WearTried is the wear, mm, of which UnwornMatter speaks.
const WearTried = 0.01

// UnwornMatter returns by how much WearTried of wear at one end of the front bearing would change the diameter, mm: it
// rolls the saddle by half of it over the span, and twice that at the guide height is on the diameter.
func (c *Curve) UnwornMatter() float64 { return WearTried * c.Lathe.GuideHeight() / c.Lathe.Span }

// Seating looks at the saddle at the given tool positions.
func (c *Curve) Seating(at []float64) Seating {
	var s Seating
	first, last := c.Wear.Range()
	left, right := c.Lathe.Saddle.Reach()
	s.Past = c.From+left < first || c.To+right > last || c.SetAt+left < first || c.SetAt+right > last
	if c.Lathe.Saddle.Rocks() {
		s.rocks(c, at)
		s.EndsDiffer = c.endsDiffer(at)
	}
	s.HeightMatter = c.heightMatter(at)
	return s
}

// rocks finds where a way stands proudest of the chord between the saddle's ends.
func (s *Seating) rocks(c *Curve, at []float64) {
	left, right := c.Lathe.Saddle.Reach()
	knots := c.Wear.Knots()
	highest := 0.0 // position of the knot that stands proudest
	for _, way := range []bed.Curve{bed.Front, bed.Rear} {
		drop := bed.At(way, 0)
		for _, z := range at {
			a, b := z+left, z+right
			da, db := c.Wear.Value(drop, a), c.Wear.Value(drop, b)
			i, _ := slices.BinarySearch(knots, a)
			for ; i < len(knots) && knots[i] < b; i++ {
				proud := da + (db-da)*(knots[i]-a)/(b-a) - c.Wear.Value(drop, knots[i])
				if proud <= s.Proud.Value {
					continue
				}
				s.Proud, s.ProudWay, highest = Extreme{z, proud}, way, knots[i]
			}
		}
	}
	a, b := s.Proud.Position+left, s.Proud.Position+right
	t := (highest - a) / (b - a)
	var g wear.Weights
	drop := bed.At(s.ProudWay, 0)
	c.Wear.Weigh(&g, drop, a, 1-t)
	c.Wear.Weigh(&g, drop, b, t)
	c.Wear.Weigh(&g, drop, highest, -1)
	u, _ := c.Wear.Uncertainty(&g)
	s.ProudSure = s.Proud.Value > 2*u
}

// endsDiffer returns how much the diameter would differ if the saddle were stiff: see [bed.Seating].
func (c *Curve) endsDiffer(at []float64) float64 {
	if c.Wear.Stated() {
		return 0
	}
	m := c.Machine
	m.Wear = m.Wear.WithScalar(bed.Seating, 1)
	stiff, err := m.Curve(c.Cut)
	if err != nil { // not seen: the same cut on a bed as long
		return 0
	}
	return c.apart(stiff, at)
}

// apart returns by how much two errors differ at most.
func (c *Curve) apart(other *Curve, at []float64) float64 {
	most := 0.0
	for _, z := range at {
		most = math.Max(most, math.Abs(other.At(z, 0)-c.At(z, 0)))
	}
	return most
}

// heightMatter returns the greatest change of the error for a tool set heightTried higher or lower. A height at which
// this diameter cannot be cut is left out.
func (c *Curve) heightMatter(at []float64) float64 {
	worst := 0.0
	for _, h := range []float64{-heightTried, heightTried} {
		cut := c.Cut
		cut.ToolHeight += h
		other, err := c.Machine.Curve(cut)
		if err != nil {
			continue
		}
		worst = math.Max(worst, c.apart(other, at))
	}
	return worst
}
