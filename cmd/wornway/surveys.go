package main

import (
	"fmt"
	"math"
	"slices"
	"time"

	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/estimate"
	"wornway/profile/survey"
)

type surveyJSON struct {
	Number   *int          `json:"number"` // null: [wear]
	Method   string        `json:"method"`
	Date     string        `json:"date"`
	File     string        `json:"file"`
	Rows     int           `json:"rows"`
	RMS      float64       `json:"rms"`
	Expected float64       `json:"expected"`
	Unit     string        `json:"reading_unit"`
	Factor   float64       `json:"factor"`
	Doubt    float64       `json:"doubt"`
	Outliers []outlierJSON `json:"outliers"`
}

type outlierJSON struct {
	Row      int     `json:"row"`
	Position float64 `json:"position"`
	Sigma    float64 `json:"sigma"`
	LeftOut  bool    `json:"left_out"`
	Doubt    float64 `json:"doubt"`
}

// surveys says how each survey agrees with what all others say.
func (l *lathe) surveys(j *wearJSON) (show.Table, []string) {
	t := show.Table{Name: "surveys", Title: "How each survey agrees with all the others:", Columns: []show.Column{
		{Head: "survey", Key: "method", Left: true}, {Head: "date", Key: "date", Left: true},
		{Head: "rows", Key: "rows"},
		{Head: "off by", Key: "rms"}, {Head: "expected", Key: "expected"}, {Head: "", Key: "reading_unit", Left: true}}}
	var sentences []string
	for i, a := range l.estimate.Surveys {
		date, file := l.surveyed(i)
		s := surveyJSON{Number: numberOrNull(l.Numbers()[i]), Method: a.Method, Date: date, File: file, Rows: a.Rows,
			Factor: a.Factor, Doubt: a.Doubt, Outliers: []outlierJSON{}}
		rms, expected, unit := l.reading(a, a.RMS), l.reading(a, a.Expected), l.In.String()
		text := [2]string{l.Cell(a.RMS), l.Cell(a.Expected)}
		shown := l.SmallName()
		if isLevel(a.Method) {
			unit, shown = "divisions", "divisions"
			text = [2]string{fmt.Sprintf("%.2f", rms), fmt.Sprintf("%.2f", expected)}
		}
		s.RMS, s.Expected, s.Unit = rms, expected, unit
		for _, o := range a.Outliers {
			s.Outliers = append(s.Outliers, outlierJSON{o.Row, l.In.From(o.Position), o.Sigma, o.Aside, o.Doubt})
		}
		if !math.IsNaN(a.Repeat) && !isLevel(a.Method) {
			sentences = append(sentences, fmt.Sprintf("%s: there and back, one reading repeats within %s (standard).",
				word.Upper(a.Method), l.Small(a.Repeat)))
		}
		j.Surveys = append(j.Surveys, s)
		t.Rows = append(t.Rows, []show.Cell{{Text: rowName(l.Numbers()[i], a.Method), Value: a.Method},
			{Text: date, Value: date}, {Text: fmt.Sprint(a.Rows), Value: a.Rows},
			{Text: text[0], Value: rms}, {Text: text[1], Value: expected}, {Text: shown, Value: unit}})
	}
	return t, sentences
}

// conflicts says which readings and surveys do not agree with the others.
func (l *lathe) conflicts() []string {
	var out []string
	for i, a := range l.estimate.Surveys {
		_, file := l.surveyed(i)
		out = append(out, l.disagreement(i, a, file)...)
	}
	return append(out, l.grownWords()...)
}

