package main

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"wornway/cmd/wornway/internal/disk"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/invented"
)

// answers is standard input whose lines are made when they are read: that is, once they were asked for.
type answers struct {
	lines []func() string
	rest  string
}

func (a *answers) Read(p []byte) (int, error) {
	if a.rest == "" {
		if len(a.lines) == 0 {
			return 0, io.EOF
		}
		a.rest = a.lines[0]() + "\n"
		a.lines = a.lines[1:]
	}
	n := copy(p, a.rest)
	a.rest = a.rest[n:]
	return n, nil
}

// says is an answer that does nothing else.
func says(text string) func() string { return func() string { return text } }

// levelled begins a survey with a level on the demonstration lathe in the current folder.
func levelled(t *testing.T, more ...func() string) outcome {
	t.Helper()
	in := &answers{lines: append([]func() string{says("2026-03-14"), says("0.0005 in/ft"), says("")}, more...)}
	var out, errs bytes.Buffer
	status := execute(keeping(env.New(context.Background(), time.Now, in, &out, &errs)),
		split("record demo.toml --method saddle-level --at 0,8,16"))
	return outcome{status, out.String(), errs.String()}
}

// Each answer is in the file when the next one is asked for.
func TestRecordWritesBeforeItAsks(t *testing.T) {
	workshop(t)
	holds := func(want string) func() string {
		return func() string {
			t.Helper()
			text, err := os.ReadFile("demo.toml")
			if err != nil || !strings.Contains(string(text), want) {
				t.Errorf("before the next question the file lacks %q, %v:\n%s", want, err, text)
			}
			return ""
		}
	}
	then := func(check func() string, text string) func() string { return func() string { check(); return text } }
	a := levelled(t, then(holds("unfinished = [0.0, 8.0, 16.0]"), "0.5"), then(holds("[0.0, 0.5],\n"), "-2"),
		then(holds("[8.0, -2.0],\n]"), "again"),
		then(holds("unfinished = [8.0, 16.0]"), "-3"), then(holds("[8.0, -3.0],\n]"), "skip"),
		then(holds("unfinished = []"), "return"), then(holds(`columns = ["position", "reading", "back"]`), "undo"),
		then(holds("unfinished = []"), "done"))
	if a.status != env.ExitDone || a.stderr != "" || !strings.Contains(a.stdout, "Done: 2 readings") {
		t.Errorf("%+v", a)
	}
}

// Undo at the first station takes back the last answer before the stations, also where these stand in the command: a
// key that was answered wrongly can be mended. An answer that left a key out is one too.
func TestRecordUndoBeforeTheFirstStation(t *testing.T) {
	alongside(t)
	workshop(t)
	a := levelled(t, says("undo"), says("undo"), says("0.02 mm/m"), says(""), says("0.5"), says("done"))
	text, err := os.ReadFile("demo.toml")
	if err != nil || a.status != env.ExitDone || !strings.Contains(string(text), "per_division = \"0.02 mm/m\"\n") ||
		strings.Contains(string(text), "in/ft\"\n") || !strings.Contains(string(text), "[0.0, 0.5],\n]") {
		t.Errorf("%+v, %v\n%s", a, err, text)
	}
	if before, err := os.ReadFile("demo.toml.bak"); err != nil || !bytes.Equal(before, invented.Lathe) {
		t.Errorf("the version beside it is not the one from before the command, %v:\n%s", err, before)
	}
}

