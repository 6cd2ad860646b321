package plan

import (
	"cmp"
	"math"

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
