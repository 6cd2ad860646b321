package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/env"
)

const refusedFile = "testdata/refused.txt"

// Command lines that a person could well type, and what they are told: each with its exit status and the whole of
// standard error. go test -update renews the answers. Blocks begin with "$ wornway"; arguments with blanks stand in
// apostrophes; lines with # are comments.
func TestRefusedCommandLines(t *testing.T) {
	alongside(t)
	file, err := filepath.Abs(refusedFile)
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	workshop(t)
	for name, text := range map[string]string{
		"there.txt":      "an answer from before\n",
		"one-collar.csv": "position,diameter\n3,1\n3,1.001\n",
		"one.csv":        "position,diameter\n3,1\n",
		"two.csv":        "3,1\n4,1.001\n",
		"words.csv":      "position,diameter\n3,thick\n4,\n",
		"far.csv":        "position,diameter\n3,1\n400,1\n",
		"thick.csv":      "position,size\n3,1\n4,1\n",
		"bar.toml": "[[survey]]\nmethod = \"bar-side\"\ncolumns = [\"position\", \"reading\"]\nrows = [[1, 0], " +
			"[2, 0]]\n",
		"cuts.toml": strings.Repeat("[[survey]]\nmethod = \"test-cut\"\ncolumns = [\"position\", "+
			"\"diameter\"]\nrows = [[1, 1.0], [2, 1.0]]\n", 2),
		"bare.toml": "format = 1\nunit = \"mm\"\n[lathe]\ncentre_height = 150\nway_span = 200\nbed = [0, " +
			"1000]\n[lathe.saddle]\nbearing_length = 0\n",
	} {
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Mkdir("folder", 0o700); err != nil {
		t.Fatal(err)
	}
	const prompt = "$ wornway"
	var renewed strings.Builder
	tried := 0
	for _, block := range strings.Split(strings.TrimSpace(string(data)), "\n\n") {
		command := ""
		for _, line := range strings.Split(block, "\n") {
			if strings.HasPrefix(line, "#") {
				fmt.Fprintln(&renewed, line)
				continue
			}
			if strings.HasPrefix(line, prompt) {
				command = line
				break
			}
			t.Fatalf("a block begins with %q", line)
		}
		if command == "" {
			renewed.WriteByte('\n')
			continue // a comment alone
		}
		args, err := arguments(strings.TrimPrefix(command, prompt))
		if err != nil {
			t.Fatal(err)
		}
		tried++
		a := invoke(args...)
		now := fmt.Sprintf("%s\n[%d]\n%s", command, a.status, a.stderr)
		fmt.Fprintf(&renewed, "%s\n", now)
		_, was, _ := strings.Cut(block, command)
		switch {
		case a.status != env.ExitRefused && a.status != env.ExitUsage:
			t.Errorf("%s\nis not refused: exit status %d", command, a.status)
		case a.stdout != "":
			t.Errorf("%s\nis refused, but answers\n%s", command, a.stdout)
		case !*updateScripts && strings.TrimSpace(command+was) != strings.TrimSpace(now):
			t.Errorf("is told\n%s\nexpected was\n%s", now, command+was)
		}
		if bare := withoutHint(a.stderr); bare != "" {
			t.Errorf("%s\nis told without a hint how to mend it:\n%s", command, bare)
		}
		for _, bad := range []string{"NaN", "strconv", "pflag", "cobra", "%!", "nil", "float64", "invalid syntax"} {
			if strings.Contains(strings.TrimPrefix(now, command), bad) && !strings.Contains(command, bad) {
				t.Errorf("%s\nspeaks of %q:\n%s", command, bad, now)
			}
		}
	}
	if tried < 60 {
		t.Errorf("only %d command lines", tried)
	}
	if *updateScripts {
		if err := os.WriteFile(file, []byte(strings.TrimSpace(renewed.String())+"\n"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// withoutHint is the first fault that no hint follows; empty where each has one.
func withoutHint(stderr string) string {
	lines := strings.Split(strings.TrimSpace(stderr), "\n")
	for i, line := range lines {
		if strings.HasPrefix(line, "wornway: ") && !strings.HasPrefix(line, "wornway: warning: ") &&
			(i+1 == len(lines) || !strings.HasPrefix(lines[i+1], "  hint: ")) {
			return line
		}
	}
	return ""
}

// arguments takes a line apart at its blanks, but for those between apostrophes.
func arguments(line string) ([]string, error) {
	var args []string
	for i, part := range strings.Split(line, "'") {
		if i%2 == 0 {
			args = append(args, strings.Fields(part)...)
			continue
		}
		args = append(args, part)
	}
	if strings.Count(line, "'")%2 != 0 {
		return nil, fmt.Errorf("%s: an apostrophe is missing", line)
	}
	return args, nil
}
