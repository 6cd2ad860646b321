// Package show prints the answer of a command: as text for a terminal or a phone, as JSON, as CSV or as Markdown, all
// from one [Report].
//
// A command fills a Report and calls [Write]; nothing else in the program formats tables. Text comes with the answer
// first, then warnings, the tables, remarks, what was assumed, and last the cautions. There is no colour in any of it,
// so NO_COLOR asks for nothing that is not so already. Names come out of files that anybody may have written: control
// characters in them never reach the terminal.
//
// The package does not round: a [Cell] carries the text for people beside the value for other programs, and the caller
// makes both.
package show

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
)

// Report is the answer of a command. Empty parts are left out.
type Report struct {
	Answer   []string // sentences, the answer first
	Tables   []Table
	Remarks  []string // after the tables, such as how a ± is to be read
	Assumed  []string // what was taken for granted, one sentence each
	Warnings []string // before the tables; a caller that writes JSON or CSV passes them on by other means
	Cautions []string // for the safety of people, at the very end
	JSON     any      // what JSON output carries
	// Sketch draws a small picture of the answer as lines of text, no wider than width; it stands after the answer on a
	// terminal alone.
	Sketch func(width int, ascii bool) []string
	Widest int // text: no line is wider where its words allow; 0: the terminal alone says so
}

// Table is one table. Each row has a cell for every column.
type Table struct {
	Name    string // what CSV output is asked for, one lower-case word
	Title   string // for people; may be empty
	Columns []Column
	Rows    [][]Cell
}

// Column describes one column. Numbers stand to the right, which is the default; text stands to the left.
type Column struct {
	Head string // for people, such as "diameter error, thou"; a "\n" breaks the heading there
	Key  string // header in CSV
	Left bool
	// Spare is left out of text where the table would otherwise be wider than the terminal.
	Spare bool
	// Data is for CSV alone: people are not shown the column.
	Data bool
	// Words marks a column whose entries are words: in text they go over several lines where the table would otherwise
	// be wider than the terminal, or than 80 where that is not known.
	Words bool
}

// Cell is one entry of a table.
type Cell struct {
	Text  string // for people
	Value any    // for CSV: float64, int, string or bool; nil is an empty field
}

// Kind is a way of writing a report.
type Kind int

// The ways a report is written.
const (
	Text Kind = iota
	JSON
	CSV
	Markdown
)

// Format says how a report is written.
type Format struct {
	Kind  Kind
	Table string // CSV: name of the table; empty is the first
	Width int    // text: width of the terminal in characters; 0 is no limit, and no terminal
	ASCII bool   // a sketch keeps to ASCII
}

// Write writes the report in one piece: where it cannot be put into the form asked for, there is an error and nothing
// is written. JSON and CSV hold the answer alone; what they leave out (warnings, in CSV also what was assumed) is for
// the caller to pass on.
func Write(w io.Writer, r Report, f Format) error {
	for _, t := range r.Tables {
		if err := t.check(); err != nil {
			return err
		}
	}
	var b bytes.Buffer
	var err error
	if f.Kind == Text || f.Kind == Markdown { // a table of nothing but data is for CSV alone
		r.Tables = slices.DeleteFunc(slices.Clone(r.Tables), func(t Table) bool {
			return !slices.ContainsFunc(t.Columns, func(c Column) bool { return !c.Data })
		})
	}
	switch f.Kind {
	case Text:
		err = writeText(&b, r, f)
	case JSON:
		err = writeJSON(&b, r.JSON)
	case CSV:
		err = writeCSV(&b, r.Tables, f.Table)
	case Markdown:
		err = writeMarkdown(&b, r)
	default:
		err = errors.New("there is no such way of writing a report")
	}
	if err != nil {
		return err
	}
	if _, err := w.Write(b.Bytes()); err != nil {
		return fmt.Errorf("cannot write the answer: %w", err)
	}
	return nil
}

// check finds a table whose rows do not fit its columns.
func (t Table) check() error {
	if len(t.Columns) == 0 {
		return fmt.Errorf("table %q has no columns", t.Name)
	}
	for i, row := range t.Rows {
		if len(row) != len(t.Columns) {
			return fmt.Errorf("table %q, row %d: %d cells for %d columns", t.Name, i+1, len(row), len(t.Columns))
		}
	}
	return nil
}
