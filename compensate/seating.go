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
	// how much the diameter would differ if the saddle were stiff and rested on one end of the rear way
	EndsDiffer   float64
	DifferSure   bool    // that is more than the uncertainty of the wear explains
	HeightMatter float64 // greatest change of the diameter error for a tool 0.1 mm higher or lower than stated
}

// ProudLimit is the height above the chord, mm, from which a saddle that bears on its ends may rock.
const ProudLimit = 0.008

// HeightTried is the difference of tool height, mm, of which HeightMatter speaks.
const HeightTried = 0.1

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
	ends := left < right && c.Lathe.Saddle.Bearing == bed.Ends
	if ends {
		s.rocks(c, at)
	}
	if left < right {
		s.differs(c, at)
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

// differs finds how much the diameter would differ if the saddle were stiff against its contacts. It would then come to
// rest on the end of the rear way that stands higher, and take the greater of the two ends' rolls in place of their
// mean, where it cuts and where it was set alike.
func (s *Seating) differs(c *Curve, at []float64) {
	h := c.Lathe.GuideHeight()
	apart := c.Lathe.RollOnEnd(false).Plus(c.Lathe.RollOnEnd(true).Times(-1)).Times(h)
	set := c.Wear.Value(apart, c.SetAt)
	for _, z := range at {
		here := c.Wear.Value(apart, z)
		d := math.Abs(math.Abs(here) - math.Abs(set))
		if d <= s.EndsDiffer {
			continue
		}
		s.EndsDiffer = d
		var g wear.Weights
		c.Wear.Weigh(&g, apart, z, math.Copysign(1, here))
		c.Wear.Weigh(&g, apart, c.SetAt, -math.Copysign(1, set))
		u, _ := c.Wear.Uncertainty(&g)
		s.DifferSure = d > 2*u
	}
}

// heightMatter returns the greatest change of the error for a tool set HeightTried higher or lower. A height at which
// this diameter cannot be cut is left out.
func (c *Curve) heightMatter(at []float64) float64 {
	worst := 0.0
	for _, h := range []float64{-HeightTried, HeightTried} {
		cut := c.Cut
		cut.ToolHeight += h
		other, err := c.Machine.Curve(cut)
		if err != nil {
			continue
		}
		for _, z := range at {
			worst = math.Max(worst, math.Abs(other.At(z, 0)-c.At(z, 0)))
		}
	}
	return worst
}
