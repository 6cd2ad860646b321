package profile

import (
	"math"

	"wornway/profile/estimate"
	"wornway/profile/wear"
)

// Misreading is the wear as it would be if one level had been read the wrong way round.
type Misreading struct {
	Number int // of the survey
	Wear   *wear.Wear
	Odds   float64 // beside the profile as it is written, by all that it holds; 0: its readings do not say
}

// unlisted are the odds of a slip that the other surveys do not speak for: it is looked at all the same, for they may
// not speak against it either.
const unlisted = 0.01

// Mistaken returns the wear once each level of the profile is read the other way round; e is the estimate of the
// profile as it is.
func (p *Profile) Mistaken(e *estimate.Result) ([]Misreading, error) {
	var levels []int
	for i, s := range p.Surveys {
		if s.Set.Method.Level {
			levels = append(levels, i)
		}
	}
	if len(levels) == 0 {
		return nil, nil
	}
	numbers := p.Numbers()
	odds := map[int]float64{}
	if len(numbers) > 1 {
		d, err := e.Slips()
		if err != nil {
			return nil, err
		}
		left := 1.0
		for _, s := range d.Slips {
			left -= s.Probability
		}
		for _, s := range d.Slips {
			if s.Name == "sign" {
				const least = 1e-3 // what is left out of the slips may be as much
				odds[numbers[s.Survey]] = s.Probability / math.Max(left, least)
			}
		}
	}
	var out []Misreading
	for _, i := range levels {
		number := p.Surveys[i].Number
		if len(numbers) > 1 && odds[number] == 0 {
			odds[number] = unlisted
		}
		other, err := p.undone(number, "sign")
		if err != nil {
			return nil, err
		}
		r, err := other.Estimate()
		if err != nil {
			return nil, err
		}
		out = append(out, Misreading{number, r.Wear, odds[number]})
	}
	return out, nil
}
