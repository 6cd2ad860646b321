// Package entry writes one survey into its profile while it is being taken, answer by answer.
//
// A survey under way is a [[survey]] like any other in the profile's own text, with keys more: unfinished, the stations
// that are still to be read; stations, those that were asked for; left_out, which of its keys were answered with
// nothing; again, which row is measured again. [Begin] makes one, [Find] finds it again, and every step of an [Entry]
// (a reading, a station left out, the way back, …) returns the text of the whole file after it, so that whoever writes
// that text before he asks for the next reading loses nothing, whenever he is stopped. Comments, order and spacing of
// the file stay. The package reads and writes no files.
package entry

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/profile/document"
	"wornway/profile/length"
	"wornway/profile/survey"
)

// Station is where a reading is taken, in the file's unit: a position, or for a level along a way the positions of its
// two feet.
type Station []float64

// same says whether two stations are the same place.
func (s Station) same(as Station) bool {
	const near = 1e-9
	return slices.EqualFunc(s, as, func(a, b float64) bool { return math.Abs(a-b) < near*math.Max(1, math.Abs(a)) })
}

// Row is a row of readings as it stands in the file.
type Row struct {
	At Station
	// by column, as TOML has them, those of the position left out; "" (two quotes) where nothing was read
	Cells map[string]string
}

// Entry is a survey under way.
type Entry struct {
	Method  survey.Method
	Number  int // among the file's [[survey]], from 1
	Started bool
	Columns []string
	Rows    []Row
	Left    []Station // still to be read, the next one first

	asked   []Station // all that were asked for, in their order; nil where the file does not say
	leftOut []string  // keys that were answered with nothing
	again   int       // the row that is measured again at the first station of Left, from 1; 0: none

	doc   *document.Document
	table *document.Table
	unit  length.Unit
}

// empty is a cell in which nothing was read.
const empty = `""`

// The keys that a survey has only while it is under way.
const (
	unfinished = "unfinished"
	asked      = "stations"
	leftOut    = "left_out"
	again      = "again"
)

// Find finds the survey of a method that is under way in a profile's text, of several the last; nil where there is
// none. The text is one that was read as a profile.
func Find(text []byte, m survey.Method) (*Entry, error) {
	doc, err := document.Parse("", text)
	if err != nil {
		return nil, err
	}
	tables, _ := doc.Root().Tables("survey", math.MaxInt)
	for i, t := range slices.Backward(tables) {
		if v, ok := t.Text("method"); !ok || v.V != m.Name || !t.Has(unfinished) {
			continue
		}
		e := &Entry{Method: m, Number: i + 1, doc: doc, table: t}
		if v, ok := doc.Root().Text("unit"); ok && v.V == "in" {
			e.unit = length.Inch
		}
		if err := e.read(); err != nil {
			return nil, err
		}
		return e, nil
	}
	return nil, nil
}

// read reads what has been written down so far.
func (e *Entry) read() error {
	if e.table.Has("file") {
		return errors.New("the rows of a survey under way stand in the profile itself, not in a CSV file")
	}
	e.Left, e.asked = e.stations(unfinished), e.stations(asked)
	if v, ok := e.table.Texts(leftOut); ok {
		e.leftOut = v.V
	}
	if e.table.Has(again) {
		n, _ := e.table.Number(again)
		e.again = int(n.V)
	}
	columns, ok := e.table.Texts("columns")
	if !ok || !e.table.Has("rows") {
		return nil
	}
	e.Started, e.Columns = true, columns.V
	opts := document.RowOptions{Columns: e.Columns, Text: map[string]bool{}, Optional: map[string]bool{}}
	for _, c := range e.Method.Words {
		opts.Text[c] = true
	}
	for _, c := range e.Method.Also {
		opts.Optional[c] = true
	}
	rows, ok := e.table.Rows("rows", opts)
	if !ok {
		return errors.New("its rows cannot be read")
	}
	for i := range rows.Len() {
		r := Row{Cells: map[string]string{}}
		for _, c := range e.places() {
			if k := rows.Column(c); k >= 0 {
				r.At = append(r.At, rows.Number(i, k))
			}
		}
		for k, c := range e.Columns {
			switch {
			case slices.Contains(e.places(), c):
			case rows.Absent(i, k):
				r.Cells[c] = empty
			case rows.IsText(i, k):
				r.Cells[c] = document.Quote(rows.Text(i, k))
			default:
				r.Cells[c] = Decimal(rows.Number(i, k))
			}
		}
		e.Rows = append(e.Rows, r)
	}
	return nil
}

// stations reads a list of stations; nil where there is none.
func (e *Entry) stations(key string) []Station {
	var out []Station
	switch {
	case !e.table.Has(key):
	case e.Method.Stretches():
		pairs, _ := e.table.Pairs(key)
		for _, p := range pairs {
			out = append(out, Station{p.V[0], p.V[1]})
		}
	default:
		v, _ := e.table.Numbers(key)
		for _, z := range v.V {
			out = append(out, Station{z})
		}
	}
	return out
}

// places names the columns that say where a reading was taken.
func (e *Entry) places() []string {
	if e.Method.Stretches() {
		return []string{"from", "to"}
	}
	return []string{"position"}
}

