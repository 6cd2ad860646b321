package ways

import (
	"fmt"
	"math"
	"slices"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/estimate"
)

type slipJSON struct {
	Survey      *int     `json:"survey"` // its number; null: [wear]
	Method      string   `json:"method"`
	Slip        string   `json:"slip"`
	If          string   `json:"if"`
	Before      *float64 `json:"off_before"`
	After       *float64 `json:"off_after"`
	Probability float64  `json:"probability"`
}

type datumJSON struct {
	From        float64 `json:"from"`
	To          float64 `json:"to"`
	Probability float64 `json:"probability"`
}

// slips says which usual slip with a survey would reconcile it with the others, or that the readings do not tell. It
// says whether it is sure of one.
func slips(l *shop.Bench, j *WearJSON) (words []string, sure bool, err error) {
	if len(l.Surveys) == 0 {
		return nil, false, nil
	}
	d, err := l.Estimate.Slips()
	if err != nil {
		return nil, false, err
	}
	for _, s := range d.Slips {
		a := l.Estimate.Surveys[s.Survey]
		j.Slips = append(j.Slips, slipJSON{answer.NumberOrNull(l.Numbers()[s.Survey]), a.Method, s.Name, s.If,
			answer.Null(s.Before, !math.IsNaN(s.Before)), answer.Null(s.After, !math.IsNaN(s.After)), s.Probability})
	}
	if w := d.Worn; w != nil && w.Probability > estimate.WorthSaying {
		sure = w.Sure()
		words = []string{wornWords(l, w)}
		j.Datum = &datumJSON{l.In.From(w.From), l.In.From(w.To), w.Probability}
		if sure {
			return words, true, nil
		}
	}
	if d.Likely() <= estimate.WorthSaying {
		return append(words, turned(l, d)...), false, nil
	}
	first := d.Slips[0]
	if d.Sure {
		return append(words, slipWords(l, first, "")+" Do not trust what follows until it is mended."), true, nil
	}
	out := []string{"There may be a slip in a whole survey, but the readings cannot tell which, or whether there is " +
		"one:"}
	if first.Probability > 0.5 {
		out[0] = "There is probably a slip in a whole survey, but the readings do not make it sure:"
	}
	for _, s := range d.Slips {
		const few = 0.05
		if s.Probability >= few {
			out = append(out, "- "+slipWords(l, s, fmt.Sprintf(" (%.0f %%)", 100*s.Probability)))
		}
	}
	tell, err := deciding(l, d.Slips)
	if err != nil {
		return nil, false, err
	}
	return append(append(words, out...), tell), false, nil
}

// wornWords says that a stretch that was taken as unworn is worn by the readings.
func wornWords(l *shop.Bench, w *estimate.Datum) string {
	odds := ""
	if !w.Sure() {
		odds = fmt.Sprintf(" (%.0f %%)", 100*w.Probability)
	}
	return fmt.Sprintf("By the readings the stretch from %s to %s, which is taken as unworn, is worn itself%s: all "+
		"drops count from there. State under [lathe] which stretches are unworn.", l.Bare(w.From), l.At(w.To), odds)
}

// turned says that a level by itself could as well have been read the wrong way round: where there is nothing else to
// hold it against only how usual the wear would be speaks against it. Nothing where that speaks clearly.
func turned(l *shop.Bench, d *estimate.Diagnosis) []string {
	if len(l.Estimate.Surveys) != 1 || len(d.Slips) == 0 || d.Slips[0].Name != "sign" ||
		!say.IsLevel(l.Estimate.Surveys[0].Method) {
		return nil
	}
	a := l.Estimate.Surveys[0]
	_, file := l.Surveyed(0)
	return []string{fmt.Sprintf("%s could as well have been read the wrong way round: the wear would then be about as "+
		"usual, and nothing else was read. See at one worn place which side of the saddle stands high. --accept-slip "+
		"%v shows the result with it.", say.SurveyName(l, 0, a, file),
		shop.Slip{Number: l.Numbers()[0], Name: "sign"})}
}

// deciding says which survey would tell whether the most probable slip was made: rather than one with another survey,
// or than none.
func deciding(l *shop.Bench, slips []estimate.Slip) (string, error) {
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
	other := l.Estimate
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
	way, _, drop := l.Deepest()
	if a, b, ok := l.Machine.Wear.Above(way, drop/10); ok {
		from, to = math.Max(a, 0), b
	}
	const diameter = 25.4
	candidates, err := l.Candidates(l.Machine.Wear, from, to, diameter)
	if err != nil {
		return "", err
	}
	best, apart := profile.Deciding(first.Wear, other.Wear, candidates)
	if best < 0 {
		return "No single survey more would tell; read the survey again, and the other way round at one place.", nil
	}
	c := candidates[best]
	return fmt.Sprintf("What would tell: %s from %s to %s (%s). With and without the slip, its readings would differ "+
		"by %s times their uncertainty.",
		c.Method, l.Bare(c.At[0]), l.At(c.At[len(c.At)-1]), c.What, word.Times(apart)), nil
}

// slipWords says what one slip would mend.
func slipWords(l *shop.Bench, s estimate.Slip, odds string) string {
	a := l.Estimate.Surveys[s.Survey]
	_, file := l.Surveyed(s.Survey)
	out := fmt.Sprintf("%s fits if %s%s", say.SurveyName(l, s.Survey, a, file), s.If, odds)
	if !math.IsNaN(s.Before) {
		out += fmt.Sprintf(": then it lies %s times as far from the others as readings usually do, and as written %s "+
			"times as far", word.Times(s.After), word.Times(s.Before))
	} else {
		out += ": otherwise a way would have grown, or the wear would be of a rare kind"
	}
	return out + fmt.Sprintf(". --accept-slip %v shows the result with it.",
		shop.Slip{Number: l.Numbers()[s.Survey], Name: s.Name})
}
