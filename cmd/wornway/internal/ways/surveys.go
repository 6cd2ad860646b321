package ways

import (
	"fmt"
	"math"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile/estimate"
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
func surveys(l *shop.Bench, j *WearJSON) (show.Table, []string) {
	t := show.Table{Name: "surveys", Full: true, Title: "How each survey agrees with all the others:",
		Columns: []show.Column{
			{Head: "survey", Key: "method", Left: true}, {Head: "date", Key: "date", Left: true},
			{Head: "rows", Key: "rows"},
			{Head: "off by", Key: "rms"}, {Head: "expected", Key: "expected"},
			{Head: "", Key: "reading_unit", Left: true}}}
	var sentences []string
	for i, a := range l.Estimate.Surveys {
		date, file := l.Surveyed(i)
		s := surveyJSON{Number: answer.NumberOrNull(l.Numbers()[i]), Method: a.Method, Date: date, File: file,
			Rows:   a.Rows,
			Factor: a.Factor, Doubt: a.Doubt, Outliers: []outlierJSON{}}
		rms, expected, unit := reading(l, a, a.RMS), reading(l, a, a.Expected), l.In.String()
		text := [2]string{l.Cell(a.RMS), l.Cell(a.Expected)}
		shown := l.SmallName()
		if say.IsLevel(a.Method) {
			unit, shown = "divisions", "divisions"
			text = [2]string{fmt.Sprintf("%.2f", rms), fmt.Sprintf("%.2f", expected)}
		}
		s.RMS, s.Expected, s.Unit = rms, expected, unit
		for _, o := range a.Outliers {
			s.Outliers = append(s.Outliers, outlierJSON{o.Row, l.In.From(o.Position), o.Sigma, o.Aside, o.Doubt})
		}
		if !math.IsNaN(a.Repeat) && !say.IsLevel(a.Method) {
			sentences = append(sentences, fmt.Sprintf("%s: there and back, one reading repeats within %s (standard).",
				word.Upper(a.Method), l.Small(a.Repeat)))
		}
		j.Surveys = append(j.Surveys, s)
		t.Rows = append(t.Rows, []show.Cell{{Text: say.RowName(l.Numbers()[i], a.Method), Value: a.Method},
			{Text: date, Value: date}, {Text: fmt.Sprint(a.Rows), Value: a.Rows},
			{Text: text[0], Value: rms}, {Text: text[1], Value: expected}, {Text: shown, Value: unit}})
	}
	return t, sentences
}

// reading turns a difference of readings, mm or radians, into the unit of JSON and CSV: the file's unit, or divisions
// of a level.
func reading(l *shop.Bench, a estimate.Agreement, x float64) float64 {
	if say.IsLevel(a.Method) {
		return x / a.Scale
	}
	return l.In.From(x)
}
