//go:build unix

package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"wornway/cmd/wornway/internal/env"
	pages "wornway/cmd/wornway/internal/page"
)

// The folder is moved away while a survey is taken, as when it lies on a stick. The reading that cannot be written is
// refused; back in its place, the file goes on from the reading before.
func TestRecordFolderMoved(t *testing.T) {
	workshop(t)
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir("shop", 0o755); err != nil {
		t.Fatal(err)
	}
	put(t, "shop/demo.toml", mustRead(t, "demo.toml"))
	move := func(from, to string) {
		t.Helper()
		if err := os.Rename(from, to); err != nil {
			t.Fatal(err)
		}
	}
	command := []string{"record", filepath.Join(here, "shop", "demo.toml"), "--method", "saddle-level", "--at",
		"0,8,16"}
	in := &answers{lines: []func() string{says("2026-03-14"), says("0.0005 in/ft"), says(""), says("0.5"),
		func() string { move("shop", "elsewhere"); return "-2" }, says("-3")}}
	var out, errs bytes.Buffer
	if status := run(context.Background(), command, in, &out, &errs); status != env.ExitRefused ||
		!strings.Contains(errs.String(), "is gone: it was moved or removed") ||
		!strings.Contains(errs.String(), "put it back where it was") {
		t.Errorf("status %d: %s", status, errs.String())
	}
	onlyFirst(t, mustRead(t, "elsewhere/demo.toml"))
	if _, err := os.Stat("shop"); err == nil {
		t.Error("the folder was made anew")
	}
	move("elsewhere", "shop")
	if a := tell("-2\n-3\ndone\n", command...); a.status != env.ExitDone || !strings.Contains(mustRead(t,
		"shop/demo.toml"), "rows = [\n  [0.0, 0.5],\n  [8.0, -2.0],\n  [16.0, -3.0],\n]") {
		t.Errorf("%+v\n%s", a, mustRead(t, "shop/demo.toml"))
	}
	if left, err := filepath.Glob("shop/*.lock"); err != nil || len(left) > 0 {
		t.Errorf("left behind: %q, %v", left, err)
	}
}

// The clock is set while a survey is taken. Its date is the one that was answered, its readings are in the file, and
// what the file answers does not hang on the day; what is yet to come by the clock is told.
func TestRecordClockIsSet(t *testing.T) {
	alongside(t)
	workshop(t)
	now := testDay
	at := func(day time.Time, text string) func() string { return func() string { now = day; return text } }
	past, ahead := time.Unix(0, 0), testDay.AddDate(70, 0, 0)
	in := &answers{lines: []func() string{says(""), at(past, "0.0005 in/ft"), says(""), says("0.5"), at(ahead, "-2"),
		at(past, "undo"), says("-2.5"), at(testDay, "-3"), says("done")}}
	var out, errs bytes.Buffer
	status := runOn(context.Background(), func() time.Time { return now },
		split("record demo.toml --method saddle-level --at 0,8,16"), in, &out, &errs)
	text := mustRead(t, "demo.toml")
	if status != env.ExitDone || !strings.Contains(text, "date = "+testDay.Format(time.DateOnly)+"\n") ||
		!strings.Contains(text, "rows = [\n  [0.0, 0.5],\n  [8.0, -2.5],\n  [16.0, -3.0],\n]") {
		t.Errorf("status %d: %s\n%s", status, errs.String(), text)
	}
	var answers []string
	for _, day := range []time.Time{past, testDay, ahead} {
		out.Reset()
		runOn(context.Background(), func() time.Time { return day },
			split("predict demo.toml --from 4in --to 12in --diameter 1in --csv"), strings.NewReader(""), &out, &errs)
		answers = append(answers, out.String())
	}
	if answers[0] != answers[1] || answers[1] != answers[2] || answers[0] == "" {
		t.Errorf("by the day the answers are\n%s", strings.Join(answers, "\n"))
	}
	out.Reset()
	runOn(context.Background(), func() time.Time { return past }, split("show demo.toml --full"), strings.NewReader(""),
		&out, &errs)
	if !strings.Contains(out.String()+errs.String(), "is yet to come") {
		t.Errorf("a day that is yet to come is not told:\n%s%s", out.String(), errs.String())
	}
}

// The clock is set while the page takes a survey. An answer that it then does not take it refuses, and what it took
// stays; the survey goes on where it stood.
func TestPageClockIsSet(t *testing.T) {
	alongside(t)
	workshop(t)
	put(t, "small.toml", killedLathe)
	var days atomic.Int64
	s := serve(t, pages.Options{Profile: "small.toml", Now: func() time.Time {
		return testDay.AddDate(0, 0, int(days.Load()))
	}})
	body, refused := s.begin("saddle-level"), 0
	for i, text := range []string{"", "0.02 mm/m", "", killedStations, "1.11", "1.21", "1.31", "1.41", "1.51"} {
		days.Store([]int64{0, -400, -400, 0, 1, 700, -700, 0, 0}[i])
		for try := 0; ; try++ {
			if body = s.on(body, text); !strings.Contains(words(body), "Not taken:") {
				break
			}
			if body = s.begin("saddle-level"); try > 1 {
				t.Fatalf("does not go on: %s", words(body))
			}
			refused++
		}
	}
	file := mustRead(t, "small.toml")
	const rows = "[0.0, 1.11],\n  [100.0, 1.21],\n  [200.0, 1.31],\n  [300.0, 1.41],\n  [400.0, 1.51],\n]"
	if !strings.Contains(file, rows) ||
		!strings.Contains(file, "date = "+testDay.Format(time.DateOnly)) || refused == 0 {
		t.Errorf("refused %d times\n%s", refused, file)
	}
}

// A full disk under the page: the reading that does not fit is refused and said to be, those before it are there, and
// once there is room the survey goes on.
func TestPageFullDisk(t *testing.T) {
	alongside(t)
	workshop(t)
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	c := onSmallDisk(t, `exec "$0" page demo.toml --open=false`)
	s := startPage(t, c)
	defer func() { _ = c.Process.Kill(); _ = c.Wait() }()
	inside := fmt.Sprintf("/proc/%d/root%s/small/", c.Process.Pid, here)
	if _, err := os.ReadFile(inside + "demo.toml"); err != nil {
		t.Skip("no way into its file system: ", err)
	}
	body := s.begin("saddle-level", "2026-03-14", "0.02 mm/m", "", "0, 8, 16", "0.5")
	if err := os.WriteFile(inside+"full", make([]byte, 200000), 0o644); !errors.Is(err, syscall.ENOSPC) {
		t.Fatal(err)
	}
	if said := words(s.on(body, "7")); !strings.Contains(said, "the disk is full") ||
		!strings.Contains(said, "answered before is in the file") {
		t.Errorf("on a full disk: %s", said)
	}
	onlyFirst(t, mustRead(t, inside+"demo.toml"))
	if err := os.Remove(inside + "full"); err != nil {
		t.Fatal(err)
	}
	s.begin("saddle-level", "7", "8")
	const rows = "  [0.0, 0.5],\n  [8.0, 7.0],\n  [16.0, 8.0],\n]"
	if file := mustRead(t, inside+"demo.toml"); !strings.Contains(file, rows) {
		t.Errorf("once there was room:\n%s", file)
	}
}