// disagreement names the readings that do not fit, and the survey where it does not fit as a whole.
func (l *lathe) disagreement(i int, a estimate.Agreement, file string) []string {
	where := l.surveyName(i, a, file)
	const much = 2.0 // times what is expected: no single reading stands out, but the survey as a whole does
	off := a.RMS / a.Expected
	var out []string
	switch {
	case a.Disagrees() && a.Doubt > sureDoubt:
		out = append(out, fmt.Sprintf("%s does not agree with the others: its readings count with %s times their "+
			"uncertainty, and the ± is the wider for it.", where, word.Times(a.Factor)))
	case a.Disagrees() && a.Doubt >= slightDoubt:
		out = append(out, fmt.Sprintf("%s and others contradict each other, and the readings do not tell which is "+
			"wrong; the ± covers both. Doubted by itself it would count with %s times its uncertainty.", where,
			word.Times(a.Factor)))
	case a.Factor == 1 && len(a.Outliers) == 0 && a.Expected > 0 && off > much:
		out = append(out, fmt.Sprintf("%s hardly agrees with the others: its readings are %s times as far off as "+
			"expected.", where, word.Times(off)))
	}
	m, _ := survey.Find(a.Method)
	for k, o := range a.Outliers {
		const few = 3
		if o.Doubt < slightDoubt && (a.Disagrees() || k >= few) {
			continue // said of the survey as a whole
		}
		s := fmt.Sprintf("%s, row %d, at %s, is off by %.1f times its uncertainty", where, o.Row, l.At(o.Position),
			math.Abs(o.Sigma))
		switch {
		case o.Aside:
			s += " and is left out: read it again."
		case o.Doubt >= slightDoubt:
			s += fmt.Sprintf(", and so is a reading of another survey that it alone is compared with; %.0f %% speak "+
				"for its being this one, and the ± covers both: read both again.", 100*o.Doubt)
		default:
			s += ": read it again."
		}
		if slip := m.Misread(o.Reading, o.Off, o.U); slip != "" {
			s += " It fits if " + slip + "."
		}
		out = append(out, s)
	}
	return out
}

// What is said of a survey that is doubted with which probability.
const (
	sureDoubt   = 0.95
	slightDoubt = 0.05
)

// surveyName says which survey is meant.
func (l *lathe) surveyName(i int, a estimate.Agreement, file string) string {
	if file != "" {
		return file
	}
	return numberedName(l.Numbers()[i], a.Method)
}

// numberedName calls a survey by its number, and stated drops by their key.
func numberedName(number int, method string) string {
	if number == profile.StatedDrops {
		return "[wear]"
	}
	return fmt.Sprintf("Survey %d (%s)", number, method)
}

// rowName is numberedName for a table's row.
func rowName(number int, method string) string {
	if number == profile.StatedDrops {
		return "[wear]"
	}
	return fmt.Sprintf("%d: %s", number, method)
}

// reading turns a difference of readings, mm or radians, into the unit of JSON and CSV: the file's unit, or divisions
// of a level.
func (l *lathe) reading(a estimate.Agreement, x float64) float64 {
	if isLevel(a.Method) {
		return x / a.Scale
	}
	return l.In.From(x)
}

func isLevel(method string) bool {
	m, _ := survey.Find(method)
	return m.Level
}

// surveyed returns date and file of the i-th survey of the estimate; stated drops beside surveys come first.
func (l *lathe) surveyed(i int) (date, file string) {
	if l.Stated != nil {
		if i--; i < 0 {
			return "", l.Stated.File
		}
	}
	s := l.Surveys[i]
	if !s.Date.IsZero() {
		date = s.Date.Format(time.DateOnly)
	}
	return date, s.File
}

// twistWords says how far the bed is twisted, which is levelling and not wear.
func (l *lathe) twistWords() string {
	const perMetre = 1e6 // mm/m in a metre, of radians per mm
	return fmt.Sprintf("The bed is twisted by %.3f ± %.3f mm/m in a metre: that is levelling, not wear, and is "+
		"counted in what the tool does.",
		l.estimate.Twist*perMetre, 2*l.estimate.TwistU*perMetre)
}

// limitWords says what each method that was used cannot see by itself.
func (l *lathe) limitWords() []string {
	var out []string
	for _, a := range l.estimate.Surveys {
		m, _ := survey.Find(a.Method)
		if s := word.Upper(m.Unseen) + "."; m.Unseen != "" && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}

// unseenWords says what no reading determines.
func (l *lathe) unseenWords() []string {
	out := []string{}
	for _, u := range l.estimate.Unseen {
		switch {
		case !u.Nowhere:
			out = append(out, fmt.Sprintf("Only from %s to %s do the readings say %s; beyond, it rests on what wear "+
				"is usually like.", l.BareAbout(u.Seen[0]), l.About(u.Seen[1]), u.What))
		case u.Standard == 0:
			out = append(out, fmt.Sprintf("No reading determines %s; it is taken as the profile has it.", u.What))
		default:
			out = append(out, fmt.Sprintf("No reading determines %s; its ± rests on what is usual.", u.What))
		}
	}
	return out
}
