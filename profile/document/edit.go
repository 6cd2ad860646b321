package document

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Quote writes a text as a TOML basic string. Whatever does not print is escaped; bytes that are not UTF-8 become
// U+FFFD.
func Quote(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case r == '\r':
			b.WriteString(`\r`)
		case r == '\b':
			b.WriteString(`\b`)
		case r == '\f':
			b.WriteString(`\f`)
		case strconv.IsPrint(r) || r == utf8.RuneError:
			b.WriteRune(r)
		case r > 0xFFFF:
			fmt.Fprintf(&b, `\U%08X`, r)
		default:
			fmt.Fprintf(&b, `\u%04X`, r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// Set returns the file's text with one value changed; the document itself stays as it is.
//
// path names the key as faults do: "lathe.way_span", "survey[2].date", "lathe.bed[1]", with quotes round a part that
// needs them. value is TOML text as it shall stand there. A value that exists is replaced where it stands, and a
// comment behind it stays. A key that does not exist is added at the end of its table, and a table that does not exist
// at the end of the file, or of the [[element]] it belongs to. Every other byte stays.
//
// It is an error, and nothing is returned, where the path is none, the value is not exactly one TOML value, the path
// leads to a table with a header of its own or through something that is no table, or an element of an array that does
// not exist is meant.
func (d *Document) Set(path, value string) ([]byte, error) {
	steps, ok := splitPath(path)
	if !ok {
		return nil, notAPath(path)
	}
	value = strings.TrimSpace(value)
	if err := d.oneValue(path, value); err != nil {
		return nil, err
	}
	e, err := d.edit(path, steps, value)
	if err != nil {
		return nil, err
	}
	return d.apply(e.at, e.end, e.text, func(changed *Document) bool {
		v := changed.root.follow(steps)
		return v != nil && changed.raw(v) == value
	}, path)
}

func notAPath(path string) error {
	return Fault{Message: fmt.Sprintf("%q is not the path of a key", path), Hint: "write it as in lathe.way_span"}
}

// oneValue refuses what is not exactly one TOML value.
func (d *Document) oneValue(path, value string) error {
	if one, err := Parse("", []byte("x = "+value)); err != nil || len(one.root.entries) != 1 ||
		one.raw(&one.root.entries[0].value) != value {
		return Fault{Key: path, Value: value, Message: "is not a TOML value",
			Hint: "text needs quotes, numbers a decimal point"}
	}
	return nil
}

// AppendTable returns the file's text with a block added at the end, one empty line before it; the document itself
// stays as it is. The text must begin with a [table] or [[table]] header, comments apart, or else its keys would fall
// to whatever table is last. Line ends become the file's own.
func (d *Document) AppendTable(text string) ([]byte, error) {
	text = strings.Trim(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	block, err := Parse("", []byte(text))
	if err != nil {
		return nil, Fault{Message: "the block to be added is not TOML: " + strings.TrimPrefix(firstFault(err), ": ")}
	}
	for _, e := range block.root.entries {
		if !e.value.headed {
			return nil, Fault{Key: bare(e.key), Message: "the block to be added must begin with a [table] or " +
				"[[table]] header"}
		}
	}
	if len(block.root.entries) == 0 {
		return nil, Fault{Message: "the block to be added has no [table] or [[table]] header"}
	}
	end := d.lineEnd()
	var gap string
	switch {
	case d.text == "":
	case !strings.HasSuffix(d.text, "\n"):
		gap = end + end
	case !strings.HasSuffix(d.text, "\n\n") && !strings.HasSuffix(d.text, "\n\r\n"):
		gap = end
	}
	return d.apply(len(d.text), len(d.text), gap+strings.ReplaceAll(text, "\n", end)+end, nil, "")
}

func firstFault(err error) string {
	if fs, ok := err.(Faults); ok && len(fs) > 0 {
		return fs[0].Error()
	}
	return err.Error()
}

// change replaces the text between two offsets.
type change struct {
	at, end int
	text    string
}

// apply makes the change and proves that the result can be read and holds what was asked for.
func (d *Document) apply(at, end int, text string, good func(*Document) bool, path string) ([]byte, error) {
	result := d.text[:at] + text + d.text[end:]
	if d.bom {
		result = byteOrderMark + result
	}
	changed, err := Parse(d.name, []byte(result))
	if err != nil {
		return nil, err
	}
	if good != nil && !good(changed) {
		return nil, Fault{File: d.name, Key: path, Message: "cannot be changed in the way this file is written"}
	}
	return []byte(result), nil
}

// edit finds where the value goes.
func (d *Document) edit(path string, steps []step, value string) (change, error) {
	refuse := func(at int32, format string, args ...any) (change, error) {
		p := d.pos(int(at))
		return change{}, Fault{File: d.name, Line: p.Line, Column: p.Column, Key: path,
			Message: fmt.Sprintf(format, args...)}
	}
	if v := d.root.follow(steps); v != nil {
		if v.headed || v.kind == tableKind && v.table.form != inlineForm {
			return refuse(v.start, "is a table, and cannot be set to a value")
		}
		return change{int(v.start), int(v.end), value}, nil
	}
	t := d.root
	n := 0
	for ; n < len(steps)-1; n++ {
		v := t.follow(steps[n : n+1])
		if v == nil {
			break
		}
		if v.kind != tableKind {
			return refuse(v.start, "leads through what is not a table")
		}
		t = v.table
	}
	for _, s := range steps[n:] {
		if len(s.at) > 0 {
			return refuse(t.at, "names an element that does not exist")
		}
	}
	return d.insert(t, steps[n:], value), nil
}

// insert adds a key to a table; all but the last step name tables that do not exist yet.
func (d *Document) insert(t *Table, steps []step, value string) change {
	end := d.lineEnd()
	var names []string
	for _, s := range steps {
		names = append(names, bare(s.key))
	}
	assignment := strings.Join(names, ".") + " = " + value
	last := names[len(names)-1] + " = " + value
	switch {
	case t.form == inlineForm || t.form == inDottedForm:
		return d.insertInline(t, assignment)
	case t.form == dottedForm:
		at := d.endOfLine(int(t.ownEnd))
		return d.insertLine(at, d.indent(int(t.ownEnd))+t.prefix+assignment)
	case len(steps) == 1 && t.form == headerForm:
		at := d.endOfLine(int(t.ownEnd))
		return d.insertLine(at, d.indent(int(t.ownEnd))+last)
	case len(steps) == 1 && t.form == rootForm:
		return d.insertRoot(last)
	}
	header := t.header0()
	if len(steps) > 1 {
		header = joinRaw(header, strings.Join(names[:len(names)-1], "."))
	}
	at := len(d.text)
	for up := t; up != nil; up = up.above() {
		if up.isElement {
			at = d.endOfLine(int(up.treeEnd))
			break
		}
	}
	gap := end
	if before := d.text[:at]; before == "" || strings.HasSuffix(before, "\n\n") || strings.HasSuffix(before, "\n\r\n") {
		gap = ""
	}
	below := ""
	if next := d.text[at:]; next != "" && next[0] != '\n' && !strings.HasPrefix(next, "\r\n") {
		below = end
	}
	return d.insertLine(at, gap+"["+header+"]"+end+last+below)
}

// insertInline adds a key behind the last one in braces.
func (d *Document) insertInline(t *Table, assignment string) change {
	if t.form == inDottedForm {
		return change{int(t.ownEnd), int(t.ownEnd), ", " + t.prefix + assignment}
	}
	if len(t.entries) == 0 {
		at := int(t.at) + 1
		return change{at, at, " " + assignment + " "}
	}
	return change{int(t.ownEnd), int(t.ownEnd), ", " + assignment}
}

// insertLine adds lines at an offset where a line begins, or at the end of a text whose last line may lack its end.
func (d *Document) insertLine(at int, lines string) change {
	end := d.lineEnd()
	if at > 0 && d.text[at-1] != '\n' {
		return change{at, at, end + lines + end}
	}
	return change{at, at, lines + end}
}

// insertRoot adds a key above all tables: behind the last one there, or else below the comment that heads the file.
func (d *Document) insertRoot(assignment string) change {
	if d.root.ownEnd > 0 {
		return d.insertLine(d.endOfLine(int(d.root.ownEnd)), d.indent(int(d.root.ownEnd))+assignment)
	}
	at := 0
	for at < len(d.text) && d.text[at] == '#' {
		at = d.endOfLine(at)
	}
	rest := d.text[at:]
	blankLen := 0
	for _, b := range []string{"\r\n", "\n"} {
		if strings.HasPrefix(rest, b) {
			blankLen = len(b)
			break
		}
	}
	switch {
	case at > 0 && rest != "" && blankLen == 0: // the comment belongs to what follows it
		at = 0
	case at > 0 && rest != "":
		at += blankLen
	}
	text := assignment
	if at < len(d.text) {
		text += d.lineEnd()
	}
	return d.insertLine(at, text)
}

// endOfLine is the offset behind the end of the line that holds the offset.
func (d *Document) endOfLine(at int) int {
	if i := strings.IndexByte(d.text[at:], '\n'); i >= 0 {
		return at + i + 1
	}
	return len(d.text)
}

// indent is the white space before what stands in the line of an offset: of the line where a value begins, if it runs
// over several.
func (d *Document) indent(at int) string {
	line := d.line(d.pos(at).Line)
	text := strings.TrimLeft(line, " \t")
	if text == "" || text[0] == ']' || text[0] == '}' || text[0] == '"' || text[0] == '\'' {
		return ""
	}
	return line[:len(line)-len(text)]
}

// lineEnd is the file's own, by its first line.
func (d *Document) lineEnd() string {
	if i := strings.IndexByte(d.text, '\n'); i > 0 && d.text[i-1] == '\r' {
		return "\r\n"
	}
	return "\n"
}

// above is the table that this one stands in, where headers made them.
func (t *Table) above() *Table {
	if n := len(t.along); n > 1 {
		return t.along[n-2]
	}
	return nil
}
