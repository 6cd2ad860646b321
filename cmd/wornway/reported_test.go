package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"flag"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/show"
)

// reported is the answer to a command line before it is written in one form or another.
type reported struct {
	status int
	env.Capture
	read map[string][sha256.Size]byte // what it was made from
}

// known are the answers that tests have asked for so far: several of them look at one answer, in other forms, and it is
// computed once for all, as long as the files that it was made from hold the same bytes.
var known sync.Map // a list of *reported by the command line

// report answers a command line with a report.
func report(t testing.TB, stdin, line string) *reported {
	t.Helper()
	a := taken(onTestDay, stdin, split(line))
	if a == nil || a.Report.JSON == nil || a.status != env.ExitDone && a.status != env.ExitNotHeld {
		t.Fatalf("%s: no report, %+v", line, a)
	}
	return a
}

// taken is what a command line answers on a day, whether it is a report or not; nil where it also writes by itself.
func taken(on func() time.Time, stdin string, args []string) *reported {
	key := strings.Join(append([]string{on().String(), stdin}, args...), "\x00")
	defer maker(key)()
	before, _ := known.Load(key)
	answers, _ := before.([]*reported)
	if i := slices.IndexFunc(answers, (*reported).holds); i >= 0 {
		return answers[i]
	}
	var out bytes.Buffer
	a := &reported{read: map[string][sha256.Size]byte{}}
	e := keeping(env.New(context.Background(), on, strings.NewReader(stdin), &out, &out))
	e.Taken = &a.Capture
	if a.status = execute(e, args); out.Len() > 0 {
		return nil
	}
	for _, name := range e.Read {
		data, err := os.ReadFile(name)
		if err != nil {
			return a
		}
		a.read[name] = sha256.Sum256(data)
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

// answeredOnce returns what a command line writes on a day without a terminal, if it answers with a report and writes no
// file. It is computed once whatever form is asked for; TestReportsAreWhatIsWritten says that both come to the same.
func answeredOnce(on func() time.Time, args []string) (a outcome, is bool) {
	fuzzed := flag.Lookup("test.fuzzworker").Value.String() == "true" // no input comes twice
	if fuzzed || len(args) == 0 || !slices.Contains(reporting, args[0]) || os.Getenv("LC_ALL") != testLocale {
		return outcome{}, false
	}
	form, line := show.Format{}, args[:0:0]
	for _, a := range args {
		switch {
		case a == "--full":
			form.Full = true
		case a == "--json" && form.Kind == show.Text:
			form.Kind = show.JSON
		case a == "--markdown" && form.Kind == show.Text:
			form.Kind = show.Markdown
		default:
			form.Rows = form.Rows || strings.HasPrefix(a, "--every")
			line = append(line, a)
		}
	}
	other := func(a string) bool {
		flags := strings.Fields("-o -h --help --output --list --sheet --add --csv --plot --json --markdown --full")
		return slices.ContainsFunc(flags, func(flag string) bool { return strings.HasPrefix(a, flag) })
	}
	if slices.ContainsFunc(line, other) {
		return outcome{}, false
	}
	r := taken(on, "", line)
	switch {
	case r == nil || r.Report.JSON != nil && len(r.Complaints) > 0:
		return outcome{}, false
	case r.Report.JSON == nil:
		return outcome{r.status, "", r.complained()}, true
	}
	return r.as(form), true
}

// reporting are the commands that answer with a report.
var reporting = strings.Fields("predict correct place wear show plan explain compare check exercise")

// as is the answer in one of its forms.
func (a *reported) as(f show.Format) outcome {
	var out bytes.Buffer
	if err := show.Write(&out, a.Report, f); err != nil {
		panic(err)
	}
	return outcome{a.status, out.String(), a.complained()}
}

// complained is what was said to be wrong, as it is told where there is no terminal.
func (a *reported) complained() string {
	var errs bytes.Buffer
	e := env.New(context.Background(), onTestDay, nil, nil, &errs)
	for _, c := range a.Complaints {
		e.Complain(c.Message, c.Hint)
	}
	return errs.String()
}

// A report that is taken and then written is, byte for byte, what the command writes by itself: in each form, short and
// in full, on a terminal and without one, whichever way it ends.
func TestReportsAreWhatIsWritten(t *testing.T) {
	alongside(t)
	workshop(t)
	for _, line := range []string{
		"predict demo.toml --from 4in --to 12in --diameter 1in --tolerance 1thou",
		"predict demo.toml --from 4in --to 12in --diameter 1in --every 0.25in",
		"correct demo.toml --from 4in --to 12in --diameter 1in", "wear demo.toml", "show demo.toml",
		"check demo.toml --measured collars.csv", "compare last-year.toml demo.toml",
	} {
		a := report(t, "", line)
		for form, f := range map[string]show.Format{"": {}, "--full": {Full: true}, "--json": {Kind: show.JSON},
			"--markdown": {Kind: show.Markdown}, "--markdown --full": {Kind: show.Markdown, Full: true}} {
			for _, columns := range []int{0, 40} {
				f.Rows = strings.Contains(line, "--every")
				if f.Width = columns; f.Kind == show.Markdown || f.Kind == show.JSON {
					f.Width = 0
				}
				if got, want := a.as(f), on(columns, line+" "+form); got != want {
					t.Errorf("%s %s, %d columns: written is\n%s, taken was\n%s", line, form, columns, want.stdout,
						got.stdout)
				}
			}
		}
	}
	// And so is what is shared between tests, where it is refused too.
	for line, is := range map[string]bool{
		"predict demo.toml --from 4 --to 12 --diameter 1 --every 0.25 --markdown": true, "predict none.toml --from 4 --to 12 --diameter 1": true, "wear demo.toml --evry 1": true,
		"wear demo.toml --json --markdown": false, "wear demo.toml --csv": false} {
		if got, shared := answeredOnce(onTestDay, split(line)); shared != is || shared && got != on(0, line) {
			t.Errorf("%s: shared: %v, %+v", line, shared, got)
		}
	}
}
