package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/show"
)

// The scripts under testdata/script are user stories, one to a file. go test -update renews the answers that they
// compare with, after a change of wording; read the difference before keeping it.
var updateScripts = flag.Bool("update", false, "renew the answers in testdata")

// testLocale has terminals show more than ASCII.
const testLocale = "C.UTF-8"

func TestMain(m *testing.M) {
	if filepath.Base(os.Args[0]) != "wornway" { // which has the locale of whoever runs it
		if err := os.Setenv("LC_ALL", testLocale); err != nil { // whatever the machine's is
			panic(err)
		}
	}
	testscript.Main(ending{m}, map[string]func(){
		"wornway": func() { // as main
			os.Exit(runOn(context.Background(), scriptDay(os.Getenv("today")), os.Args[1:], os.Stdin, os.Stdout,
				os.Stderr))
		},
	})
}

// scriptDay is the day of the tests, or the one in the script's environment.
func scriptDay(v string) func() time.Time {
	if v == "" {
		return onTestDay
	}
	day, err := time.Parse(time.DateOnly, v)
	if err != nil {
		panic(err)
	}
	return func() time.Time { return day }
}

// answerFile is where answers leaves JSON.
const answerFile = "answer.json"

// inForms is the program answers: wornway for an answer that takes long and is looked at in several forms. Beside the
// form that is asked for it leaves JSON in answer.json, and each table as CSV in answer.NAME.csv.
// TestReportsAreWhatIsWritten says that these are what the command itself would write.
func inForms(e *env.Env, stdin string, args []string) (status int) {
	asked := slices.DeleteFunc(slices.Clone(args), func(a string) bool { return a == "--full" || a == "--markdown" })
	taken := taken(e.Now, stdin, asked)
	for _, c := range taken.Complaints {
		e.Complain(c.Message, c.Hint)
	}
	if taken.Report.JSON == nil {
		return taken.status
	}
	form := show.Format{Full: slices.Contains(args, "--full")}
	if slices.Contains(args, "--markdown") {
		form.Kind = show.Markdown
	}
	write := func(name string, f show.Format) error {
		var b bytes.Buffer
		if err := show.Write(&b, taken.Report, f); err != nil {
			return err
		}
		return os.WriteFile(name, b.Bytes(), 0o644)
	}
	err := errors.Join(show.Write(e.Stdout, taken.Report, form), write(answerFile, show.Format{Kind: show.JSON}))
	for _, t := range taken.Report.Tables {
		if t.Name != "" {
			err = errors.Join(err, write("answer."+t.Name+".csv", show.Format{Kind: show.CSV, Table: t.Name}))
		}
	}
	if err != nil {
		panic(err)
	}
	return taken.status
}

// A script says run wornway for a command line that is run in this process, so that the scripts share the estimates of
// equal readings; exec wornway starts the program, as the endings and the page need it.
func TestScripts(t *testing.T) {
	alongside(t)
	testscript.RunT(scripts{t}, testscript.Params{
		Dir:                 "testdata/script",
		UpdateScripts:       *updateScripts,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("LC_ALL", testLocale)
			e.Values[typed] = new(string)
			return nil
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"run": func(ts *testscript.TestScript, neg bool, args []string) {
				if got := scriptRun(ts, args); (got != env.ExitDone) != neg {
					ts.Fatalf("exit status %d", got)
				}
			},
			"input": func(ts *testscript.TestScript, neg bool, args []string) {
				if neg || len(args) != 1 {
					ts.Fatalf("usage: input file")
				}
				*ts.Value(typed).(*string) = ts.ReadFile(args[0])
			},
			"status": scriptStatus,
			"json":   scriptJSON("stdout"),
			"data":   scriptJSON(answerFile),
		},
	})
}

// typed is the key of what the next command of a script finds on standard input.
const typed = "typed"

// scripts runs scripts each in a folder of its own, beside others where tests can be.
type scripts struct{ *testing.T }

func (t scripts) Parallel()     { alongside(t.T) }
func (t scripts) Verbose() bool { return testing.Verbose() }

