package document

import (
	"slices"
	"strings"
)

// Append returns the file's text with one value added at the end of a list; the document itself stays as it is.
//
// path names the list as in Set: "survey[2].rows". value is TOML text as it shall stand there. A list that is written
// with one entry or more to a line gets a line of its own for the new one, indented as the last, with a comma at its
// end where the last had one; other lists get it behind their last entry. Every byte that was there stays, in its
// order. It is an error, and nothing is returned, where there is no such list in brackets or the value is not exactly
// one TOML value.
func (d *Document) Append(path, value string) ([]byte, error) {
	value = strings.TrimSpace(value)
	list, err := d.list(path, value)
	if err != nil {
		return nil, err
	}
	steps, _ := splitPath(path)
	before := d.raws(list)
	good := func(changed *Document) bool {
		v := changed.root.follow(steps)
		return v != nil && v.kind == arrayKind && slices.Equal(changed.raws(v), append(before, value))
	}
	if len(list.items) == 0 {
		c := d.first(list, value)
		return d.apply(c.at, c.end, c.text, good, path)
	}
	last := list.items[len(list.items)-1]
	comma := d.comma(int(last.end))
	// From the last entry to where the new one goes, all that was there stays; a comma comes before it where there is
	// none.
	at, between := int(last.end), ","
	if comma >= 0 {
		at, between = comma+1, ""
	}
	text := " " + value
	to := at
	if line := strings.IndexByte(d.text[at:int(list.end)-1], '\n'); line >= 0 {
		to = at + line
		if strings.HasSuffix(d.text[:to], "\r") {
			to--
		}
		text = d.lineEnd() + d.indentOf(int(last.start)) + value
	}
	if comma >= 0 {
		text += ","
	}
	return d.apply(at, to, between+d.text[at:to]+text, good, path)
}

// list finds the list in brackets that a value shall be added to.
func (d *Document) list(path, value string) (*value, error) {
	steps, ok := splitPath(path)
	if !ok {
		return nil, notAPath(path)
	}
	if err := d.oneValue(path, value); err != nil {
		return nil, err
	}
	v := d.root.follow(steps)
	if v == nil {
		return nil, Fault{File: d.name, Key: path, Message: "there is no such list"}
	}
	if v.kind != arrayKind || v.headed {
		p := d.pos(int(v.start))
		return nil, Fault{File: d.name, Line: p.Line, Column: p.Column, Key: path, Message: "is not a list in brackets"}
	}
	return v, nil
}

// raws returns the entries of a list as they are written.
func (d *Document) raws(list *value) []string {
	out := make([]string, 0, len(list.items)+1)
	for i := range list.items {
		out = append(out, d.raw(&list.items[i]))
	}
	return out
}

// first puts a value into a list that has none: in a line of its own where the brackets stand in different lines.
func (d *Document) first(list *value, value string) change {
	inside := d.text[list.start+1 : list.end-1]
	line := strings.LastIndexByte(inside, '\n')
	if line < 0 {
		at := int(list.start) + 1
		return change{at, at, value}
	}
	at := int(list.start) + 1 + line
	if strings.HasSuffix(d.text[:at], "\r") {
		at--
	}
	return change{at, at, d.lineEnd() + d.indentOf(int(list.end)-1) + "  " + value + ","}
}

// indentOf is the white space that the line of an offset begins with; two blanks where the line begins with a key.
func (d *Document) indentOf(at int) string {
	line := d.line(d.pos(at).Line)
	text := strings.TrimLeft(line, " \t")
	indent := line[:len(line)-len(text)]
	if text != "" && text[0] != '[' && text[0] != ']' && assignPattern().MatchString(line) {
		indent += "  "
	}
	return indent
}

// comma is where the comma behind an entry stands that ends at an offset, white space and comments between; -1 where
// there is none.
func (d *Document) comma(at int) int {
	for at < len(d.text) {
		switch d.text[at] {
		case ' ', '\t', '\r', '\n':
			at++
		case '#':
			at = d.endOfLine(at)
		case ',':
			return at
		default:
			return -1
		}
	}
	return -1
}

