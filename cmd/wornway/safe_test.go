package main

import (
	"os"
	"strings"
	"testing"
	"unicode"

	"wornway/cmd/wornway/internal/invented"
)

// A name that holds ESC, CSI (U+009B), a right-to-left override or a formula reaches no terminal, spreadsheet or page
// as such, whichever way it leaves the program. The characters are those of ECMA-48 and of Unicode's UAX #9.
func TestNamesLeaveHarmless(t *testing.T) {
	t.Chdir(t.TempDir())
	const bad = "=1+1 \\u001b[2J \\u009b31m \\u202e evil"
	text := strings.Replace(string(invented.Lathe), "name = \"", "name = \""+bad+"\" #", 1)
	put(t, "bad.toml", text)
	dir := "no\u009b31m\u202e.toml"
	put(t, "typo.toml", strings.Replace(text, "[lathe]", "[lathe]\n\"x\\u009b\\u202e\" = 1", 1))
	for _, line := range []string{"show bad.toml", "show bad.toml --json", "show bad.toml --csv",
		"show bad.toml --markdown",
		"wear bad.toml --csv", "show typo.toml", "predict bad.toml --from 4in --to 12in --diameter 1in --json",
		"lesson bad.toml -o page.html"} {
		a := tell("", split(line)...)
		out := a.stdout + a.stderr
		if strings.HasPrefix(line, "lesson") {
			page, err := os.ReadFile("page.html")
			if err != nil {
				t.Fatal(err)
			}
			out += string(page)
		}
		if out == "" {
			t.Errorf("%s: no answer", line)
		}
		harmless(t, line, out)
	}
	a := tell("", "show", dir)
	harmless(t, "a file's name", a.stderr)
	shaft := strings.Replace(string(invented.Shaft), "name = \"left bearing seat\"", "name = \"=1+1\"", 1)
	put(t, "job.toml", shaft)
	answer := tell("", split("predict bad.toml --job job.toml --csv")...).stdout
	if !strings.Contains(answer, "=1+1") {
		t.Errorf("the feature is not named: %s", answer)
	}
	for l := range strings.Lines(answer) {
		if strings.HasPrefix(strings.Trim(l, `"`), "=") {
			t.Errorf("a formula: %s", l)
		}
	}
}

func harmless(t *testing.T, what, out string) {
	t.Helper()
	for _, r := range out {
		if unicode.IsControl(r) && r != '\n' && r != '\t' || unicode.Is(unicode.Bidi_Control, r) {
			t.Errorf("%s: %U leaves the program", what, r)
			return
		}
	}
}