// The version beside the profile is the one from before the command, also where that took many answers, was broken off,
// and others were written before.
func TestRecordBackup(t *testing.T) {
	alongside(t)
	workshop(t)
	if err := os.WriteFile("demo.toml.bak", []byte("older"), 0o644); err != nil {
		t.Fatal(err)
	}
	first := levelled(t, says("0.5"), says("again"), says("0.6"), says("stop"))
	backup, err := os.ReadFile("demo.toml.bak")
	if err != nil || first.status != env.ExitDone || !bytes.Equal(backup, invented.Lathe) {
		t.Fatalf("%+v, %v\n%s", first, err, backup)
	}
	between, err := os.ReadFile("demo.toml")
	if err != nil {
		t.Fatal(err)
	}
	second := tell("1\n2\ndone\n", split("record demo.toml --method saddle-level")...)
	if backup, err = os.ReadFile("demo.toml.bak"); err != nil || second.status != env.ExitDone ||
		!bytes.Equal(backup, between) {
		t.Errorf("%+v, %v\n%s", second, err, backup)
	}
	before, err := os.ReadFile("demo.toml")
	if err != nil {
		t.Fatal(err)
	}
	third := invoke(split("check demo.toml --measured collars.toml --add")...)
	if backup, err = os.ReadFile("demo.toml.bak"); err != nil || third.status != env.ExitDone ||
		!bytes.Equal(backup, before) {
		t.Errorf("%+v, %v\n%s", third, err, backup)
	}
	// What changes nothing leaves the backup alone.
	for _, line := range []string{"check demo.toml --measured collars.toml --add",
		"check demo.toml --measured collars.toml", "wear demo.toml", "record demo.toml --method saddle-level"} {
		tell("stop\n", split(line)...)
		if now, err := os.ReadFile("demo.toml.bak"); err != nil || !bytes.Equal(now, before) {
			t.Errorf("%s: %v\n%s", line, err, now)
		}
	}
}

// Where an editor changes the file meanwhile, its text stays and the answers before are in what it read.
func TestRecordFileChangedMeanwhile(t *testing.T) {
	workshop(t)
	var edited []byte
	a := levelled(t, says("0.5"), func() string {
		text, err := os.ReadFile("demo.toml")
		if err != nil {
			t.Fatal(err)
		}
		edited = append([]byte("# looked at on Monday\n"), text...)
		if err := os.WriteFile("demo.toml", edited, 0o644); err != nil {
			t.Fatal(err)
		}
		return "-2"
	}, says("-3"))
	if a.status != env.ExitRefused || !strings.Contains(a.stderr,
		"demo.toml has been changed by another program since it was read") ||
		!strings.Contains(a.stderr, "the last answer is not in it; the same command goes on from what the file says "+
			"now") {
		t.Errorf("%+v", a)
	}
	if text, err := os.ReadFile("demo.toml"); err != nil || !bytes.Equal(text, edited) {
		t.Errorf("%v\n%s", err, text)
	}
	// And it goes on from there.
	again := tell("-2\n-3\ndone\n", split("record demo.toml --method saddle-level")...)
	if text, err := os.ReadFile("demo.toml"); again.status != env.ExitDone || err != nil ||
		!strings.Contains(string(text), "  [0.0, 0.5],\n  [8.0, -2.0],\n  [16.0, -3.0],\n]") ||
		!strings.HasPrefix(string(text), "# looked at") {
		t.Errorf("%+v\n%s", again, text)
	}
}

// Removed or made read-only meanwhile.
func TestRecordFileGoneMeanwhile(t *testing.T) {
	for _, c := range []struct {
		do   func() error
		want string
	}{
		{func() error { return os.Remove("demo.toml") }, "demo.toml is gone: it was moved or removed"},
		{func() error { return os.Chmod("demo.toml", 0o444) }, "cannot write demo.toml: it is read-only"},
	} {
		workshop(t)
		a := levelled(t, func() string {
			if err := c.do(); err != nil {
				t.Fatal(err)
			}
			return "1"
		})
		if a.status != env.ExitRefused || !strings.Contains(a.stderr, c.want) ||
			!strings.Contains(a.stderr, "the same command goes on") {
			t.Errorf("%+v", a)
		}
	}
}

