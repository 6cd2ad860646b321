package classroom

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate/cause"
	"wornway/compensate/exercise"
	"wornway/profile/document"
	"wornway/profile/form"
)

// answerLine is one line of a class's answers.
type answerLine struct {
	line   int
	name   string
	Number exercise.Number
	Given  exercise.Reply
	Sizes  []float64 // as written; NaN: none
}

// markColumns are what a file of answers may hold; the first three it must.
var markColumns = []string{"name", "seed", "cause", "cause_2", "strength", "strength_2", "told_by"}

// ReadAnswers reads a class's answers, row by row: what is wrong in a row is told beside the good ones, and is an error
// where no row is good.
func ReadAnswers(file string, data []byte, level int) (all []answerLine, bad document.Faults, err error) {
	var faults document.Faults
	fault := func(line int, key, hint, format string, args ...any) {
		faults = append(faults, document.Fault{File: file, Line: line, Key: key, Message: fmt.Sprintf(format, args...),
			Hint: hint})
	}
	c := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(data), "\ufeff")))
	c.FieldsPerRecord, c.TrimLeadingSpace = -1, true
	head, err := c.Read()
	columns := "the columns are " + strings.Join(markColumns, ", ") + "; the first three are needed"
	if err != nil {
		fault(1, "", columns, "holds no table")
		return nil, nil, faults
	}
	at := map[string]int{}
	for i, h := range head {
		h = strings.ToLower(strings.TrimSpace(h))
		if !slices.Contains(markColumns, h) {
			fault(1, h, columns, "is not a column of answers")
			continue
		}
		if _, twice := at[h]; twice {
			fault(1, h, "leave one of them out", "stands twice")
		}
		at[h] = i
	}
	for _, h := range markColumns[:3] {
		if _, ok := at[h]; !ok {
			fault(1, h, columns, "is missing")
		}
	}
	if len(faults) > 0 {
		return nil, nil, faults
	}
	for {
		wrong := len(faults)
		row, err := c.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			line := 0
			var wrong *csv.ParseError
			if errors.As(err, &wrong) {
				line, err = wrong.Line, wrong.Err
			}
			fault(line, "", "quote a field that holds a comma or a quotation mark", "%v", err)
			break
		}
		line, _ := c.FieldPos(0)
		cell := func(name string) string {
			if i, ok := at[name]; ok && i < len(row) {
				return strings.TrimSpace(row[i])
			}
			return ""
		}
		if strings.Join(row, "") == "" {
			continue
		}
		if len(row) > len(head) {
			fault(line, "", "leave the surplus out", "has %d fields, the first line %d", len(row), len(head))
			continue
		}
		a := answerLine{line: line, name: cell("name")}
		if message, hint := form.NameFault(a.name); message != "" {
			fault(line, "name", hint, "%s", message)
		}
		if a.Number, err = exercise.ParseNumber(cell("seed"), level); err != nil {
			fault(line, "seed", "it stands on the sheet", "%v", err)
		}
		for _, suffix := range []string{"", "_2"} {
			text, size := cell("cause"+suffix), cell("strength"+suffix)
			if text == "" {
				if suffix == "" || size != "" {
					fault(line, "cause"+suffix, "one of "+causeNames()+", or cannot-tell", "is empty")
				}
				continue
			}
			k, ok := causeOf(text)
			if !ok {
				fault(line, "cause"+suffix, "one of "+causeNames()+", or cannot-tell", "%s is not a cause",
					word.Visible(text))
				continue
			}
			v := math.NaN()
			if size != "" {
				if v, err = strengthOf(size, k); err != nil {
					fault(line, "strength"+suffix, "a plain number in the unit that the sheet asks for, without the "+
						"unit", "%s is not a number", word.Visible(size))
				}
			}
			a.Given.Causes, a.Sizes = append(a.Given.Causes, k), append(a.Sizes, v)
		}
		if t := cell("told_by"); t != "" {
			var ok bool
			if a.Given.Telling, ok = nearest(joined(t), exercise.Names()); !ok {
				fault(line, "told_by", "one of "+strings.Join(exercise.Names(), ", "),
					"%s is not a cut or reading of a sheet", word.Visible(t))
			}
		}
		if len(faults) == wrong {
			all = append(all, a)
		}
	}
	if len(all) == 0 && len(faults) == 0 {
		fault(1, "", columns, "holds no answers")
	}
	if len(all) == 0 {
		return nil, nil, faults
	}
	return all, faults, nil
}

func causeNames() string {
	var out []string
	for _, k := range exercise.Causes() {
		out = append(out, string(k))
	}
	return strings.Join(out, ", ")
}

type marksJSON struct {
	Format   int            `json:"format"`
	Marks    []markJSON     `json:"marks"`
	Mistaken []mistakenJSON `json:"mistaken"`
	Unmarked []string       `json:"unmarked"`
}

type markJSON struct {
	Name     string       `json:"name"`
	Exercise string       `json:"exercise"`
	Given    []cause.Kind `json:"given"`
	Hidden   []cause.Kind `json:"hidden"`
	Cause    int          `json:"cause"`
	Strength int          `json:"strength"`
	ToldBy   int          `json:"told_by"`
	Marks    int          `json:"marks"`
	Of       int          `json:"of"`
	PerCent  int          `json:"per_cent"`
}

