package main

import (
	"bytes"
	"context"
	"os"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/show"
)

// screens are answers on the demonstration lathe, with how many lines they may take at 80 columns: what is read at a
// glance, by whoever stands at the machine. Zero: as many as it takes. On a terminal a picture of a curve adds ten.
var screens = []struct {
	line string
	most int
}{
	{"predict demo.toml --from 4in --to 12in --diameter 1in --tolerance 1thou", 30},
	{"correct demo.toml --from 4in --to 12in --diameter 1in --tolerance 1thou", 30},
	{"place demo.toml --length 8in --diameter 1in --tolerance 1thou", 30},
	{"wear demo.toml", 45},
	{"wear demo.toml --verdict", 40},
	{"wear demo.toml --for 4in,12in --tolerance 1thou", 0},
	{"show demo.toml", 40},
	{"plan shaft.toml demo.toml", 55},
	{"demo", 70},
	{"explain demo.toml --at 8in --from 4in --to 12in --diameter 1in", 0},
	{"compare last-year.toml demo.toml", 0},
	{"check demo.toml --measured collars.csv", 0},
	{"predict demo.toml --job shaft.toml --at 3.5in", 0},
	{"correct demo.toml --job shaft.toml --at 3.5in", 0},
	{"place demo.toml --job shaft.toml", 0},
	{"check demo.toml --job shaft.toml --measured seats.csv --at 3.5in", 0},
	{"exercise --seed 417", 0},
	{"exercise --answer 417-2", 0},
	{"correct demo.toml --from 4in --to 12in --diameter 1in --list", 0},
	{"plan shaft.toml demo.toml --list", 0},
	{"predict demo.toml --from 4in --to 12in --diameter 1in --full", 0},
	{"wear demo.toml --for 4in,12in --full", 0},
	{"record demo.toml --for 4in,12in --tolerance 1thou", 0},
	{"record demo.toml --method bar-side", 0},
	{"chart demo.toml --from 4in --to 12in --diameter 1in --force -o card.pdf", 0},
	{"blank demo.toml --method bar-side --force -o sheet.pdf", 0},
	{"lesson demo.toml --force -o lesson.html", 0},
	{"new --demo --force again.toml", 0},
	{"help", 0},
	{"help profile", 0},
	{"help wear", 0},
	{"predict --help", 0},
	{"record --help", 0},
}

// seen is what a terminal of so many columns shows of the answer to a command line; a report is computed once.
func seen(t *testing.T, columns int, line string) outcome {
	t.Helper()
	words := split(line)
	asks := slices.Contains(words, "--list") || slices.Contains(words, "--help") || slices.Contains(words, "-o")
	if slices.Contains(reporting, words[0]) && !asks {
		return report(t, "", strings.Replace(line, " --full", "", 1)).as(show.Format{Width: columns,
			ASCII: os.Getenv("LC_ALL") == "C", Full: slices.Contains(words, "--full")})
	}
	return on(columns, line)
}

// on runs a command line on a terminal of so many columns; 0 is no terminal.
func on(columns int, line string) outcome {
	var out, errs bytes.Buffer
	e := env.New(context.Background(), onTestDay, strings.NewReader(""), &out, &errs)
	e.Columns = columns
	status := execute(e, split(line))
	return outcome{status, out.String(), errs.String()}
}

// someScreens: with -short one of so many is looked at.
const someScreens = 3

// A short answer is short, and no line of it is wider than the terminal, nor than 80 where there is none.
func TestScreens(t *testing.T) {
	alongside(t)
	workshop(t)
	for i, s := range screens {
		if testing.Short() && i%someScreens > 0 {
			continue
		}
		for _, columns := range []int{0, 80, 40} {
			if columns == 80 && s.most == 0 { // which has nothing that the other two do not have
				continue
			}
			a := seen(t, columns, s.line)
			if a.status != env.ExitDone && a.status != env.ExitNotHeld {
				t.Fatalf("%s: exit status %d, %s", s.line, a.status, a.stderr)
			}
			room, most := columns, s.most
			if columns == 0 {
				room = 80
			} else {
				most += 10
			}
			lines := strings.Split(strings.TrimSuffix(a.stdout, "\n"), "\n")
			if s.most > 0 && columns != 40 && len(lines) > most {
				t.Errorf("%s, %d columns: %d lines, where %d are to do:\n%s",
					s.line, columns, len(lines), most, a.stdout)
			}
			for _, l := range lines {
				if n := utf8.RuneCountInString(l); n > room {
					t.Errorf("%s, %d columns: a line of %d: %s", s.line, columns, n, l)
				}
			}
		}
	}
}

// A terminal that is set to plain ASCII gets nothing else, and what it gets says the same.
func TestScreensInASCII(t *testing.T) {
	workshop(t)
	t.Setenv("LC_ALL", "C")
	for i, s := range screens {
		if testing.Short() && i%someScreens != 1 {
			continue
		}
		a := seen(t, 80, s.line)
		for l := range strings.Lines(a.stdout) {
			if strings.IndexFunc(l, func(r rune) bool { return r > 126 }) >= 0 || utf8.RuneCountInString(l) > 81 {
				t.Errorf("%s: %q", s.line, l)
			}
		}
	}
	a := on(0, "correct demo.toml --from 4in --to 12in --diameter 1in --tolerance 1thou")
	for _, want := range []string{"+/- 0.48 thou", "IN" + strings.Repeat(" ", 10) + "1/2"} {
		if !strings.Contains(a.stdout, want) {
			t.Errorf("%q is not in\n%s", want, a.stdout)
		}
	}
	if a := on(0, "predict demo.toml --from 4in --to 12in --diameter 1in --json"); !strings.Contains(a.stdout, "±") {
		t.Error("JSON is changed by the locale")
	}
}

// What limits an answer is never left to --full: damage that the saddle crosses, a spindle that was never measured, a
// length that stands out too far, a promise that cannot be made, a survey that is stale, a saddle off the known wear.
func TestShortAnswersKeepTheirLimits(t *testing.T) {
	alongside(t)
	workshop(t)
	for _, c := range []struct{ line, want string }{
		{"predict demo.toml --from 4in --to 12in --diameter 1in --tolerance 1thou", "crosses damage of the front way"},
		{"predict demo.toml --from 4in --to 12in --diameter 1in --tolerance 1thou", "The spindle was never measured"},
		{"predict demo.toml --from 4in --to 12in --diameter 1in --tolerance 1thou", "8.5 diameters out of the jaws"},
		{"predict demo.toml --from 4in --to 12in --diameter 1in --tolerance 1thou", "not held"},
		{"correct demo.toml --from 4in --to 12in --diameter 1in --tolerance 0.8thou", "not promised"},
		{"correct demo.toml --from 4in --to 12in --diameter 1in", "crosses damage of the front way"},
		{"place demo.toml --length 8in --diameter 1in", "diameters out of the jaws"},
		{"wear demo.toml", "Damage seen: front way"},
		{"wear demo.toml --verdict", "damage on the front way"},
		{"predict demo.toml --from 35in --to 43in --diameter 1in", "runs past the wear that is known"},
		{"explain demo.toml --at 8in --from 4in --to 12in --diameter 1in", "crosses damage of the front way"},
		{"plan shaft.toml demo.toml", "damage of the front way"},
	} {
		if a := seen(t, 0, c.line); !strings.Contains(strings.Join(strings.Fields(a.stdout), " "), c.want) {
			t.Errorf("%s does not say %q:\n%s%s", c.line, c.want, a.stdout, a.stderr)
		}
	}
}
