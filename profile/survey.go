package profile

import (
	"fmt"
	"maps"
	"slices"

	"wornway/profile/document"
)

// method says what a survey of one method is written with.
type method struct {
	columns []string // in each row, besides what any survey may have
	text    []string // those of them that hold words
	texts   []string // keys with text
	numbers []string // keys with numbers
	flags   []string // keys with true or false
}

// methods are the ways of surveying a bed that the file format knows, by name.
var methods = map[string]method{
	"stated":              {columns: []string{"position", "front", "rear", "shift", "outer", "inner"}},
	"carriage-indicator":  {columns: []string{"position", "reading"}, texts: []string{"touch"}, numbers: []string{"tip_offset"}},
	"tailstock-indicator": {columns: []string{"position", "reading"}, texts: []string{"touch", "plunger"}, numbers: []string{"tip_offset"}},
	"straightedge":        {columns: []string{"position", "goes", "stops"}, texts: []string{"on"}, numbers: []string{"edge_error"}},
	"light-gap":           {columns: []string{"position", "light"}, text: []string{"light"}, texts: []string{"on"}, numbers: []string{"edge_error"}},
	"way-micrometer":      {columns: []string{"position", "reading"}, texts: []string{"on"}},
	"carriage-lock":       {columns: []string{"position", "feel"}, numbers: []string{"tightened_at"}},
	"level-along":         {columns: []string{"from", "to", "reading"}, texts: []string{"on"}},
	"level-across":        {columns: []string{"position", "reading"}},
	"saddle-level":        {columns: []string{"position", "reading"}},
	"bar-side":            {columns: []string{"position", "reading"}, texts: []string{"held"}, numbers: []string{"tip_offset"}, flags: []string{"turned"}},
	"bar-top": {columns: []string{"position", "reading"}, texts: []string{"held"},
		numbers: []string{"tip_offset", "bar_diameter", "bar_overhang"}, flags: []string{"turned"}},
	"test-cut": {columns: []string{"position", "diameter"}, texts: []string{"held"}, numbers: []string{"held_at", "depth", "feed"}},
}

// survey reads one [[survey]]: what it is, when it was made and its readings.
func (r *reader) survey(t *document.Table) {
	var s Survey
	names := slices.Sorted(maps.Keys(methods))
	var ok bool
	if s.Method, ok = r.choice(t, "method", names...); !ok {
		if !t.Has("method") {
			t.Missing("method", "one of "+oneOf(names))
		}
		for _, k := range t.Keys() { // what else it may say depends on the method
			t.Has(k)
		}
		return
	}
	m := methods[s.Method]
	if v, ok := t.Date("date"); ok {
		s.Date = v.V
	}
	r.surveyKeys(t, m)
	columns, ok := t.Texts("columns")
	if t.Has("columns") && (!ok || !r.surveyColumns(t, s.Method, m, columns.V)) {
		t.Has("rows")
		t.Has("file")
		return
	}
	if ok {
		s.Columns = columns.V
	}
	if s.Rows, s.File, ok = r.rows(t, s.Columns, m.text...); !ok {
		return
	}
	if s.Columns == nil {
		s.Columns = s.Rows.Columns
		if !r.surveyColumns(t, s.Method, m, s.Columns) {
			return
		}
	}
	r.profile.Surveys = append(r.profile.Surveys, s)
}

// surveyKeys checks the types of the keys that belong to the method and makes them known.
func (r *reader) surveyKeys(t *document.Table, m method) {
	r.choice(t, "reading_unit", "in", "thou", "mm", "um")
	r.number(t, "uncertainty", limit{atLeast: zero})
	t.Scalar("per_division")
	for _, k := range m.texts {
		t.Text(k)
	}
	for _, k := range m.numbers {
		t.Number(k)
	}
	for _, k := range m.flags {
		t.Bool(k)
	}
	if slices.Contains(m.texts, "on") {
		t.Numbers("contacts")
	}
}

func (r *reader) surveyColumns(t *document.Table, name string, m method, columns []string) bool {
	key := "columns"
	if !t.Has(key) {
		key = "file"
	}
	known := append(slices.Clone(m.columns), "back", "reference")
	good := true
	for i, c := range columns {
		if !slices.Contains(known, c) {
			t.Fault(key, fmt.Sprintf("the columns of %s are %s", name, oneOf(known)), "there is no column %q", c)
			good = false
		}
		if slices.Contains(columns[:i], c) {
			t.Fault(key, "leave one of them out", "column %q stands twice", c)
			good = false
		}
	}
	if name == "stated" {
		return good
	}
	for _, c := range m.columns {
		if !slices.Contains(columns, c) {
			t.Fault(key, fmt.Sprintf("the columns of %s are %s", name, oneOf(known)), "column %q is missing", c)
			good = false
		}
	}
	return good
}
