//go:build unix

package main

import (
	"io"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"sync"
	"testing"
	"unicode/utf8"

	"github.com/creack/pty"

	"wornway/cmd/wornway/internal/env"
)

// screen is what a program has written to a terminal so far.
type screen struct {
	sync.Mutex
	text    string
	over    bool
	changed chan struct{} // holds one entry where more has come, or the end, than was looked at
}

func (s *screen) fill(from io.Reader) {
	buffer := make([]byte, 4096)
	for {
		n, err := from.Read(buffer)
		s.Lock()
		s.text += string(buffer[:n])
		s.over = err != nil
		s.Unlock()
		select {
		case s.changed <- struct{}{}:
		default:
		}
		if err != nil { // on Linux a terminal whose program has ended gives an error in place of an end
			return
		}
	}
}

// shown returns what stands on the screen, and whether that is all.
func (s *screen) shown() (text string, over bool) {
	s.Lock()
	defer s.Unlock()
	return s.text, s.over
}

// waitFor waits until the text from an offset on matches, and returns where it ends.
func (s *screen) waitFor(t *testing.T, from int, pattern string) int {
	t.Helper()
	re := regexp.MustCompile(pattern)
	for late := tooLate(t); ; {
		text, over := s.shown()
		if at := re.FindStringIndex(text[from:]); at != nil {
			return from + at[1]
		}
		if over {
			t.Fatalf("no %q in\n%s", pattern, text[from:])
		}
		select {
		case <-s.changed:
		case <-late:
			t.Fatalf("no %q yet in\n%s", pattern, text[from:])
		}
	}
}

// conversation is one with a program at a terminal: what it asks, and what is typed.
type conversation [][2]string

// atTerminal runs a command line at a terminal so many columns wide and returns its exit status and all that stood on
// the screen.
func (c conversation) atTerminal(t *testing.T, columns int, args ...string) (status int, text string) {
	t.Helper()
	return c.inLocale(t, testLocale, columns, args...)
}

// inLocale is atTerminal on one that is set to a locale.
func (c conversation) inLocale(t *testing.T, locale string, columns int, args ...string) (status int, text string) {
	t.Helper()
	program, err := exec.LookPath("wornway")
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(program, args...)
	cmd.Env = append(os.Environ(), "LC_ALL="+locale)
	terminal, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 24, Cols: uint16(columns)})
	if err != nil {
		t.Fatal(err)
	}
	defer terminal.Close()
	s := screen{changed: make(chan struct{}, 1)}
	read := make(chan struct{})
	go func() {
		s.fill(terminal)
		close(read)
	}()
	at := 0
	for _, line := range c {
		at = s.waitFor(t, at, line[0])
		if _, err := io.WriteString(terminal, line[1]); err != nil {
			t.Fatal(err)
		}
	}
	select {
	case <-read: // all that the program has written, which is when it has ended
	case <-tooLate(t):
		_ = cmd.Process.Kill()
		text, _ = s.shown()
		t.Errorf("it goes on:\n%s", text)
	}
	_ = cmd.Wait() // its exit status is looked at below
	text, _ = s.shown()
	return cmd.ProcessState.ExitCode(), strings.ReplaceAll(text, "\r\n", "\n")
}

const ctrlC = "\x03"

// A survey at a terminal as narrow as a telephone's, broken off with Ctrl-C and gone on with: no line is wider than it,
// each answer stands on the screen once, and each is in the file.
func TestRecordAtTerminal(t *testing.T) {
	for _, columns := range []int{40, 80} {
		workshop(t)
		status, text := conversation{
			{`date \(empty: today\): $`, "2026-03-14\n"},
			{`per_division: $`, "0.02\n"},
			{`does not say[\s\S]*per_division: $`, "0.02 mm/m\n"},
			{`empty:\s+0\.2\): $`, "\n"},
			{`stations, such as[\s\S]*: $`, "0 8 16 24\n"},
			{`0 in \(1 of 4\), divisions: $`, "5\n"},
			{`counted from it\.[\s\S]*8 in \(2 of 4\), divisions: $`, "2 div\n"},
			{`Front against rear[\s\S]*16 in \(3 of 4\), divisions: $`, "-40\n"},
			{`! This does not fit[\s\S]*24 in \(4 of 4\), divisions: $`, ctrlC},
			{`goes on there:`, ""},
		}.atTerminal(t, columns, "record", "demo.toml", "--method", "saddle-level")
		if status != env.ExitDone {
			t.Errorf("exit status %d", status)
		}
		narrow(t, text, columns)
		if strings.Count(text, "2 div\n") != 1 {
			t.Errorf("an answer does not stand on the screen once:\n%s", text)
		}
		status, text = conversation{
			{`3\s+readings so far`, ""},
			{`24 in \(4 of 4\), divisions: $`, "undo\n"},
			{`16 in \(3 of 4\), divisions: $`, "4\n"},
			{`24 in \(4 of 4\), divisions: $`, "same\n"},
			{`All stations are read[\s\S]*undo:\s$`, "done\n"},
			{`Done: 4 readings[\s\S]*wear`, ""},
		}.atTerminal(t, columns, "record", "demo.toml", "--method", "saddle-level")
		if status != env.ExitDone {
			t.Errorf("exit status %d", status)
		}
		narrow(t, text, columns)
		file, err := os.ReadFile("demo.toml")
		if want := "rows = [\n  [0.0, 5.0],\n  [8.0, 2.0],\n  [16.0, 4.0],\n  [24.0, 4.0],\n]\n"; err != nil ||
			!strings.HasSuffix(string(file), want) {
			t.Errorf("%v\n%s", err, file)
		}
	}
}

// narrow checks that no line on a screen is wider than it; a command line to be typed again may be, as it must stay in
// one piece.
func narrow(t *testing.T, text string, columns int) {
	t.Helper()
	for _, line := range strings.Split(text, "\n") {
		if n := utf8.RuneCountInString(line); n > columns && !strings.HasPrefix(line, "  wornway ") {
			t.Errorf("%d characters in %d columns: %q", n, columns, line)
		}
	}
}
