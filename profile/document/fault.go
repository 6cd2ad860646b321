package document

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// MoreHint goes with faults that are counted and not listed.
const MoreHint = "mend those that are listed, and read the file again"

// maxListed is how many faults of one block of rows are listed; the rest are counted. A wrong separator spoils every
// row of a long file alike.
const maxListed = 20

// Fault is one thing wrong with a file.
type Fault struct {
	File    string // name as given to Parse or ReadRows
	Line    int    // from 1; 0: no position
	Column  int    // in characters, from 1; 0: not known
	Key     string // full path of the key, "survey[2].rows"; empty where no key is meant
	Value   string // the value as written; empty where the message speaks for itself
	Message string // no capital, no full stop
	Hint    string // how to mend it; may be empty
}

// Error gives the fault on one line, without its hint: "bench.toml:14:9: lathe.way_span = 0: must be greater than
// zero".
func (f Fault) Error() string {
	var b strings.Builder
	if f.File != "" {
		b.WriteString(oneLine(f.File))
		b.WriteByte(':')
	}
	if f.Line > 0 {
		b.WriteString(strconv.Itoa(f.Line))
		b.WriteByte(':')
		if f.Column > 0 {
			b.WriteString(strconv.Itoa(f.Column))
			b.WriteByte(':')
		}
	}
	if b.Len() > 0 {
		b.WriteByte(' ')
	}
	if f.Key != "" {
		b.WriteString(oneLine(f.Key))
		if f.Value != "" {
			b.WriteString(" = ")
			b.WriteString(shorten(f.Value))
		}
		b.WriteString(": ")
	}
	b.WriteString(oneLine(f.Message))
	return b.String()
}

// Faults is all that is wrong, in the order of the file. It is an error when it is not empty.
type Faults []Fault

// Error gives one line for each fault and, where there is a hint, a second line "  hint: …".
func (fs Faults) Error() string {
	var b strings.Builder
	for i, f := range fs {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(f.Error())
		if f.Hint != "" {
			b.WriteString("\n  hint: ")
			b.WriteString(oneLine(f.Hint))
		}
	}
	return b.String()
}

// Unwrap lets errors.As find a single Fault.
func (fs Faults) Unwrap() []error {
	errs := make([]error, len(fs))
	for i, f := range fs {
		errs[i] = f
	}
	return errs
}

// Err is nil where there are no faults, otherwise the faults sorted.
func (fs Faults) Err() error {
	if len(fs) == 0 {
		return nil
	}
	fs.Sort()
	return fs
}

// Sort puts the faults in order of position. Files keep the order in which they first appear; a fault without a line
// comes last in its file.
func (fs Faults) Sort() {
	order := map[string]int{}
	for _, f := range fs {
		if _, seen := order[f.File]; !seen {
			order[f.File] = len(order)
		}
	}
	slices.SortStableFunc(fs, func(a, b Fault) int {
		if c := cmp.Compare(order[a.File], order[b.File]); c != 0 {
			return c
		}
		if (a.Line == 0) != (b.Line == 0) {
			return cmp.Compare(b.Line, a.Line)
		}
		if c := cmp.Compare(a.Line, b.Line); c != 0 {
			return c
		}
		return cmp.Compare(a.Column, b.Column)
	})
}

// shortlist collects faults up to maxListed and counts the rest.
type shortlist struct {
	faults Faults
	more   int
}

func (l *shortlist) add(f Fault) {
	if len(l.faults) < maxListed {
		l.faults = append(l.faults, f)
		return
	}
	l.more++
}

// full says whether what is added from now on is only counted.
func (l *shortlist) full() bool { return len(l.faults) == maxListed }

// count is how many were added, listed or not.
func (l *shortlist) count() int { return len(l.faults) + l.more }

func (l *shortlist) empty() bool { return len(l.faults) == 0 }

// list gives the faults; the last of them says how many were left out, placed with the last that is shown so that
// sorting keeps them together.
func (l *shortlist) list() Faults {
	if l.more == 0 {
		return l.faults
	}
	last := l.faults[len(l.faults)-1]
	return append(l.faults, Fault{File: last.File, Line: last.Line, Column: last.Column,
		Message: "and " + count(l.more, "more fault", "more faults") + " like these", Hint: MoreHint})
}

// count gives "1 entry", "3 entries".
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// oneLine makes a text fit to stand on one line of a terminal: whatever does not print is escaped, so that no file can
// send control sequences.
func oneLine(s string) string {
	clean := true
	for _, r := range s {
		if !strconv.IsPrint(r) || r == utf8.RuneError {
			clean = false
			break
		}
	}
	if clean {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '\n' || r == '\t' || r == '\r' || r == 0xA0:
			b.WriteByte(' ')
		case strconv.IsPrint(r):
			b.WriteRune(r)
		default:
			q := strconv.QuoteRune(r)
			b.WriteString(q[1 : len(q)-1])
		}
	}
	return b.String()
}

// shorten gives a value as written on one line of at most 40 characters.
func shorten(s string) string {
	const most = 40
	if len(s) > 8*most {
		s = strings.ToValidUTF8(s[:8*most], "") + "…"
	}
	r := []rune(oneLine(strings.Join(strings.Fields(s), " ")))
	if len(r) <= most {
		return string(r)
	}
	return string(r[:most-1]) + "…"
}
