//go:build unix

package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/invented"
	"wornway/profile"
)

const addToDemo = `"$0" check demo.toml --measured collars.toml --add`

// unchangedHere checks that the demonstration lathe is as it was, with nothing beside it.
func unchangedHere(t *testing.T) {
	t.Helper()
	text, err := os.ReadFile("demo.toml")
	if err != nil || !bytes.Equal(text, invented.Lathe) {
		t.Errorf("the profile has changed, %v:\n%s", err, text)
	}
	if left, err := filepath.Glob("demo.toml.*"); err != nil || len(left) > 0 || len(leftovers(t)) > 0 {
		t.Errorf("left beside it: %q %q, %v", left, leftovers(t), err)
	}
}

// A disk that takes no file of that size.
func TestCheckAddFileTooLarge(t *testing.T) {
	alongside(t)
	workshop(t)
	out := saidWhy(t, inShell(t, "ulimit -f 1\n"+addToDemo), "the file is too large for this disk",
		"the cut was not added")
	if strings.Contains(out, "Added") {
		t.Errorf("claimed to have added it:\n%s", out)
	}
	unchangedHere(t)
}

// A full disk: nothing is added, the file stays whole, and once there is room it is added.
func TestCheckAddFullDisk(t *testing.T) {
	alongside(t)
	workshop(t)
	out := saidWhy(t, onSmallDisk(t, `cp ../collars.toml .; head -c 200000 /dev/zero >full 2>/dev/null
		`+addToDemo+`
		status=$?
		rm full
		cmp demo.toml ../demo.toml && ls -A | grep -v -e full -e collars
		`+addToDemo+` >/dev/null && grep -c test-cut demo.toml && cmp demo.toml.bak ../demo.toml && ls -A
		exit $status`), "the disk is full", "the cut was not added")
	if !strings.HasSuffix(out, "\ndemo.toml\n1\ncollars.toml\ndemo.toml\ndemo.toml.bak\n") {
		t.Errorf("got\n%s", out)
	}
}

// A folder that has become read-only.
func TestCheckAddReadOnlyFolder(t *testing.T) {
	alongside(t)
	workshop(t)
	out := saidWhy(t, onSmallDisk(t, `cp ../collars.toml .; mount -o remount,ro "$PWD"
		`+addToDemo+`
		status=$?
		cmp demo.toml ../demo.toml && ls -A
		exit $status`), "the folder is read-only", "the cut was not added")
	if !strings.HasSuffix(out, "\ncollars.toml\ndemo.toml\n") {
		t.Errorf("got\n%s", out)
	}
}

// A file that its owner has made read-only is left alone, even where the folder would let it be replaced.
func TestCheckAddReadOnlyFile(t *testing.T) {
	alongside(t)
	workshop(t)
	saidWhy(t, inShell(t, "chmod a-w demo.toml\n"+addToDemo), "it is read-only", "the cut was not added")
	unchangedHere(t)
}

// adding is a check --add that has read the profile and waits for what was measured, which comes through a pipe.
type adding struct {
	c    *exec.Cmd
	out  bytes.Buffer
	pipe *os.File
}

func startAdding(t *testing.T, name string) *adding {
	t.Helper()
	program, err := exec.LookPath("wornway")
	if err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mkfifo(name, 0o600); err != nil {
		t.Skip("no named pipes here: ", err)
	}
	a := &adding{c: exec.Command(program, "check", "killed.toml", "--measured", name, "--add")}
	a.c.Stdout, a.c.Stderr = &a.out, &a.out
	if err := a.c.Start(); err != nil {
		t.Fatal(err)
	}
	for { // opens once the program reads, and so has read the profile
		a.pipe, err = os.OpenFile(name, os.O_WRONLY|syscall.O_NONBLOCK, 0)
		if err == nil {
			return a
		}
		time.Sleep(time.Millisecond)
	}
}

// end hands the cut over, and returns what was said, without its line breaks, and the status.
func (a *adding) end(t *testing.T, text string) (said string, status int) {
	t.Helper()
	if _, err := a.pipe.WriteString(text); err != nil {
		t.Fatal(err)
	}
	a.pipe.Close()
	_ = a.c.Wait()
	return strings.Join(strings.Fields(a.out.String()), " "), a.c.ProcessState.ExitCode()
}

// aCut is a cut of a bar whose diameter tells it from the others; unit mm.
func aCut(number int) string {
	d := 30 + float64(number)
	return fmt.Sprintf("[[survey]]\nmethod = \"test-cut\"\ncolumns = [\"position\", \"diameter\"]\nrows = [[50, "+
		"%.3f], [150, %.3f], [250, %.3f]]\n", d+0.012, d+0.004, d)
}

