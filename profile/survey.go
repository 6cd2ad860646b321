package profile

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"wornway/profile/bed"
	"wornway/profile/document"
	"wornway/profile/form"
	"wornway/profile/survey"
)

// Survey is one set of readings as taken.
type Survey struct {
	Method string
	Date   time.Time // zero: not given
	File   string    // the CSV file, empty for rows in the profile itself
	Set    survey.Set

	Number     int  // among the file's [[survey]], from 1
	Unfinished bool // it is still being written down
}

// survey reads one [[survey]]: what it is, when it was made and its readings as equations.
func (r *reader) survey(t *document.Table, number int) {
	var names []string
	for _, m := range survey.Methods() {
		names = append(names, m.Name)
	}
	name, ok := r.Choice(t, "method", names...)
	if !ok {
		if !t.Has("method") {
			t.Missing("method", "one of "+form.OneOf(names))
		}
		for _, k := range t.Keys() { // what else it may say depends on the method
			t.Has(k)
		}
		return
	}
	m, _ := survey.Find(name)
	s := Survey{Method: name, Number: number, Unfinished: r.unfinished(t, m)}
	if s.Unfinished && !t.Has("rows") && !t.Has("file") { // begun, and no reading yet
		for _, k := range t.Keys() {
			t.Has(k)
		}
		return
	}
	if v, ok := t.Date("date"); ok {
		s.Date = v.V
	}
	columns, ok := t.Texts("columns")
	if t.Has("columns") && (!ok || !r.surveyColumns(t, m, columns.V)) {
		for _, k := range t.Keys() { // without columns the rest cannot be read
			t.Has(k)
		}
		return
	}
	var reading *survey.Reading
	sound := true
	rows, file, ok := r.rows(t, columns.V, m.Columns, m.Words, m.Also, func(rows *document.Rows) {
		if reading == nil && sound {
			if sound = columns.V != nil || r.surveyColumns(t, m, rows.Columns); sound {
				reading = survey.Begin(m, r.keys(t), rows.Columns)
			}
		}
		if sound && r.surveyPositions(rows) {
			reading.Add(rows, r.Doc.Add)
		}
	})
	// no row could be read; the keys can
	if !ok && reading == nil && sound && rows != nil && rows.Columns != nil && r.surveyColumns(t, m, rows.Columns) {
		reading = survey.Begin(m, r.keys(t), rows.Columns)
	}
	if !ok && reading != nil {
		return
	}
	if !ok || reading == nil {
		for _, k := range t.Keys() {
			t.Has(k)
		}
		if ok && sound && rows.Len() == 0 && !s.Unfinished {
			t.Fault("rows", "give a row for each reading", "there are no readings")
		}
		return
	}
	s.File = file
	s.Set = reading.Set()
	r.held(t, s.Set)
	r.profile.Surveys = append(r.profile.Surveys, s)
}

// held says what cannot be of how a test cut was held.
func (r *reader) held(t *document.Table, s survey.Set) {
	c, ok := s.Cut()
	if !ok || len(c.Positions) < 2 { // one says nothing yet
		return
	}
	first, last := c.Range()
	const near = 0.1 // mm: what rounding may make
	if c.HeldAt > first+near {
		t.Fault("held_at", "it is where the jaws end, and collars lie beyond", "the first collar lies before it")
	}
	switch {
	case math.IsNaN(c.CentreAt):
	case !c.Held.Tailed():
		t.Fault("centre_at", `write held = "chuck-and-centre", or leave it out`, "no centre carries work that a chuck "+
			"holds alone")
	case c.CentreAt < last-near:
		t.Fault("centre_at", "it is where the point of the tailstock's centre stood, and collars lie before it",
			"the last collar lies beyond it")
	}
}

