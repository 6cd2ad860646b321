package main

import (
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"wornway/profile"
)

// A profile that a cut is added to: a bar's run on the small lathe, so that a ± can be told before and after.
const cutLathe = killedLathe + `
[[survey]]
method = "bar-side"
date = 2026-03-14
turned = true
reading_unit = "um"
uncertainty = 2
columns = ["position", "reading"]
rows = [[50, 0], [150, -6], [250, -9]]  # invented
`

// measuredCut is what was measured, and cutBlock what stands in the profile once it is added, written by hand.
const (
	measuredCut = "position,diameter\n50,30.012\n150,30.004\n250,30.000\n"
	cutBlock    = `
[[survey]]
method = "test-cut"
date = 2026-04-02
columns = ["position", "diameter"]
rows = [
  [50, 30.012],
  [150, 30.004],
  [250, 30],
]
`
)

var addCut = []string{"check", "killed.toml", "--measured", "cut.csv", "--date", "2026-04-02", "--add"}

// leftovers are the files in the folder that nobody put there for good.
func leftovers(t *testing.T) (out []string) {
	t.Helper()
	for _, pattern := range []string{".*.tmp", "*.lock"} {
		names, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, names...)
	}
	return out
}

// Killed at whatever moment, check --add leaves the profile as it was or with the cut, byte for byte, and the version
// beside it is the one from before. The same command then adds the cut if it is not there, never twice, and clears away
// what the killed one left behind. What an editor saved before or meanwhile stays, and the cut comes to it.
func TestCheckAddKilled(t *testing.T) {
	program, err := exec.LookPath("wornway")
	if err != nil {
		t.Fatal(err)
	}
	times := howOften(4, 1000, 2)
	const seed = 20260402
	r := rand.New(rand.NewPCG(seed, uint64(times)))
	workshop(t)
	holds := func(name string) string {
		t.Helper()
		text, err := os.ReadFile(name)
		if err != nil && name != "killed.toml.bak" {
			t.Fatal(err)
		}
		return string(text)
	}
	put(t, "cut.csv", measuredCut)
	person := &editor{r: rand.New(rand.NewPCG(seed, 1))}
	fresh := func(edited bool) (before, after string) {
		t.Helper()
		put(t, "killed.toml", cutLathe)
		os.Remove("killed.toml.bak")
		before = cutLathe
		if edited {
			before = string(person.edit(t, "killed.toml"))
		}
		return before, before + cutBlock
	}

	// Once to its end, for the time that it takes.
	before, after := fresh(false)
	begun := time.Now()
	if out, err := exec.Command(program, addCut...).CombinedOutput(); err != nil || holds("killed.toml") != after ||
		holds("killed.toml.bak") != before {
		t.Fatalf("%v\n%s\n%s", err, out, holds("killed.toml"))
	}
	takes := time.Since(begun)

	added, locked, temporary, finished, meanwhile, between := 0, 0, 0, 0, 0, 0
	for killed := 0; killed < times; {
		before, after = fresh(r.IntN(4) == 0)
		unedited := after
		c := exec.Command(program, addCut...)
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		over := make(chan error, 1)
		go func() { over <- c.Wait() }()
		wait := time.Duration(r.Int64N(int64(takes)))
		if r.IntN(3) > 0 { // most often about the moment at which it writes
			wait = time.Duration(r.Int64N(int64(15 * time.Millisecond)))
			for ended := false; !ended; {
				if _, err := os.Stat("killed.toml.lock"); err == nil {
					break
				}
				ended = len(over) > 0
				time.Sleep(50 * time.Microsecond)
			}
		}
		var beside func(*testing.T) ([]byte, bool)
		if savesAreKept && r.IntN(3) == 0 {
			beside = person.beside("killed.toml", []byte(before), 10*time.Millisecond)
		}
		time.Sleep(wait)
		_ = c.Process.Kill()
		err := <-over

		edited := false
		if beside != nil {
			if text, saved := beside(t); saved {
				before, after, edited = string(text), string(text)+cutBlock, true
				meanwhile++
			}
		}
		now, old := holds("killed.toml"), holds("killed.toml.bak")
		// Killed after it had taken what an editor saved for its own, and before it put that back: the next one does.
		if edited && now == unedited && c.ProcessState.ExitCode() < 0 && slices.ContainsFunc(leftovers(t),
			func(name string) bool { return holds(name) == before }) {
			now = before
			between++
		}
		// What an editor has saved before the file was read has the cut as well, and is then the version beside it.
		if now != before && now != after {
			t.Fatalf("killed after %d times (an editor has saved it meanwhile: %v) the file holds neither what it did "+
				"nor the cut as well:\n%s", killed, edited, now)
		}
		if _, err := profile.Parse(nil, "killed.toml", []byte(now)); err != nil {
			t.Fatalf("%v\n%s", err, now)
		}
		if old != before && (now == after || old != "" && !edited) {
			t.Fatalf("the version beside it is not the one from before:\n%s", old)
		}
		if err == nil {
			finished++
			continue
		}
		if c.ProcessState.ExitCode() < 0 { // not where it ended by itself, as the file has changed
			killed++
		}
		if now == after {
			added++
		}
		for _, name := range leftovers(t) {
			if strings.HasSuffix(name, ".lock") {
				locked++
			} else if temporary++; now == after && holds(name) != before {
				t.Fatalf("the cut is added, and %s left behind, which is not the file from before", name)
			}
		}

		// Once more, and now and then twice: the cut is in it once, whichever of the three has put it there.
		more := 1
		if killed%8 == 0 {
			more = 2
		}
		for n := range more {
			out, err := exec.Command(program, addCut...).CombinedOutput()
			want := "Added as survey 2 of killed.toml"
			if now == after || n == 1 {
				want = "Nothing was added: the cut is survey 2 of killed.toml already."
			}
			if err != nil || !strings.Contains(strings.Join(strings.Fields(string(out)), " "), want) {
				t.Fatalf("%v, no %q in\n%s", err, want, out)
			}
			if now := holds("killed.toml"); now != after || holds("killed.toml.bak") != before {
				t.Fatalf("after the same command again the file holds\n%s\nand the one beside it\n%s", now,
					holds("killed.toml.bak"))
			}
		}
		const some = 100
		if killed%some == 0 {
			t.Logf("killed %d times so far", killed)
		}
		if now == before { // it has written, and so cleared away
			if left := leftovers(t); len(left) > 0 {
				t.Fatalf("left behind: %q", left)
			}
		}
	}
	t.Logf("killed %d times: the cut was in the profile after %d of them; %d left a lock's file and %d a temporary "+
		"file, which the next to write cleared away; finished %d times; an editor saved it meanwhile %d times, of which "+
		"%d were put back by the next to write", times, added, locked, temporary, finished, meanwhile, between)
}

func put(t testing.TB, name, text string) {
	t.Helper()
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}
