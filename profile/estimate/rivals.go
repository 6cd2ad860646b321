package estimate

import (
	"math"
	"slices"

	"wornway/profile/survey"
)

// rivals are two readings of different surveys that are too far off and compared with nothing but each other, so that
// either may be wrong.
type rivals [2]rival

// rival is a row with how far it is from what all others say, its rival among them.
type rival struct {
	row           int
	off, variance float64
}

// mostRivals is how many rivals there may be before their surveys are in doubt: each doubles what is averaged over.
const mostRivals = 2

func (p *problem) rated(r *residuals, i int) rival {
	off, variance, _ := p.off(i, r.left(i))
	return rival{i, off, variance}
}

func (p *problem) isValue(i int) bool {
	q := p.rows[i]
	return p.in.Surveys[q.survey].Equations[q.equation].Side == survey.Value
}

// rival returns the reading of another survey that contradicts one that is too far off and with which alone it is
// compared; −1 for none. It need not be quite as far off.
func (p *problem) rival(r *residuals, i int) int {
	const nearly = 2.0 / 3
	for j, q := range p.rows {
		if q.survey != p.rows[i].survey && !p.aside[j] && r.alike(i, j) && math.Abs(r.sigma(j)) > nearly*p.named {
			return j
		}
	}
	return -1
}

// alike says whether two readings' residuals are one and the same but for their size and sign.
func (r *residuals) alike(i, j int) bool {
	const nearly = 0.95 // as a correlation
	return r.in != nil && math.Abs(r.in.At(i, j)) > nearly*math.Sqrt(r.in.At(i, i)*r.in.At(j, j))
}

// ways returns the problem with one of every two rivals set aside and the other kept, in all ways, their scores such
// that all together are 1; without rivals the problem as it is. Each is as probable as it makes the readings: one that
// is set aside counts with so many times its own uncertainty, whichever it is, and as many are in each way, so that the
// densities can be compared as they are.
func (p *problem) ways(from point, s sides) ([]choice, error) {
	if len(p.rivals) == 0 {
		err := p.steepened(from, s)
		return []choice{{p, from, 0}}, err
	}
	var all []choice
	best := math.Inf(-1)
	for way := range 1 << len(p.rivals) {
		q := p.clone()
		for k, both := range p.rivals {
			out := way >> k & 1
			q.aside[both[out].row], q.aside[both[1-out].row] = true, false
		}
		q.weigh()
		c := choice{q, from, nearby(q, from.with(doubtShare)).score}
		best = math.Max(best, c.score)
		all = append(all, c)
	}
	sum := 0.0
	for _, c := range all {
		sum += math.Exp(c.score - best)
	}
	for i := range all {
		c := &all[i]
		c.score -= best + math.Log(sum)
		qs := sides{c.p, s.rows}
		var err error
		if c.best, err = c.p.settled(from, qs); err != nil {
			return nil, err
		}
		if err := c.p.steepened(c.best, qs); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// reconcile drops the rivals that a survey has part in.
func (p *problem) reconcile(k int) {
	p.rivals = slices.DeleteFunc(p.rivals, func(both rivals) bool {
		ours := p.rows[both[0].row].survey == k || p.rows[both[1].row].survey == k
		if ours {
			for _, r := range both {
				p.aside[r.row] = false
			}
		}
		return ours
	})
}

// rivalry returns how far a row is from what the others and its rival say, and false for a row without a rival.
func (p *problem) rivalry(i int) (rival, bool) {
	for _, both := range p.rivals {
		for _, r := range both {
			if r.row == i {
				return r, true
			}
		}
	}
	return rival{}, false
}
