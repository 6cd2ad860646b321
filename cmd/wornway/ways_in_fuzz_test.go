package main

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/invented"
	"wornway/profile"
)

// honest fails where an outcome of a command with --json is none that a person could make something of: it ends with
// one of the four statuses, an answer is JSON whose numbers are numbers, and what is refused is told without words of
// the libraries, unless the input has them.
func honest(t *testing.T, a outcome, input string) {
	t.Helper()
	switch a.status {
	case env.ExitDone, env.ExitNotHeld:
		if a.stdout == "" && a.status == env.ExitNotHeld && a.stderr != "" {
			return
		}
		if !json.Valid([]byte(a.stdout)) {
			t.Fatalf("no JSON: %s\n%s", a.stdout, input)
		}
		if notFinite.MatchString(a.stdout) && !notFinite.MatchString(input) {
			t.Fatalf("a number that is none: %s\n%s", a.stdout, input)
		}
	case env.ExitRefused, env.ExitUsage:
		if a.stdout != "" || !strings.HasPrefix(a.stderr, "wornway: ") {
			t.Fatalf("exit status %d, %q, %q\n%s", a.status, a.stdout, a.stderr, input)
		}
		for _, slip := range []string{"strconv", "%!", "runtime error"} {
			if strings.Contains(a.stderr, slip) && !strings.Contains(input, slip) {
				t.Fatalf("%s\n%s", a.stderr, input)
			}
		}
	default:
		t.Fatalf("exit status %d\n%s", a.status, input)
	}
}

// FuzzPlan reads whatever comes as a job, and plans it on the demonstration lathe.
func FuzzPlan(f *testing.F) {
	f.Add(string(invented.Shaft))
	f.Add(jobMM)
	f.Add(jobInch)
	f.Add("format = 1\nunit = \"mm\"\n[job]\nlength = 50\nstock_diameter = 30\nheld = \"chuck\"\n" +
		"[[feature]]\nfrom = 10\nto = 40\n" +
		"diameter = 25\nfit = \"h7\"\nrunout = 0.01\n")
	f.Fuzz(func(t *testing.T, job string) {
		if len(job) > 4000 {
			t.Skip() // long files are tried where they are read
		}
		alongside(t)
		workshop(t)
		honest(t, tell(job, "plan", "-", "demo.toml", "--json"), job)
	})
}

// FuzzCollarsToAnswer reads whatever comes as a table of collars, and corrects and checks by it.
func FuzzCollarsToAnswer(f *testing.F) {
	for _, s := range []string{
		"position,diameter\n4,1.0012\n6,1.0009\n8,1.0004\n10,1.0001\n12,1.0000\n",
		"position,diameter,cut\n4,1.0012,1\n6,1.0009,1\n8,1.0004,1\n10,1.0001,1\n12,1,1\n4,1.0016,2\n12,1.0001,2\n",
		"position;diameter\n4;1,0012\n6;1,0009\n8;1,0004\n10;1,0001\n12;1\n",
		"position,diameter\n4,1\n4,1\n4,1\n4,1\n12,1\n", "position,diameter\n4,1e300\n6,-1\n8,0\n10,NaN\n12,Inf\n",
	} {
		f.Add(s, "0.0002in")
	}
	f.Fuzz(func(t *testing.T, table, uncertainty string) {
		if len(table) > 2000 {
			t.Skip()
		}
		alongside(t)
		enter(t, t.TempDir())
		if err := os.WriteFile("collars.csv", []byte(table), 0o600); err != nil {
			t.Fatal(err)
		}
		input := table + "\n" + uncertainty
		for _, command := range []string{"predict", "correct --division 0.001in --dial diameter"} {
			args := append(split(command), "collars.csv", "--reading-unit", "in", "--from", "4in", "--to", "12in",
				"--diameter", "1in", "--held", "chuck-and-centre", "--json")
			if uncertainty != "" {
				args = append(args, "--uncertainty="+uncertainty)
			}
			honest(t, invoke(args...), input)
		}
	})
}

