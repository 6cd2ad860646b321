package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/estimate"
)

// slipFlag is which slips with surveys are taken to have been made: each a survey's number and the slip's name, as in
// 3:sign; wear:sign for the stated drops of [wear].
type slipFlag []acceptedSlip

type acceptedSlip struct {
	number int
	name   string
}

// String writes it as the flag takes it.
func (s acceptedSlip) String() string {
	if s.number == profile.StatedDrops {
		return "wear:" + s.name
	}
	return fmt.Sprintf("%d:%s", s.number, s.name)
}

// numberOrNull is a survey's number for JSON.
func numberOrNull(number int) *int {
	if number == profile.StatedDrops {
		return nil
	}
	return &number
}

// String implements pflag.Value.
func (f *slipFlag) String() string {
	var out []string
	for _, s := range *f {
		out = append(out, s.String())
	}
	return strings.Join(out, ",")
}

// Set implements pflag.Value.
func (f *slipFlag) Set(text string) error {
	for one := range strings.SplitSeq(text, ",") {
		number, name, found := strings.Cut(strings.TrimSpace(one), ":")
		n, err := strconv.Atoi(number)
		if number == "wear" {
			n, err = profile.StatedDrops, nil
		} else if n < 1 {
			found = false
		}
		if !found || err != nil || name == "" {
			return errors.New("must be a survey's number and a slip, as in 3:sign; wear names them")
		}
		for _, s := range *f {
			if s.number == n {
				if n == profile.StatedDrops {
					return errors.New("only one slip can be undone with [wear]")
				}
				return fmt.Errorf("only one slip can be undone with survey %d", n)
			}
		}
		*f = append(*f, acceptedSlip{n, name})
	}
	return nil
}

// Type implements pflag.Value.
func (f *slipFlag) Type() string { return "slip" }

func (f *slipFlag) flags(to *pflag.FlagSet) {
	to.Var(f, "accept-slip", "reckon as if a survey's slip had not been made, as in 3:sign (wear says which would fit)")
}

// undo takes the slips out of a profile's surveys.
func (f slipFlag) undo(p *profile.Profile) error {
	for _, s := range f {
		var none profile.SlipError
		switch err := p.AcceptSlip(s.number, s.name); {
		case errors.As(err, &none):
			return refuse.Usage(fmt.Sprintf("--accept-slip %v: %s", s, none.What), none.Hint)
		case err != nil:
			return err
		}
	}
	return nil
}

// acceptedWords say which slips are taken to have been made.
func (l *lathe) acceptedWords() []string {
	var out []string
	for _, a := range l.Accepted {
		name := "[wear]"
		if a.Number != profile.StatedDrops {
			name = fmt.Sprintf("Survey %d", a.Number)
		}
		out = append(out, fmt.Sprintf("%s is reckoned with as if %s (--accept-slip). If that is so, mend it in the "+
			"profile.", name, a.If))
	}
	return out
}

type slipJSON struct {
	Survey      *int     `json:"survey"` // its number; null: [wear]
	Method      string   `json:"method"`
	Slip        string   `json:"slip"`
	If          string   `json:"if"`
	Before      *float64 `json:"off_before"`
	After       *float64 `json:"off_after"`
	Probability float64  `json:"probability"`
}

