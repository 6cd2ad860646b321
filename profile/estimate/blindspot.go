package estimate

import (
	"math"

	"wornway/profile/bed"
	"wornway/profile/wear"
)

// BlindSpot is something that the readings leave as it was before, all along the bed or outside a stretch of it.
type BlindSpot struct {
	What     string     // in words
	Seen     [2]float64 // mm: where the readings do say it; meaningless where Nowhere
	Nowhere  bool
	Standard float64 // standard uncertainty where it is largest, mm; for lean and twist, per mm
}

// What can be unseen of the ways' drops, in words.
const (
	Apart    = "how much more the front way has sunk than the rear"
	Together = "how far both ways have sunk together"
)

// Says says whether the readings say at z what is named by the words of a [BlindSpot].
func (r *Result) Says(what string, z float64) bool {
	for _, u := range r.Unseen {
		if u.What == what && (u.Nowhere || z < u.Seen[0] || z > u.Seen[1]) {
			return false
		}
	}
	return true
}

// left over of what was not known before, as a share of the standard uncertainty, from which something counts as
// unseen.
const unseenShare = 0.6

// localSum is a sum of curves at one place.
type localSum struct {
	what               string
	front, shift, rear float64
}

// blindSpots finds what no reading determines, by comparing each ± with what it was before.
func blindSpots(p *problem, w *wear.Wear, points []point) []BlindSpot {
	var out []BlindSpot
	for _, l := range []localSum{
		{Apart, 1, 0, -1},
		{Together, 0.5, 0, 0.5},
		{"the sideways shift of the front way", 0, 1, 0},
	} {
		u, ok := l.blindSpot(p, w, points)
		// that it is surer than before comes of what is usual alone
		if l.what == Together && !p.in.readsTogether() {
			u.Nowhere, ok = true, true
		}
		if ok {
			out = append(out, u)
		}
	}
	for _, k := range []struct {
		scalar bed.Scalar
		what   string
	}{{bed.LeanOut, "the spindle's lean toward the operator"}, {bed.Twist, "the twist of the bed"}} {
		// What is taken as known exactly leaves nothing of an uncertainty, but no reading determined it.
		if u := standard(w, bed.Of(k.scalar), 1); u >= unseenShare*p.scalar[k.scalar] {
			out = append(out, BlindSpot{What: k.what, Nowhere: true, Standard: u})
		}
	}
	return out
}

// readsTogether says whether any reading has to do with how far both ways have sunk together, but for next to nothing:
// whether it would change if both sank alike.
func (in Input) readsTogether() bool {
	const hardly = 0.05 // of what it has to do with each of them
	for _, s := range in.Surveys {
		for _, e := range s.Equations {
			alike, each := map[[2]float64][2]float64{}, 0.0
			for _, q := range e.Parts {
				for _, t := range q.Sum.Terms {
					if t.Curve != bed.Front && t.Curve != bed.Rear {
						continue
					}
					mean, slope := q.Factor*t.Mean, q.Factor*t.Slope
					at := [2]float64{q.At + t.From, q.At + t.To}
					alike[at] = [2]float64{alike[at][0] + mean, alike[at][1] + slope}
					each += math.Abs(mean) + math.Abs(slope)
				}
			}
			both := 0.0
			for _, a := range alike {
				both += math.Abs(a[0]) + math.Abs(a[1])
			}
			if both > hardly*each {
				return true
			}
		}
	}
	return false
}

func standard(w *wear.Wear, s bed.Sum, z float64) float64 {
	var g wear.Weights
	w.Weigh(&g, s, z, 1)
	u, _ := w.Uncertainty(&g)
	return u
}

// before returns the sum's prior variance for the strengths.
func (l localSum) before(t point) float64 {
	f, s, r := l.front, l.shift, l.rear
	weight := map[bed.Curve]float64{bed.Front: f, bed.Shift: s, bed.Rear: r}
	sum := 0.0
	for c, v := range weight {
		for d, w := range weight {
			sum += v * w * t.space.p.between(t.at, c, d)
		}
	}
	return sum
}

// blindSpot compares the sum's uncertainty at each knot outside the unworn stretches with what it was before the
// readings. It returns false where the readings say it along most of the bed.
func (l localSum) blindSpot(p *problem, w *wear.Wear, points []point) (BlindSpot, bool) {
	sum := bed.At(bed.Front, 0).Times(l.front).Plus(bed.At(bed.Shift, 0).Times(l.shift)).Plus(bed.At(bed.Rear,
		0).Times(l.rear))
	u := BlindSpot{What: l.what, Nowhere: true}
	seen, all := 0, 0
	for i, z := range p.knots {
		before := 0.0
		for _, t := range points {
			k := t.space.kernel.At(i, i)
			before += t.weight * k * l.before(t)
		}
		const nothing = 0.001 // mm: where it could hardly be worn anyway
		if p.isUnworn(z) || before < nothing*nothing {
			continue
		}
		all++
		after := standard(w, sum, z)
		u.Standard = math.Max(u.Standard, after)
		if after > unseenShare*math.Sqrt(before) {
			continue
		}
		seen++
		if u.Nowhere {
			u.Seen[0], u.Nowhere = z, false
		}
		u.Seen[1] = z
	}
	const most = 0.5
	return u, all > 0 && float64(seen) < most*float64(all)
}

func (p *problem) isUnworn(z float64) bool {
	for _, u := range p.in.Unworn {
		if u[0] <= z && z <= u[1] {
			return true
		}
	}
	return false
}
