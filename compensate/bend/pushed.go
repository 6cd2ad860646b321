package bend

import "math"

// Pushed returns how much too little a cut takes off on radius, mm, where the work gives compliance mm per N. force is
// what pushes the tool and the work apart when the full depth (mm on radius) is cut; the work gives way, so that less
// is cut and less pushes: with r = force/depth·compliance the part r/(1+r) of the depth stays on. Each further pass at
// the same setting cuts into what the one before has left, and leaves the same part of it. With depth 0, which is not
// known, the force counts as it is, and further passes for nothing.
//
// Derived here; it takes the force as proportional to the depth, which holds for thin chips until the tool rubs.
func Pushed(force, depth, compliance float64, springPasses int) float64 {
	if depth <= 0 {
		return force * compliance
	}
	r := force / depth * compliance
	return depth * math.Pow(r/(1+r), float64(1+springPasses))
}
