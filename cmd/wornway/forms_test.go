package main

import (
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/show"
)

// answerForm is what a form of an answer holds: lines that match, the first line of CSV as it is, values of JSON.
type answerForm struct {
	csv   string // the table's name
	head  string
	lines []string       // regular expressions, each for a whole line
	json  map[string]any // path → value; a number within 1e-6
}

// Answers that take seconds are computed once and looked at in the forms that other programs read. The scripts have the
// text of the same answers. Where the values come from: the demonstration lathe's file and job, the sheet of exercise
// 417 (worn-on is hidden), and the class's three answers in testdata/workshop, marked by hand.
var answerForms = map[string][]answerForm{
	"wear demo.toml --verdict": {
		{csv: "lengths", head: "length,anywhere,at_best,best_from,corrected_anywhere,corrected_at_best,after_regrind",
			lines: []string{`6,.*`}},
		{csv: "tolerances", head: "tolerance,anywhere,at_best,corrected_anywhere,corrected_at_best,after_regrind"},
		{lines: []string{`\| *tolerance, thou *\|.*`}},
	},
	"wear demo.toml --for 4,12 --tolerance 0.5thou": {
		{csv: "surveys", head: "method,after,shrinks_by,with_first,possible,minutes,tools",
			lines: []string{`level-across,0.0006\d+,0.\d+,0.0002\d+,false,\d+,.*`}},
		{csv: "effort", head: "method,minutes,tools,machine", lines: []string{`test-cut,\d+,"?[a-z ,]+"?,under power`}},
	},
	"exercise --seed 417": {
		{csv: "centres", head: "position,reading"},
		{json: map[string]any{"exercise": "417-1", "invented": true, "pages.0.name": "survey-1",
			"pages.5.name": "saddle-level"}},
	},
	"exercise --mark class.csv": {
		{csv: "marks", lines: []string{`bench 1,417-1,worn-on,worn-on,2,1,1,4,4,100`}},
		{json: map[string]any{"mistaken.0.hidden": "worn-on", "mistaken.0.given": "push-off"}},
	},
	"place demo.toml --job shaft.toml": {
		{csv: "starts", head: "feature,at,from,to,spread,spread_95,bar,probability,limited_by"},
		{json: map[string]any{"features.count": 3.0, "features.0.name": "left bearing seat"}},
	},
	"plan shaft.toml demo.toml": {
		{csv: "plans", head: "rank,held,from,dial,sized,moves,effort,probability"},
	},
}

func TestFormsOfLongAnswers(t *testing.T) {
	alongside(t)
	if testing.Short() {
		t.Skip("computes answers that take seconds")
	}
	workshop(t)
	for line, forms := range answerForms {
		a := report(t, "", line)
		for _, f := range forms {
			form := show.Format{Kind: show.Markdown, Full: true}
			switch {
			case f.csv != "":
				form = show.Format{Kind: show.CSV, Table: f.csv}
			case f.json != nil:
				form = show.Format{Kind: show.JSON}
			}
			out := a.as(form).stdout
			lines := strings.Split(out, "\n")
			if f.head != "" && lines[0] != f.head {
				t.Errorf("%s --csv=%s: begins with %s", line, f.csv, lines[0])
			}
			for _, want := range f.lines {
				if !slices.ContainsFunc(lines, regexp.MustCompile("^"+want+"$").MatchString) {
					t.Errorf("%s: no line %s in\n%s", line, want, out)
				}
			}
			var v any
			if f.json != nil {
				if err := json.Unmarshal([]byte(out), &v); err != nil {
					t.Fatal(err)
				}
			}
			for path, want := range f.json {
				got, err := jsonAt(v, path)
				x, isNumber := want.(float64)
				y, _ := got.(float64)
				if err != nil || isNumber && math.Abs(x-y) > 1e-6 || !isNumber && fmt.Sprint(got) != fmt.Sprint(want) {
					t.Errorf("%s: %s is %v, expected %v, %v", line, path, got, want, err)
				}
			}
		}
	}
}
