package bed

import "math"

// V is a raised V front way. Angles are its flanks' from horizontal, in radians.
type V struct {
	Outer          float64 // angle of the flank that faces the operator
	Inner          float64 // angle of the flank that faces the spindle's axis
	ContactSpacing float64 // sideways distance of the two flanks' middles of contact, mm
}

// Motion returns how far metal lost from the flanks lets the saddle sink (drop, mm, plus down) and move sideways
// (shift, mm, plus toward the operator).
//
// outer and inner are the metal lost, mm, normal to each flank. The saddle's V keeps touching both worn flanks, which
// gives two equations: shift·sin(Outer) − drop·cos(Outer) = −outer and −shift·sin(Inner) − drop·cos(Inner)
// = −inner. Derived here; small motions.
func (v V) Motion(outer, inner float64) (drop, shift float64) {
	so, co := math.Sincos(v.Outer)
	si, ci := math.Sincos(v.Inner)
	sum := math.Sin(v.Outer + v.Inner)
	return (outer*si + inner*so) / sum, (inner*co - outer*ci) / sum
}

// Follows returns how far the front way's guide point shifts for each mm that it sinks where both flanks lose the same,
// plus toward the operator: (cos Outer − cos Inner)/(sin Outer + sin Inner), which is tan((Inner − Outer)/2). From
// Motion.
func (v V) Follows() float64 { return math.Tan((v.Inner - v.Outer) / 2) }

// Normal returns the metal lost from each flank, mm normal to it, that belongs to a drop and a shift. It is the inverse
// of Motion.
func (v V) Normal(drop, shift float64) (outer, inner float64) {
	so, co := math.Sincos(v.Outer)
	si, ci := math.Sincos(v.Inner)
	return drop*co - shift*so, drop*ci + shift*si
}

// GuideDepth returns how far below the plane of the two contacts the flanks' normals meet, in mm: the point about which
// the V lets the saddle roll. It is ContactSpacing/(tan Outer + tan Inner), from the triangle that the normals make
// with the line between the contacts.
func (v V) GuideDepth() float64 {
	return v.ContactSpacing / (math.Tan(v.Outer) + math.Tan(v.Inner))
}
