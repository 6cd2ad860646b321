package main

import (
	"bytes"
	"fmt"
	"os"
	"sync"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"wornway/cmd/wornway/internal/disk"
	"wornway/cmd/wornway/internal/show"
)

// output says how a report is to be written.
type output struct {
	json, markdown bool
	csv            string
	file           string
	force          bool
}

const firstTable = "\x00" // --csv without a name

func (o *output) flags(c *cobra.Command) {
	f := c.Flags()
	f.SortFlags = false
	f.BoolVar(&o.json, "json", false, "write JSON: plain numbers in the file's unit")
	f.StringVar(&o.csv, "csv", "", "write a table as CSV; --csv=NAME another than the first")
	f.Lookup("csv").NoOptDefVal = firstTable
	f.BoolVar(&o.markdown, "markdown", false, "write Markdown")
	f.StringVarP(&o.file, "output", "o", "", "write to this `file` instead of standard output")
	f.BoolVar(&o.force, "force", false, "let -o replace an existing file")
	c.MarkFlagsMutuallyExclusive("json", "csv", "markdown")
}

// emit writes the report. first names the table that plain --csv writes.
func (e *env) emit(o output, r show.Report, first string) error {
	f := show.Format{Width: e.width()}
	switch {
	case o.json:
		f.Kind = show.JSON
	case o.csv != "":
		f.Kind, f.Table = show.CSV, o.csv
		if o.csv == firstTable {
			f.Table = first
		}
		for _, w := range r.Warnings {
			fmt.Fprintf(e.stderr, "wornway: warning: %s\n", w)
		}
	case o.markdown:
		f.Kind = show.Markdown
	}
	if o.file == "" {
		return show.Write(e.stdout, r, f)
	}
	f.Width = 0
	var b bytes.Buffer
	if err := show.Write(&b, r, f); err != nil {
		return err
	}
	return disk.WriteNew(o.file, b.Bytes(), o.force)
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

// progress tells on standard error what is being done, if it takes more than a second. The returned function ends it.
func (e *env) progress(what string) (done func()) {
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
