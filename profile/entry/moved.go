package entry

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"wornway/profile/document"
)

// ErrNoZero says that nothing can be knocked out of its zero.
var ErrNoZero = errors.New("readings by this method have no zero that could move")

// Moved ends the survey where its zero was lost, as when the indicator was knocked, and begins another of the same keys
// over the stations that are left: what follows has a zero of its own, and what went before stays. Last says that the
// reading taken last belongs to the new zero already.
func (e *Entry) Moved(last bool) ([]byte, error) {
	i := e.Last()
	if len(e.Rows) == 0 {
		return nil, ErrNothing
	}
	left := e.Left
	if row, yes := e.Repeating(); yes && !e.Returning() { // it is measured again: of the new zero
		last, i, left = true, row, left[1:]
	}
	last = last && i >= 0 && (len(e.Rows) > 1 || e.Returning())
	if len(left) == 0 && !last {
		return nil, ErrNoStation
	}
	text, err := e.ended(last, i)
	if err != nil {
		return nil, err
	}
	doc, err := document.Parse("", text)
	if err != nil {
		return nil, err
	}
	next, err := doc.AppendTable(e.block(left, last, i))
	if err != nil {
		return nil, err
	}
	return next, nil
}

// ended is the text with the survey ended, the row taken last left out where it is to be moved.
func (e *Entry) ended(last bool, i int) ([]byte, error) {
	var all []func(*document.Document) ([]byte, error)
	switch {
	case e.Returning() && (i < 0 || last && e.backs() == 1):
		all = e.oneWay()
	case e.Returning() && last:
		all = append(all, func(d *document.Document) ([]byte, error) {
			return d.Set(fmt.Sprintf("%s[%d][%d]", e.path("rows"), i+1, slices.Index(e.Columns, back)+1), empty)
		})
	case last:
		all = append(all, func(d *document.Document) ([]byte, error) {
			return d.Remove(fmt.Sprintf("%s[%d]", e.path("rows"), i+1))
		})
	}
	return e.steps(slices.Concat(all, e.without(asked), e.without(unfinished))...)
}

// backs is how many rows have been read on the way back.
func (e *Entry) backs() int {
	n := 0
	for _, r := range e.Rows {
		if c, ok := r.Cells[back]; ok && c != empty {
			n++
		}
	}
	return n
}

// block is the survey that begins with the new zero.
func (e *Entry) block(left []Station, last bool, i int) string {
	var b strings.Builder
	list := func(of []Station) string {
		var all []string
		for _, s := range of {
			text := places(s)
			if len(s) > 1 {
				text = "[" + text + "]"
			}
			all = append(all, text)
		}
		return "[" + strings.Join(all, ", ") + "]"
	}
	fmt.Fprintf(&b, "[[survey]]   # the zero had moved\nmethod = %s\n", document.Quote(e.Method.Name))
	fmt.Fprintf(&b, "%s = %s   # stations still to be read; wornway record takes this line away\n", unfinished, list(left))
	for _, key := range e.table.Keys() {
		switch key {
		case "method", "columns", "rows", unfinished, asked, leftOut:
			continue
		}
		fmt.Fprintf(&b, "%s = %s\n", key, e.table.Raw(key))
	}
	var names []string
	for _, c := range e.Columns {
		if c != back {
			names = append(names, document.Quote(c))
		}
	}
	fmt.Fprintf(&b, "columns = [%s]\n", strings.Join(names, ", "))
	if e.asked != nil {
		fmt.Fprintf(&b, "%s = %s\n", asked, list(e.asked))
	}
	b.WriteString("rows = [\n")
	if last {
		r := e.Rows[i]
		cells := []string{places(r.At)}
		for _, c := range e.Columns {
			text, ok := r.Cells[c]
			if !ok || c == back {
				continue
			}
			if e.Returning() && c == "reading" {
				text = r.Cells[back]
			}
			cells = append(cells, text)
		}
		fmt.Fprintf(&b, "  [%s],\n", strings.Join(cells, ", "))
	}
	b.WriteString("]\n")
	return b.String()
}