// mistakenJSON is how often a hidden cause was taken for another.
type mistakenJSON struct {
	Hidden cause.Kind `json:"hidden"`
	Given  cause.Kind `json:"given"`
	Times  int        `json:"times"`
}

// perCent is a share of marks in whole per cent; exercises differ in how many can be had.
func perCent(of, all int) int { return int(math.Round(100 * float64(of) / float64(max(all, 1)))) }

// Marked makes each exercise once and judges the answers; rows that could not be read are listed with what is wrong.
func Marked(all []answerLine, bad document.Faults) (show.Report, error) {
	type solved struct {
		x *Assignment
		a exercise.Answer
	}
	known := map[exercise.Number]solved{}
	j := marksJSON{Format: 1, Mistaken: []mistakenJSON{}, Unmarked: []string{}}
	t := show.Table{Name: "marks", Columns: []show.Column{{Head: "name", Key: "name", Left: true},
		{Head: "exercise", Key: "exercise", Left: true}, {Head: "answered", Key: "given", Left: true, Words: true},
		{Head: "hidden", Key: "hidden", Left: true},
		{Head: "cause", Key: "cause", Spare: true}, {Head: "strength", Key: "strength", Spare: true},
		{Head: "told by", Key: "told_by", Spare: true},
		{Head: "marks", Key: "marks"}, {Head: "of", Key: "of"}, {Head: "%", Key: "per_cent"}}}
	sum, of := 0, 0
	for _, g := range all {
		s, ok := known[g.Number]
		if !ok {
			x, err := NewAssignment(g.Number)
			if err != nil {
				return show.Report{}, err
			}
			a, err := x.Answer()
			if err != nil {
				return show.Report{}, err
			}
			s = solved{x, a}
			known[g.Number] = s
		}
		g.Given.Times = s.x.times(g, s.a)
		m := s.a.Mark(g.Given)
		sum, of = sum+m.Total(), of+m.Of
		var hidden []cause.Kind
		for _, h := range s.a.Hidden {
			hidden = append(hidden, h.Kind)
		}
		j.Marks = append(j.Marks, markJSON{g.name, g.Number.String(), g.Given.Causes, hidden, m.Cause, m.Strength,
			m.Telling, m.Total(), m.Of, perCent(m.Total(), m.Of)})
		words := func(of []cause.Kind) string {
			var out []string
			for _, k := range of {
				out = append(out, string(k))
			}
			return strings.Join(out, " + ")
		}
		number := func(n int) show.Cell { return show.Cell{Text: strconv.Itoa(n), Value: n} }
		t.Rows = append(t.Rows, []show.Cell{{Text: g.name, Value: g.name},
			{Text: g.Number.String(), Value: g.Number.String()},
			{Text: words(g.Given.Causes), Value: words(g.Given.Causes)}, {Text: words(hidden), Value: words(hidden)},
			number(m.Cause), number(m.Strength), number(m.Telling), number(m.Total()), number(m.Of),
			number(perCent(m.Total(), m.Of))})
		for _, h := range m.Missed {
			for _, w := range m.Wrong {
				if w == exercise.CannotTell {
					continue
				}
				i := slices.IndexFunc(j.Mistaken, func(x mistakenJSON) bool { return x.Hidden == h && x.Given == w })
				if i < 0 {
					i = len(j.Mistaken)
					j.Mistaken = append(j.Mistaken, mistakenJSON{Hidden: h, Given: w})
				}
				j.Mistaken[i].Times++
			}
		}
	}
	slices.SortStableFunc(j.Mistaken, func(a, b mistakenJSON) int { return b.Times - a.Times })
	remarks := []string{"A cause that is there counts 2, a wrong one beside it takes 1 away; a strength within a " +
		"third or so counts 1, and so does the cut or reading that tells. Where the readings decide nothing, " +
		"cannot-tell is as right as the cause; its strength then counts for nothing."}
	for i, m := range j.Mistaken {
		const most = 3
		if i == most {
			break
		}
		remarks = append(remarks, fmt.Sprintf("%s was taken for %s %s. What tells them apart: %s",
			word.Upper(string(m.Hidden)), m.Given, word.Count(m.Times, "time"), signs[m.Hidden]))
	}
	r := show.Report{Answer: []string{fmt.Sprintf("%s marked: %d of %d marks, %d %%.",
		word.Upper(word.Count(len(all), "answer")), sum, of, perCent(sum, of))}, Tables: []show.Table{t},
		Remarks: remarks}
	for _, f := range bad {
		j.Unmarked = append(j.Unmarked, f.Error())
		r.Warnings = append(r.Warnings, "not marked: "+f.Error())
	}
	r.JSON = j
	return r, nil
}

// times is how many times the hidden strength each answered one is, as the sheet asks for it.
func (x *Assignment) times(g answerLine, a exercise.Answer) []float64 {
	out := make([]float64, len(g.Sizes))
	for i, v := range g.Sizes {
		at := slices.IndexFunc(a.Hidden, func(h exercise.HiddenCause) bool { return h.Kind == g.Given.Causes[i] })
		if at < 0 || math.IsNaN(v) {
			continue
		}
		s := x.hiddenStrength(a.Hidden[at])
		asked := s.Value // in what the sheet asks for
		switch a.Hidden[at].Kind {
		case cause.WornOn:
			asked *= 100
		case cause.Twist:
		default:
			asked = x.In.Small().From(x.In.ToMM(s.Value))
		}
		out[i] = math.Abs(v / asked)
	}
	return out
}
