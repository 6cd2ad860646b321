package document

import (
	"fmt"
	"math"
	"strings"
)

// RowOptions says what rows look like. The zero value: columns without names, all of them numbers, none left out; a CSV
// file then needs a header.
type RowOptions struct {
	Columns  []string        // the columns' names, in order
	Text     map[string]bool // columns that may hold text in place of a number
	Optional map[string]bool // columns whose cells may be empty (in TOML: "")
	// Each is given the rows of a CSV file some thousand at a time, as soon as they are read; the next ones take their
	// place. The Rows returned at the end then holds the last of them only. Rows that are wrong are left out; what is
	// wrong is returned at the end as ever. Nil: all rows are kept and returned.
	Each func(*Rows)
	// Read is how many rows were read before from other places: together they are no more than maxRows.
	Read int
}

// most is how many rows there may still be.
func (o RowOptions) most() int { return max(maxRows-o.Read, 0) }

// Rows is a rectangle of readings, from a key of a TOML file or from a CSV file. Rows and columns count from 0 in its
// methods.
type Rows struct {
	File    string
	Key     string    // path of the key in a TOML file; empty for CSV
	Columns []string  // nil where the columns have no names
	Data    []float64 // row by row; NaN where a cell is empty or text
	Before  int       // rows that were read before the first of these, see RowOptions.Each

	width int
	texts [][]string // by column; nil for columns of numbers

	// Where the cells stand: in a TOML file by their offsets, in a CSV file by line and column.
	doc     *Document
	offsets []int32
	origin  []int32 // of rows in a TOML file, which of those written; nil where none was left out
	lines   []int32
	columns []uint16 // 0: too far along the line to say
}

func newRows(opts RowOptions, file, key string, width int) *Rows {
	r := &Rows{File: file, Key: key, Columns: opts.Columns, width: width}
	for i, name := range opts.Columns {
		if opts.Text[name] {
			if r.texts == nil {
				r.texts = make([][]string, width)
			}
			r.texts[i] = []string{}
		}
	}
	return r
}

// Len is the number of rows.
func (r *Rows) Len() int {
	if r.width == 0 {
		return 0
	}
	return len(r.Data) / r.width
}

// Width is the number of columns.
func (r *Rows) Width() int { return r.width }

// Column is the index of a named column, or -1.
func (r *Rows) Column(name string) int {
	for i, c := range r.Columns {
		if c == name {
			return i
		}
	}
	return -1
}

// Row is the numbers of one row; the slice is part of Data.
func (r *Rows) Row(row int) []float64 { return r.Data[row*r.width : (row+1)*r.width : (row+1)*r.width] }

// Number is a cell's number, NaN where it is empty or text.
func (r *Rows) Number(row, col int) float64 { return r.Data[row*r.width+col] }

// Text is what a cell of a text column says; empty for other columns. A number in a text column is both Number and
// Text.
func (r *Rows) Text(row, col int) string {
	if !r.mayBeText(col) {
		return ""
	}
	return r.texts[col][row]
}

// IsText says whether a cell holds text that is no number.
func (r *Rows) IsText(row, col int) bool {
	return r.Text(row, col) != "" && math.IsNaN(r.Number(row, col))
}

// Absent says whether a cell of an optional column is empty.
func (r *Rows) Absent(row, col int) bool {
	return math.IsNaN(r.Number(row, col)) && r.Text(row, col) == ""
}

func (r *Rows) mayBeText(col int) bool { return r.texts != nil && r.texts[col] != nil }

// At is the position of a cell; of the row where col is negative.
func (r *Rows) At(row, col int) Pos {
	i := row*r.width + max(col, 0)
	if r.doc != nil {
		return r.doc.pos(int(r.offsets[i]))
	}
	return Pos{Line: int(r.lines[row]), Column: int(r.columns[i])}
}

// Fault makes a fault at a cell, or about the whole row where col is negative. It belongs to the caller, who may give
// it to Document.Add.
func (r *Rows) Fault(row, col int, message, hint string) Fault {
	p := r.At(row, col)
	f := Fault{File: r.File, Line: p.Line, Column: p.Column, Key: r.Key, Message: message, Hint: hint}
	switch {
	case r.Key != "" && col >= 0:
		f.Message = fmt.Sprintf("row %d, %s: %s", r.number(row), r.name(col), message)
	case r.Key != "":
		f.Message = fmt.Sprintf("row %d: %s", r.number(row), message)
	case col >= 0:
		f.Key = r.name(col)
	}
	return f
}

// number is that of a row as people count them, from 1, wrong ones too.
func (r *Rows) number(row int) int {
	if r.origin != nil {
		return int(r.origin[row]) + 1
	}
	return r.Before + row + 1
}

func (r *Rows) name(col int) string { return columnName(r.Columns, col) }

func columnName(columns []string, col int) string {
	if col < len(columns) {
		return columns[col]
	}
	return fmt.Sprintf("column %d", col+1)
}

// clear forgets the rows and counts them as read before.
func (r *Rows) clear() {
	r.Before += r.Len()
	r.Data, r.lines, r.columns = r.Data[:0], r.lines[:0], r.columns[:0]
	for i := range r.texts {
		if r.texts[i] != nil {
			r.texts[i] = r.texts[i][:0]
		}
	}
}

