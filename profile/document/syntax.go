package document

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
)

// The slips that hands make most, told from the text of the line, since the parser knows only what it would have liked
// to see.
var (
	assignPattern = pattern(`^[ \t]*((?:[A-Za-z0-9_-]+|"[^"]*")` +
		`(?:[ \t]*\.[ \t]*(?:[A-Za-z0-9_-]+|"[^"]*"))*)[ \t]*=[ \t]*`)
	spacedPattern  = pattern(`^[ \t]*([\pL\pN_-]+(?:[ \t]+[\pL\pN_-]+)+)[ \t]*=`)
	foreignPattern = pattern(`^[ \t]*([^\s="'\[#]*[^\x00-\x7f][^\s="'\[#]*)[ \t]*=`)
	lonePattern    = pattern(`^[ \t]*([A-Za-z0-9_.-]+)[ \t]*(?:#.*)?$`)
	colonPattern   = pattern(`^[ \t]*([A-Za-z0-9_-]+)(?:[ \t]*:|[ \t])[ \t]*(\S.*?)[ \t]*$`)
	datePattern    = pattern(`^(?:\d{1,2}[./-]\d{1,2}[./-]\d{2,4}|\d{4}[./-]\d{1,2}[./-]\d{1,2})$`)
	headerPattern  = pattern(`^[ \t]*(\[\[?)([^\]\[#=]*)`)
)

// syntaxFault explains why the text is not TOML. err comes from decoding, b from building the tree; the earlier offence
// of the two counts.
func (d *Document) syntaxFault(err error, b *builder) Fault {
	var decode *toml.DecodeError
	offset := -1
	message := ""
	if errors.As(err, &decode) {
		row, column := decode.Position()
		if row >= 1 && row <= len(d.lines) {
			offset = min(int(d.lines[row-1])+max(column, 1)-1, len(d.text))
		}
		message = strings.TrimPrefix(decode.Error(), "toml: ")
	}
	if c := b.conflict; c != nil && (offset < 0 || d.pos(offset).Line >= d.pos(int(c.second)).Line ||
		strings.Contains(message, "already")) {
		return d.conflictFault(c)
	}
	if offset < 0 {
		f := Fault{File: d.name, Message: "is not TOML",
			Hint: "write key = value, and [table] above the keys of a table"}
		switch {
		case message != "":
			f.Message = message
		case err != nil:
			f.Message = strings.TrimPrefix(err.Error(), "toml: ")
		case b.failed != nil:
			f.Message = b.failed.Error()
		}
		return f
	}
	start := d.expression(offset, b)
	line := d.text[start:d.endOfLine(start)]
	m := assignPattern().FindStringSubmatchIndex(line)
	if m == nil || offset < start+m[3] {
		return d.outsideFault(offset, strings.TrimRight(line, "\r\n"))
	}
	key := joinRaw(b.sectionAt(start), line[m[2]:m[3]])
	return d.valueFault(offset, start+m[1], key, message)
}

func (d *Document) conflictFault(c *conflict) Fault {
	p, first := d.pos(int(c.second)), d.pos(int(c.first))
	f := Fault{File: d.name, Line: p.Line, Column: p.Column, Key: c.key, Message: "is written twice",
		Hint: "first written on line " + strconv.Itoa(first.Line)}
	if c.table {
		f.Hint += "; put all its keys under one header"
	}
	return f
}

// expression finds the offset at which the key or header begins that holds the offence.
func (d *Document) expression(offset int, b *builder) int {
	if b.failed == nil {
		start := int(d.lines[d.pos(offset).Line-1])
		return start
	}
	at := 0
	if b.good > 0 {
		at = d.endOfLine(b.good)
	}
	for at < offset {
		line := d.text[at:d.endOfLine(at)]
		if s := strings.TrimSpace(line); s != "" && s[0] != '#' {
			return at
		}
		next := at + len(line)
		if next > offset || next == at {
			break
		}
		at = next
	}
	return min(at, int(d.lines[d.pos(offset).Line-1]))
}

