// Package show prints the answer of a command: as text for a terminal or a phone, as JSON, as CSV or as Markdown, all
// from one [Report].
//
// A command fills a Report and calls [Write]; nothing else in the program formats tables. Text comes with the answer
// first, then warnings, the tables, remarks, what limits the answer or, in full, all that was assumed, and last the
// cautions. It is short unless the whole is asked for: a Report marks what only the full answer has, and what limits an
// answer is never left to it. JSON and CSV are always whole. No line of text is wider than the terminal, or than 80
// where there is none, but for a word that is longer. There is no colour in any of it,
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
)

// Report is the answer of a command. Empty parts are left out.
type Report struct {
	Answer   []string // sentences, the answer first
	Steps    []string // after the answer, in full alone: what it is made of
	Tables   []Table
	Remarks  []string // after the tables, such as how a ± is to be read
	Notes    []string // after the remarks, in full alone
	Assumed  []string // what was taken for granted, one sentence each; in full alone
	Limits   []string // those of Assumed that limit the answer: they stand in a short answer too
	Warnings []string // before the tables; a caller that writes JSON or CSV passes them on by other means
	Cautions []string // for the safety of people, at the very end
	Usual    []string // those that always go with such work, before the others; a short answer has the first
	Next     []string // at the end of a short answer: what could be asked next
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
	Full    bool // in full alone
	Short   bool // in the short answer alone, where the full one has the same at more length
	// Most is how many rows a short answer shows, 0 for all: every second, every third and so on, with the last of them
	// and those of Keep.
	Most int
	Keep []int
	Fine []int // rows for the full answer alone
}

// Column describes one column. Numbers stand to the right, which is the default; text stands to the left.
type Column struct {
	Head string // for people, such as "diameter error, thou"; a "\n" breaks the heading there
	Key  string // header in CSV
	Left bool
	// Spare is left out of text where the table would otherwise be wider than the terminal, the last such column first;
	// one before a spare ± goes with it.
	Spare bool
	// Full is shown in full alone.
	Full bool
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
	Width int    // text: width of the terminal in characters; 0 is no terminal, and 80
	ASCII bool   // text keeps to ASCII
	Full  bool   // text and Markdown: all of it
	Rows  bool   // text and Markdown: all rows of the tables that are shown
}

// Columns is how many characters wide text is.
func (f Format) Columns() int { return textWidth(f.Width) }

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
	if f.Kind == Text || f.Kind == Markdown {
		r = r.forPeople(f)
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