func (t scripts) Run(name string, script func(testscript.T)) {
	t.T.Run(name, func(t *testing.T) { script(scripts{t}) })
}

// scriptRun runs a command line in the script's folder and returns its exit status.
func scriptRun(ts *testscript.TestScript, args []string) int {
	if len(args) == 0 || args[0] != "wornway" && args[0] != "answers" {
		ts.Fatalf("usage: run wornway … or run answers …")
	}
	before, err := os.Getwd()
	ts.Check(err)
	ts.Check(chdir(ts.MkAbs(".")))
	defer func() { ts.Check(chdir(before)) }()
	day, input := scriptDay(ts.Getenv("today")), ts.Value(typed).(*string)
	stdin := *input
	*input = ""
	e := keeping(env.New(life(args[1:]), day, strings.NewReader(stdin), ts.Stdout(), ts.Stderr()))
	if args[0] == "answers" {
		return inForms(e, stdin, args[1:])
	}
	if stdin == "" {
		if a, is := answeredOnce(day, args[1:]); is {
			_, _ = io.WriteString(e.Stdout, a.stdout)
			_, _ = io.WriteString(e.Stderr, a.stderr)
			return a.status
		}
	}
	return execute(e, args[1:])
}

// scriptStatus runs a command and compares its exit status: status 3 wornway predict …, or as a program of its own:
// status 3 exec wornway predict ….
func scriptStatus(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status N command …")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if args[1] == "exec" {
		err := ts.Exec(args[2], args[3:]...)
		var failed *exec.ExitError
		switch {
		case errors.As(err, &failed):
			got = failed.ExitCode()
		case err != nil:
			ts.Check(err)
		}
	} else {
		got = scriptRun(ts, args[1:])
	}
	if got != want {
		ts.Fatalf("exit status %d, expected %d", got, want)
	}
}

// scriptJSON compares a value in the JSON of a file, for json the last standard output, for data what answers has left:
// json moves.0.direction in, json moves.count 6, json taper.ends 0.00601 1e-5.
func scriptJSON(file string) func(ts *testscript.TestScript, neg bool, args []string) {
	return func(ts *testscript.TestScript, neg bool, args []string) { checkJSON(ts, file, neg, args) }
}

func checkJSON(ts *testscript.TestScript, file string, neg bool, args []string) {
	if neg || len(args) < 2 || len(args) > 3 {
		ts.Fatalf("usage: json path value [tolerance]")
	}
	var v any
	if err := json.Unmarshal([]byte(ts.ReadFile(file)), &v); err != nil {
		ts.Fatalf("%s is not JSON: %v", file, err)
	}
	v, err := jsonAt(v, args[0])
	if err != nil {
		ts.Fatalf("%s: %v", args[0], err)
	}
	got := fmt.Sprint(v)
	if len(args) == 3 {
		x, isNumber := v.(float64)
		want, err1 := strconv.ParseFloat(args[1], 64)
		within, err2 := strconv.ParseFloat(args[2], 64)
		if err := errors.Join(err1, err2); err != nil {
			ts.Fatalf("%v", err)
		}
		if !isNumber || math.Abs(x-want) > within {
			ts.Fatalf("%s is %s, expected %s ± %s", args[0], got, args[1], args[2])
		}
		return
	}
	if got != args[1] {
		ts.Fatalf("%s is %s, expected %s", args[0], got, args[1])
	}
}

// jsonAt follows a path of keys and places, counted from 0; count is the number of entries.
func jsonAt(v any, path string) (any, error) {
	for _, key := range strings.Split(path, ".") {
		switch in := v.(type) {
		case map[string]any:
			next, ok := in[key]
			if !ok {
				return nil, fmt.Errorf("no key %q", key)
			}
			v = next
		case []any:
			if key == "count" {
				return float64(len(in)), nil
			}
			i, err := strconv.Atoi(key)
			if err != nil || i < 0 || i >= len(in) {
				return nil, fmt.Errorf("no entry %q among %d", key, len(in))
			}
			v = in[i]
		default:
			return nil, fmt.Errorf("%q asked of %v", key, v)
		}
	}
	return v, nil
}