// Of two that write the same file the second is refused, whichever way it names the file; it does not disturb the
// first.
func TestRecordTwoWriters(t *testing.T) {
	workshop(t)
	sub, err := filepath.Abs("demo.toml")
	if err != nil {
		t.Fatal(err)
	}
	a := levelled(t, says("0.5"), func() string {
		second := tell("2026-03-14\n30\n\n1\n", "record", sub, "--method", "carriage-lock")
		if second.status != env.ExitRefused || !strings.Contains(second.stderr, "another wornway is writing "+sub) ||
			!strings.Contains(second.stderr, "hint: end it there first") {
			t.Errorf("%+v", second)
		}
		if other := invoke("new", "demo.toml", "--demo", "--force"); other.status != env.ExitRefused ||
			!strings.Contains(other.stderr, "another wornway is writing demo.toml") {
			t.Errorf("%+v", other)
		}
		return "-2"
	}, says("-3"), says("done"))
	if a.status != env.ExitDone {
		t.Errorf("%+v", a)
	}
	if _, err := disk.Lock("demo.toml"); err != nil {
		t.Errorf("the lock was not given back: %v", err)
	}
}

// An interrupt ends the conversation with what is written, and says how to go on.
func TestRecordInterrupted(t *testing.T) {
	alongside(t)
	workshop(t)
	ctx, cancel := context.WithCancel(context.Background())
	in := &answers{lines: []func() string{says("2026-03-14"), says("0.0005 in/ft"), says(""), says("0.5"),
		func() string { cancel(); <-ctx.Done(); return "7" }, says("-2")}}
	var out, errs bytes.Buffer
	status := run(ctx, split("record demo.toml --method saddle-level --at 0,8,16"), in, &out, &errs)
	text, err := os.ReadFile("demo.toml")
	if status != env.ExitDone || errs.Len() > 0 || !strings.Contains(out.String(),
		"This goes on there:\n  wornway record demo.toml --method saddle-level\n") || err != nil ||
		!strings.Contains(string(text), "[0.0, 0.5],\n") {
		t.Errorf("%d, %s, %s, %v\n%s", status, &out, &errs, err, text)
	}
}

// A reading that does not fit is told of at once, with what would explain it, and once only.
func TestRecordMisfit(t *testing.T) {
	alongside(t)
	workshop(t)
	a := levelled(t, says("0.9"), says("-0.9"), says("help"), says("8"), says("again"), says("0.8"), says("done"))
	if a.status != env.ExitDone || a.stderr != "" {
		t.Fatalf("%+v", a)
	}
	_, after, found := strings.Cut(a.stdout, "16 in (3 of 3), divisions: 8\n")
	here, doubt, _ := strings.Cut(after, "\n! This does not fit: ")
	doubt = strings.Join(strings.Fields(doubt), " ")
	if !found || !strings.HasPrefix(here, "  Front against rear here: ") || strings.Contains(here, "\n") ||
		!strings.Contains(doubt, "; it fits if it is a tenth of what is written. See that all is clean and "+
			"firm, then answer again to measure it once more, or zero if something was knocked.") {
		t.Errorf("no word of a reading ten times too great:\n%s", a.stdout)
	}
	if strings.Count(a.stdout, "!") != 1 {
		t.Errorf("a good reading is doubted, or one twice:\n%s", a.stdout)
	}
}

