package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"wornway/cmd/wornway/internal/disk"
	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/show"
)

// output says how a report is to be written.
type output struct {
	json, markdown bool
	csv            tableName
	file           string
	force          bool
	plot           string   // empty: nothing is drawn
	also           []string // endings for which the command itself writes something else than the answer
}

const firstTable = "first" // --csv without a name

// tableName is the value of --csv: which table is wanted, empty for none.
type tableName string

func (t *tableName) Set(s string) error {
	if s == "" {
		return errors.New("names no table")
	}
	*t = tableName(s)
	return nil
}

func (t *tableName) String() string { return string(*t) }

// Type names the kind of value in a command's help.
func (t *tableName) Type() string { return "table" }

func (o *output) flags(c *cobra.Command) {
	f := c.Flags()
	f.SortFlags = false
	f.BoolVar(&o.json, "json", false, "write JSON: plain numbers in the file's unit")
	f.Var(&o.csv, "csv", "write a table as CSV; --csv=NAME another than the first")
	f.Lookup("csv").NoOptDefVal = firstTable
	f.BoolVar(&o.markdown, "markdown", false, "write Markdown")
	f.StringVarP(&o.file, "output", "o", "", "write to this `file` instead of standard output")
	f.BoolVar(&o.force, "force", false, "let -o replace an existing file")
	c.PreRunE = func(c *cobra.Command, _ []string) error { return o.check(c) }
}

// check refuses more than one way of writing, and a file's name that says another.
func (o *output) check(c *cobra.Command) error {
	var given []string
	for _, name := range []string{"json", "csv", "markdown"} {
		if f := c.Flags().Lookup(name); f.Changed && f.Value.String() != "false" {
			given = append(given, "--"+name)
		}
	}
	if len(given) > 1 {
		return refuse.Usage(strings.Join(given, " and ")+" do not go together",
			"give one of them; -o FILE keeps each answer in a file of its own")
	}
	if c.Flags().Changed("output") && o.file == "" {
		return refuse.Usage(`-o "": names no file`, "leave it out to write to standard output")
	}
	return o.named(c.Flags().Lookup("plot") != nil)
}

// emitHeld is emit for an answer that may be that the work cannot be held: it then ends with errNotHeld.
func (e *env) emitHeld(o output, r show.Report, first string, held bool) error {
	if err := e.emit(o, r, first); err != nil {
		return err
	}
	if !held {
		return refuse.NotHeld
	}
	return nil
}

// cannot says on standard error why nothing can be given that is as asked, and ends with errNotHeld. Where JSON is
// asked for, it is written as well.
func (e *env) cannot(o output, j any, message, hint string) error {
	e.complain(message, hint)
	if o.json {
		if err := e.emit(o, show.Report{JSON: j}, ""); err != nil {
			return err
		}
	}
	return refuse.NotHeld
}

// emit writes the report. first names the table that plain --csv writes.
func (e *env) emit(o output, r show.Report, first string) error {
	r.Warnings = ended(r.Warnings)
	f := show.Format{Width: e.width()}
	switch {
	case o.json:
		f.Kind = show.JSON
	case o.csv != "":
		f.Kind, f.Table = show.CSV, string(o.csv)
		if o.csv == firstTable {
			f.Table = first
		}
		if err := hasTable(r, f.Table); err != nil {
			return err
		}
		for _, w := range r.Warnings {
			fmt.Fprintf(e.stderr, "wornway: warning: %s\n", w)
		}
	case o.markdown:
		f.Kind = show.Markdown
	}
	if o.file == "" || o.file == "-" {
		return show.Write(e.stdout, r, f)
	}
	if e.isRead(o.file) {
		return refuse.With(o.file+" is what the answer was made from; -o would replace it", "give another file name")
	}
	f.Width = 0
	var b bytes.Buffer
	if err := show.Write(&b, r, f); err != nil {
		return err
	}
	return disk.WriteNew(o.file, b.Bytes(), o.force)
}

// ended gives every sentence its full stop.
func ended(sentences []string) []string {
	out := make([]string, len(sentences))
	for i, s := range sentences {
		if !strings.HasSuffix(s, ".") && !strings.HasSuffix(s, "?") {
			s += "."
		}
		out[i] = s
	}
	return out
}

// hasTable refuses the name of a table that the answer does not have.
func hasTable(r show.Report, name string) error {
	var names []string
	for _, t := range r.Tables {
		if t.Name == name {
			return nil
		}
		names = append(names, t.Name)
	}
	return refuse.Usage(fmt.Sprintf("--csv=%s: this answer has no such table", name),
		"its tables: "+strings.Join(names, ", "))
}

// keep writes a file that a command makes, or shows it on standard output where its name is "-"; shown says that it
// has.
func (e *env) keep(file string, data []byte, force bool) (shown bool, err error) {
	if file == "-" {
		_, err := e.stdout.Write(data)
		return true, err
	}
	if e.isRead(file) {
		return false, refuse.With(file+" is what the answer was made from, and would be replaced",
			"give another file name")
	}
	return false, disk.WriteNew(file, data, force)
}

// isRead says whether a file is one that the profile was read from.
func (e *env) isRead(name string) bool {
	info, err := os.Stat(name)
	if err != nil {
		return false
	}
	for _, r := range e.read {
		if other, err := os.Stat(r); err == nil && os.SameFile(info, other) {
			return true
		}
	}
	return false
}

// width is the terminal's width in characters, 0 where standard output is none.
func (e *env) width() int {
	if f, ok := e.stdout.(*os.File); ok {
		if w, _, err := term.GetSize(int(f.Fd())); err == nil {
			return w
		}
	}
	return 0
}

// progress tells a person at a terminal, on standard error, what is being done, if it takes more than a second. The
// returned function ends it.
func (e *env) progress(what string) (done func()) {
	if !isTerminal(e.stderr) {
		return func() {}
	}
	var once sync.Mutex
	over := false
	timer := time.AfterFunc(time.Second, func() {
		once.Lock()
		defer once.Unlock()
		if !over {
			fmt.Fprintf(e.stderr, "wornway: %s …\n", what)
		}
	})
	return func() {
		timer.Stop()
		once.Lock()
		over = true
		once.Unlock()
	}
}

// isTerminal says whether a reader or writer is a terminal.
func isTerminal(x any) bool {
	f, ok := x.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// pdfOf is a document as the bytes of a PDF.
func pdfOf(d *paper.Doc) ([]byte, error) {
	var b bytes.Buffer
	err := d.Output(&b)
	var full *paper.RoomError
	switch {
	case errors.As(err, &full):
		return nil, refuse.With("the page cannot be printed: "+err.Error(),
			"give the lathe and the features shorter names, or take a larger --paper")
	case err != nil:
		return nil, refuse.With("the page cannot be printed: "+err.Error(),
			"give the lathe, the job and its features names in other characters")
	}
	return b.Bytes(), nil
}
