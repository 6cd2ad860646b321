package main

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/invented"
	"wornway/profile/length"
)

// notFinite finds numbers that are none, as Go prints them; not within a word, and not in a name that the fuzzer made
// up.
var notFinite = regexp.MustCompile(`(^|[^\pL])(NaN|[+-]?Inf)($|[^\pL])`)

// FuzzFlags puts whatever comes into the flags of the commands that compute, on the demonstration lathe. Nothing
// panics, the exit status is one of the four, what is refused is said in one line and a hint, and what is answered is
// JSON without a number that is none.
func FuzzFlags(f *testing.F) {
	for _, s := range [][7]string{
		{"4in", "12in", "1in", "", "", "", ""},
		{"4", "12", "1", "8", "-0.5mm", "1thou", "0.5"},
		{"100mm", "300mm", "25mm", "300mm", "10um", "12um", "1in"},
		{"-8", "44", "0.001in", "-8", "0.0004", "1e-9", "44"},
		{"4,5in", "1/2", "4\"", "1e300", "NaN", "0", "-1"},
		{"4", "4.000001", "1e4", "4", "100", "1e-300", "1e300"},
		{"0x10", "1_2", "−4", " ", "Inf", "5'", "µm"},
		{"-8.0001", "44.0001", "1", "44.0005", "0", "0.1", "3"},
		{"%!", "0", "0", "strconv", "%!s(int=3)", "0", "0"},
	} {
		for command := range byte(3) {
			f.Add(command, s[0], s[1], s[2], s[3], s[4], s[5], s[6])
		}
	}
	f.Fuzz(func(t *testing.T, command byte, from, to, diameter, setAt, height, tolerance, every string) {
		var args []string
		short := false // steps and lengths so short are tried elsewhere: they take long
		const least = 0.02
		give := func(flag, value string) {
			if value != "" {
				args = append(args, flag+"="+value)
			}
			if l, err := length.Parse(value); err == nil && (flag == "--every" || flag == "--length") &&
				l.MM(length.Inch) > 0 && l.MM(length.Inch) < least*25.4 {
				short = true
			}
		}
		switch command % 3 {
		case 0, 1:
			args = append(args, []string{"predict", "correct"}[command%3], "-", "--json")
			give("--from", from)
			give("--to", to)
			give("--set-at", setAt)
		default:
			args = append(args, "place", "-", "--json")
			give("--length", to)
			if from != "" && setAt != "" {
				give("--reach", from+","+setAt)
			}
		}
		give("--diameter", diameter)
		give("--tool-height", height)
		give("--tolerance", tolerance)
		give("--every", every)
		if command&4 != 0 {
			args = append(args, "--bore")
		}
		if command&8 != 0 {
			give("--centre-height", setAt)
		}
		if short {
			t.Skip()
		}
		alongside(t)
		a := tell(string(invented.Lathe), args...)
		switch a.status {
		case env.ExitDone, env.ExitNotHeld:
			if a.status == env.ExitNotHeld && a.stdout == "" {
				if !strings.Contains(a.stderr, "cannot be held") {
					t.Fatalf("%q: exit status 3 without an answer: %s", args, a.stderr)
				}
				return
			}
			var v map[string]any
			if err := json.Unmarshal([]byte(a.stdout), &v); err != nil {
				t.Fatalf("%q: no JSON: %v\n%s", args, err, a.stdout)
			}
			if notFinite.MatchString(a.stdout) {
				t.Fatalf("%q: a number that is none:\n%s", args, a.stdout)
			}
		case env.ExitRefused, env.ExitUsage:
			lines := strings.Split(strings.TrimSuffix(a.stderr, "\n"), "\n")
			if a.stdout != "" || len(lines) > 2 || !strings.HasPrefix(lines[0], "wornway: ") || len(lines) == 2 &&
				!strings.HasPrefix(lines[1], "  hint: ") {
				t.Fatalf("%q: exit status %d, %q, %q", args, a.status, a.stdout, a.stderr)
			}
			// words of the library, or a badly written format, unless it is the input that has them
			for _, slip := range []string{"strconv", "%!"} {
				if strings.Contains(a.stderr, slip) && !strings.Contains(strings.Join(args, "\n"), slip) {
					t.Fatalf("%q: %s", args, a.stderr)
				}
			}
		default:
			t.Fatalf("%q: exit status %d", args, a.status)
		}
	})
}

// FuzzLine reads whatever comes as a whole command line, its words apart by line feeds. Nothing panics, and no file is
// written.
func FuzzLine(f *testing.F) {
	for _, s := range []string{"", "predict", "predict -", "show -\n--csv", "help\nhelp", "completion\nbash", "--", "-",
		"--=", "wear\n-\n--every\n2in\n--csv=regrind", "demo", "__complete\npre", "predict\n-\n--from=",
		"place\n-\n--length\n6\n--diameter\n1\n--reach\n1,",
		"correct\n-\n--from\n4\n--to\n12\n--diameter\n1\n--compound-angle\n5.74\n--csv=moves",
		"new\n-\n--unit\nin\n--ask", "new\n--demo\n-", "compare\n-\n--before\n2026-01-01",
		"check\n-\n--measured=none.csv", "-h", "-v", "--version=x"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		args := strings.Split(line, "\n")
		for _, a := range args {
			// A file that the fuzzer names would be read or written.
			if strings.HasPrefix(a, "-o") || strings.HasPrefix(a, "--out") || strings.Contains(a, "every") ||
				strings.HasPrefix(a, "--length") && len(args) > 7 {
				t.Skip()
			}
		}
		if len(args) > 1 && args[0] == "new" && args[1] != "-" && !strings.Contains(line, "\n-\n") &&
			!strings.HasSuffix(line, "\n-") {
			t.Skip()
		}
		alongside(t)
		enter(t, t.TempDir())
		a := tell(string(invented.Lathe), args...)
		if a.status < env.ExitDone || a.status > env.ExitNotHeld {
			t.Fatalf("%q: exit status %d", args, a.status)
		}
		if (a.status == env.ExitUsage || a.status == env.ExitRefused) && a.stderr == "" {
			t.Fatalf("%q: exit status %d, and nothing is said", args, a.status)
		}
	})
}
