package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"embed"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/invented"
	"wornway/profile/estimate"
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

// tell runs a command line in this process. An answer that is a report is computed once for all tests.
func tell(stdin string, args ...string) outcome {
	if stdin == "" {
		if a, is := answeredOnce(onTestDay, args); is {
			return a
		}
	}
	var out, errs bytes.Buffer
	status := execute(keeping(env.New(life(args), onTestDay, strings.NewReader(stdin), &out, &errs)), args)
	return outcome{status, out.String(), errs.String()}
}

// estimates are the last that the tests of this process have asked for, by what the files held: several of them ask of
// the same readings, and an estimate takes most of the time. The scripts share them too.
var estimates struct {
	lock sync.Mutex
	made []*made // the newest last
}

type made struct {
	of   string
	once func() (*estimate.Result, error)
}

// keeping has a command line take an estimate that was made before of files with the same bytes.
func keeping(e *env.Env) *env.Env {
	e.Kept = func(changed string, make func() (*estimate.Result, error)) (*estimate.Result, error) {
		of := changed
		for _, name := range e.Read {
			data, err := os.ReadFile(name)
			if err != nil {
				return make()
			}
			of += fmt.Sprintf("\x00%s\x00%x", name, sha256.Sum256(data))
		}
		if len(e.Read) == 0 || strings.HasPrefix(changed, "-") { // from standard input
			return make()
		}
		estimates.lock.Lock()
		i := slices.IndexFunc(estimates.made, func(m *made) bool { return m.of == of })
		m := &made{of, sync.OnceValues(make)}
		if i >= 0 {
			m = estimates.made[i]
			estimates.made = slices.Delete(estimates.made, i, i+1)
		}
		const most = 32
		estimates.made = append(estimates.made, m)
		estimates.made = estimates.made[max(0, len(estimates.made)-most):]
		estimates.lock.Unlock()
		return m.once()
	}
	return e
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

// makers are locked by name.
var makers sync.Map

// maker has others wait who want the same thing that one test makes for all.
func maker(of string) (made func()) {
	lock, _ := makers.LoadOrStore(of, new(sync.Mutex))
	lock.(*sync.Mutex).Lock()
	return lock.(*sync.Mutex).Unlock
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
func workshop(t testing.TB) (dir string) {
	t.Helper()
	dir = t.TempDir()
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
	enter(t, dir)
	return dir
}