// valueFault explains a value that cannot be read. valueAt is where the key's whole value begins, offset where the
// parser gave up in it.
func (d *Document) valueFault(offset, valueAt int, key, message string) Fault {
	fault := func(at int, value, message, hint string) Fault {
		p := d.pos(at)
		return Fault{File: d.name, Line: p.Line, Column: p.Column, Key: key, Value: value, Message: message, Hint: hint}
	}
	token, at := d.token(offset, valueAt, message)
	switch {
	case strings.HasPrefix(message, "array is incomplete"):
		return fault(valueAt, "", "the list is not closed", "close every [ with a ]")
	case strings.HasPrefix(message, "inline table is incomplete"):
		return fault(valueAt, "", "the braces are not closed", "close every { with a }")
	case strings.HasPrefix(message, "multiline"), strings.HasPrefix(message, "too many quotes"):
		return fault(valueAt, "", "the text in triple quotes is not closed, or holds a character that may not stand "+
			"there", "end the text with the three quotes that it begins with")
	}
	if lines := d.pos(offset).Line; lines > d.pos(valueAt).Line && d.text[valueAt] != '"' && d.text[valueAt] != '\'' {
		if assignPattern().MatchString(d.line(lines)) || headerPattern().MatchString(d.line(lines)) &&
			!strings.HasPrefix(message, "expected newline") && strings.Contains(d.line(lines), "[[") {
			return fault(valueAt, "", "the value does not end before line "+strconv.Itoa(lines),
				"close every bracket, and put a comma between entries")
		}
	}
	if inList := token == "" && valueAt < len(d.text) && strings.IndexByte("[{", d.text[valueAt]) >= 0; inList {
		return fault(offset, "", d.unexpected(offset), "something is missing before it")
	}
	if words, hint := slip(token, message); words != "" {
		return fault(at, token, words, hint)
	}
	hint := "write one value behind the =: a number, a text in quotes, true or false, a date, or a list in brackets"
	switch {
	case strings.HasPrefix(message, "expected ','"):
		hint = "put a comma between entries"
	case strings.HasPrefix(message, "expected newline") &&
		assignPattern().MatchString(d.text[offset:d.endOfLine(offset)]):
		hint = "give every key a line of its own"
	}
	what := d.unexpected(offset)
	if strings.Contains(what, "TOML") {
		hint = lineEndHint
	}
	return fault(offset, "", what, hint)
}

// token is the value, or the entry of a list, in which the parser gave up, and where it begins.
func (d *Document) token(offset, valueAt int, message string) (string, int) {
	from := valueAt
	inList := valueAt < len(d.text) && (d.text[valueAt] == '[' || d.text[valueAt] == '{')
	if inList {
		from = min(offset, len(d.text))
		for from > valueAt+1 && !strings.ContainsRune("[{,=\n", rune(d.text[from-1])) {
			from--
		}
		if strings.Contains(message, "string") {
			from = d.openQuote(from, max(valueAt, int(d.lines[d.pos(offset).Line-1])), offset)
		}
	}
	end := from
	quote := byte(0)
	for ; end < len(d.text) && d.text[end] != '\n'; end++ {
		c := d.text[end]
		if quote != 0 {
			if c == quote {
				quote = 0
			}
			continue
		}
		if end == from && (c == '"' || c == '\'') {
			quote = c
		}
		if c == '#' || quote == 0 && inList && strings.IndexByte(",]}", c) >= 0 {
			break
		}
	}
	token := d.text[from:end]
	trimmed := strings.TrimLeft(token, " \t")
	return strings.TrimRight(trimmed, " \t\r"), from + len(token) - len(trimmed)
}

// openQuote finds the quote mark that is still open at the offset, looking from the given place on; otherwise it gives
// back from.
func (d *Document) openQuote(from, at, offset int) int {
	open := -1
	for i := at; i < min(offset, len(d.text)); i++ {
		c := d.text[i]
		switch {
		case open < 0 && (c == '"' || c == '\''):
			open = i
		case open >= 0 && c == '\\' && d.text[open] == '"':
			i++
		case open >= 0 && c == d.text[open]:
			open = -1
		}
	}
	if open >= 0 {
		return open
	}
	return from
}

// slip explains a token that is no TOML value; empty where there is nothing better to say than what was unexpected.
func slip(token, message string) (words, hint string) {
	first, _ := utf8.DecodeRuneInString(token)
	lower := strings.ToLower(token)
	switch {
	case token == "":
		return "no value is given", "write the value behind the =, or leave the key out"
	case strings.HasPrefix(message, "impossible date"):
		return "is no date of the calendar", "write year-month-day, for instance 2026-03-14"
	case strings.Contains(message, "cannot be greater"):
		return "is no time of the day", "no time of the day is asked for here: leave it out, or put it in quotes"
	case strings.Contains(message, "expected to have the format"), strings.Contains(message, "time"),
		datePattern().MatchString(token):
		return "is not a date", "write year-month-day, for instance 2026-03-14"
	case lower == "true" || lower == "false" || lower == "yes" || lower == "no" || lower == "on" || lower == "off":
		return "is not how yes and no are written", "write true or false, in small letters"
	case strings.ContainsRune("\u201c\u201d\u201e\u2018\u2019\u00ab\u00bb", first):
		inner := strings.Trim(token, "\u201c\u201d\u201e\u2018\u2019\u00ab\u00bb\"'")
		return "stands in quotes that do not count as such", quotesHint(inner)
	case first == '"' || first == '\'':
		return quoted(token, message)
	}
	plain := strings.ReplaceAll(token, "\u2212", "-")
	if len(plain) > 1 && plain[0] == '0' && strings.Trim(plain, "0123456789") == "" {
		// The piece of 0,060 that stands after the comma looks like this too.
		return "begins with a zero", "if a decimal comma stands before it, write a decimal point: 0." + plain +
			"; otherwise leave the zero out"
	}
	if n, err := ParseNumber(plain, false); err == nil {
		return "is not how a number is written here", "write " + strconv.FormatFloat(n, 'f', -1, 64)
	}
	if words, hint := notNumber(plain); words != "is not a number" {
		return words, hint
	}
	if unicode.IsLetter(first) {
		return "is text without quotes", quotesHint(token)
	}
	return "", ""
}