// Begin adds a new survey of a method to the text of a profile: the first key of it, and that it is unfinished.
func Begin(text []byte, m survey.Method, key, value string) ([]byte, error) {
	doc, err := document.Parse("", text)
	if err != nil {
		return nil, err
	}
	return doc.AppendTable(fmt.Sprintf("[[survey]]\nmethod = %s\nunfinished = []   # stations still to be read; "+
		"wornway record takes this line away\n%s = %s\n",
		document.Quote(m.Name), key, value))
}

// BeginWithout is Begin where the first key is answered with nothing.
func BeginWithout(text []byte, m survey.Method, key string) ([]byte, error) {
	return Begin(text, m, leftOut, "["+document.Quote(key)+"]")
}

// path names a key of the survey.
func (e *Entry) path(key string) string { return fmt.Sprintf("survey[%d].%s", e.Number, key) }

// Has says whether the survey has a key.
func (e *Entry) Has(key string) bool { return e.table.Has(key) }

// Word returns what a key says that holds text; empty where it does not.
func (e *Entry) Word(key string) string {
	if v, ok := e.table.Scalar(key); ok {
		if s, is := v.V.(string); is {
			return s
		}
		return v.Raw
	}
	return ""
}

// Numbers returns what a key says that holds a list of numbers; nil where it does not.
func (e *Entry) Numbers(key string) []float64 {
	if !e.table.Has(key) {
		return nil
	}
	v, _ := e.table.Numbers(key)
	return v.V
}

// Set writes a key.
func (e *Entry) Set(key, value string) ([]byte, error) { return e.doc.Set(e.path(key), value) }

// LeaveOut writes down that a key was answered with nothing, so that nobody asks for it again.
func (e *Entry) LeaveOut(key string) ([]byte, error) {
	if len(e.leftOut) == 0 {
		return e.Set(leftOut, "["+document.Quote(key)+"]")
	}
	return e.doc.Append(e.path(leftOut), document.Quote(key))
}

// Answered says whether a key has been asked for and answered, be it with nothing.
func (e *Entry) Answered(key string) bool { return e.Has(key) || slices.Contains(e.leftOut, key) }

// Start writes down which stations are to be read and which columns their rows will have.
func (e *Entry) Start(columns []string, stations []Station) ([]byte, error) {
	var names []string
	for _, c := range columns {
		names = append(names, document.Quote(c))
	}
	end := "\n"
	if strings.Contains(string(e.doc.Bytes()), "\r\n") {
		end = "\r\n"
	}
	return e.steps(append(e.without(leftOut),
		func(d *document.Document) ([]byte, error) {
			return d.Set(e.path("columns"), "["+strings.Join(names, ", ")+"]")
		},
		e.list(asked, stations),
		func(d *document.Document) ([]byte, error) { return d.Set(e.path("rows"), "["+end+"]") },
		e.leave(stations),
	)...)
}

// AskedFor says whether the survey is over just these stations, whichever of them have been read or left out.
func (e *Entry) AskedFor(stations []Station) bool {
	return slices.EqualFunc(e.asked, stations, Station.same)
}

// AskFor writes down that these stations are asked for in place of those before. What has been read counts: such a
// station is to be read again only where it is asked for once more than it was read.
func (e *Entry) AskFor(stations []Station) ([]byte, error) {
	left := slices.Clone(stations)
	for _, r := range e.Rows {
		if i := slices.IndexFunc(left, r.At.same); i >= 0 {
			left = slices.Delete(left, i, i+1)
		}
	}
	return e.steps(append(e.without(again), e.list(asked, stations), e.leave(left))...)
}

func (e *Entry) leave(stations []Station) change {
	return e.list(unfinished, stations)
}

// without takes a key out where it is there.
func (e *Entry) without(key string) []change {
	if !e.table.Has(key) {
		return nil
	}
	return []change{
		func(d *document.Document) ([]byte, error) { return d.Remove(e.path(key)) }}
}

// list writes stations down under a key.
func (e *Entry) list(key string, stations []Station) change {
	text := listed(stations)
	return func(d *document.Document) ([]byte, error) { return d.Set(e.path(key), text) }
}

// listed writes stations as TOML has them.
func listed(stations []Station) string {
	var all []string
	for _, s := range stations {
		text := places(s)
		if len(s) > 1 {
			text = "[" + text + "]"
		}
		all = append(all, text)
	}
	return "[" + strings.Join(all, ", ") + "]"
}

// change is one change of the text.
type change = func(*document.Document) ([]byte, error)

// steps makes several changes one after the other.
func (e *Entry) steps(all ...change) ([]byte, error) {
	doc := e.doc
	text := doc.Bytes()
	for _, f := range all {
		var err error
		if text, err = f(doc); err != nil {
			return nil, err
		}
		if doc, err = document.Parse("", text); err != nil {
			return nil, err
		}
	}
	return text, nil
}

// places writes the positions of a station.
func places(s Station) string {
	var out []string
	for _, z := range s {
		out = append(out, Decimal(z))
	}
	return strings.Join(out, ", ")
}
