package document

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"wornway/profile/length"
)

// ReadRows reads rows of numbers, or text where opts allows it, from CSV. name is what faults call the file.
//
// Cells are separated by semicolons where the first line that is neither empty nor a comment has one, else by tabs
// where it has one, else by commas. A number may be a fraction, such as 3/8 or 2 1/2. Where commas do not separate,
// numbers may have decimal commas, but then all that have decimals. Empty lines, lines of empty cells, and lines that
// begin with # are skipped; so is a byte order mark. Lines may end in LF or CRLF, and a cell may stand in double
// quotes, within its line.
//
// A first line without any number is a header and names the columns. Where opts.Columns is given the header must say
// the same, capitals apart; where it is not, there must be a header, and its names are taken in small letters.
//
// The error is Faults, of which at most twenty are listed. The rows that are right are returned beside it, or given to
// opts.Each, so that what else is wrong with them can be told at once; nil where there are none that could be read as
// rows.
func ReadRows(name string, r io.Reader, opts RowOptions) (*Rows, error) {
	c := &csvReader{name: name, opts: opts, interned: map[string]string{}}
	c.read(r)
	if !c.bad.empty() {
		return c.rows, c.bad.list().Err()
	}
	return c.rows, nil
}

type csvReader struct {
	name     string
	opts     RowOptions
	in       *csv.Reader
	above    int  // lines skipped before the first that counts
	comma    bool // decimal commas are allowed
	named    string
	rows     *Rows
	bad      shortlist
	interned map[string]string

	withPoint, withComma string // first cells with either, and the line of each
	pointLine, commaLine int
	mixed                bool
}

func (c *csvReader) fault(line, column int, key, hint, format string, args ...any) {
	c.bad.add(Fault{File: c.name, Line: line, Column: column, Key: key, Message: fmt.Sprintf(format, args...),
		Hint: hint})
}

// read does the work; what is wrong is left in c.bad.
func (c *csvReader) read(r io.Reader) {
	buffer := bufio.NewReaderSize(&boundedReader{in: r}, 1<<16)
	first, err := c.firstLine(buffer)
	switch {
	case err != nil:
		c.unread(err)
		return
	case len(first) == 0:
		c.fault(0, 0, "", "write a line for each row, such as 4,0.5", "holds no rows")
		return
	case isUTF16(string(first[:min(2, len(first))])):
		c.fault(1, 1, "", "save the file as UTF-8", "the text is UTF-16, not UTF-8")
		return
	}
	c.in = csv.NewReader(io.MultiReader(bytes.NewReader(first), buffer))
	c.in.Comma = separator(first)
	c.comma = c.in.Comma != ','
	c.in.Comment = '#'
	c.in.FieldsPerRecord = -1
	c.in.ReuseRecord = true
	c.in.TrimLeadingSpace = c.in.Comma != '\t' // with tabs it would swallow empty cells
	for start := true; ; {
		record, err := c.in.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			var broken *csv.ParseError
			if errors.As(err, &broken) {
				c.broken(broken)
				continue
			}
			c.unread(err)
			return
		}
		if blank(record) {
			continue
		}
		if start {
			start = false
			header := c.isHeader(record)
			if header || c.opts.Columns == nil {
				if !c.header(record, header) {
					return
				}
			}
			if c.named == "" {
				c.named = "columns names"
			}
			c.rows = newRows(c.opts, c.name, "", len(c.opts.Columns))
			if header {
				continue
			}
		}
		if most := c.opts.most(); c.rows.Before+c.rows.Len() >= most {
			line, column := c.in.FieldPos(0)
			c.fault(line+c.above, column, "", tooManyRowsHint, "%s", tooManyRows)
			break
		}
		c.row(record)
		const chunk = 4096
		if c.opts.Each != nil && c.rows.Len() >= chunk {
			c.opts.Each(c.rows)
			c.rows.clear()
		}
	}
	if c.opts.Each != nil && c.rows != nil && c.rows.Len() > 0 {
		c.opts.Each(c.rows)
	}
	if c.rows == nil && c.bad.empty() {
		c.fault(0, 0, "", "write a line for each row, such as 4,0.5", "holds no rows")
	}
}

// unread says why the file could not be read to its end.
func (c *csvReader) unread(err error) {
	var limit limitError
	if errors.As(err, &limit) {
		c.fault(0, 0, "", limit.hint, "%s", limit.message)
		return
	}
	c.fault(0, 0, "", "see whether it can be opened and copied", "cannot be read: %v", err)
}

