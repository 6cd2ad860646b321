package entry

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"wornway/profile/document"
	"wornway/profile/length"
	"wornway/profile/survey"
)

// Words are the answers that are no readings.
var Words = []string{"same", "again", "skip", "return", "undo", "zero", "done", "stop", "help"}

// moved are other ways to say zero.
var moved = []string{"the zero has moved", "zero has moved", "the zero moved", "zero moved", "knocked", "new zero"}

// Answer is what was said at a station.
type Answer struct {
	Word  string            // one of Words; empty for a reading
	Cells map[string]string // of a reading, by column, as TOML
}

// Wanted returns the columns that a reading at the next station fills, in the order in which they are said.
func (e *Entry) Wanted() []string {
	if e.Returning() {
		return []string{back}
	}
	var out []string
	for _, c := range e.Columns {
		if !slices.Contains(e.places(), c) {
			out = append(out, c)
		}
	}
	return out
}

// Unit names what plain numbers of the survey's readings are in: in, thou, mm, um, divisions, or nothing where they
// have no unit.
func (e *Entry) Unit() string {
	switch {
	case e.Method.Level:
		return "divisions"
	case slices.Contains(e.Method.Columns, "feel"), slices.Contains(e.Method.Columns, "light"):
		return ""
	}
	return e.readingUnit().String()
}

func (e *Entry) readingUnit() length.Unit {
	if v, ok := e.table.Text("reading_unit"); ok {
		if u, err := length.ParseUnit(v.V); err == nil {
			return u
		}
	}
	return e.unit
}

// Parse reads an answer. The word same becomes the reading that was taken last.
func (e *Entry) Parse(text string) (Answer, error) {
	text = strings.ToLower(strings.TrimSpace(text))
	if slices.Contains(moved, strings.Trim(text, ".! ")) {
		text = "zero"
	}
	if slices.Contains(Words, text) {
		if text == "same" {
			return e.sameAgain()
		}
		return Answer{Word: text}, nil
	}
	wanted := e.Wanted()
	parts := []string{text}
	if len(wanted) > 1 {
		parts = Split(text)
	}
	if len(parts) != len(wanted) {
		if len(parts) == len(wanted)-1 && e.Method.Name == "stated" {
			parts = append(parts, "0")
		} else {
			return Answer{}, fmt.Errorf("%d numbers are needed: %s", len(wanted), strings.Join(wanted, ", "))
		}
	}
	a := Answer{Cells: map[string]string{}}
	for i, c := range wanted {
		cell, err := e.cell(c, parts[i])
		if err != nil {
			return Answer{}, err
		}
		a.Cells[c] = cell
	}
	return a, nil
}

// sameAgain is the reading that was taken last, once more.
func (e *Entry) sameAgain() (Answer, error) {
	i := e.Last()
	if i < 0 && !e.Returning() {
		return Answer{}, errors.New("there is no reading before it that it could be the same as")
	}
	a := Answer{Cells: map[string]string{}}
	if !e.Returning() {
		for _, c := range e.Wanted() {
			a.Cells[c] = e.Rows[i].Cells[c]
		}
		return a, nil
	}
	if i >= 0 {
		a.Cells[back] = e.Rows[i].Cells[back]
	} else {
		a.Cells[back] = e.Rows[len(e.Rows)-1].Cells["reading"]
	}
	return a, nil
}

// words that are said for the numbers of the carriage lock's feel, and those for the light under an edge.
var (
	feels  = map[string]string{"free": "0", "drags": "1", "tight": "2", "will not move": "3", "stuck": "3"}
	lights = map[string]string{"n": "none", "s": "some", "w": "wide", "none": "none", "some": "some", "wide": "wide"}
)

// cell reads one entry of an answer.
func (e *Entry) cell(column, text string) (string, error) {
	switch column {
	case "light":
		if word := lights[strings.Trim(text, `"`)]; word != "" {
			return document.Quote(word), nil
		}
		return "", unknown(text, "none, some or wide")
	case "feel":
		if n := feels[text]; n != "" {
			return n, nil
		}
		if len(text) == 1 && text >= "0" && text <= "3" {
			return text, nil
		}
		return "", unknown(text, "0 free, 1 drags, 2 tight or 3 will not move")
	}
	if text == "" || strings.Trim(text, "abcdefghijklmnopqrstuvwxyz? ") == "" {
		return "", unknown(text, "a reading")
	}
	if e.Method.Level {
		if l, err := length.Parse(text); err == nil && l.HasUnit {
			return "", fmt.Errorf("a level is read in divisions: give their number alone, without %s", l.Unit)
		}
		for _, name := range []string{"divisions", "division", "divs", "div", "d"} {
			if number, ok := strings.CutSuffix(text, name); ok {
				text = strings.TrimSpace(number)
				break
			}
		}
		return Bare(text)
	}
	return Number(text, e.readingUnit())
}