// Where nothing is known of the bed the first readings are taken as well.
func TestRecordOnABareProfile(t *testing.T) {
	alongside(t)
	workshop(t)
	text := "format = 1\nunit = 'mm'\n[lathe]\ncentre_height = 150\nway_span = 200\nbed = [-200, " +
		"1100]\nsaddle.bearing_length = 0\n"
	if err := os.WriteFile("bare.toml", []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	a := tell("2026-03-14\n\n\n\nmm\n\nevery 50\n0\n-0.01\n0.5 thou\n-0.04\nstop\n",
		split("record bare.toml --method bar-side")...)
	if a.status != env.ExitDone || a.stderr != "" || !strings.Contains(a.stdout, "counted from it") ||
		!strings.Contains(a.stdout, "do not tell yet how far the tool is moved") {
		t.Errorf("%+v", a)
	}
	if got, err := os.ReadFile("bare.toml"); err != nil || !strings.Contains(string(got), "  [100.0, 0.0127],\n") {
		t.Errorf("%v\n%s", err, got)
	}
}

// A run with its sign turned round, by which the ways would have grown, is told of once.
func TestRecordWrongSign(t *testing.T) {
	alongside(t)
	for _, c := range []struct {
		readings string
		says     int
	}{{"0 -0.1 -0.1 -0.03 0 0", 1}, {"0 0.1 0.1 0.03 0 0", 0}} {
		workshop(t)
		text := "format = 1\nunit = 'mm'\n[lathe]\ncentre_height = 150\nway_span = 200\nbed = [-200, 1100]\nunworn = " +
			"[[-200, 0], [800, 1100]]\nsaddle.bearing_length = 0\n[lathe.tailstock]\n"
		if err := os.WriteFile("bare.toml", []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		a := tell("2026-03-14\ntail-front\n\nmm\n\n"+strings.ReplaceAll(c.readings, " ", "\n")+"\ndone\n",
			split("record bare.toml --method carriage-indicator --every 200 --from 0 --to 1000")...)
		if n := strings.Count(a.stdout, "would stand higher"); a.status != env.ExitDone || a.stderr != "" ||
			n != c.says {
			t.Errorf("%s: said %d times: %+v", c.readings, n, a)
		}
	}
}

// An indicator that is knocked loses its zero, not its run: with the answer zero what follows is a survey of its own
// with the same keys, what went before stays, and undo takes it back. A reading that was said not to fit goes with the
// new zero.
func TestRecordNewZero(t *testing.T) {
	alongside(t)
	keys := "method = \"saddle-level\"\ndate = 2026-03-14\nper_division = \"0.0005 in/ft\"\n" +
		"columns = [\"position\", \"reading\"]\nrows = [\n"
	for _, c := range []struct{ answers, first, second string }{
		{"0.9 -0.9 zero undo the_zero_has_moved 5 done", "  [0.0, 0.9],\n  [8.0, -0.9],\n]\n", "  [16.0, 5.0],\n]\n"},
		{"0.9 -0.9 zero stop", "  [0.0, 0.9],\n  [8.0, -0.9],\n]\n", ""},
		{"0.9 -0.9 8 zero done", "  [0.0, 0.9],\n  [8.0, -0.9],\n]\n", "  [16.0, 8.0],\n]\n"}, // 8 does not fit
		{"0.9 -0.9 again zero -4 0.8 done", "  [0.0, 0.9],\n]\n", "  [8.0, -0.9],\n"},         // measured again
	} {
		workshop(t)
		var more []func() string
		for _, w := range strings.Fields(c.answers) {
			more = append(more, says(strings.ReplaceAll(w, "_", " ")))
		}
		a := levelled(t, more...)
		text, err := os.ReadFile("demo.toml")
		if err != nil || a.status != env.ExitDone || a.stderr != "" {
			t.Fatalf("%+v, %v", a, err)
		}
		both := strings.Split(string(text), "[[survey]]")
		if len(both) != 3 || !strings.Contains(both[1], keys+c.first) ||
			c.second != "" && !strings.Contains(both[2], keys+c.second) ||
			c.second == "" && !strings.Contains(both[2], "unfinished = [16.0]") {
			t.Errorf("%s: %s\n%s", c.answers, a.stdout, text)
		}
	}
	workshop(t)
	if a := levelled(t, says("zero"), says("1"), says("2"), says("3"), says("zero")); strings.Count(a.stdout,
		"Nothing has been read yet") != 1 || strings.Count(a.stdout, "All stations are read.\n") != 1 {
		t.Errorf("%+v", a)
	}
}