// firstLine skips the lines that say nothing and returns the first that does, with its end; empty at the end of the
// file.
func (c *csvReader) firstLine(in *bufio.Reader) ([]byte, error) {
	for {
		line, err := in.ReadBytes('\n')
		if c.above == 0 {
			line = bytes.TrimPrefix(line, []byte(byteOrderMark))
		}
		if err != nil && err != io.EOF {
			return nil, err
		}
		if s := bytes.TrimSpace(line); len(s) > 0 && line[0] != '#' {
			return line, nil
		}
		if err == io.EOF {
			return nil, nil
		}
		c.above++
	}
}

// separator decides by the first line, without what stands in quotes.
func separator(line []byte) rune {
	quoted, tab := false, false
	for _, b := range line {
		switch {
		case b == '"':
			quoted = !quoted
		case quoted:
		case b == ';':
			return ';'
		case b == '\t':
			tab = true
		}
	}
	if tab {
		return '\t'
	}
	return ','
}

func blank(record []string) bool {
	for _, cell := range record {
		if strings.TrimSpace(cell) != "" {
			return false
		}
	}
	return true
}

// isHeader says whether a first line names columns: no cell looks like a number, and one at least like a name. A line
// that already says what the columns are called is a header in any case.
func (c *csvReader) isHeader(record []string) bool {
	if c.opts.Columns != nil && slices.EqualFunc(record, c.opts.Columns, sameName) {
		return true
	}
	names := 0
	for i, cell := range record {
		cell = strings.TrimSpace(cell)
		if cell == "" || i < len(c.opts.Columns) && c.opts.Text[c.opts.Columns[i]] {
			continue
		}
		first, _ := utf8.DecodeRuneInString(cell)
		_, err := ParseNumber(cell, c.comma)
		if err == nil || !unicode.IsLetter(first) && first != '_' || strings.HasSuffix(err.Error(), "can be used") {
			return false
		}
		names++
	}
	return names > 0
}

func sameName(a, b string) bool { return strings.EqualFold(strings.TrimSpace(a), b) }

// header takes the columns' names from the first line, or compares them with those wanted.
func (c *csvReader) header(record []string, is bool) bool {
	line, column := c.in.FieldPos(0)
	line += c.above
	if !is {
		c.fault(line, column, "", "put the columns' names in the first line, for instance position,reading",
			"the first line names no columns")
		return false
	}
	c.named = "the header names"
	if c.opts.Columns != nil {
		if !slices.EqualFunc(record, c.opts.Columns, sameName) {
			c.fault(line, column, "", "give the same names in the same order", "the header names %s; expected are %s",
				list(record), list(c.opts.Columns))
			return false
		}
		return true
	}
	names := make([]string, len(record))
	shift, ok := 0, true
	for i, cell := range record {
		_, column := c.in.FieldPos(i)
		column -= shift
		shift += len(cell) - utf8.RuneCountInString(cell)
		names[i] = strings.ToLower(strings.TrimSpace(cell))
		switch {
		case names[i] == "":
			c.fault(line, column, "", "name it, or leave the column out", "column %d has no name", i+1)
			ok = false
		case slices.Contains(names[:i], names[i]):
			c.fault(line, column, "", "leave one of them out, or name it otherwise", "two columns are called %s",
				names[i])
			ok = false
		case !utf8.ValidString(cell):
			c.fault(line, column, "", "save the file as UTF-8", "the text is not valid UTF-8")
			ok = false
		}
	}
	c.opts.Columns = names
	return ok
}

func list(names []string) string {
	trimmed := make([]string, len(names))
	for i, n := range names {
		trimmed[i] = strings.TrimSpace(n)
		if trimmed[i] == "" {
			trimmed[i] = `""`
		}
	}
	return strings.Join(trimmed, ", ")
}

