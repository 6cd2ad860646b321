package collars

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/profile/document"
	"wornway/profile/length"
)

// Fewest and most rows that a table has: fewer show no curve, and each row goes with each.
const (
	Fewest = 5
	Most   = 100
)

// Columns are the columns that a table may have; the first two it must.
var Columns = []string{"position", "diameter", "cut", "depth"}

// Table is collars as they were measured, cut by cut.
type Table struct {
	Cuts []Cut
}

// Cut is what was turned at one setting of the dial. Lengths mm.
type Cut struct {
	Number    int     // as the table has it; 1 where it has no such column
	Depth     float64 // depth of cut; NaN: not given
	Positions []float64
	Diameters []float64
}

// Is says whether a text is such a table and no profile: whether its first line that says anything names a position and
// a diameter.
func Is(data []byte) bool {
	_, line := heading(data)
	if strings.ContainsAny(line, "[=") {
		return false
	}
	names := strings.FieldsFunc(line, func(r rune) bool { return strings.ContainsRune(",;\t\" ", r) })
	return slices.Contains(names, "position") && slices.Contains(names, "diameter")
}

// Headless returns what is wrong with a text that looks like a table, and no profile, but for its heading; nil where it
// does not.
func Headless(name string, data []byte) error {
	number, line := heading(data)
	if Is(data) || strings.ContainsAny(line, "[=\"") || !strings.ContainsAny(line, ",;\t") {
		return nil
	}
	return document.Faults{{File: name, Line: number, Message: "the first line of a table of collars names its " +
		"columns, and this one does not", Hint: "write position,diameter above the rows; where there are several " +
		"cuts position,diameter,cut, and 1, 2, … at the end of each row"}}
}

// heading returns the first line that says anything, in small letters, with its number.
func heading(data []byte) (number int, line string) {
	for line = range strings.Lines(strings.TrimPrefix(string(data), "\uFEFF")) {
		number++
		if line = strings.ToLower(strings.TrimSpace(line)); line != "" && !strings.HasPrefix(line, "#") {
			return number, line
		}
	}
	return number, ""
}

// Parse reads a table in CSV whose first line names its columns. Positions are in the unit, diameters in the reading's,
// depths as positions are. name is what faults call the file. The error is document.Faults.
func Parse(name string, data []byte, unit, reading length.Unit) (*Table, error) {
	if err := Headless(name, data); err != nil {
		return nil, err
	}
	rows, err := document.ReadRows(name, bytes.NewReader(data), document.RowOptions{
		Optional: map[string]bool{"cut": true, "depth": true}})
	var bad document.Faults
	if err != nil && rows == nil {
		return nil, err
	}
	if faults, ok := err.(document.Faults); ok {
		bad = faults
	}
	unread := map[int]bool{} // lines of rows that could not be read
	for _, f := range bad {
		unread[f.Line] = true
	}
	p := parser{rows: rows, unit: unit, reading: reading, bad: bad}
	p.columns(name)
	if p.at < 0 || p.size < 0 {
		return nil, p.bad.Err()
	}
	t := &Table{}
	for i := range rows.Len() {
		p.row(t, i)
	}
	p.table(t, name, unread)
	slices.SortFunc(t.Cuts, func(a, b Cut) int { return cmp.Compare(a.Number, b.Number) })
	return t, p.bad.Err()
}

type parser struct {
	rows                   *document.Rows
	unit, reading          length.Unit
	at, size, number, deep int
	bad                    document.Faults
	usual                  float64 // the first diameter, with which the others are compared
}

func (p *parser) columns(name string) {
	p.at, p.size = p.rows.Column("position"), p.rows.Column("diameter")
	p.number, p.deep = p.rows.Column("cut"), p.rows.Column("depth")
	for i, c := range Columns[:2] {
		if []int{p.at, p.size}[i] < 0 {
			p.bad = append(p.bad, document.Fault{File: name, Line: 1, Key: c, Message: "there is no such column",
				Hint: "name the columns in the first line: position,diameter"})
		}
	}
	for _, c := range p.rows.Columns {
		if !slices.Contains(Columns, c) {
			p.bad = append(p.bad, document.Fault{File: name, Line: 1, Key: c,
				Message: "is no column of a table of collars", Hint: "it may have " + strings.Join(Columns, ", ")})
		}
	}
}

// limits of what is turned, mm
const (
	farthest = 1e5
	thinnest = 1
	thickest = 2000
	deepest  = 20
)

// spelled is a unit as it follows the word in.
func spelled(u length.Unit) string {
	switch u {
	case length.Inch:
		return "inches"
	case length.Millimetre:
		return "millimetres"
	}
	return u.String()
}

