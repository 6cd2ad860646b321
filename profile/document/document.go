package document

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/agnivade/levenshtein"
	"github.com/pelletier/go-toml/v2"
)

// maxSize keeps positions within 32 bits and the reading time within reason; a hand-written file is a thousand times
// smaller.
const maxSize = 64 << 20

const byteOrderMark = "\uFEFF"

// Document is a TOML file that has been read: its text, its tables, and the faults found in it so far.
type Document struct {
	name   string
	bom    bool
	text   string // without the byte order mark; all offsets count in it
	lines  []int32
	root   *Table
	faults Faults
}

// Pos is a place in a file; both count from 1, columns in characters. The zero Pos is no place.
type Pos struct{ Line, Column int }

// Parse reads TOML. name is what faults call the file.
//
// A file that is not TOML gives Faults with the first offence alone, since what follows it cannot be trusted: a syntax
// error, a key or table written twice, text that is not UTF-8, more of anything than limits.go allows.
// A byte order mark is skipped; lines may end in LF or CRLF.
func Parse(name string, data []byte) (*Document, error) {
	if len(data) > maxSize {
		return nil, Faults{tooLarge(name)}
	}
	d := &Document{name: name}
	rest, bom := bytes.CutPrefix(data, []byte(byteOrderMark))
	d.bom, d.text = bom, string(rest)
	d.lines = append(d.lines, 0)
	for i := 0; i < len(d.text); i++ {
		if d.text[i] == '\n' {
			d.lines = append(d.lines, int32(i+1))
		}
	}
	if i := invalidUTF8(d.text); i >= 0 {
		p := d.pos(i)
		f := Fault{File: name, Line: p.Line, Column: p.Column, Message: "the text is not valid UTF-8",
			Hint: "save the file as UTF-8"}
		if isUTF16(d.text) {
			f.Message = "the text is UTF-16, not UTF-8"
		}
		return nil, Faults{f}
	}
	if f := d.tooMuch(); f != nil {
		return nil, Faults{*f}
	}
	b := build(d)
	var all map[string]any
	err := toml.Unmarshal(b.decodable(), &all)
	if err != nil || b.conflict != nil || b.failed != nil {
		return nil, Faults{d.syntaxFault(err, b)}
	}
	return d, nil
}

// invalidUTF8 is the offset of the first byte that is not UTF-8, -1 where there is none.
func invalidUTF8(s string) int {
	if utf8.ValidString(s) {
		return -1
	}
	for i, r := range s {
		if r == utf8.RuneError {
			if _, n := utf8.DecodeRuneInString(s[i:]); n == 1 {
				return i
			}
		}
	}
	return -1
}

func isUTF16(s string) bool {
	return strings.HasPrefix(s, "\xff\xfe") || strings.HasPrefix(s, "\xfe\xff")
}

// Name is the file's name as given to Parse.
func (d *Document) Name() string { return d.name }

// Bytes is the file's text, byte for byte as it was read.
func (d *Document) Bytes() []byte {
	if d.bom {
		return []byte(byteOrderMark + d.text)
	}
	return []byte(d.text)
}

// Root is the table that holds the file's top-level keys.
func (d *Document) Root() *Table { return d.root }

// Add adds a fault of the caller's own. An empty File is filled in with the document's name.
func (d *Document) Add(f Fault) {
	if f.File == "" {
		f.File = d.name
	}
	d.faults = append(d.faults, f)
}

// AddAll adds the faults in err: Faults or a Fault wherever they stand in it, anything else by its message. Nil adds
// nothing.
func (d *Document) AddAll(err error) {
	var many Faults
	var one Fault
	switch {
	case err == nil:
	case errors.As(err, &many):
		for _, f := range many {
			d.Add(f)
		}
	case errors.As(err, &one):
		d.Add(one)
	default:
		d.Add(Fault{Message: err.Error()})
	}
}

// Faults is nil or Faults: all that was found while reading, what the caller added, and every key that nobody asked
// for, sorted.
//
// A table counts as read once Table or Tables has handed it out; the keys of a table that was not handed out are not
// looked at.
func (d *Document) Faults() error {
	all := slices.Clone(d.faults)
	all = append(all, d.unknown()...)
	slices.SortStableFunc(all, func(a, b Fault) int { // the document's own faults before those of the files it names
		switch {
		case a.File == b.File:
			return 0
		case a.File == d.name:
			return -1
		case b.File == d.name:
			return 1
		}
		return 0
	})
	return all.Err()
}

// pos turns an offset in the text into line and column.
func (d *Document) pos(offset int) Pos {
	offset = min(max(offset, 0), len(d.text))
	i, found := slices.BinarySearch(d.lines, int32(offset))
	if !found {
		i--
	}
	return Pos{Line: i + 1, Column: utf8.RuneCountInString(d.text[d.lines[i]:offset]) + 1}
}

// line is the text of a line, counted from 1, without its end.
func (d *Document) line(n int) string {
	if n < 1 || n > len(d.lines) {
		return ""
	}
	end := len(d.text)
	if n < len(d.lines) {
		end = int(d.lines[n]) - 1
	}
	return strings.TrimSuffix(d.text[d.lines[n-1]:end], "\r")
}

func (d *Document) fault(offset int, key, value, hint, message string) {
	p := d.pos(offset)
	d.Add(Fault{File: d.name, Line: p.Line, Column: p.Column, Key: key, Value: value, Message: message, Hint: hint})
}

// unknown lists the keys of opened tables that nobody asked for.
func (d *Document) unknown() Faults {
	var opened []*Table
	d.root.walk(func(t *Table) { opened = append(opened, t) })
	var faults Faults
	for _, t := range opened {
		var bad shortlist
		for _, e := range t.entries {
			if t.known[e.key] {
				continue
			}
			if bad.full() { // counted only: what it could have meant takes long to find for very many
				bad.add(Fault{})
				continue
			}
			message, hint := t.guess(e.key, opened)
			p := d.pos(int(e.keyAt))
			bad.add(Fault{File: d.name, Line: p.Line, Column: p.Column, Key: join(t.path, e.key), Message: message,
				Hint: hint})
		}
		faults = append(faults, bad.list()...)
	}
	return faults
}

// guess says what the writer of an unknown key may have meant.
func (t *Table) guess(key string, opened []*Table) (message, hint string) {
	known := t.knownKeys()
	length := utf8.RuneCountInString(key)
	best, bestDistance := "", 1+min(max(1, length/3), max(0, length-1)) // every letter changed is no resemblance
	for _, k := range known {
		distance := levenshtein.ComputeDistance(fold(key), fold(k))
		// Of two that are equally near, the one that the table still lacks.
		if distance < bestDistance || distance == bestDistance && best != "" && t.has(best) && !t.has(k) {
			best, bestDistance = k, distance
		}
	}
	if best != "" {
		return "unknown key; did you mean " + bare(best) + "?", "write " + bare(best)
	}
	for _, o := range opened {
		if o != t && o.known[key] && o.header() != t.header() {
			if o == t.doc.root {
				return "unknown key", fmt.Sprintf("%s belongs above the first [table]", bare(key))
			}
			return "unknown key", fmt.Sprintf("%s belongs in %s", bare(key), o.header())
		}
	}
	if len(known) == 0 {
		return "unknown key", "no key is known here: leave it out"
	}
	for i, k := range known {
		known[i] = bare(k)
	}
	return "unknown key", "keys known here: " + strings.Join(known, ", ")
}

// fold takes the differences out of a key that people overlook: capitals, and what joins the words.
func fold(key string) string {
	return strings.NewReplacer("-", "_", " ", "_").Replace(strings.ToLower(key))
}