// An editor saves the profile while the cut is being worked in: what it saved stays, and the turner is told.
func TestCheckAddFileChangedMeanwhile(t *testing.T) {
	alongside(t)
	workshop(t)
	put(t, "killed.toml", cutLathe)
	a := startAdding(t, "cut.toml")
	const edited = cutLathe + "\n# a note, saved by an editor\n"
	put(t, "killed.toml", edited)
	said, status := a.end(t, aCut(0))
	if status != env.ExitRefused || !strings.Contains(said,
		"killed.toml has been changed by another program "+
			"since it was read, and is left as it is now") || !strings.Contains(said, "hint: run the command again") {
		t.Errorf("status %d: %s", status, said)
	}
	if text, err := os.ReadFile("killed.toml"); err != nil || string(text) != edited {
		t.Errorf("%v\n%s", err, text)
	}
	if left := leftovers(t); len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
}

// Of two cuts that are added at once the one is in the profile, and whoever brought the other is told so; the same
// command again adds that as well.
func TestCheckAddTwoAtOnce(t *testing.T) {
	alongside(t)
	workshop(t)
	put(t, "killed.toml", cutLathe)
	one, two := startAdding(t, "one.toml"), startAdding(t, "two.toml")
	if said, status := one.end(t, aCut(1)); status != env.ExitDone || !strings.Contains(said, "Added as survey 2") {
		t.Errorf("status %d: %s", status, said)
	}
	if said, status := two.end(t, aCut(2)); status != env.ExitRefused ||
		!strings.Contains(said, "killed.toml has been changed") ||
		!strings.Contains(said, "hint: run the command again") {
		t.Errorf("status %d: %s", status, said)
	}
	if said, status := startAdding(t, "again.toml").end(t, aCut(2)); status != env.ExitDone ||
		!strings.Contains(said, "Added as survey 3") {
		t.Errorf("status %d: %s", status, said)
	}
	cutsIn(t, 2)
}

// cutsIn checks that the profile holds each of so many cuts once.
func cutsIn(t *testing.T, cuts int) {
	t.Helper()
	text, err := os.ReadFile("killed.toml")
	if err != nil || !strings.HasPrefix(string(text), cutLathe) {
		t.Fatalf("%v\n%s", err, text)
	}
	if _, err := profile.Parse(nil, "killed.toml", text); err != nil {
		t.Error(err)
	}
	for i := range cuts {
		if n := strings.Count(string(text), fmt.Sprintf("[250, %d]", 31+i)); n != 1 {
			t.Errorf("cut %d is in the profile %d times:\n%s", i+1, n, text)
		}
	}
	if left := leftovers(t); len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
}

// Many at once, each of which tries again for as long as it is told to: all are in it. Three of them, five with -study;
// each is calculated anew whenever another was first.
func TestCheckAddMany(t *testing.T) {
	alongside(t)
	folder := workshop(t)
	put(t, "killed.toml", cutLathe)
	program, err := exec.LookPath("wornway")
	if err != nil {
		t.Fatal(err)
	}
	cuts := howOften(3, 5, 3)
	var all sync.WaitGroup
	for i := range cuts {
		name := fmt.Sprintf("cut%d.toml", i)
		put(t, name, aCut(i+1))
		all.Go(func() {
			standIn(folder)
			for range 50 {
				out, err := exec.Command(program, "check", "killed.toml", "--measured", name, "--add").CombinedOutput()
				switch {
				case err == nil:
					return
				case !bytes.Contains(out, []byte("killed.toml has been changed")) &&
					!bytes.Contains(out, []byte("another wornway is writing killed.toml")):
					t.Errorf("%v\n%s", err, out)
					return
				}
			}
			t.Errorf("%s was never added", name)
		})
	}
	all.Wait()
	cutsIn(t, cuts)
}

// While a survey is being recorded nothing is added to its file.
func TestCheckAddWhileRecording(t *testing.T) {
	alongside(t)
	workshop(t)
	put(t, "killed.toml", cutLathe)
	put(t, "cut.toml", aCut(1))
	program, err := exec.LookPath("wornway")
	if err != nil {
		t.Fatal(err)
	}
	record := exec.Command(program, "record", "killed.toml", "--method", "saddle-level", "--at", "0,100")
	in, err := record.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := record.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := record.Start(); err != nil {
		t.Fatal(err)
	}
	var said tape
	var reading sync.WaitGroup
	reading.Go(func() { said.record(out) })
	if _, yes := asks(&said, 0); !yes {
		t.Fatal("record asks nothing")
	}
	text, err := exec.Command(program, "check", "killed.toml", "--measured", "cut.toml", "--add").CombinedOutput()
	if err == nil || !bytes.Contains(text, []byte("another wornway is writing killed.toml\n")) ||
		!bytes.Contains(text, []byte("hint: end it there first; nothing was changed here")) {
		t.Errorf("%v\n%s", err, text)
	}
	in.Close()
	reading.Wait()
	_ = record.Wait()
	if now, err := os.ReadFile("killed.toml"); err != nil || string(now) != cutLathe {
		t.Errorf("%v\n%s", err, now)
	}
}
