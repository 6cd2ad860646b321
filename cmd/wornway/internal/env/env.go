package env

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"time"

	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/safe"
	"wornway/cmd/wornway/internal/show"
	"wornway/compensate/jobfile"
	"wornway/profile"
	"wornway/profile/document"
)

// Env is what a command works with.
type Env struct {
	Ctx            context.Context
	Stdin          io.Reader
	Stdout, Stderr io.Writer
	Open           func(name string) (*profile.Profile, error)
	Job            func(name string) (*jobfile.File, error)
	Now            func() time.Time
	Read           []string // files that were read
	Columns        int      // of the terminal; 0: standard output is asked
	Taken          *Capture // takes what is answered in place of the streams; nil: it is written
	Given          Overlay  // files that are not read from the disk; nil: all are
	Kept           Cache    // keeps estimates from one answer to the next; nil: each is made anew
}

// New returns what a command works with that reads files from the disk and answers on streams.
func New(ctx context.Context, now func() time.Time, stdin io.Reader, stdout, stderr io.Writer) *Env {
	e := &Env{Ctx: ctx, Stdin: stdin, Stdout: stdout, Stderr: stderr, Now: now}
	e.Open, e.Job = e.OpenFile, e.OpenJob
	return e
}

// Exit statuses.
const (
	ExitDone    = 0
	ExitRefused = 1
	ExitUsage   = 2
	ExitNotHeld = 3
)

// Report writes an error as people are told it and returns the exit status.
func (e *Env) Report(err error) int {
	var faults document.Faults
	var usage refuse.UsageError
	var refused refuse.Refusal
	switch {
	case err == nil:
		return ExitDone
	case errors.Is(err, refuse.ErrNotHeld):
		return ExitNotHeld
	case errors.As(err, &faults):
		for _, f := range faults {
			e.Complain(f.Error(), f.Hint)
		}
		return ExitRefused
	case errors.As(err, &usage):
		e.Complain(usage.Message, usage.Hint)
		return ExitUsage
	case errors.As(err, &refused):
		e.Complain(refused.Message, refused.Hint)
		return ExitRefused
	}
	e.Complain(err.Error(), unwritten(err))
	return ExitRefused
}

// unwritten is the hint for a file, or standard output, that cannot be written.
func unwritten(err error) string {
	if errors.Is(err, fs.ErrExist) {
		return "or give another file name"
	}
	return "give another file, in a folder that is there and may be written to"
}

// Complain says what is wrong, and how to mend it where there is a hint.
func (e *Env) Complain(message, hint string) {
	if e.Taken != nil {
		e.Taken.Complaints = append(e.Taken.Complaints, refuse.Refusal{Message: message, Hint: hint})
		return
	}
	said := "wornway: " + message + "\n"
	if hint != "" {
		said += "  hint: " + hint + "\n"
	}
	said = Shown(safe.Text(said))
	if e.Columns > 0 || IsTerminal(e.Stderr) { // elsewhere a line stays whole, for whatever looks through a log
		said = show.Fold(said, e.Format().Columns())
	}
	fmt.Fprint(e.Stderr, said)
}

// Say tells a person what was done.
func (e *Env) Say(format string, args ...any) {
	fmt.Fprint(e.Stdout, show.Fold(Shown(safe.Text(fmt.Sprintf(format, args...))), e.Format().Columns()))
}

// Shown is a text as the terminal can show it: in plain ASCII where it is set to no more.
func Shown(s string) string {
	if unicodeLocale() {
		return s
	}
	return show.ASCII(s)
}
