package document

import (
	"fmt"
	"slices"
	"strings"
)

// Table gives typed access to one table of the file: the root, [a.b], an element of [[a]], an inline table, or what
// dotted keys make.
//
// Every accessor marks its key as known. Where the key is absent an accessor returns false and nothing more: whether
// that is a fault is the caller's to say, with Missing. Where the value is of the wrong kind it notes a fault and
// returns false.
type Table struct {
	doc     *Document
	path    string
	at      int32 // the header's, the brace's or the first dotted key's offset
	form    form
	entries []*entry
	index   map[string]int
	known   map[string]bool
	opened  bool

	// For edits.
	isElement bool
	prefix    string   // dottedForm: the key up to and with the point, as first written
	ownEnd    int32    // end of the last value written under the table's own header, or of the header
	treeEnd   int32    // the same with all tables beneath it
	along     []*Table // the tables from the root to this one
}

// Value is a value with its place in the file.
type Value[T any] struct {
	V   T
	Pos Pos
	Raw string // as written in the file
}

// Has says whether the key is there, whatever its value is.
func (t *Table) Has(key string) bool {
	t.know(key)
	return t.has(key)
}

func (t *Table) has(key string) bool { return t.entry(key) != nil }

// Keys lists the table's keys in the order of the file. It marks none of them as known.
func (t *Table) Keys() []string {
	keys := make([]string, len(t.entries))
	for i, e := range t.entries {
		keys[i] = e.key
	}
	return keys
}

// Raw returns a key's value as it is written; empty where there is none, or where it is a table with a header.
func (t *Table) Raw(key string) string {
	e := t.entry(key)
	if e == nil || e.value.headed {
		return ""
	}
	return t.doc.raw(&e.value)
}

// Path names the table as it is named in faults: "lathe.saddle", "survey[2]" (counted from 1), "" for the root.
func (t *Table) Path() string { return t.path }

// Document is the file that the table stands in.
func (t *Table) Document() *Document { return t.doc }

// At is the position of the key's value; of the table itself where the key is "" or absent. A value that is a table
// stands at its header.
func (t *Table) At(key string) Pos {
	if e := t.entry(key); e != nil {
		return t.doc.pos(int(e.value.start))
	}
	return t.doc.pos(int(t.at))
}

// Table gives a table within this one, however it is written.
func (t *Table) Table(key string) (*Table, bool) {
	e := t.take(key)
	if e == nil {
		return nil, false
	}
	if e.value.kind != tableKind {
		hint := "write its keys under a header [" + join(t.header0(), key) + "]"
		if e.value.kind == arrayKind && e.value.headed {
			hint = "write the header with single brackets: [" + join(t.header0(), key) + "]"
		}
		t.wrong(key, &e.value, hint, "must be a table")
		return nil, false
	}
	e.value.table.opened = true
	return e.value.table, true
}

// Tables gives the elements of an array of tables, whether [[key]] blocks or inline tables. More than most of them are
// a fault, and then none is given.
func (t *Table) Tables(key string, most int) ([]*Table, bool) {
	e := t.take(key)
	if e == nil {
		return nil, false
	}
	hint := "begin each of them with the header [[" + join(t.header0(), key) + "]]"
	if e.value.kind != arrayKind {
		message := "must be a list of tables"
		if e.value.kind == tableKind {
			message = "there may be several of these"
		}
		t.wrong(key, &e.value, hint, message)
		return nil, false
	}
	if n := len(e.value.items); n > most {
		t.wrongItem(key, most, &e.value.items[most], "leave out what is not needed, or keep it in another file",
			fmt.Sprintf("there may be %d of these, and here are %d", most, n))
		return nil, false
	}
	tables := make([]*Table, 0, len(e.value.items))
	ok := true
	for i := range e.value.items {
		item := &e.value.items[i]
		if item.kind != tableKind {
			t.wrongItem(key, i, item, hint, "must be a table")
			ok = false
			continue
		}
		item.table.opened = true
		tables = append(tables, item.table)
	}
	return tables, ok
}

// Fault adds a fault at the key's value, shown as it is written there; at the table itself where the key is absent or
// "".
func (t *Table) Fault(key, hint, format string, args ...any) {
	message := fmt.Sprintf(format, args...)
	e := t.entry(key)
	if key == "" || e == nil {
		path := t.path
		if key != "" {
			path = join(path, key)
		}
		t.doc.fault(int(t.at), path, "", hint, message)
		return
	}
	t.wrong(key, &e.value, hint, message)
}

// Missing adds the fault that a key the caller cannot do without is absent. It stands at the table's header.
func (t *Table) Missing(key, hint string) {
	t.know(key)
	t.doc.fault(int(t.at), join(t.path, key), "", hint, "missing")
}

// wrong adds a fault at a value of this table.
func (t *Table) wrong(key string, v *value, hint, message string) {
	raw := ""
	if !v.headed && !(v.kind == tableKind && v.table.form == dottedForm) {
		raw = t.doc.raw(v)
	}
	t.doc.fault(int(v.start), join(t.path, key), raw, hint, message)
}

// wrongItem adds a fault at the item of an array, counted from 0 here and from 1 in the message.
func (t *Table) wrongItem(key string, i int, v *value, hint, message string) {
	raw := ""
	if !v.headed {
		raw = t.doc.raw(v)
	}
	t.doc.fault(int(v.start), fmt.Sprintf("%s[%d]", join(t.path, key), i+1), raw, hint, message)
}

func (d *Document) raw(v *value) string { return d.text[v.start:v.end] }

func (t *Table) know(key string) {
	if t.known == nil {
		t.known = map[string]bool{}
	}
	t.known[key] = true
}

func (t *Table) knownKeys() []string {
	keys := make([]string, 0, len(t.known))
	for k := range t.known {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// take marks the key as known and finds it.
func (t *Table) take(key string) *entry {
	t.know(key)
	return t.entry(key)
}

// walk calls f for the table and every opened table beneath it.
func (t *Table) walk(f func(*Table)) {
	if !t.opened {
		return
	}
	f(t)
	for _, e := range t.entries {
		e.value.walk(f)
	}
}

func (v *value) walk(f func(*Table)) {
	if v.kind == tableKind {
		v.table.walk(f)
	}
	for i := range v.items {
		if v.items[i].kind == tableKind {
			v.items[i].table.walk(f)
		}
	}
}

// header0 is the table's path without the counts of elements, as it stands in a header.
func (t *Table) header0() string {
	var b strings.Builder
	quoted, counting := false, false
	for i := 0; i < len(t.path); i++ {
		c := t.path[i]
		switch {
		case quoted && c == '\\':
			b.WriteByte(c)
			i++
			c = t.path[i]
		case c == '"':
			quoted = !quoted
		case c == '[' && !quoted:
			counting = true
		}
		if !counting {
			b.WriteByte(c)
		}
		if c == ']' && !quoted {
			counting = false
		}
	}
	return b.String()
}

func (t *Table) header() string {
	if t.isElement {
		return "[[" + t.header0() + "]]"
	}
	return "[" + t.header0() + "]"
}
