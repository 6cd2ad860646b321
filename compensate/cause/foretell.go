package cause

import "wornway/profile/survey"

// Foretell returns what surveys read on a bed that is worn as b has it, with causes of the given sizes, by survey, in
// the units of the package's usual ones: sizes of [WornOn] are shares, of [Twist] radians and of [Lean] and [SetOver]
// mm over [Span], of [TailHeight] mm squared there, of [PushOff] mm on diameter at the reading of all that has most. It
// returns the readings of each survey in the order of its equations, mm or radians, without zero and noise. The wear
// need not have an uncertainty.
func Foretell(b Bed, sets []survey.Set, sizes []map[Kind]float64) ([][]float64, error) {
	g, err := gather(b, sets, len(sets))
	if err != nil {
		return nil, err
	}
	all := g.known(b.Wear).mean
	for _, k := range columned {
		column := g.column(k)
		for i, r := range g.rows {
			all[i] += sizes[r.of][k] * column[i]
		}
	}
	out := make([][]float64, len(sets))
	for i, r := range g.rows {
		out[r.of] = append(out[r.of], all[i])
	}
	return out, nil
}

// Usual returns how great a cause usually is, standard, in the unit of [Foretell]; NaN for one without a size. Common
// practice, no source.
func Usual(k Kind) float64 { return priors[k].u }

// OneWay says whether a cause can only be positive.
func OneWay(k Kind) bool { return priors[k].one }

// TogetherWith says whether two causes are considered together.
func TogetherWith(a, b Kind) bool { return pairOdds(a, b) > 0 }
