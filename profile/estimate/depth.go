package estimate

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"wornway/profile/bed"
	"wornway/profile/wear"
)

const (
	depthDraws = 20000
	depthSeed  = 20260314 // fixed: the same readings give the same limits
)

// Depth returns the limits between which the drop of the front or the rear way lies at z with a probability of 95 %,
// as much being left out at either end, mm. It is for places where the readings say at the most how far one way has sunk
// against the other, and not how far both have sunk together ([Apart], [Together]); it returns false elsewhere.
//
// What one way has sunk against the other leaves open is a matter of proportion: beside a rear way worn three quarters
// as much as the front one, the front's depth is four times what is read between them; beside one that is not worn it
// is just that. So the limits do not lie alike to both sides, and are found by draws: of how strong wear is, how strong
// on the rear way, and how alike (prior.go); of the front's drop, no less than nothing; and of what was read, which
// gives the rear's, standing no higher than new by more than ways are off straight. Each counts by how usual such a
// rear way is beside such a front way.
//
// Source: importance sampling, and the probabilistically symmetric coverage interval of JCGM 101:2008.
func (r *Result) Depth(way bed.Curve, z float64) (low, high float64, ok bool) {
	if r.Says(Together, z) {
		return 0, 0, false
	}
	apart := bed.At(bed.Front, 0).Plus(bed.At(bed.Rear, 0).Times(-1))
	var s wear.Weights
	r.Wear.Weigh(&s, apart, z, 1)
	u, stated := r.Wear.Uncertainty(&s)
	if !stated {
		return 0, 0, false
	}
	read := r.Wear.Value(apart, z)
	type draw struct{ drop, weight float64 }
	var all []draw
	sum := 0.0
	random := rand.New(rand.NewPCG(depthSeed, 0))
	for range depthDraws {
		var at strengths
		for i, p := range priors() {
			at[i] = p[0] + p[1]*random.NormFloat64()
		}
		front, rear := at.strength(bed.Front), at.strength(bed.Rear)
		d := front * math.Abs(random.NormFloat64())
		other := d - read - u*random.NormFloat64()
		if other < -proud {
			continue
		}
		// how usual a rear way is that has sunk so far beside this front way
		usual := at.alike() * rear / front * d
		about := rear * math.Sqrt(1-at.alike()*at.alike())
		off := (other - usual) / about
		w := math.Exp(-off*off/2) / about
		if way == bed.Rear {
			d = other
		}
		all, sum = append(all, draw{d, w}), sum+w
	}
	if sum == 0 {
		return 0, 0, false
	}
	slices.SortFunc(all, func(a, b draw) int { return cmp.Compare(a.drop, b.drop) })
	const left = 0.025 // at either end
	low, high = all[0].drop, all[len(all)-1].drop
	below := 0.0
	for _, d := range all {
		if below < left*sum {
			low = d.drop
		}
		if below < (1-left)*sum {
			high = d.drop
		}
		below += d.weight
	}
	return math.Max(0, low), math.Max(0, high), true
}