// quotesHint shows a text in quotes; a long one need not be repeated.
func quotesHint(s string) string {
	if len(s) > 60 {
		return "put the text between two quote marks, \"like this\""
	}
	return "write " + Quote(s)
}

// quoted explains a text in quotes that cannot be read.
func quoted(token, message string) (words, hint string) {
	quote := token[:1]
	switch {
	case strings.Contains(message, "escape"), strings.HasPrefix(message, "need a character after"):
		return "has a backslash that means nothing", "write it in single quotes, or every backslash twice"
	case strings.Contains(message, "control characters"):
		return "has a character that may not stand in a text", "leave it out; a text may hold what can be typed"
	case !strings.Contains(token[1:], quote):
		return "lacks its closing quote", quotesHint(token[1:])
	}
	if strings.HasPrefix(message, "expected newline") || strings.HasPrefix(message, "expected ','") {
		if quote == "'" {
			return "is followed by something that does not belong there",
				"a text with an apostrophe in it needs double quotes"
		}
		return "is followed by something that does not belong there",
			"write \\\" for a quote mark within the text, and begin a comment with #"
	}
	return "", ""
}

// lineEndHint goes with line ends that are neither LF nor CRLF.
const lineEndHint = "save the file with ordinary line ends"

// unexpected names the character at which the parser gave up.
func (d *Document) unexpected(offset int) string {
	if offset >= len(d.text) {
		return "the file ends too early"
	}
	r, _ := utf8.DecodeRuneInString(d.text[offset:])
	switch {
	case r == '\n' || r == '\r' && strings.HasPrefix(d.text[offset:], "\r\n"):
		return "the line ends too early"
	case r == '\r':
		return "the line ends in a way that TOML does not know"
	}
	return fmt.Sprintf("%q cannot stand here", r)
}

// outsideFault explains a line that is neither key = value nor a header.
func (d *Document) outsideFault(offset int, line string) Fault {
	p := d.pos(offset)
	f := Fault{File: d.name, Line: p.Line, Column: p.Column}
	if m := headerPattern().FindStringSubmatch(line); m != nil {
		name, closing := strings.TrimSpace(m[2]), strings.Repeat("]", len(m[1]))
		f.Message = "the header of this table cannot be read"
		f.Hint = "write " + m[1] + strings.Join(strings.Fields(name), "_") + closing
		if name == "" {
			f.Hint = "write " + m[1] + "name" + closing
		}
		return f
	}
	if m := spacedPattern().FindStringSubmatch(line); m != nil {
		f.Message = "a key cannot have spaces in it"
		f.Hint = "write " + strings.Join(strings.Fields(m[1]), "_")
		return f
	}
	if m := foreignPattern().FindStringSubmatch(line); m != nil {
		f.Message = "a key has letters a to z, digits, _ and - only"
		f.Hint = "spell the key as wornway new writes it"
		return f
	}
	if m := lonePattern().FindStringSubmatch(line); m != nil {
		f.Message = "there is no = behind the key"
		f.Hint = "write " + m[1] + " = and its value, or begin a comment with #"
		return f
	}
	if m := colonPattern().FindStringSubmatch(line); m != nil && offset < len(d.text) && !strings.Contains(m[2], "=") {
		f.Message = "there is no = behind the key"
		f.Hint = "write " + m[1] + " = " + m[2]
		return f
	}
	f.Message = "this is neither key = value nor a [table]"
	f.Hint = "begin a comment with #"
	if strings.Contains(d.unexpected(offset), "TOML") {
		f.Message, f.Hint = d.unexpected(offset), lineEndHint
	}
	return f
}
