package profile

import (
	"fmt"
	"strings"

	"wornway/profile/survey"
)

// Accepted is a slip that the wear is estimated without.
type Accepted struct {
	Number int    // of the survey, from 1, as the estimate counts them: stated drops beside surveys first
	Name   string // of the slip
	If     string // what is taken to be so
}

// SlipError says that a survey has no such slip, and which it has.
type SlipError struct{ What, Hint string }

func (e SlipError) Error() string { return e.What }

// AcceptSlip undoes a slip with a survey: from then on its readings count as if it had been made.
func (p *Profile) AcceptSlip(number int, name string) error {
	set, of := p.numbered(number)
	if set == nil {
		return SlipError{fmt.Sprintf("there is no survey %d", number), fmt.Sprintf("the profile has %d: they are numbered as they stand in it", of)}
	}
	var names []string
	for _, s := range set.Slips() {
		if s.Name == name {
			*set = s.Set
			p.Accepted = append(p.Accepted, Accepted{number, name, s.If})
			return nil
		}
		names = append(names, s.Name)
	}
	return SlipError{fmt.Sprintf("survey %d (%s) knows no slip %q", number, set.Method.Name, name), "it knows " + strings.Join(names, ", ")}
}

// numbered returns the readings of a survey by its number, and how many surveys there are.
func (p *Profile) numbered(number int) (*survey.Set, int) {
	var all []*survey.Set
	if p.Stated != nil && len(p.Surveys) > 0 {
		all = append(all, &p.Stated.set)
	}
	for i := range p.Surveys {
		all = append(all, &p.Surveys[i].Set)
	}
	if number < 1 || number > len(all) {
		return nil, len(all)
	}
	return all[number-1], len(all)
}