// slips says which usual slip with a survey would reconcile it with the others, or that the readings do not tell. It
// says whether it is sure of one.
func (l *lathe) slips(j *wearJSON) (words []string, sure bool, err error) {
	if len(l.Surveys) == 0 {
		return nil, false, nil
	}
	d, err := l.estimate.Slips()
	if err != nil {
		return nil, false, err
	}
	likely := 0.0
	for _, s := range d.Slips {
		a := l.estimate.Surveys[s.Survey]
		j.Slips = append(j.Slips, slipJSON{numberOrNull(l.Numbers()[s.Survey]), a.Method, s.Name, s.If,
			answer.Null(s.Before, !math.IsNaN(s.Before)), answer.Null(s.After, !math.IsNaN(s.After)), s.Probability})
		likely += s.Probability
	}
	const worthSaying = 0.3 // of any slip at all; below it the readings fit well enough as they are
	if likely < worthSaying {
		return nil, false, nil
	}
	first := d.Slips[0]
	if d.Sure {
		return []string{l.slipWords(first, "") + " Until it is mended, what follows is not to be trusted."}, true, nil
	}
	out := []string{"There may be a slip in a whole survey, but the readings cannot tell which, or whether there is " +
		"one:"}
	if first.Probability > 0.5 {
		out[0] = "There is probably a slip in a whole survey, but the readings do not make it sure:"
	}
	for _, s := range d.Slips {
		const few = 0.05
		if s.Probability >= few {
			out = append(out, "- "+l.slipWords(s, fmt.Sprintf(" (%.0f %%)", 100*s.Probability)))
		}
	}
	tell, err := l.deciding(d.Slips)
	if err != nil {
		return nil, false, err
	}
	return append(out, tell), false, nil
}

// deciding says which survey would tell whether the most probable slip was made: rather than one with another survey,
// or than none.
func (l *lathe) deciding(slips []estimate.Slip) (string, error) {
	with := func(s estimate.Slip) (*estimate.Result, error) {
		p := *l.Profile
		p.Surveys = slices.Clone(p.Surveys)
		if p.Stated != nil {
			stated := *p.Stated
			p.Stated = &stated
		}
		if err := p.AcceptSlip(l.Numbers()[s.Survey], s.Name); err != nil {
			return nil, err
		}
		return p.Estimate()
	}
	first, err := with(slips[0])
	if err != nil {
		return "", err
	}
	other := l.estimate
	for _, s := range slips[1:] {
		const few = 0.05
		if s.Survey != slips[0].Survey && s.Probability >= few {
			if other, err = with(s); err != nil {
				return "", err
			}
			break
		}
	}
	from, to := l.Lathe.Ways.From, l.Lathe.Ways.To
	way, _, drop := l.deepest()
	if a, b, ok := l.machine.Wear.Above(way, drop/10); ok {
		from, to = math.Max(a, 0), b
	}
	const diameter = 25.4
	candidates, err := l.Candidates(l.machine.Wear, from, to, diameter)
	if err != nil {
		return "", err
	}
	best, apart := profile.Deciding(first.Wear, other.Wear, candidates)
	if best < 0 {
		return "No single survey more would tell; read the survey again, and the other way round at one place.", nil
	}
	c := candidates[best]
	return fmt.Sprintf("What would tell: %s from %s to %s (%s); its readings would lie %s times their uncertainty "+
		"apart.", c.Method, l.Bare(c.At[0]), l.At(c.At[len(c.At)-1]), c.What, word.Times(apart)), nil
}

// slipWords says what one slip would mend.
func (l *lathe) slipWords(s estimate.Slip, odds string) string {
	a := l.estimate.Surveys[s.Survey]
	_, file := l.surveyed(s.Survey)
	out := fmt.Sprintf("%s fits if %s%s", l.surveyName(s.Survey, a, file), s.If, odds)
	if !math.IsNaN(s.Before) {
		out += fmt.Sprintf(": its readings are then %s times as far from what the others say as expected, and %s "+
			"times as written", word.Times(s.After), word.Times(s.Before))
	} else {
		out += ": otherwise ways would have grown"
	}
	return out + fmt.Sprintf(". --accept-slip %v shows the result with it.",
		acceptedSlip{l.Numbers()[s.Survey], s.Name})
}

// grownWords says where a way would stand higher than when it was new.
func (l *lathe) grownWords() []string {
	var out []string
	for _, g := range l.estimate.Grown {
		out = append(out, fmt.Sprintf("By these readings the %s way at %s would stand %s higher than where it is "+
			"unworn, %s. Metal is only lost: look for a slip, or whether the stretches taken as unworn are worn.",
			g.Curve, l.At(g.Position), l.Small(g.Rise), l.PlusMinus(g.U, true)))
	}
	return out
}
