package plan

import (
	"cmp"
	"math"

	"wornway/compensate/setup"
	"wornway/compensate/work"
)

// What work costs, counted in settings of a dial. Common practice, no source: only the order that follows from it
// matters.
const (
	effortMove     = 1 // a setting of the dial while cutting
	effortMeasure  = 1 // stopping, measuring and setting again at one feature more
	effortCompound = 3 // turning the compound to its angle, and back
	effortSetOver  = 4 // setting the tailstock over, and back
	effortSteady   = 6 // setting up the steady
	effortSetUp    = 8 // taking the part out and holding it once more
	effortSpare    = 6 // jaws on finished work: packing or soft jaws, and indicating the part true
	effortSheathe  = 1 // a strip of soft metal under the dog on finished work
	effortCentre   = 2 // drilling one centre and bringing the tailstock up to it
	effortCentres  = 4 // drilling both, the dog and the headstock's centre
)

// effort returns what a plan costs beyond holding the part once and bringing one feature to size.
func (p *Plan) effort() int {
	sum := p.Moves*effortMove + (len(p.SetUps)-1)*effortSetUp
	measured := -1
	for _, f := range p.Features {
		if !f.ByDial {
			measured++
		}
	}
	sum += max(0, measured) * effortMeasure
	if p.Dial != nil && p.Dial.Compound {
		sum += effortCompound
	}
	for _, s := range p.SetUps {
		switch s.Way {
		case work.ChuckAndCentre:
			sum += effortCentre
		case work.Centres:
			sum += effortCentres
		}
		switch {
		case len(s.Finished) > 0 && s.Way.Gripped():
			sum += effortSpare
		case len(s.Finished) > 0:
			sum += effortSheathe
		}
		if s.SetOver != 0 {
			sum += effortSetOver
		}
		if s.Steady != nil {
			sum += effortSteady
		}
	}
	return sum
}

// compare orders plans: those whose features run true to each other as well as the job asks before those of which that
// is not told; of each, those that hold first, by effort, then by probability; the rest by probability. Where two are
// as good, the one whose work hangs out less comes first.
func compare(a, b *Plan) int {
	if a.Untold != b.Untold {
		if b.Untold {
			return -1
		}
		return 1
	}
	if a.Holds != b.Holds {
		if a.Holds {
			return -1
		}
		return 1
	}
	byEffort := cmp.Compare(a.Effort, b.Effort)
	const percent = 100 // what drawing leaves open
	byProbability := cmp.Compare(math.Round(percent*b.Probability), math.Round(percent*a.Probability))
	if !a.Holds {
		byEffort, byProbability = byProbability, byEffort
	}
	return cmp.Or(byEffort, byProbability, cmp.Compare(a.overhang(), b.overhang()), cmp.Compare(a.turned(), b.turned()))
}

// overhang returns how far the part reaches out of what holds its near end, all set-ups together, mm, to a tenth.
func (p *Plan) overhang() float64 {
	sum := 0.0
	for _, s := range p.SetUps {
		sum += math.Round(10*s.Overhang) / 10
	}
	return sum
}

// turned counts the set-ups in which the part lies end for end.
func (p *Plan) turned() int {
	n := 0
	for _, s := range p.SetUps {
		if s.EndForEnd {
			n++
		}
	}
	return n
}

// finished returns the numbers of the features that jaws or dog hold in a set-up, and that were finished in an earlier
// one: in says in which each is turned.
func (q Question) finished(lathe, setUp int, h *setup.Mounting, in []int) []int {
	l := q.Lathes[lathe]
	to := l.JawsFront
	if !h.Way.Gripped() {
		to = l.Headstock + q.Job.Part.Grip
	}
	var out []int
	for f, s := range in {
		if s >= 0 && s < setUp && q.Job.Features[f].Asked() && !q.Job.Features[f].Bore && h.Features[f].From < to {
			out = append(out, f)
		}
	}
	return out
}
