package main

import (
	"context"
	"errors"
	"os"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/show"
	"wornway/profile"
)

// commands returns every command that the program has, but for those that cobra makes.
func commands(t *testing.T) []*cobra.Command {
	t.Helper()
	var all []*cobra.Command
	e := &env.Env{Ctx: context.Background(), Stdin: strings.NewReader(""), Stdout: os.Stdout, Stderr: os.Stderr}
	for _, c := range newRoot(e).Commands() {
		if c.Name() != "help" && c.Name() != "completion" {
			all = append(all, c)
		}
	}
	if len(all) < 7 {
		t.Fatalf("only %d commands", len(all))
	}
	return all
}

// Every example of every help works in a folder with the demonstration lathe, as it stands there. An exit status of 3
// is an answer too.
func TestHelpExamples(t *testing.T) {
	alongside(t)
	for _, c := range commands(t) {
		lines := strings.Split(strings.TrimSpace(c.Example), "\n")
		if c.Example == "" {
			t.Errorf("%s: its help has no example", c.Name())
			continue
		}
		for _, line := range lines {
			line = strings.TrimSpace(line)
			t.Run(line, func(t *testing.T) {
				alongside(t)
				args := split(line)
				if len(args) < 2 || args[0] != "wornway" || args[1] != c.Name() {
					t.Fatalf("is no example of %s", c.Name())
				}
				if c.Name() == "lesson" && testing.Short() {
					t.Skip("computes hundreds of corrections")
				}
				workshop(t)
				if c.Name() == "new" { // which writes the files that are there for the other commands
					if err := errors.Join(os.Remove("demo.toml"), os.Remove("shaft.toml")); err != nil {
						t.Fatal(err)
					}
				}
				a := invoke(args[1:]...)
				if a.status != env.ExitDone && a.status != env.ExitNotHeld {
					t.Errorf("exit status %d\n%s", a.status, a.stderr)
				}
				if c.Name() == "check" { // alters demo.toml, with --add
					if _, err := profile.Read(os.DirFS("."), "demo.toml"); err != nil {
						t.Error(err)
					}
				}
				if a.stdout == "" {
					t.Error("answers nothing")
				}
				if strings.Contains(a.stderr, "wornway: ") && !strings.Contains(a.stderr, "wornway: warning: ") {
					t.Errorf("complains: %s", a.stderr)
				}
			})
		}
	}
}

// What a hint gives as an instance works as well, with a profile in the place of PROFILE.
func TestHelpInstances(t *testing.T) {
	alongside(t)
	workshop(t)
	for _, c := range commands(t) {
		instance := c.Annotations["instance"]
		if instance == "" {
			continue
		}
		a := invoke(append([]string{c.Name()}, split(strings.ReplaceAll(instance, "PROFILE", "demo.toml"))...)...)
		if a.status != env.ExitDone && a.status != env.ExitNotHeld {
			t.Errorf("%s %s: exit status %d\n%s", c.Name(), instance, a.status, a.stderr)
		}
	}
}

// Every help says what the exit status means, ends with it, and keeps to the width of a usual terminal.
func TestHelpText(t *testing.T) {
	texts := map[string]string{"": invoke("--help").stdout, "completion": invoke("completion", "--help").stdout,
		"help": invoke("help", "--help").stdout}
	for _, c := range commands(t) {
		texts[c.Name()] = invoke(c.Name(), "--help").stdout
		if short := c.Short; short == "" || strings.HasSuffix(short, ".") {
			t.Errorf("%s: short help %q", c.Name(), short)
		}
		if !strings.Contains(texts[c.Name()], "\nExamples:\n") {
			t.Errorf("%s: its help shows no examples", c.Name())
		}
	}
	for name, text := range texts {
		if !strings.HasSuffix(text, "\n\n"+show.Fold(exitStatus, 80)) {
			t.Errorf("%q: its help does not end with the exit status", name)
		}
		for _, line := range strings.Split(text, "\n") {
			example := strings.HasPrefix(line, "  wornway ")
			if n := utf8.RuneCountInString(line); n > 80 && !example {
				t.Errorf("%q: a line of %d characters: %s", name, n, line)
			}
			if strings.ContainsFunc(line, func(r rune) bool { return r < ' ' }) {
				t.Errorf("%q: a control character in %q", name, line)
			}
		}
	}
}

// Both spellings of centre are read, in whatever flag.
func TestHelpSpellings(t *testing.T) {
	alongside(t)
	workshop(t)
	for _, c := range []string{"predict demo.toml --from 4 --to 12 --diameter 1",
		"correct demo.toml --from 4 --to 12 --diameter 1", "place demo.toml --length 6 --diameter 1 --reach 4,10"} {
		british := invoke(append(split(c), "--json", "--centre-height", "6.5")...)
		american := invoke(append(split(c), "--json", "--center-height", "6.5")...)
		if british.status != env.ExitDone || british != american {
			t.Errorf("%s: %v\n%v", c, british.stderr, american.stderr)
		}
		if plain := invoke(append(split(c), "--json")...); plain == british {
			t.Errorf("%s: --centre-height changes nothing", c)
		}
	}
}

// The demonstration shows what the commands that it names say.
func TestDemoShowsTheCommands(t *testing.T) {
	alongside(t)
	workshop(t)
	demo := invoke("demo", "--full")
	if demo.status != env.ExitDone || demo.stderr != "" {
		t.Fatalf("exit status %d, %s", demo.status, demo.stderr)
	}
	if len(demoSteps) < 5 {
		t.Fatalf("only %d steps", len(demoSteps))
	}
	// A command line that is too long is broken, as a shell takes it.
	joined := func(s string) string { return regexp.MustCompile(`\\\n\s*`).ReplaceAllString(s, "") }
	rest := joined(demo.stdout)
	if !strings.Contains(rest, "is invented") {
		t.Error("does not say that the lathe is invented")
	}
	for _, s := range demoSteps {
		a := invoke(split(s.line + " --full")...)
		if a.status != env.ExitDone && a.status != env.ExitNotHeld {
			t.Fatalf("%s: exit status %d", s.line, a.status)
		}
		_, after, found := strings.Cut(rest, "$ wornway "+s.line+" --full\n\n"+joined(a.stdout))
		if !found {
			t.Fatalf("the answer of %s is not shown", s.line)
		}
		rest = after
	}
}
