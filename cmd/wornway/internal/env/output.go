package env

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"wornway/cmd/wornway/internal/disk"
	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/plot"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/safe"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
)

// Output says how a report is to be written.
type Output struct {
	json, markdown bool
	full, rows     bool // all that there is to say; all rows, as somebody said which
	CSV            tableName
	tables         []string // names that --csv knows, empty where they are made with the answer
	List           bool     // plain text for a telephone is asked for in place of the answer
	File           string
	Force          bool
	plot           string   // empty: nothing is drawn
	Also           []string // endings for which the command itself writes something else than the answer
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

// Flags gives a command the flags of its output. tables are the names of all tables that it may answer with.
func (o *Output) Flags(c *cobra.Command, tables ...string) {
	o.tables = tables
	f := c.Flags()
	f.SortFlags = false
	f.BoolVar(&o.full, "full", false, "say all: every row, every step, what was taken for granted")
	f.BoolVar(&o.json, "json", false, "write JSON: plain numbers in the file's unit")
	f.Var(&o.CSV, "csv", "write a table as CSV; --csv=NAME another than the first")
	f.Lookup("csv").NoOptDefVal = firstTable
	f.BoolVar(&o.markdown, "markdown", false, "write Markdown")
	f.StringVarP(&o.File, "output", "o", "", "write to this `file` instead of standard output")
	f.BoolVar(&o.Force, "force", false, "let -o replace an existing file")
	c.PreRunE = func(c *cobra.Command, _ []string) error { return o.Check(c) }
}

// Check refuses more than one way of writing, a table that the command does not have, and a file's name that says
// another way of writing.
func (o *Output) Check(c *cobra.Command) error {
	var given []string
	for _, name := range []string{"json", "csv", "markdown", "list"} {
		if f := c.Flags().Lookup(name); f != nil && f.Changed && f.Value.String() != "false" {
			given = append(given, "--"+name)
		}
	}
	if len(given) > 1 {
		return refuse.Usage(strings.Join(given, " and ")+" do not go together",
			"give one of them; -o FILE keeps each answer in a file of its own")
	}
	if n := string(o.CSV); n != "" && n != firstTable && len(o.tables) > 0 && !slices.Contains(o.tables, n) {
		return noTable(n, o.tables)
	}
	if c.Flags().Changed("output") && o.File == "" {
		return refuse.Usage(`-o "": names no file`, "leave it out to write to standard output")
	}
	every := c.Flags().Lookup("every")
	o.rows = every != nil && every.Changed
	return o.named(c.Flags().Lookup("plot") != nil)
}

// EmitHeld is emit for an answer that may be that the work cannot be held: it then ends with errNotHeld.
func (e *Env) EmitHeld(o Output, r show.Report, first string, held bool) error {
	if err := e.Emit(o, r, first); err != nil {
		return err
	}
	if !held {
		return refuse.ErrNotHeld
	}
	return nil
}

// Cannot says on standard error why nothing can be given that is as asked, and ends with errNotHeld. Where JSON is
// asked for, it is written as well.
func (e *Env) Cannot(o Output, j any, message, hint string) error {
	e.Complain(message, hint)
	if o.json || e.Taken != nil && j != nil {
		if err := e.Emit(o, show.Report{JSON: j}, ""); err != nil {
			return err
		}
	}
	return refuse.ErrNotHeld
}

// Emit writes the report. first names the table that plain --csv writes.
func (e *Env) Emit(o Output, r show.Report, first string) error {
	r.Warnings = ended(r.Warnings)
	if e.Taken != nil {
		e.Taken.Report = r
		return nil
	}
	f := e.Format()
	f.Full, f.Rows = o.full, o.rows
	switch {
	case o.json:
		f.Kind = show.JSON
	case o.CSV != "":
		f.Kind, f.Table = show.CSV, string(o.CSV)
		if o.CSV == firstTable {
			f.Table = first
		}
		if err := hasTable(r, f.Table); err != nil {
			return err
		}
		for _, w := range r.Warnings {
			fmt.Fprintf(e.Stderr, "wornway: warning: %s\n", Shown(safe.Line(w)))
		}
	case o.markdown:
		f.Kind = show.Markdown
	}
	if o.File == "" || o.File == "-" {
		return show.Write(e.Stdout, r, f)
	}
	if e.isRead(o.File) {
		return refuse.With(o.File+" is what the answer was made from; -o would replace it", "give another file name")
	}
	f.Width = 0
	var b bytes.Buffer
	if err := show.Write(&b, r, f); err != nil {
		return err
	}
	return disk.WriteNew(o.File, b.Bytes(), o.Force)
}

// Format is how text is written to standard output.
func (e *Env) Format() show.Format { return show.Format{Width: e.Width(), ASCII: !unicodeLocale()} }

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
	return noTable(name, names)
}

func noTable(name string, names []string) error {
	return refuse.Usage(fmt.Sprintf("--csv=%s: this answer has no such table", name),
		"its tables: "+strings.Join(names, ", "))
}