// Remove returns the file's text without a key and its value, or without an entry of a list; the document itself stays
// as it is.
//
// path names it as in Set: "survey[2].unfinished", "survey[2].rows[7]". A key goes with its whole line and a comment
// behind it there, and so does an entry that has its lines to itself. Every other byte stays. It is an error where
// there is none, where it is a table with a header, and where a key stands in braces.
func (d *Document) Remove(path string) ([]byte, error) {
	steps, ok := splitPath(path)
	if !ok {
		return nil, notAPath(path)
	}
	v := d.root.follow(steps)
	if v == nil {
		return nil, Fault{File: d.name, Key: path, Message: "there is nothing to remove"}
	}
	if v.headed || v.kind == tableKind && v.table.form != inlineForm {
		p := d.pos(int(v.start))
		return nil, Fault{File: d.name, Line: p.Line, Column: p.Column, Key: path,
			Message: "is a table with a header, and cannot be removed alone"}
	}
	gone := func(changed *Document) bool { return changed.root.follow(steps) == nil }
	last := &steps[len(steps)-1]
	if n := len(last.at); n > 0 {
		i := last.at[n-1]
		up := slices.Clone(steps)
		up[len(up)-1].at = last.at[:n-1]
		list := d.root.follow(up)
		rest := slices.Delete(d.raws(list), i-1, i)
		c := d.withoutEntry(list, i-1)
		return d.apply(c.at, c.end, c.text, func(changed *Document) bool {
			v := changed.root.follow(up)
			return v != nil && slices.Equal(changed.raws(v), rest)
		}, path)
	}
	start := d.startOfLine(d.keyOf(steps))
	if m := assignPattern().FindStringIndex(d.text[start:]); m == nil || start+m[1] != int(v.start) {
		p := d.pos(int(v.start))
		return nil, Fault{File: d.name, Line: p.Line, Column: p.Column, Key: path,
			Message: "does not have its line to itself, and cannot be removed"}
	}
	return d.apply(start, d.endOfLine(int(v.end)), "", gone, path)
}

// keyOf is where the key at the end of the steps is written.
func (d *Document) keyOf(steps []step) int {
	t := d.root
	if n := len(steps); n > 1 {
		t = d.root.follow(steps[:n-1]).table
	}
	return int(t.entry(steps[len(steps)-1].key).keyAt)
}

// withoutEntry takes an entry out of its list, with the comma behind it, or before it where it is the last.
func (d *Document) withoutEntry(list *value, i int) change {
	v := &list.items[i]
	start, end := int(v.start), int(v.end)
	comma := d.comma(end)
	line := d.startOfLine(start)
	alone := strings.TrimLeft(d.text[line:start], " \t") == ""
	rest := d.text[end:d.endOfLine(end)]
	if comma >= end && comma < end+len(rest) {
		rest = d.text[comma+1 : end+len(rest)]
	}
	rest = strings.TrimSpace(rest)
	switch {
	case alone && (rest == "" || rest[0] == '#') && (comma < 0 || comma < d.endOfLine(end)):
		return change{line, d.endOfLine(end), ""}
	case comma < 0 && i > 0:
		before := d.comma(int(list.items[i-1].end))
		if strings.Trim(d.text[before+1:start], " \t") == "" {
			return change{before, end, ""}
		}
		return change{start, end, ""}
	case comma < 0:
		return change{start, end, ""}
	}
	between := d.text[end:comma]
	to := comma + 1
	if strings.TrimSpace(between) == "" {
		between = ""
		to += len(d.text[to:]) - len(strings.TrimLeft(d.text[to:], " \t"))
	}
	return change{start, to, between}
}

// startOfLine is the offset at which the line of an offset begins.
func (d *Document) startOfLine(at int) int { return strings.LastIndexByte(d.text[:at], '\n') + 1 }