// Echo is how an answer of one number was understood, where it was not typed as it will be written: a fraction, a
// comma, another unit. It is empty otherwise.
func (a Answer) Echo(typed string) string {
	if a.Word != "" || len(a.Cells) != 1 {
		return ""
	}
	for _, cell := range a.Cells {
		return Echo(typed, cell)
	}
	return ""
}

// Echo is the number that was read, cell, as it is shown where it was not typed like that; otherwise it is empty. Of a
// list of two numbers it is both, with "to" between.
func Echo(typed, cell string) string {
	if from, to, pair := strings.Cut(strings.Trim(cell, "[]"), ", "); pair {
		parts := Split(strings.Trim(typed, "[]"))
		if len(parts) == 2 && Echo(parts[0], from) == "" && Echo(parts[1], to) == "" {
			return ""
		}
		return shown(from) + " to " + shown(to)
	}
	is, err := strconv.ParseFloat(cell, 64)
	if err != nil || !strings.ContainsAny(typed, "0123456789") {
		return ""
	}
	if was, err := strconv.ParseFloat(strings.TrimSpace(typed), 64); err == nil && was == is {
		return ""
	}
	return shown(cell)
}

// shown is a number to seven figures: finer than anything is read, and no more than a person takes in.
func shown(cell string) string {
	is, err := strconv.ParseFloat(cell, 64)
	if err == nil {
		is, err = strconv.ParseFloat(strconv.FormatFloat(is, 'e', 6, 64), 64)
	}
	if err != nil {
		return ""
	}
	return strings.TrimSuffix(Decimal(is), ".0")
}

// Bare turns a number without a unit, alone in its answer, into TOML.
func Bare(text string) (string, error) {
	text, err := length.Decimal(exactly(text))
	if err != nil {
		return "", err
	}
	v, err := length.ParseNumber(text)
	return Decimal(v), err
}

func unknown(text, want string) error {
	if text == "" {
		return errors.New("give " + want + ", or one of " + strings.Join(Words, ", "))
	}
	if i := slices.IndexFunc(Words, func(w string) bool { return sorted(w) == sorted(text) }); i >= 0 {
		return fmt.Errorf("%q is not understood: answer %s if that is what you mean", text, Words[i])
	}
	return fmt.Errorf("%q is not understood: give %s, or one of %s", clip(text), want, strings.Join(Words, ", "))
}

// sorted are a word's letters in the alphabet's order, the same for a word with two of them changed over.
func sorted(word string) string {
	b := []byte(word)
	slices.Sort(b)
	return string(b)
}

func clip(s string) string {
	if r := []rune(s); len(r) > 30 {
		return string(r[:30]) + "…"
	}
	return s
}

// Split takes a line of several numbers apart; a unit that stands alone belongs to the number before it, and so does a
// fraction that follows a whole number. Commas part them only where nothing else does.
func Split(s string) []string {
	parts := strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '\t' || r == ';' })
	if len(parts) == 1 {
		parts = strings.FieldsFunc(s, func(r rune) bool { return r == ',' })
	}
	var out []string
	for _, p := range parts {
		p = strings.TrimPrefix(strings.Trim(p, ","), "~")
		if slices.Contains(roughly, strings.ToLower(p)) {
			continue
		}
		switch _, err := length.ParseUnit(p); {
		case p == "":
		case err == nil && len(out) > 0:
			out[len(out)-1] += p
		case len(out) > 0 && strings.Contains(p, "/") && whole(out[len(out)-1]):
			out[len(out)-1] += " " + p
		default:
			out = append(out, p)
		}
	}
	return out
}

// roughly are words before a number that do not change it.
var roughly = []string{"about", "approx", "approx.", "approximately", "roughly", "around", "ca", "ca.", "~"}

// exactly is a number without such a word before it.
func exactly(s string) string {
	s = strings.TrimPrefix(strings.TrimSpace(s), "~")
	if first, rest, found := strings.Cut(s, " "); found && slices.Contains(roughly, strings.ToLower(first)) {
		s = rest
	}
	return strings.TrimSpace(s)
}

// Coarse refuses a position or distance along the bed in a unit that nobody counts one in.
func Coarse(l length.Length, text string) error {
	if l.HasUnit && (l.Unit == length.Thou || l.Unit == length.Micrometre) {
		return fmt.Errorf("%s: nobody measures along the bed in %s: give it in inches or millimetres",
			clip(strings.TrimSpace(text)), l.Unit)
	}
	return nil
}

// whole says whether a text is a whole number.
func whole(s string) bool {
	s = strings.TrimLeft(s, "+-")
	return s != "" && strings.Trim(s, "0123456789") == ""
}

// Number turns a number that is alone in its answer, with or without a unit, into one in the given unit. It may have a
// decimal comma.
func Number(s string, unit length.Unit) (string, error) {
	s, err := length.Decimal(exactly(s))
	if err != nil {
		return "", err
	}
	return Member(s, unit)
}

// Member is Number for one of several numbers, which commas may part.
func Member(s string, unit length.Unit) (string, error) {
	l, err := length.Parse(s)
	if err != nil {
		return "", err
	}
	if !l.HasUnit {
		return Decimal(l.Number), nil
	}
	// Twelve figures: what is left of the way through another unit is not what anybody read.
	v, err := strconv.ParseFloat(strconv.FormatFloat(unit.From(l.MM(unit)), 'g', 12, 64), 64)
	return Decimal(v), err
}

