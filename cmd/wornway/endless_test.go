package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/invented"
)

// endless is standard input that goes on for ever with one character, after a beginning.
type endless struct {
	start string
	char  byte
	read  int
}

func (s *endless) Read(p []byte) (int, error) {
	n := copy(p, s.start)
	s.start = s.start[n:]
	for i := n; i < len(p); i++ {
		p[i] = s.char
	}
	s.read += len(p)
	return len(p), nil
}

// enough is more than is read of anything: twice the 64 MB that a file may hold, and some.
const enough = 130 << 20

// Whatever is read from standard input, or from a device that has no end, is refused after a bounded number of bytes.
func TestEndlessInput(t *testing.T) {
	alongside(t)
	workshop(t)
	for _, line := range []string{"show -", "predict demo.toml --job -", "plan - demo.toml", "exercise --mark -"} {
		in := &endless{}
		var out, errs bytes.Buffer
		status := run(context.Background(), split(line), in, &out, &errs)
		if status != env.ExitRefused || out.Len() > 0 || withoutHint(errs.String()) != "" ||
			errs.String() != "wornway: standard input: is larger than 64 MB\n  hint: give the file that was written "+
				"by hand; keep long runs of readings in a CSV file\n" {
			t.Errorf("%s: exit status %d, %q, told\n%s", line, status, out.String(), errs.String())
		}
		if in.read > enough {
			t.Errorf("%s: %d bytes were read", line, in.read)
		}
	}
	const zero = "/dev/zero"
	if _, err := os.Stat(zero); err != nil {
		t.Skip("there is no " + zero)
	}
	csv := strings.Replace(string(invented.Lathe), "[wear]",
		"[[survey]]\nmethod = \"bar-side\"\nfile = \"zero.csv\"\n[wear]", 1)
	if err := os.WriteFile("zero.toml", []byte(csv), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(zero, "zero.csv"); err != nil {
		t.Skip(err)
	}
	for _, line := range []string{"show /dev/zero", "predict demo.toml --job /dev/zero", "plan /dev/zero demo.toml",
		"check demo.toml --measured /dev/zero", "check demo.toml --job shaft.toml --measured /dev/zero",
		"compare demo.toml /dev/zero", "record /dev/zero --method saddle-level", "exercise --mark /dev/zero",
		"check /dev/zero --measured cut.toml --add", "show zero.toml", "check demo.toml --measured zero.csv"} {
		a := invoke(split(line)...)
		if a.status != env.ExitRefused || a.stdout != "" || withoutHint(a.stderr) != "" {
			t.Errorf("%s: exit status %d, %q, told\n%s", line, a.status, a.stdout, a.stderr)
		}
	}
}

// An answer without an end is an error, and what was answered before is kept.
func TestEndlessAnswer(t *testing.T) {
	alongside(t)
	workshop(t)
	const want = "wornway: standard input: an answer is longer than 64 KB\n  hint: give each answer a line of its own\n"
	in := &endless{start: "2026-03-14\n0.0005 in/ft\n\n0.5\n", char: '7'}
	var out, errs bytes.Buffer
	status := run(context.Background(), split("record demo.toml --method saddle-level --at 0,8,16"), in, &out, &errs)
	text, err := os.ReadFile("demo.toml")
	if status != env.ExitRefused || errs.String() != want || in.read > enough || err != nil {
		t.Errorf("exit status %d after %d bytes, %v, told\n%s", status, in.read, err, errs.String())
	}
	if !strings.Contains(string(text), "[0.0, 0.5]") {
		t.Errorf("the reading before it is not in the file:\n%s", text)
	}
	if want := "Stopped, with 1 reading in demo.toml."; !strings.Contains(out.String(), want) {
		t.Errorf("%q is not said:\n%s", want, out.String())
	}

	in = &endless{start: "in\nA lathe\n", char: '7'}
	errs.Reset()
	status = run(context.Background(), split("new fresh.toml --ask"), in, &out, &errs)
	_, err = os.Stat("fresh.toml")
	if status != env.ExitRefused || errs.String() != want || in.read > enough || err == nil {
		t.Errorf("exit status %d after %d bytes, file: %v, told\n%s", status, in.read, err, errs.String())
	}
}

// A profile with more of anything than a lathe has is refused at the first that is too many.
func TestTooMany(t *testing.T) {
	alongside(t)
	workshop(t)
	survey := "[[survey]]\nmethod = \"bar-side\"\ncolumns = [\"position\", \"reading\"]\nrows = [[4, 0], [8, 0]]\n"
	damage := "[[damage]]\nway = \"front\"\nfrom = 4\nto = 5\n"
	start, own := strings.Count(string(invented.Lathe), "\n"), strings.Count(string(invented.Lathe), "[[damage]]")
	for _, tt := range []struct {
		text string
		n    int
		line int // of the block that is the first too many, behind the demonstration lathe
		want string
	}{
		{survey, 201, start + 4*200 + 1, "survey[201]: there may be 200 of these, and here are 201\n"},
		{survey, 100_000, start + 4*200 + 1, "survey[201]: there may be 200 of these, and here are 100000\n"},
		{damage, 1001 - own, start + 4*(1000-own) + 1,
			"damage[1001]: there may be 1000 of these, and here are 1001\n"},
		{damage, 100_000 - own, start + 4*(1000-own) + 1,
			"damage[1001]: there may be 1000 of these, and here are 100000\n"},
	} {
		var out, errs bytes.Buffer
		status := run(context.Background(), split("show -"), strings.NewReader(string(invented.Lathe)+
			strings.Repeat(tt.text, tt.n)), &out, &errs)
		want := fmt.Sprintf("wornway: standard input:%d:1: %s", tt.line, tt.want)
		if status != env.ExitRefused || !strings.HasPrefix(errs.String(), want) ||
			withoutHint(errs.String()) != "" {
			t.Errorf("%d: exit status %d, told\n%.300s", tt.n, status, errs.String())
		}
	}
}