// unfinished says whether a survey is still being written down: it then has the key unfinished, with the stations that
// are still to be read. The other keys of that time mean nothing without it: whoever ends a survey by hand may leave
// them.
func (r *reader) unfinished(t *document.Table, m survey.Method) bool {
	if t.Has("left_out") {
		t.Texts("left_out")
	}
	if t.Has("again") {
		t.Number("again")
	}
	stations(t, m, "stations")
	if !t.Has("unfinished") {
		return false
	}
	for _, z := range stations(t, m, "unfinished") {
		if ways := r.profile.Lathe.Ways; ways != (Range{}) && !ways.holds(r.Unit.ToMM(z)) {
			t.Fault("unfinished", "take the position out: these are the stations still to be read",
				"%v lies outside lathe.bed", z)
			break
		}
	}
	r.Warn(t, "unfinished", fmt.Sprintf("go on with it: wornway record %s --method %s", typed(r.profile.File), m.Name),
		"this survey is not finished")
	return true
}

// stations returns the positions in a list of stations; none where there is no such key.
func stations(t *document.Table, m survey.Method, key string) []float64 {
	if !t.Has(key) {
		return nil
	}
	if !m.Stretches() {
		v, _ := t.Numbers(key)
		return v.V
	}
	var out []float64
	pairs, _ := t.Pairs(key)
	for _, p := range pairs {
		out = append(out, p.V[0], p.V[1])
	}
	return out
}

// typed is a file's name as it can be typed into a command; PROFILE where that is none.
func typed(file string) string {
	if file == "" || strings.ContainsAny(file, " \t\"'") {
		return "PROFILE"
	}
	return file
}

// keys is what a survey reads its keys through.
func (r *reader) keys(t *document.Table) survey.Keys {
	l := r.profile.Lathe
	k := survey.Keys{Machine: survey.Machine{Lathe: l.Bed, Unit: r.Unit, Ways: [2]float64{l.Ways.From, l.Ways.To}},
		Table: t}
	if l.Holding != nil {
		k.Turning = l.Holding.ChuckTurning
	}
	if s := l.Tailstock; s != nil {
		k.Base = &bed.Base{FrontSetback: s.FrontSetback, RearSetback: s.RearSetback, Length: s.BaseLength}
	}
	k.Warn = func(key, hint, format string, args ...any) { r.Warn(t, key, hint, format, args...) }
	return k
}

func (r *reader) surveyColumns(t *document.Table, m survey.Method, columns []string) bool {
	key := "columns"
	if !t.Has(key) {
		key = "file"
	}
	hint := fmt.Sprintf("the columns of %s are %s", m.Name, strings.Join(m.Known(), ", "))
	good := true
	for i, c := range columns {
		if !slices.Contains(m.Known(), c) {
			t.Fault(key, hint, "there is no column %q", c)
			good = false
		}
		if slices.Contains(columns[:i], c) {
			t.Fault(key, "leave one of them out", "column %q stands twice", c)
			good = false
		}
	}
	for _, c := range m.Columns {
		if !slices.Contains(columns, c) {
			t.Fault(key, hint, "column %q is missing", c)
			good = false
		}
	}
	return good
}

// surveyPositions checks that readings were taken on the bed.
func (r *reader) surveyPositions(rows *document.Rows) bool {
	ways := r.profile.Lathe.Ways
	if ways == (Range{}) {
		return false // a fault already
	}
	const most = 20
	bad := 0
	for _, name := range []string{"position", "from", "to"} {
		c := rows.Column(name)
		if c < 0 {
			continue
		}
		for i := range rows.Len() {
			if p := rows.Number(i, c); !ways.holds(r.Unit.ToMM(p)) {
				if bad++; bad <= most {
					r.Doc.Add(rows.Fault(i, c, fmt.Sprintf("%v lies outside lathe.bed", p),
						"make lathe.bed longer, or correct the position"))
				}
			}
		}
	}
	if bad > most {
		r.Doc.Add(document.Fault{File: rows.File, Key: rows.Key,
			Message: fmt.Sprintf("and %d more faults like these", bad-most), Hint: document.MoreHint})
	}
	return bad == 0
}