// FuzzReadingsToAnswer reads whatever comes as the rows of a level's survey in a file of its own, and estimates from
// them.
func FuzzReadingsToAnswer(f *testing.F) {
	for _, s := range []string{
		"position,there\n0,0\n100,0.5\n200,1\n300,1.5\n400,0.5\n500,0\n",
		"position,there,back\n0,0,0.1\n300,2,2\n600,0,\n",
		"position,there\n0,1e300\n300,-1e300\n", "position,there\n0,0\n", "position;there\n0;0,5\n300;1,5\n600;-2\n",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, rows string) {
		if len(rows) > 1000 {
			t.Skip()
		}
		alongside(t)
		enter(t, t.TempDir())
		survey := "\n[[survey]]\nmethod = \"saddle-level\"\nsensitivity = \"0.02 mm/m\"\nfile = \"rows.csv\"\n"
		for name, text := range map[string]string{"rows.csv": rows, "lathe.toml": killedLathe + survey} {
			if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		honest(t, invoke("predict", "lathe.toml", "--from", "100", "--to", "300", "--diameter", "25", "--json"), rows)
	})
}

// FuzzRecord gives whatever comes as answers while a survey is taken. However they end, the file is a profile, what
// stood in it before stands in it still, and the same command goes on with it.
func FuzzRecord(f *testing.F) {
	const level, lock, bar = 0, 1, 2
	for _, s := range []struct {
		answers string
		method  byte
	}{
		{"2026-03-14|0.02 mm/m||0.5|skip|1|again|1.5|2|skip|done", level}, {"|||1|moved|2|done", bar}, {"x|y|z", lock},
		{"done|done|done", level}, {"2026-03-14|0.02 mm/m||skip|skip|skip|help|done|at 200|1|done", level},
		{"2026-03-14|700||free|drags|skip|tight|2|2|done", lock},
		{"2026-03-14||||thou||0|0.1|skip|same|0.3|done", bar}, {"\x1b[2J|1e9|-0", level},
	} {
		f.Add(s.answers, s.method)
	}
	methods := []string{level: "saddle-level", lock: "carriage-lock", bar: "bar-side"}
	f.Fuzz(func(t *testing.T, answers string, method byte) {
		if len(answers) > 500 {
			t.Skip()
		}
		alongside(t)
		enter(t, t.TempDir())
		if err := os.WriteFile("lathe.toml", []byte(killedLathe), 0o600); err != nil {
			t.Fatal(err)
		}
		line := []string{"record", "lathe.toml", "--method", methods[int(method)%len(methods)], "--at", "0,200,400"}
		for range 2 {
			a := tell(strings.ReplaceAll(answers, "|", "\n"), line...)
			if a.status != env.ExitDone && a.status != env.ExitRefused {
				t.Fatalf("exit status %d: %s", a.status, a.stderr)
			}
			text, err := os.ReadFile("lathe.toml")
			if err != nil {
				t.Fatal(err)
			}
			if !strings.HasPrefix(string(text), killedLathe) {
				t.Fatalf("what was there is gone:\n%s", text)
			}
			if _, err := profile.Parse(os.DirFS("."), "lathe.toml", text); err != nil {
				t.Fatalf("%v\n%s", err, text)
			}
		}
	})
}

// FuzzHelp asks for help on whatever comes: a page, a command, or words that say that there is none.
func FuzzHelp(f *testing.F) {
	for _, s := range []string{"profile", "readings", "", "../guide", "profile.md", "predict", "\x00", "-"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, topic string) {
		a := invoke("help", topic)
		if a.status != env.ExitDone && a.status != env.ExitUsage || a.stdout == "" && a.stderr == "" {
			t.Fatalf("%q: exit status %d, %q, %q", topic, a.status, a.stdout, a.stderr)
		}
	})
}
