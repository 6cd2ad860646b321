// Package safe makes text fit for where it goes: a terminal, JSON, CSV, Markdown, a page, paper.
//
// Names come out of files that anybody may have written. A character that moves a terminal's cursor, breaks a line or
// turns the direction of writing can make an answer say what it does not; a cell that begins as a formula is run by a
// spreadsheet. All text that leaves the program passes through here: Line for one line of text, Text for several, JSON
// for encoded JSON, Cell for a CSV file's text. Markup is the matter of those who write it.
package safe

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Hidden says whether a character could move the cursor, break a line or turn the writing direction: control characters
// (C0, C1 and DEL), line and paragraph separators, and Unicode's bidirectional controls.
func Hidden(r rune) bool {
	return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == '\u2028' || r == '\u2029'
}

// Line returns a text of one line with U+FFFD in place of what is hidden, and of broken UTF-8.
func Line(s string) string {
	return strings.Map(func(r rune) rune {
		if Hidden(r) {
			return utf8.RuneError
		}
		return r
	}, s)
}

// Text is Line for a text of several lines: line feeds and tabs stay.
func Text(s string) string {
	return strings.Map(func(r rune) rune {
		if Hidden(r) && r != '\n' && r != '\t' {
			return utf8.RuneError
		}
		return r
	}, s)
}

// JSON returns encoded JSON with what is hidden written as \u, so that it is the same data and harmless on a terminal.
// An encoder escapes the control characters below a blank itself; what else is hidden can stand in strings only.
func JSON(encoded []byte) []byte {
	if !bytes.ContainsFunc(encoded, hiddenInJSON) {
		return encoded
	}
	var out bytes.Buffer
	for _, r := range string(encoded) {
		if hiddenInJSON(r) {
			fmt.Fprintf(&out, `\u%04x`, r)
			continue
		}
		out.WriteRune(r)
	}
	return out.Bytes()
}

func hiddenInJSON(r rune) bool { return Hidden(r) && r != '\n' }

// Cell returns a text for a CSV file: a line, and with an apostrophe before it where a spreadsheet would take it for a
// formula. Numbers are not text, and keep their sign.
func Cell(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + Line(s)
	}
	return Line(s)
}
