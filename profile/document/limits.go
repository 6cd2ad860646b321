package document

import (
	"fmt"
	"io"
	"io/fs"
	"strings"
	"unicode/utf8"
)

// Limits that no file of a lathe or of a job comes near. They keep a wrong file from taking all memory and time: each
// is checked before the work that it would make costly, and told with its place.
const (
	maxKey     = 200       // characters of a key
	maxParts   = 10        // of a key with dots, and brackets within brackets
	maxKeys    = 1_000_000 // keys and headers of a file
	maxUnder   = 10_000    // keys under one header
	maxHeaders = 1000      // headers that differ
	maxNumbers = 5_000_000 // entries of all lists of a file: a million rows of five
	maxRows    = 1_000_000 // rows of a file, and of a profile with all its files
	maxLine    = 1 << 20   // bytes of a line of a CSV file
	maxCSV     = 256 << 20 // bytes of a CSV file
)

// ReadAll reads a file, a pipe or a device to its end, but no more of it than a file may hold: more is a fault. name is
// what faults call it.
func ReadAll(name string, r io.Reader) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxSize+1))
	if err != nil {
		return nil, err
	}
	if len(data) > maxSize {
		return nil, Faults{tooLarge(name)}
	}
	return data, nil
}

// ReadFile is ReadAll for a file by its name.
func ReadFile(fsys fs.FS, name string) ([]byte, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return ReadAll(name, f)
}

func tooLarge(name string) Fault {
	return Fault{File: name, Message: "is larger than 64 MB",
		Hint: "give the file that was written by hand; keep long runs of readings in a CSV file"}
}

// scan looks through a text for what would cost too much, before it is parsed: it takes strings, comments, keys and
// brackets apart and nothing else. What is not TOML is left to the parser to explain.
type scan struct {
	d       *Document
	at      int
	keys    int
	under   int // keys since the last header
	headers map[string]bool
	numbers int
	rows    int
	open    []byte // the brackets that are open
	fault   *Fault
}

// tooMuch is the first limit that the text is over; nil where it keeps them all.
func (d *Document) tooMuch() *Fault {
	s := &scan{d: d}
	for s.fault == nil && s.at < len(d.text) {
		switch d.text[s.at] {
		case ' ', '\t', '\r', '\n':
			s.at++
		case '#':
			s.at = d.endOfLine(s.at)
		case '[':
			for s.at < len(d.text) && d.text[s.at] == '[' {
				s.at++
			}
			s.header()
		default:
			s.key()
			s.value()
		}
	}
	return s.fault
}

func (s *scan) over(at int, hint, format string, args ...any) {
	if s.fault == nil {
		p := s.d.pos(at)
		s.fault = &Fault{File: s.d.name, Line: p.Line, Column: p.Column, Message: fmt.Sprintf(format, args...),
			Hint: hint}
	}
}

// header passes over the rest of a header.
func (s *scan) header() {
	from := s.at
	s.key()
	if len(s.headers) <= maxHeaders {
		if s.headers == nil {
			s.headers = map[string]bool{}
		}
		s.headers[s.d.text[from:s.at]] = true
	}
	if len(s.headers) > maxHeaders {
		s.over(from, "leave out those that are none of a lathe or a job", "there are more than %d different headers",
			maxHeaders)
	}
	s.under = 0
	s.at = s.d.endOfLine(s.at)
}

// key passes over a key with its dots.
func (s *scan) key() {
	text := s.d.text
	const hint = "keep readings in rows, or in a CSV file"
	if s.keys++; s.keys > maxKeys {
		s.over(s.at, hint, "there are more than %d keys and headers", maxKeys)
	}
	if s.under++; s.under > maxUnder {
		s.over(s.at, hint, "there are more than %d keys under one header", maxUnder)
	}
	parts, from := 1, s.at
	start := s.at
	part := func() {
		if k := strings.TrimSpace(text[from:s.at]); len(k) > maxKey && utf8.RuneCountInString(k) > maxKey {
			s.over(from, "the longest key that means anything is far shorter; is a quote mark or a line end missing?",
				"a key of more than %d characters", maxKey)
		}
		from = s.at + 1
	}
	for s.at < len(text) {
		switch text[s.at] {
		case '"', '\'':
			s.text(false)
			continue
		case '.':
			part()
			if parts++; parts > maxParts {
				s.over(start, "no key here has more than three parts: lathe.saddle.bearing_length",
					"a key has more than %d parts", maxParts)
				return
			}
		case '=', ']', '\n', '#', '}':
			part()
			return
		}
		s.at++
	}
	part()
}