// pop takes back the last row, whose cells have all been pushed.
func (r *Rows) pop() {
	r.Data = r.Data[:len(r.Data)-r.width]
	for i := range r.texts {
		if r.texts[i] != nil {
			r.texts[i] = r.texts[i][:len(r.texts[i])-1]
		}
	}
	if r.doc != nil {
		r.offsets = r.offsets[:len(r.offsets)-r.width]
		return
	}
	r.lines = r.lines[:len(r.lines)-1]
	r.columns = r.columns[:len(r.columns)-r.width]
}

// push adds a cell at the end. text is kept for text columns only.
func (r *Rows) push(col int, number float64, text string) {
	r.Data = append(r.Data, number)
	if r.mayBeText(col) {
		r.texts[col] = append(r.texts[col], text)
	}
}

// Rows reads a list of rows, [[1, 2], [3, 4]]. All rows have as many entries as there are columns, or, without names,
// as the first row. Where anything in them is wrong, ok is false and the faults are noted, at most twenty of them; the
// rows that are right are returned all the same, so that what else is wrong with them can be told at once. They are nil
// where there is nothing that could be read as rows.
func (t *Table) Rows(key string, opts RowOptions) (*Rows, bool) {
	e := t.take(key)
	if e == nil {
		return nil, false
	}
	v := &e.value
	if v.kind != arrayKind || v.headed {
		t.wrong(key, v, "write [[1, 2], [3, 4]]", "must be a list of rows, each in brackets")
		return nil, false
	}
	if len(v.items) > 0 && v.items[0].kind != arrayKind && v.items[0].kind != tableKind {
		t.wrong(key, v, "each row needs brackets of its own: [[1, 2], [3, 4]]",
			"must be a list of rows, each in brackets")
		return nil, false
	}
	if most := opts.most(); len(v.items) > most {
		t.wrongItem(key, most, &v.items[most], tooManyRowsHint, tooManyRows)
		return nil, false
	}
	width := len(opts.Columns)
	if opts.Columns == nil && len(v.items) > 0 {
		width = len(v.items[0].items)
	}
	r := newRows(opts, t.doc.name, join(t.path, key), width)
	r.doc = t.doc
	r.Data = make([]float64, 0, width*len(v.items))
	r.offsets = make([]int32, 0, width*len(v.items))
	var bad shortlist
	var origin []int32
	for i := range v.items {
		if r.inlineRow(i, &v.items[i], opts, &bad) {
			origin = append(origin, int32(i))
		}
	}
	if !bad.empty() {
		t.doc.faults = append(t.doc.faults, bad.list()...)
		r.origin = origin
		return r, false
	}
	return r, true
}

// emptyHint goes with a cell that must not be empty.
const emptyHint = "write its number, or leave the row out"

// inlineRow adds a row, or what is wrong with it, and says which.
func (r *Rows) inlineRow(i int, row *value, opts RowOptions, bad *shortlist) (ok bool) {
	right := true
	fault := func(at int32, hint, format string, args ...any) {
		right = false
		p := r.doc.pos(int(at))
		bad.add(Fault{File: r.File, Line: p.Line, Column: p.Column, Key: r.Key,
			Message: fmt.Sprintf("row %d", i+1) + fmt.Sprintf(format, args...), Hint: hint})
	}
	if row.kind != arrayKind {
		fault(row.start, "write it as [1, 2]", " = %s: must be a list in brackets", shorten(r.doc.raw(row)))
		return false
	}
	if len(row.items) == 0 && r.width == 0 {
		fault(row.start, "leave the empty row out", " is empty")
		return false
	}
	if len(row.items) != r.width {
		other := fmt.Sprintf("columns names %d", r.width)
		if opts.Columns == nil {
			other = fmt.Sprintf("row 1 has %d", r.width)
		}
		hint := decimalCommaHint(r.doc, row, r.width)
		if hint == "" {
			hint = "give each row an entry for each column"
		}
		fault(row.start, hint, " has %s, %s",
			count(len(row.items), "entry", "entries"), other)
		return false
	}
	for col := range row.items {
		c := &row.items[col]
		name := columnName(opts.Columns, col)
		r.offsets = append(r.offsets, c.start)
		if c.kind == textKind {
			text := strings.TrimSpace(c.text)
			if text == "" && opts.Optional[name] || text != "" && r.mayBeText(col) {
				r.push(col, math.NaN(), text)
				continue
			}
		}
		n, message, hint := r.doc.number(c)
		if message != "" {
			if c.kind == textKind && c.text == "" {
				message, hint = "is empty", emptyHint
			}
			fault(c.start, hint, ", %s = %s: %s", name, shorten(r.doc.raw(c)), message)
		}
		r.push(col, n, r.doc.raw(c))
	}
	if !right {
		r.pop()
	}
	return right
}

// decimalCommaHint helps where 2,5 was written for 2.5 in a row, which TOML takes for two numbers.
func decimalCommaHint(d *Document, row *value, width int) string {
	if len(row.items) <= width || len(row.items) > 2*width {
		return ""
	}
	for i := 0; i+1 < len(row.items); i++ {
		a, b := &row.items[i], &row.items[i+1]
		if a.kind == integerKind && b.kind == integerKind && int(b.start) == int(a.end)+1 {
			return "if " + d.text[a.start:b.end] + " is one number, write a decimal point: " + d.raw(a) + "." + d.raw(b)
		}
	}
	return ""
}
