package plan

import (
	"cmp"
	"math"
	"slices"

	"wornway/compensate"
	"wornway/compensate/work"
)

// draft is a plan as the first pass has it.
type draft struct {
	lathe  int
	sights []*sight
	in     []int // which of them each feature is turned in; −1: in none
	manner manner
	rough  Plan // what the first pass expects, for ranking
}

// drafts returns what the kinds of one lathe offer: each kind's best position for each manner, and the best pair of
// set-ups of each way of holding.
func (q Question) drafts(lathe int, kinds []*kind) []draft {
	var out []draft
	for _, m := range q.manners(lathe) {
		scores := make([][][]float64, len(kinds))
		for i, k := range kinds {
			scores[i] = q.scores(k, m)
			best, _ := q.best(k, m)
			if d := q.draft(lathe, m, scores[i][best], nil, k.sights[best]); d.complete(q.Job) {
				out = append(out, d)
			}
		}
		out = append(out, q.pairs(lathe, kinds, scores, m)...)
	}
	return out
}

// scores returns how well each sight of a kind holds each feature.
func (q Question) scores(k *kind, m manner) [][]float64 {
	out := make([][]float64, len(k.sights))
	for i, s := range k.sights {
		out[i] = make([]float64, len(q.Job.Features))
		for f := range q.Job.Features {
			out[i][f] = 1
			if q.Job.Features[f].Asked() {
				out[i][f] = s.score(f, s.held.Features[f].Feature, m, q.Measuring)
			}
		}
	}
	return out
}

// pairs returns, for each way of holding, the two set-ups that hold the features best between them; of equals, such as
// a length that lies at one place of the bed whichever way the part is turned, those that hang out least.
func (q Question) pairs(lathe int, kinds []*kind, scores [][][]float64, m manner) []draft {
	const same = 1e-9 // what rounding makes of equals
	var out []draft
	for _, held := range work.AllHoldings() {
		best, least, found := 0.0, 0.0, [4]int{-1}
		for a, k := range kinds {
			for b, l := range kinds[a:] {
				b += a
				if k.held != held || l.held != held || !math.IsNaN(k.steady) || !math.IsNaN(l.steady) ||
					k.setOver != 0 || l.setOver != 0 {
					continue
				}
				for i, x := range scores[a] {
					for j, y := range scores[b] {
						p := 1.0
						for f, v := range x {
							p *= max(v, y[f])
						}
						reach := k.sights[i].held.Overhang + l.sights[j].held.Overhang
						if p > best*(1+same) || p > best*(1-same) && reach < least {
							best, least, found = p, reach, [4]int{a, i, b, j}
						}
					}
				}
			}
		}
		if found[0] < 0 {
			continue
		}
		a, i, b, j := found[0], found[1], found[2], found[3]
		d := q.draft(lathe, m, scores[a][i], scores[b][j], kinds[a].sights[i], kinds[b].sights[j])
		if len(d.sights) == 2 && d.complete(q.Job) {
			out = append(out, d)
		}
	}
	return out
}

// draft puts one or two set-ups together: each feature is turned where it is held better, and in the first where it is
// the same. A set-up in which nothing is left to do is left out.
func (q Question) draft(lathe int, m manner, x, y []float64, sights ...*sight) draft {
	d := draft{lathe: lathe, sights: sights, manner: m, in: make([]int, len(x))}
	used := make([]bool, len(sights))
	for f := range x {
		switch {
		case y != nil && (y[f] > x[f] || !sights[0].shown[f]) && sights[1].shown[f]:
			d.in[f] = 1
		case !sights[0].shown[f]:
			d.in[f] = -1
			continue
		}
	}
	q.together(&d, x, y)
	for f, in := range d.in {
		if in >= 0 {
			used[in] = used[in] || q.Job.Features[f].Asked()
		}
	}
	if len(sights) == 2 && !(used[0] && used[1]) {
		only := 0
		if used[1] {
			only = 1
		}
		return q.draft(lathe, m, [][]float64{x, y}[only], nil, sights[only])
	}
	d.rough = q.rough(&d, x, y)
	return d
}

