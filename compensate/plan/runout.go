package plan

import (
	"math"
	"math/rand/v2"

	"wornway/compensate/work"
)

// How true features run to each other that are turned in different set-ups. What is turned in one set-up runs true to
// itself: the spindle's own run is left out. In each later set-up the part lies off the axis of the first one by some
// eccentricity where its near end is held and by another where its far end is, each half of a total indicator reading
// that is drawn from none to the limit of the way of holding, all as likely, in any direction; between the two it runs
// straight. Derived here; the limits are package work's.

// Runs is what is known of a feature's runout in a plan. Lengths mm.
type Runs struct {
	To    int     // the number of the feature that it is counted from
	Limit float64 // of the total indicator reading, as the part is held; 0: both are turned in one set-up
}

// vector is an eccentricity: sideways and upward as seen on the part, mm.
type vector struct{ x, y float64 }

// offset is how far off the part lies in one set-up at its near and its far end.
type offset struct{ near, far vector }

// at returns how far off the part's axis lies at a share of its length from the part's headstock end as drawn.
func (o offset) at(share float64, endForEnd bool) vector {
	if endForEnd {
		share = 1 - share
	}
	return vector{o.near.x + (o.far.x-o.near.x)*share, o.near.y + (o.far.y-o.near.y)*share}
}

// middle returns where the middle of a feature lies on the part, as a share of its length.
func middle(j work.Job, feature int) float64 {
	f := j.Features[feature]
	return (f.From + f.To) / 2 / j.Part.Length
}

// runouts returns for each feature what is known of its runout, nil where none is asked of it.
func runouts(j work.Job, ways []work.Holding, turned []bool, in []int) []*Runs {
	out := make([]*Runs, len(j.Features))
	for f := range j.Features {
		to := j.Named(j.Features[f].RunoutTo)
		if !(j.Features[f].Runout > 0) || to < 0 || in[f] < 0 || in[to] < 0 {
			continue
		}
		r := &Runs{To: to}
		if in[f] != in[to] {
			for _, k := range []int{f, to} {
				if in[k] > 0 { // the first set-up makes the axis
					near, far := work.Runs(ways[in[k]], j.Part.Jaws, turned[in[k]] != turned[0])
					share := middle(j, k)
					if turned[in[k]] {
						share = 1 - share
					}
					if ways[in[k]] == work.Chuck {
						share = 0
					}
					r.Limit += near*(1-share) + far*share
				}
			}
		}
		out[f] = r
	}
	return out
}

// drawOff draws how far off the part lies in a later set-up. In the jaws alone it lies as far off all along.
func (v *simulation) drawOff(r *rand.Rand, setUp int) offset {
	s := v.plan.SetUps[setUp]
	way := s.Way
	near, far := work.Runs(way, v.job.Part.Jaws, s.EndForEnd != v.plan.SetUps[0].EndForEnd)
	draw := func(limit float64) vector {
		e := limit / 2 * r.Float64()
		sin, cos := math.Sincos(2 * math.Pi * r.Float64())
		return vector{e * cos, e * sin}
	}
	o := offset{near: draw(near)}
	o.far = o.near
	if way != work.Chuck {
		o.far = draw(far)
	}
	return o
}

// reading returns the total indicator reading of a feature while the part turns about another: twice how far their axes
// lie apart.
func (v *simulation) reading(offs []offset, feature, to int, in map[int]int) float64 {
	var a [2]vector
	for i, f := range []int{feature, to} {
		s := in[f]
		if s > 0 {
			a[i] = offs[s].at(middle(v.job, f), v.plan.SetUps[s].EndForEnd)
		}
	}
	return 2 * math.Hypot(a[0].x-a[1].x, a[0].y-a[1].y)
}

// likely returns about how probable it is that a runout within a limit keeps within what is asked: one end's share of
// what it may be.
func (r Runs) likely(asked float64) float64 {
	if r.Limit <= asked {
		return 1
	}
	return asked / r.Limit
}

// rechucked says whether the part is gripped by jaws once more after something was turned on it.
func (p *Plan) rechucked() bool {
	for i, s := range p.SetUps {
		if i > 0 && s.Way.Gripped() {
			return true
		}
	}
	return false
}
