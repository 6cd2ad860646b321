package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
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
			os.Exit(runOn(context.Background(), scriptDay, os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
		},
		"answers": func() { os.Exit(inForms(os.Args[1:])) },
	})
}

// scriptDay is the day of the tests, or the one in the script's environment.
func scriptDay() time.Time {
	v := os.Getenv("today")
	if v == "" {
		return testDay
	}
	day, err := time.Parse(time.DateOnly, v)
	if err != nil {
		panic(err)
	}
	return day
}

// answerFile is where answers leaves JSON.
const answerFile = "answer.json"

// inForms is the program answers: wornway for an answer that takes long and is looked at in several forms. Beside the
// form that is asked for it leaves JSON in answer.json, and each table as CSV in answer.NAME.csv.
// TestReportsAreWhatIsWritten says that these are what the command itself would write.
func inForms(args []string) (status int) {
	e := env.New(context.Background(), scriptDay, os.Stdin, os.Stdout, os.Stderr)
	var taken env.Taken
	e.Taken = &taken
	asked := slices.DeleteFunc(slices.Clone(args), func(a string) bool { return a == "--full" || a == "--markdown" })
	status = execute(e, asked)
	e.Taken = nil
	for _, c := range taken.Complaints {
		e.Complain(c.Message, c.Hint)
	}
	if taken.Report.JSON == nil {
		return status
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
	err := errors.Join(show.Write(os.Stdout, taken.Report, form), write(answerFile, show.Format{Kind: show.JSON}))
	for _, t := range taken.Report.Tables {
		if t.Name != "" {
			err = errors.Join(err, write("answer."+t.Name+".csv", show.Format{Kind: show.CSV, Table: t.Name}))
		}
	}
	if err != nil {
		panic(err)
	}
	return status
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		UpdateScripts:       *updateScripts,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("LC_ALL", testLocale)
			return nil
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"status": scriptStatus,
			"json":   scriptJSON("stdout"),
			"data":   scriptJSON(answerFile),
		},
	})
}

// scriptStatus runs a command and compares its exit status: status 3 wornway predict …
func scriptStatus(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status N command …")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	err = ts.Exec(args[1], args[2:]...)
	var failed *exec.ExitError
	got := 0
	switch {
	case errors.As(err, &failed):
		got = failed.ExitCode()
	case err != nil:
		ts.Check(err)
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