// Keep writes a file that a command makes, or shows it on standard output where its name is "-"; shown says that it
// has.
func (e *Env) Keep(file string, data []byte, force bool) (shown bool, err error) {
	if file == "-" {
		_, err := e.Stdout.Write(data)
		return true, err
	}
	if e.isRead(file) {
		return false, refuse.With(file+" is what the answer was made from, and would be replaced",
			"give another file name")
	}
	return false, disk.WriteNew(file, data, force)
}

// isRead says whether a file is one that the profile was read from.
func (e *Env) isRead(name string) bool {
	info, err := os.Stat(name)
	if err != nil {
		return false
	}
	for _, r := range e.Read {
		if other, err := os.Stat(r); err == nil && os.SameFile(info, other) {
			return true
		}
	}
	return false
}

// Width is the terminal's width in characters, 0 where standard output is none.
func (e *Env) Width() int {
	if e.Columns > 0 {
		return e.Columns
	}
	if f, ok := e.Stdout.(*os.File); ok {
		if w, _, err := term.GetSize(int(f.Fd())); err == nil {
			return w
		}
	}
	return 0
}

// unicodeLocale says whether the terminal is set to show more than ASCII, by the variables of POSIX in their order.
// Windows, which has none of them, shows it.
func unicodeLocale() bool {
	if runtime.GOOS == "windows" {
		return true
	}
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if v := strings.ToUpper(os.Getenv(name)); v != "" {
			return strings.Contains(v, "UTF-8") || strings.Contains(v, "UTF8")
		}
	}
	return false
}

// Progress tells a person at a terminal, on standard error, what is being done, if it takes more than a second. The
// returned function ends it.
func (e *Env) Progress(what string) (done func()) {
	if !IsTerminal(e.Stderr) {
		return func() {}
	}
	var once sync.Mutex
	over := false
	timer := time.AfterFunc(time.Second, func() {
		once.Lock()
		defer once.Unlock()
		if !over {
			fmt.Fprintf(e.Stderr, "wornway: %s\n", Shown(safe.Line(what)+" …"))
		}
	})
	return func() {
		timer.Stop()
		once.Lock()
		over = true
		once.Unlock()
	}
}

// IsTerminal says whether a reader or writer is a terminal.
func IsTerminal(x any) bool {
	f, ok := x.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// PDF is a document as the bytes of a PDF.
func PDF(d *paper.Doc) ([]byte, error) {
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

// CanWrite refuses a file that exists, or whose folder does not. Whether it can be written shows when it is.
func CanWrite(file string, force bool) error {
	if info, err := os.Stat(file); err == nil && info.Mode().IsRegular() && !force {
		return &disk.ExistsError{Path: file}
	}
	folder := filepath.Dir(file)
	if _, err := os.Stat(folder); errors.Is(err, fs.ErrNotExist) {
		return &disk.Error{Path: file, Reason: "there is no folder " + folder, Err: err}
	}
	return nil
}

// Lists gives a command the flag --list.
func (o *Output) Lists(c *cobra.Command) {
	c.Flags().BoolVar(&o.List, "list", false, "write plain text for a telephone: one stop a line, 40 characters wide")
}

// Draws gives a command the flag --plot.
func (o *Output) Draws(c *cobra.Command) {
	c.Flags().StringVar(&o.plot, "plot", "", "also draw it: `file` that ends in .svg, .png or .pdf")
}

// Draw writes the figure where one was asked for. It is made only then.
func (e *Env) Draw(o Output, figure func() plot.Figure) error {
	if e.Taken != nil {
		e.Taken.Figure = figure
	}
	if o.plot == "" {
		return nil
	}
	kind := strings.ToLower(strings.TrimPrefix(filepath.Ext(o.plot), "."))
	if !slices.Contains(plot.Kinds(), kind) {
		return refuse.Usage(fmt.Sprintf("--plot %s: must end in .svg, .png or .pdf", word.Visible(o.plot)),
			"the ending says what kind of picture it is")
	}
	if e.isRead(o.plot) {
		return refuse.With(o.plot+" is what the answer was made from; --plot would replace it",
			"give another file name")
	}
	if err := CanWrite(o.plot, o.Force); err != nil {
		return err
	}
	var b bytes.Buffer
	if err := figure().Write(&b, kind); err != nil {
		return err
	}
	return disk.WriteNew(o.plot, b.Bytes(), o.Force)
}

// EmitOnce is Emit with something that is to be done once it is clear that the answer can be written, and before it is.
func (e *Env) EmitOnce(o Output, r show.Report, first string, done func() error) error {
	if o.CSV != "" && o.CSV != firstTable {
		if err := hasTable(r, string(o.CSV)); err != nil {
			return err
		}
	}
	if o.File != "" && o.File != "-" && e.isRead(o.File) {
		return e.Emit(o, r, first) // which refuses it
	}
	if err := done(); err != nil {
		return err
	}
	return e.Emit(o, r, first)
}