// NoDepth says of a depth of cut that it is none.
const NoDepth = "is no depth of a finishing cut"

// IsDepth says whether so many mm can be the depth of a cut.
func IsDepth(mm float64) bool { return mm > 0 && mm <= deepest }

// row puts a row to its cut, or notes what is wrong with it.
func (p *parser) row(t *Table, i int) {
	fault := func(col int, message, hint string) { p.bad = append(p.bad, p.rows.Fault(i, col, message, hint)) }
	z, d := p.unit.ToMM(p.rows.Number(i, p.at)), p.reading.ToMM(p.rows.Number(i, p.size))
	sane := true
	if !(math.Abs(z) <= farthest) {
		fault(p.at, "is longer than any lathe", "positions count from the spindle nose, in "+p.unit.String())
		sane = false
	}
	switch {
	case !(d >= thinnest && d <= thickest):
		fault(p.size, "is no bar's diameter, counted in "+spelled(p.reading),
			"write the whole diameter; --reading-unit says its unit")
		sane = false
	case p.usual == 0:
		p.usual = d
	case math.Abs(d-p.usual) > p.usual/10:
		fault(p.size, "is far from the other collars'", "all are collars of one bar, by whole diameters")
		sane = false
	}
	number, depth := 1, math.NaN()
	if p.number >= 0 && !p.rows.Absent(i, p.number) {
		n := p.rows.Number(i, p.number)
		if n != math.Trunc(n) || n < 1 || n > Most {
			fault(p.number, "must be a whole number from 1", "number the cuts 1, 2, 3, one for each setting of the "+
				"dial")
			sane = false
		}
		number = int(n)
	}
	if p.deep >= 0 && !p.rows.Absent(i, p.deep) {
		if depth = p.unit.ToMM(p.rows.Number(i, p.deep)); !IsDepth(depth) {
			fault(p.deep, NoDepth, "give it in "+spelled(p.unit)+", on the radius, or leave the cell empty")
			sane = false
		}
	}
	if !sane {
		return
	}
	k := slices.IndexFunc(t.Cuts, func(c Cut) bool { return c.Number == number })
	if k < 0 {
		k = len(t.Cuts)
		t.Cuts = append(t.Cuts, Cut{Number: number, Depth: depth})
	}
	c := &t.Cuts[k]
	if math.IsNaN(c.Depth) {
		c.Depth = depth
	} else if !math.IsNaN(depth) && math.Abs(depth-c.Depth) > 1e-9 {
		fault(p.deep, fmt.Sprintf("differs from the depth that cut %d has above", number),
			"a cut has one depth; give another its own number in a column cut")
	}
	c.Positions, c.Diameters = append(c.Positions, z), append(c.Diameters, d)
}

// table notes what is wrong with the whole. The rows on lines that could not be read count as rows.
func (p *parser) table(t *Table, name string, unread map[int]bool) {
	fault := func(hint, format string, args ...any) {
		p.bad = append(p.bad, document.Fault{File: name, Message: fmt.Sprintf(format, args...), Hint: hint})
	}
	n := p.rows.Len() + len(unread)
	switch {
	case n > Most:
		fault("give the mean of neighbours", "holds %d rows, and at most %d can be used", n, Most)
	case n < Fewest:
		fault("turn and measure five collars or more: fewer show no curve", "holds %d rows, and five are needed", n)
	case len(p.bad) == 0 && t.places() < 3:
		fault("measure them at different places along the bar", "the collars lie in fewer than three places")
	}
	for _, c := range t.Cuts {
		if len(p.bad) == 0 && len(c.Positions) < 2 {
			fault("leave it out, or measure it at two places or more", "cut %d has one row, which says "+
				"nothing", c.Number)
		}
	}
}

// places counts the different positions.
func (t *Table) places() int { return len(t.positions()) }

// positions returns the different positions, ascending.
func (t *Table) positions() []float64 {
	var all []float64
	for _, c := range t.Cuts {
		all = append(all, c.Positions...)
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// Range is the stretch from the first collar to the last, mm.
func (t *Table) Range() (from, to float64) {
	all := t.positions()
	return all[0], all[len(all)-1]
}

// Diameter is the bar's, mm: the median of all collars', which one that is misread hardly changes.
func (t *Table) Diameter() float64 {
	var all []float64
	for _, c := range t.Cuts {
		all = append(all, c.Diameters...)
	}
	slices.Sort(all)
	n := len(all)
	return (all[(n-1)/2] + all[n/2]) / 2
}

// Rows counts the collars of all cuts.
func (t *Table) Rows() int {
	n := 0
	for _, c := range t.Cuts {
		n += len(c.Positions)
	}
	return n
}
