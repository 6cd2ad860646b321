package profile

import (
	"fmt"
	"strings"

	"wornway/profile/survey"
)

// StatedDrops stands for the drops of [wear] where a survey's number is meant: they are no [[survey]] and have none.
const StatedDrops = 0

// Numbers returns for each survey of an estimate, in its order, by which number it is known: from 1 as the [[survey]]
// tables stand in the file, or StatedDrops.
func (p *Profile) Numbers() []int {
	var out []int
	if p.Stated != nil && len(p.Surveys) > 0 {
		out = append(out, StatedDrops)
	}
	for _, s := range p.Surveys {
		out = append(out, s.Number)
	}
	return out
}

// AcceptedSlip is a slip that the wear is estimated without.
type AcceptedSlip struct {
	Number int    // of the survey, as Numbers has it
	Name   string // of the slip
	If     string // what is taken to be so
}

// SlipError says that a survey has no such slip, and which it has.
type SlipError struct{ What, Hint string }

func (e SlipError) Error() string { return e.What }

// AcceptSlip undoes a slip with a survey of a number, as Numbers has it: from then on its readings count as if it had
// been made.
func (p *Profile) AcceptSlip(number int, name string) error {
	set, err := p.numbered(number)
	if err != nil {
		return err
	}
	var names []string
	for _, s := range set.Slips() {
		if s.Name == name {
			*set = s.Set
			p.Accepted = append(p.Accepted, AcceptedSlip{number, name, s.If})
			return nil
		}
		names = append(names, s.Name)
	}
	called := "[wear]"
	if number != StatedDrops {
		called = fmt.Sprintf("survey %d (%s)", number, set.Method.Name)
	}
	hint := "it knows " + strings.Join(names, ", ")
	if len(names) == 0 {
		hint = "of what it holds no slip is usual"
	}
	return SlipError{fmt.Sprintf("%s knows no slip %q", called, name), hint}
}

// numbered returns the readings of a survey by its number.
func (p *Profile) numbered(number int) (*survey.Set, error) {
	var known []string
	if number == StatedDrops {
		switch {
		case p.Stated == nil:
			return nil, SlipError{"the profile has no [wear]", "name a survey by its number"}
		case len(p.Surveys) == 0:
			return nil, SlipError{"[wear] is taken as it stands where there is no survey", "mend it in the profile"}
		}
		return &p.Stated.set, nil
	}
	for i := range p.Surveys {
		if p.Surveys[i].Number == number {
			return &p.Surveys[i].Set, nil
		}
		known = append(known, fmt.Sprint(p.Surveys[i].Number))
	}
	hint := "the profile has " + strings.Join(known, ", ") + ": they are numbered as they stand in it"
	if len(known) == 0 {
		hint = "the profile has none with readings"
	}
	return nil, SlipError{fmt.Sprintf("there is no survey %d", number), hint}
}
