package compensate

import "wornway/profile/bed"

// What would make a taper of a slope on diameter, by a lathe's geometry alone: a slope on diameter is twice that on the
// radius, and from a rear post the tool cuts on the other side of the axis.

// LeanFor returns how far a spindle would lean outwards, radians, plus toward the operator.
func LeanFor(l bed.Lathe, slope float64) float64 { return -slope * l.Post() / 2 }

// TwistFor returns by how much the bed would be twisted, radians per mm.
func TwistFor(l bed.Lathe, slope float64) float64 { return slope / 2 / l.GuideHeight() }

// TailstockFor returns how far the tailstock's centre would stand to the side, mm, plus toward the operator, for work
// that is so long between centres.
func TailstockFor(l bed.Lathe, slope, between float64) float64 {
	return -l.Post() * slope * between / 2
}