// together turns features that are to run true to each other in one set-up, where that is the surer.
func (q Question) together(d *draft, x, y []float64) {
	if y == nil {
		return
	}
	score := func(f, in int) float64 { return [][]float64{x, y}[in][f] }
	for f, r := range d.runouts(q.Job) {
		if r == nil || r.Limit == 0 {
			continue
		}
		best := score(f, d.in[f]) * score(r.To, d.in[r.To]) * r.likely(q.Job.Features[f].Runout)
		for in, s := range d.sights {
			if p := score(f, in) * score(r.To, in); s.shown[f] && s.shown[r.To] && p > best {
				best, d.in[f], d.in[r.To] = p, in, in
			}
		}
	}
}

// runouts returns what is known of the runouts asked.
func (d *draft) runouts(j work.Job) []*Runs {
	var ways []work.Holding
	var turned []bool
	for _, s := range d.sights {
		ways, turned = append(ways, s.held.Way), append(turned, s.held.EndForEnd)
	}
	return runouts(j, ways, turned, d.in)
}

// byDial says whether a feature that is turned in the draft is not measured itself: the dial goes on to it from the
// first feature of its set-up.
func (q Question) byDial(d *draft, feature int) bool {
	return d.manner.sized(q.Job.Features[feature]) == work.Once && feature != q.order(d, d.in[feature])[0]
}

// complete says whether everything of which something is asked is turned.
func (d *draft) complete(j work.Job) bool {
	for f, s := range d.in {
		if s < 0 && j.Features[f].Asked() {
			return false
		}
	}
	return true
}

// rough returns the plan as the first pass sees it.
func (q Question) rough(d *draft, x, y []float64) Plan {
	p := Plan{Lathe: d.lathe, Dial: d.manner.dial, Corrected: d.manner.corrected, Probability: 1}
	for i, s := range d.sights {
		p.SetUps = append(p.SetUps, Clamping{Mounting: s.held, Finished: q.finished(d.lathe, i, s.held, d.in)})
	}
	for f, in := range d.in {
		if in < 0 || !q.Job.Features[f].Asked() {
			continue
		}
		v := x[f]
		if in == 1 {
			v = y[f]
		}
		p.Probability *= v
		p.Features = append(p.Features, Outcome{ByDial: q.byDial(d, f)})
		if d.manner.corrected && d.manner.setting() > 0 {
			s := d.sights[in].inHere[f]
			p.Moves += int(math.Max(0, math.Ceil((s.greatest-s.least)/(2*d.manner.allow(q.Job.Features[f])))-1))
		}
	}
	for f, r := range d.runouts(q.Job) {
		if r != nil {
			p.Probability *= r.likely(q.Job.Features[f].Runout)
		}
	}
	p.Untold = !q.Job.AsksRunout() && p.rechucked()
	p.Holds = p.Probability >= compensate.Promised
	p.Effort = p.effort()
	return p
}

// shortlist returns the drafts that are worth drawing: the best as plans are ranked, and the most probable.
func shortlist(drafts []draft, n int) []draft {
	byRank := slices.Clone(drafts)
	slices.SortStableFunc(byRank, func(a, b draft) int { return compare(&a.rough, &b.rough) })
	byProbability := slices.Clone(drafts)
	slices.SortStableFunc(byProbability, func(a, b draft) int {
		return cmp.Compare(b.rough.Probability,
			a.rough.Probability)
	})
	var out []draft
	add := func(d draft) {
		if !slices.ContainsFunc(out, func(o draft) bool { return o.same(&d) }) {
			out = append(out, d)
		}
	}
	for i := 0; i < len(drafts) && len(out) < n; i++ {
		add(byRank[i])
		add(byProbability[i])
	}
	return out[:min(n, len(out))]
}

// same says whether two drafts are made in the same way. Where each set-up has one feature, sizing once is sizing in
// place.
func (d *draft) same(o *draft) bool {
	return d.lathe == o.lathe && d.manner.dial == o.manner.dial && d.manner.corrected == o.manner.corrected &&
		slices.Equal(d.sights, o.sights) && slices.Equal(d.in, o.in) &&
		slices.EqualFunc(d.rough.Features, o.rough.Features, func(a, b Outcome) bool { return a.ByDial == b.ByDial })
}
