package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"io"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/show"
)

// reported is the answer to a command line before it is written in one form or another.
type reported struct {
	status int
	env.Taken
	read map[string][sha256.Size]byte // what it was made from
}

// known are the answers that tests have asked for so far: several of them look at one answer, in other forms, and it is
// computed once for all, as long as the files that it was made from hold the same bytes.
var known sync.Map // a list of *reported by the command line

// report answers a command line with a report.
func report(t testing.TB, stdin, line string) *reported {
	t.Helper()
	a := taken(t, stdin, line)
	if a.Report.JSON == nil || a.status != env.ExitDone && a.status != env.ExitNotHeld {
		t.Fatalf("%s: exit status %d, no report, %v", line, a.status, a.Complaints)
	}
	return a
}

// taken is what a command line answers, whether it is a report or not.
func taken(t testing.TB, stdin, line string) *reported {
	t.Helper()
	key := stdin + "\x00" + line
	defer maker(key)()
	before, _ := known.Load(key)
	answers, _ := before.([]*reported)
	if i := slices.IndexFunc(answers, (*reported).holds); i >= 0 {
		return answers[i]
	}
	var out bytes.Buffer
	a := &reported{read: map[string][sha256.Size]byte{}}
	e := keeping(env.New(context.Background(), onTestDay, strings.NewReader(stdin), &out, io.Discard))
	e.Taken = &a.Taken
	if a.status = execute(e, split(line)); out.Len() > 0 {
		t.Fatalf("%s: beside what is taken it writes %q", line, &out)
	}
	for _, name := range e.Read {
		a.read[name] = sha256.Sum256([]byte(mustRead(t, name)))
	}
	if a.Report.JSON != nil { // what refuses a file that is not there hangs on more than what was read
		known.Store(key, append(answers, a))
	}
	return a
}

// holds says whether the files still hold what the answer was made from.
func (a *reported) holds() bool {
	for name, was := range a.read {
		if data, err := os.ReadFile(name); err != nil || sha256.Sum256(data) != was {
			return false
		}
	}
	return true
}

// once is what a command line writes without a terminal. An answer that is a report, and complains of nothing, is
// computed once whatever form it is asked for in; TestReportsAreWhatIsWritten says that both come to the same.
func once(t testing.TB, args ...string) outcome {
	t.Helper()
	if a, is := reportOf(t, args); is {
		return a
	}
	return invoke(args...)
}

// reportOf returns what a command line writes if it answers with a report and writes no file.
func reportOf(t testing.TB, args []string) (a outcome, is bool) {
	t.Helper()
	form, line := show.Format{}, args[:0:0]
	for _, a := range args {
		switch a {
		case "--full":
			form.Full = true
		case "--json":
			form.Kind = show.JSON
		case "--markdown":
			form.Kind = show.Markdown
		default:
			line = append(line, a)
		}
	}
	other := func(a string) bool {
		return slices.ContainsFunc([]string{"-o", "-h", "--help", "--list", "--sheet", "--add", "--csv", "--plot"},
			func(flag string) bool { return strings.HasPrefix(a, flag) })
	}
	if !slices.Contains(reporting, args[0]) || slices.ContainsFunc(line, other) {
		return outcome{}, false
	}
	r := taken(t, "", strings.Join(line, " "))
	if r.Report.JSON == nil || len(r.Complaints) > 0 {
		return outcome{}, false
	}
	return r.as(t, form), true
}

// reporting are the commands that answer with a report.
var reporting = strings.Fields("predict correct place wear show plan explain compare check exercise")

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
	alongside(t)
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
					t.Errorf("%s %s, %d columns: written is\n%s, taken was\n%s", line, form, columns, want.stdout,
						got.stdout)
				}
			}
		}
	}
}