// text passes over a text in quotes, over several lines only where it may be: as a value.
func (s *scan) text(value bool) {
	text, quote := s.d.text, s.d.text[s.at:s.at+1]
	end := quote
	if long := strings.Repeat(quote, 3); value && strings.HasPrefix(text[s.at:], long) {
		end = long
	}
	for s.at += len(end); s.at < len(text); s.at++ {
		switch {
		case text[s.at] == '\\' && quote == `"`:
			s.at++
		case text[s.at] == '\n' && len(end) == 1:
			return
		case strings.HasPrefix(text[s.at:], end):
			s.at += len(end)
			return
		}
	}
	s.at = min(s.at, len(text))
}

// value passes over what stands behind a key, to the end of its line or of its brackets.
func (s *scan) value() {
	text := s.d.text
	s.open = s.open[:0]
	if s.at < len(text) && text[s.at] == '=' {
		s.at++
	}
	for s.fault == nil && s.at < len(text) {
		switch c := text[s.at]; c {
		case '"', '\'':
			s.text(true)
			continue
		case '#':
			s.at = s.d.endOfLine(s.at)
			if len(s.open) == 0 {
				return
			}
			continue
		case '\n':
			if len(s.open) == 0 {
				return
			}
		case '[', '{':
			if s.open = append(s.open, c); len(s.open) > maxParts {
				s.over(s.at, "close each bracket before the next opens; rows are [[1, 2], [3, 4]]",
					"brackets are nested more than %d deep", maxParts)
			}
			s.entry(c)
		case ']', '}':
			if len(s.open) > 0 {
				s.open = s.open[:len(s.open)-1]
			}
		case ',':
			if n := len(s.open); n > 0 {
				s.entry(s.open[n-1])
			}
		}
		s.at++
	}
}

// entry counts one more entry, the first or one behind a comma, of the bracket that was opened last.
func (s *scan) entry(of byte) {
	if of == '{' {
		for s.at++; s.at < len(s.d.text) && strings.IndexByte(" \t\r\n", s.d.text[s.at]) >= 0; s.at++ {
		}
		s.key()
		s.at-- // what ends the key is looked at next
		return
	}
	if s.numbers++; s.numbers > maxNumbers {
		s.over(s.at, "take the mean of neighbouring readings, or leave some out", "the lists hold more than %d entries",
			maxNumbers)
	}
	if n := len(s.open); n > 1 && s.open[n-2] == '[' {
		return // within a row
	}
	if s.rows++; s.rows > maxRows {
		s.over(s.at, tooManyRowsHint, "%s", tooManyRows)
	}
}

var tooManyRows = fmt.Sprintf("there are more than %d rows", maxRows)

const tooManyRowsHint = "take the mean of neighbouring rows, or leave some out: one for each millimetre of bed is " +
	"plenty"

// boundedReader passes on what it reads until there is more of it than a CSV file, or a line of one, may hold.
type boundedReader struct {
	in         io.Reader
	size, line int
}

// limitError is the limit that a CSV file is over.
type limitError struct{ message, hint string }

func (e limitError) Error() string { return e.message }

func (b *boundedReader) Read(p []byte) (int, error) {
	n, err := b.in.Read(p)
	for _, c := range p[:n] {
		if b.line++; c == '\n' {
			b.line = 0
		}
		if b.line > maxLine {
			return 0, limitError{"a line is longer than 1 MB", "give a CSV file with a line for each row"}
		}
	}
	if b.size += n; b.size > maxCSV {
		return 0, limitError{"is larger than 256 MB", tooManyRowsHint}
	}
	return n, err
}
