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
	if row, yes := e.Repeating(); yes && !e.Returning() {
		if last = row == i; last { // it is measured again: of the new zero
			left = left[1:]
		}
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
	var all []change
	switch {
	case e.Returning() && (i < 0 || last && e.backs() == 1):
		all = e.oneWay()
	case e.Returning() && last:
		all = append(all, e.setBack(i, empty))
	case last:
		all = append(all, func(d *document.Document) ([]byte, error) {
			return d.Remove(fmt.Sprintf("%s[%d]", e.path("rows"), i+1))
		})
	}
	return e.steps(slices.Concat(all, e.under())...)
}

// under takes out the keys that a survey has only while it is under way.
func (e *Entry) under() []change {
	return slices.Concat(e.without(asked), e.without(again), e.without(unfinished))
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
	more := fmt.Sprintf("%s = %s   # stations still to be read; wornway record takes this line away\n", unfinished,
		listed(left))
	if e.asked != nil {
		more += fmt.Sprintf("%s = %s\n", asked, listed(e.asked))
	}
	var rows []Row
	if last {
		r := e.Rows[i]
		if e.Returning() {
			r = Row{r.At, map[string]string{"reading": r.Cells[back]}}
		}
		rows = append(rows, r)
	}
	return e.written("   # the zero had moved", more, rows)
}

// Ahead is the survey with all its stations, readings that stand in at those that are left: the one taken last. It is
// empty where nothing was read, or on the way back.
func (e *Entry) Ahead() string {
	if len(e.Rows) == 0 || e.Returning() {
		return ""
	}
	rows := slices.Clone(e.Rows)
	for _, s := range e.Left {
		rows = append(rows, Row{s, e.Rows[len(e.Rows)-1].Cells})
	}
	return e.written("", "", rows)
}

// written is a survey with the keys of this one and rows of its own, without a column for the way back.
func (e *Entry) written(comment, more string, rows []Row) string {
	var b strings.Builder
	fmt.Fprintf(&b, "[[survey]]%s\nmethod = %s\n", comment, document.Quote(e.Method.Name))
	for _, key := range e.table.Keys() {
		switch key {
		case "method", "columns", "rows", unfinished, asked, leftOut, again:
			continue
		}
		fmt.Fprintf(&b, "%s = %s\n", key, e.table.Raw(key))
	}
	b.WriteString(more)
	var names []string
	for _, c := range e.Columns {
		if c != back {
			names = append(names, document.Quote(c))
		}
	}
	fmt.Fprintf(&b, "columns = [%s]\nrows = [\n", strings.Join(names, ", "))
	for _, r := range rows {
		cells := []string{}
		at := 0
		for _, c := range e.Columns {
			switch text, ok := r.Cells[c]; {
			case c == back:
			case slices.Contains(e.places(), c):
				cells = append(cells, Decimal(r.At[at]))
				at++
			case !ok:
				cells = append(cells, empty)
			default:
				cells = append(cells, text)
			}
		}
		fmt.Fprintf(&b, "  [%s],\n", strings.Join(cells, ", "))
	}
	b.WriteString("]\n")
	return b.String()
}

// First puts a station before all others that are left; one that is not among them is added. What was to be measured
// again no longer is.
func (e *Entry) First(s Station) ([]byte, error) {
	if e.Returning() {
		return nil, ErrReturning
	}
	left := []Station{s}
	for _, o := range e.rest() {
		if !o.same(s) {
			left = append(left, o)
		}
	}
	return e.steps(append(e.without(again), e.leave(left))...)
}