// Distance is Number for a position or distance along the bed.
func Distance(s string, unit length.Unit) (string, error) {
	if l, err := length.Parse(exactly(s)); err == nil {
		if err := Coarse(l, s); err != nil {
			return "", err
		}
	}
	return Number(s, unit)
}

// oneComma is what may be one number with a decimal comma, or two whole ones.
var oneComma = regexp.MustCompile(`^[-+]?\d+,\d+$`)

// Ends takes the two ends of a stretch apart, as [length.Between] does or with a comma or a blank between them. What is
// no stretch has fewer parts, or more.
func Ends(s string) []string {
	if from, to, is := length.Between(s); is {
		return []string{from, to}
	}
	return Split(strings.Replace(strings.Trim(s, "[]"), " to ", " ", 1))
}

// Stretch turns two positions into a list of two numbers in the given unit; such is an example of what can be answered.
func Stretch(s, such string, unit length.Unit) (string, error) {
	if oneComma.MatchString(s) {
		return "", fmt.Errorf("%s may be one number with a decimal comma: write two positions with a blank between, "+
			"such as %s", s, such)
	}
	parts := Ends(s)
	if len(parts) != 2 || slices.ContainsFunc(parts, wordOnly) {
		return "", errors.New("two positions are needed, from and to, such as " + such)
	}
	for i, p := range parts {
		l, err := length.Parse(p)
		if err == nil {
			err = Coarse(l, p)
		}
		if err == nil {
			parts[i], err = Member(p, unit)
		}
		if err != nil {
			return "", err
		}
	}
	return "[" + strings.Join(parts, ", ") + "]", nil
}

// wordOnly says whether a part of an answer has no number in it, as under in: 8 in under.
func wordOnly(part string) bool { return !strings.ContainsAny(part, "0123456789½¼¾⅛⅜⅝⅞") }

// Decimal writes a number as TOML has it, with a decimal point.
func Decimal(v float64) string {
	text := strconv.FormatFloat(v+0, 'f', -1, 64)
	if !strings.Contains(text, ".") {
		text += ".0"
	}
	return text
}

// dates are the ways to write a day that can be read in one way only; 3/4/26 is not among them.
var dates = []string{time.DateOnly, "2006-1-2", "2006/1/2", "2 January 2006", "2 Jan 2006", "January 2 2006",
	"Jan 2 2006"}

// date reads a day as people write or say it; today is as TOML has it.
func date(text, today string) (string, error) {
	text = strings.Join(strings.Fields(strings.ReplaceAll(text, ",", " ")), " ")
	if now, err := time.Parse(time.DateOnly, today); err == nil {
		switch strings.ToLower(text) {
		case "today":
			return today, nil
		case "yesterday":
			return now.AddDate(0, 0, -1).Format(time.DateOnly), nil
		}
	}
	for _, form := range dates {
		if day, err := time.Parse(form, text); err == nil {
			return day.Format(time.DateOnly), nil
		}
	}
	if _, err := length.Parse(text); err == nil {
		return "", errors.New("this asks for the day; readings come later. Write year-month-day, such as 2026-03-14")
	}
	return "", errors.New("write year-month-day, such as 2026-03-14")
}

// Value turns the answer to a question into TOML, lengths in the file's unit; readings are in reading. It is empty
// where the key is to be left out.
func Value(q survey.Question, text string, file, reading length.Unit, level bool) (string, error) {
	text = strings.TrimSpace(text)
	if text == "" && q.Usual != "" {
		text = q.Usual
	}
	if text == "" {
		if q.Needed {
			return "", errors.New("this one is needed")
		}
		return "", nil
	}
	switch q.Kind {
	case survey.Word:
		word := strings.ToLower(strings.Trim(text, `"`))
		spelled := strings.ReplaceAll(strings.Join(strings.Fields(word), "-"), "center", "centre")
		for _, o := range q.Of {
			if o == word || o == spelled {
				return document.Quote(o), nil
			}
		}
		return "", fmt.Errorf("%q is not one of %s", clip(text), strings.Join(q.Of, ", "))
	case survey.Ends:
		return Stretch(text, "2 26", file)
	case survey.Slope:
		text, err := length.Decimal(text)
		if err != nil {
			return "", err
		}
		if _, err := length.ParseSlope(text); err != nil {
			return "", err
		}
		return document.Quote(text), nil
	case survey.YesNo:
		switch strings.ToLower(text) {
		case "y", "yes", "true":
			return "true", nil
		case "n", "no", "false":
			return "false", nil
		}
		return "", errors.New("please answer yes or no")
	case survey.Precision:
		if level {
			return Bare(text)
		}
		return Number(text, reading)
	case survey.Day:
		return date(text, q.Usual)
	}
	if q.Along {
		return Distance(text, file)
	}
	return Number(text, file)
}
