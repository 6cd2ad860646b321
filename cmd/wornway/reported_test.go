package main

import (
	"bytes"
	"context"
	"io"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/show"
)

// reported is the answer to a command line before it is written in one form or another.
type reported struct {
	status int
	env.Taken
}

// known are the answers in an unchanged workshop that tests have asked for so far: several of them look at one answer,
// each in other forms, and it is computed once for all.
var known = map[string]*reported{}

// report answers a command line of an unchanged workshop, the current folder, with a report.
func report(t testing.TB, stdin, line string) *reported {
	t.Helper()
	key := stdin + "\x00" + line
	if known[key] == nil {
		var out bytes.Buffer
		a := &reported{}
		e := &env.Env{Ctx: context.Background(), Stdin: strings.NewReader(stdin), Stdout: &out, Stderr: io.Discard,
			Now: onTestDay, Taken: &a.Taken}
		e.Open, e.Job = e.OpenFile, e.OpenJob
		a.status = execute(e, split(line))
		if out.Len() > 0 || a.Report.JSON == nil || a.status != env.ExitDone && a.status != env.ExitNotHeld {
			t.Fatalf("%s: exit status %d, no report but %q, %v", line, a.status, &out, a.Complaints)
		}
		known[key] = a
	}
	return known[key]
}

// as is the answer in one of its forms.
func (a *reported) as(t testing.TB, f show.Format) outcome {
	t.Helper()
	var out bytes.Buffer
	if err := show.Write(&out, a.Report, f); err != nil {
		t.Error(err)
	}
	var errs strings.Builder
	for _, c := range a.Complaints {
		errs.WriteString(c.Message + "\n")
	}
	return outcome{a.status, out.String(), errs.String()}
}

// A report that is taken and then written is, byte for byte, what the command writes by itself: in each form, short and
// in full, on a terminal and without one, whichever way it ends.
func TestReportsAreWhatIsWritten(t *testing.T) {
	workshop(t)
	for _, line := range []string{
		"predict demo.toml --from 4in --to 12in --diameter 1in --tolerance 1thou",
		"correct demo.toml --from 4in --to 12in --diameter 1in", "wear demo.toml", "show demo.toml",
		"check demo.toml --measured collars.csv", "compare last-year.toml demo.toml",
	} {
		a := report(t, "", line)
		for form, f := range map[string]show.Format{"": {}, "--full": {Full: true}, "--json": {Kind: show.JSON},
			"--markdown": {Kind: show.Markdown}, "--markdown --full": {Kind: show.Markdown, Full: true}} {
			for _, columns := range []int{0, 40} {
				if f.Width = columns; f.Kind == show.Markdown || f.Kind == show.JSON {
					f.Width = 0
				}
				if got, want := a.as(t, f), on(columns, line+" "+form); got != want {
					t.Errorf("%s %s, %d columns: written is\n%s, taken was\n%s", line, form, columns, want.stdout, got.stdout)
				}
			}
		}
	}
}