// row adds a row, or what is wrong with it.
func (c *csvReader) row(record []string) {
	line, column := c.in.FieldPos(0)
	last, _ := c.in.FieldPos(len(record) - 1)
	if last != line || strings.IndexByte(record[len(record)-1], '\n') >= 0 {
		c.fault(line+c.above, column, "", "close the quotes in the same line",
			"a cell in quotes runs over the end of the line")
		return
	}
	line += c.above
	if len(record) != c.rows.width {
		hint := "give each row a cell for each column"
		if c.in.Comma == ',' && c.rows.width > 0 && len(record) == 2*c.rows.width {
			hint = "if these are decimal commas, separate the cells by semicolons"
		}
		c.fault(line, column, "", hint, "row has %s, %s %d", count(len(record), "entry", "entries"), c.named,
			c.rows.width)
		return
	}
	c.rows.lines = append(c.rows.lines, int32(line))
	before := c.bad.count()
	shift := 0 // bytes beyond characters, to the left of the cell
	for i, cell := range record {
		_, column := c.in.FieldPos(i)
		column -= shift
		if column > math.MaxUint16 {
			column = 0
		}
		c.rows.columns = append(c.rows.columns, uint16(column))
		n, ok := plainNumber(cell)
		if !ok || c.rows.mayBeText(i) || c.comma {
			shift += len(cell) - utf8.RuneCountInString(cell)
			n, cell = c.cell(i, line, column, cell)
		}
		c.rows.push(i, n, cell)
	}
	if c.bad.count() > before {
		c.rows.pop()
	}
}

// cell reads a cell that is not plainly a number.
func (c *csvReader) cell(i, line, column int, raw string) (float64, string) {
	cell := strings.TrimSpace(raw)
	name := columnName(c.opts.Columns, i)
	if cell == "" {
		if !c.opts.Optional[name] {
			c.fault(line, column, name, emptyHint, "is empty")
		}
		return math.NaN(), ""
	}
	n, err := ParseNumber(cell, c.comma)
	if err != nil && strings.Contains(cell, "/") && !c.rows.mayBeText(i) {
		if v, odd := length.ParseNumber(strings.ReplaceAll(cell, "\u2212", "-")); odd == nil {
			n, err = v, nil // no blank parts cells, so that 2 1/2 can be read in one way only
		}
	}
	if c.rows.mayBeText(i) {
		if !utf8.ValidString(cell) {
			c.fault(line, column, name, "save the file as UTF-8", "the text is not valid UTF-8")
		}
		if err != nil {
			n = math.NaN()
		}
		return n, c.intern(cell)
	}
	if err != nil {
		f := Fault{}
		errors.As(err, &f)
		c.fault(line, column, name, f.Hint, "%s", f.Message)
		return math.NaN(), ""
	}
	if c.comma {
		c.decimal(line, column, name, cell)
	}
	return n, ""
}

// decimal notes which decimal mark a number has; a file that has both is not to be trusted, since one of them may be a
// mark between thousands.
func (c *csvReader) decimal(line, column int, name, cell string) {
	comma := strings.IndexByte(cell, ',') >= 0
	point := strings.IndexByte(cell, '.') >= 0
	if comma && c.withComma == "" {
		c.withComma, c.commaLine = strings.Clone(cell), line
	}
	if point && c.withPoint == "" {
		c.withPoint, c.pointLine = strings.Clone(cell), line
	}
	if c.mixed || c.withComma == "" || c.withPoint == "" {
		return
	}
	c.mixed = true
	hint := "use one decimal mark throughout"
	if comma {
		c.fault(line, column, name, hint, "%s has a decimal comma, but %s on line %d has a point", cell, c.withPoint,
			c.pointLine)
	} else {
		c.fault(line, column, name, hint, "%s has a decimal point, but %s on line %d has a comma", cell, c.withComma,
			c.commaLine)
	}
}

// intern keeps one copy of each text, apart from the line it was read in; such columns repeat a few words.
func (c *csvReader) intern(s string) string {
	if kept, ok := c.interned[s]; ok {
		return kept
	}
	s = strings.Clone(s)
	if len(c.interned) < 1024 {
		c.interned[s] = s
	}
	return s
}

// broken explains what encoding/csv could not take apart.
func (c *csvReader) broken(err *csv.ParseError) {
	switch {
	case errors.Is(err, csv.ErrBareQuote):
		c.fault(err.Line+c.above, err.Column, "", "write numbers without an inch mark; begin and end a quoted cell "+
			"with the quote mark", "a quote mark stands within a cell")
	case errors.Is(err, csv.ErrQuote):
		c.fault(err.StartLine+c.above, 0, "", "end a cell in quotes with a quote mark",
			"a quote mark is missing or stands in the wrong place")
	default:
		c.fault(err.Line+c.above, err.Column, "", "write plain cells with the separator between them", "%v", err.Err)
	}
}
