package main

import (
	"bytes"
	"context"
	"embed"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"wornway/cmd/wornway/internal/invented"
)

// testDay is today in every test, whatever day it is: a profile's age is told from it.
var testDay = time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC)

func onTestDay() time.Time { return testDay }

// outcome is what a command line gave.
type outcome struct {
	status         int
	stdout, stderr string
}

// invoke runs a command line in this process, with nothing on standard input.
func invoke(args ...string) outcome { return tell("", args...) }

// tell runs a command line in this process.
func tell(stdin string, args ...string) outcome {
	var out, errs bytes.Buffer
	status := runOn(life(args), onTestDay, args, strings.NewReader(stdin), &out, &errs)
	return outcome{status, out.String(), errs.String()}
}

// life is how long a command line may run: a page, which is served until it is ended, no longer than it takes to begin.
func life(args []string) context.Context {
	ctx := context.Background()
	if len(args) > 0 && args[0] == "page" {
		ended, end := context.WithCancel(ctx)
		end()
		return ended
	}
	return ctx
}

// split takes a command line apart at its blanks.
func split(line string) []string { return strings.Fields(line) }

// bench is what lies about in the workshop beside the demonstration lathe: a cut that was measured, and profiles to
// compare. All of it is invented.
//
//go:embed testdata/workshop
var bench embed.FS

// workshop makes a folder with the demonstration lathe in demo.toml, and with what the examples need beside it, the
// current one.
func workshop(t testing.TB) {
	t.Helper()
	dir := t.TempDir()
	files, err := fs.Sub(bench, "testdata/workshop")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.CopyFS(dir, files); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string][]byte{"demo.toml": invented.Lathe, "shaft.toml": invented.Shaft} {
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	t.Chdir(dir)
}
