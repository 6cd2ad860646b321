package bend

import (
	"errors"
	"fmt"
	"math"
)

// RadialShare is the part of the cutting force that pushes the work away from the tool, where nobody has measured it.
// Common practice, no source.
const RadialShare = 0.4

// uRadialShare is the standard uncertainty of the share, as a part of it: ± 50 % at k = 2. Common practice, no source.
const uRadialShare = 0.25

// Radial returns the force that pushes the work away from the tool, N, and its standard uncertainty, from the cutting
// force in N. It is a rule of thumb for a sharp tool that cuts deeper than its nose is round; a shallower cut or a
// small approach angle pushes harder. Two collars tell better: see [Collars].
func Radial(cutting float64) (force, u float64) {
	return RadialShare * cutting, uRadialShare * RadialShare * cutting
}

// Cutting returns the force along the cut, N, by Kienzle: kc1·b·h^(1−mc) with the chip's width b = depth/sin κ and
// its thickness h = feed·sin κ. Depth is in mm on radius, feed in mm per turn. The approach angle κ, in radians,
// lies between the edge and the direction of feed, and is a right angle where the edge stands square to the work; 0,
// which is not known, counts as that. Where the tool takes nothing off, or the angle is none, there is no force.
//
// The power law is fitted to chips of tenths of a millimetre; a thinner one resists more than it says. The constants
// are for a tool without rake.
func (m Material) Cutting(depth, feed, approach float64) float64 {
	if approach == 0 {
		approach = math.Pi / 2
	}
	sin := math.Sin(approach)
	if !(depth > 0 && feed > 0 && sin > 0) {
		return 0
	}
	return m.KC1 * depth / sin * math.Pow(feed*sin, 1-m.MC)
}

// Collars are two collars that were turned at one place to find out how hard a cut pushes: one with a shallow last cut,
// one with a deep one, the dial at the same reading for both.
type Collars struct {
	Compliance float64    // how far the work gives at the collars, mm per N
	Depths     [2]float64 // the two depths of cut that were set, mm on radius, in either order
	Oversize   float64    // how much bigger the collar with the deep cut came out, mm on diameter
	U          float64    // standard uncertainty of Oversize, mm
}

// Trial is two collars on a bar that only the jaws of a lathe hold. What they show is what the bar gave and the chuck
// with it.
type Trial struct {
	Distance float64 // of the collars from the jaws' front, mm
	Diameter float64 // of the bar, mm
	Modulus  float64 // of elasticity, N/mm²
	Collars          // their compliance follows from the bar and the chuck
}

// In returns the collars as they were cut in a chuck that gives so far to a moment, radians per N·mm; 0: not at all.
func (t Trial) In(turning float64) (Collars, error) {
	bar := Shaft{Sections: []Section{{From: 0, To: t.Distance, Diameter: t.Diameter}}, Modulus: t.Modulus,
		Clamp: &Clamp{At: 0, Turning: turning}}
	bent, err := bar.Solve()
	if err != nil {
		return Collars{}, err
	}
	c := t.Collars
	c.Compliance = bent.Under(t.Distance)
	return c, nil
}

// ForcePerDepth returns the force that pushes the work away for each mm of depth, N per mm, and its standard
// uncertainty. The latter is that of the measured diameters alone: a compliance that is wrong makes the force wrong the
// other way, so that work held like the collars is calculated right all the same.
//
// Derived here: at a set depth a the work gives by δ, so that a − δ is cut, and δ = C·k·(a − δ); hence δ =
// q·a with q = C·k/(1 + C·k). The collars differ by 2·q·(a₂ − a₁) on diameter, which gives q, and k = q/((1
// − q)·C). It takes the force as proportional to the depth; one that is there at any depth, as a dull edge rubs,
// changes both collars alike and is not seen.
func (c Collars) ForcePerDepth() (perDepth, u float64, err error) {
	for _, v := range []float64{c.Compliance, c.Depths[0], c.Depths[1], c.Oversize, c.U} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return 0, 0, fmt.Errorf("%v cannot be calculated with", v)
		}
	}
	more := math.Abs(c.Depths[1] - c.Depths[0])
	switch {
	case !(c.Compliance > 0):
		return 0, 0, errors.New("the work must give at the collars: cut them where it does")
	case !(c.Depths[0] > 0 && c.Depths[1] > 0):
		return 0, 0, errors.New("both depths of cut must be greater than zero")
	case more == 0:
		return 0, 0, errors.New("the two collars must be cut at different depths")
	case c.U < 0:
		return 0, 0, errors.New("the uncertainty must not be less than zero")
	case !(c.Oversize > 0):
		return 0, 0, errors.New("the collar with the deep cut did not come out bigger, so that nothing is seen of " +
			"the push: make the depths more different, or cut where the work gives more")
	}
	q := c.Oversize / (2 * more)
	if q >= 1 {
		return 0, 0, errors.New("the collar with the deep cut came out bigger by all that was to be cut more: the " +
			"dial did not stand alike, or the tool did not cut")
	}
	perDepth = q / ((1 - q) * c.Compliance)
	return perDepth, c.U / (2 * more * (1 - q) * (1 - q) * c.Compliance), nil
}
