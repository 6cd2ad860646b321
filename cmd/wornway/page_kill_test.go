package main

import (
	"fmt"
	"math/rand/v2"
	"net/url"
	"os/exec"
	"strings"
	"testing"
	"time"

	"wornway/cmd/wornway/internal/disk"
)

// Killed at whatever moment while readings are taken, the page leaves a file that holds every reading that was
// acknowledged exactly once, and one that was not at most once. What an editor saved between the starts, between two
// answers, or while one was written stays; the answer is then refused, and the survey begun again goes on from it.
func TestPageKilled(t *testing.T) {
	program, err := exec.LookPath("wornway")
	if err != nil {
		t.Fatal(err)
	}
	times := howOften(6, 1000, 2)
	workshop(t)
	put(t, "killed.toml", killedLathe)
	sent, known := 0, map[string]bool{} // readings are numbered, so that each is its own
	const seed = 20260314
	random := rand.New(rand.NewPCG(seed, uint64(times)))
	person := &editor{r: rand.New(rand.NewPCG(seed, 1))}
	note, refused, meanwhile, acknowledged := 0, 0, 0, 0 // the last note that was saved
	for n := range times {
		if most := 3; strings.Count(mustRead(t, "killed.toml"), "[[survey]]") > most { // a page of many takes long
			put(t, "killed.toml", killedLathe)
			acknowledged += len(known)
			clear(known)
			note = 0
		}
		if random.IntN(4) == 0 {
			person.edit(t, "killed.toml")
			note = person.notes
		}
		c := exec.Command(program, "page", "killed.toml", "--open=false")
		s := startPage(t, c)
		last, left := "", random.IntN(9) // answers before it is killed
		_, body, err := s.try("/measure/begin", url.Values{"method": {"saddle-level"}})
		for err == nil {
			said, m := words(body), tokens.FindStringSubmatch(body)
			half := strings.Contains(said, "What was sent was not taken: the file cannot be read now") // is being saved
			if m == nil && (half || strings.Contains(said, "has been changed")) {
				refused++
				_, body, err = s.try("/measure/begin", url.Values{"method": {"saddle-level"}})
				continue
			}
			if m == nil && !strings.Contains(said, "Done: ") {
				t.Fatalf("nothing is asked: %s", said)
			}
			text, reading := "", false
			switch {
			case strings.Contains(said, "Done: "):
				_, body, err = s.try("/measure/begin", url.Values{"method": {"saddle-level"}})
				continue
			case asksFor(body) == "per_division":
				text = "0.02 mm/m"
			case asksFor(body) == "stations":
				text = "every 5"
			case asksFor(body) == "end":
				text = "done"
			case asksFor(body) == "reading":
				sent++
				last = fmt.Sprintf("1.%04d1", sent) // no zero at its end, which the file leaves out
				text, reading = last, true
			}
			var beside func(*testing.T) ([]byte, bool)
			switch random.IntN(12) {
			case 0:
				person.edit(t, "killed.toml")
				note = person.notes
			case 1:
				beside = person.beside("killed.toml", []byte(mustRead(t, "killed.toml")), 8*time.Millisecond)
			}
			if left--; left < 0 {
				after := time.Duration(random.Int64N(int64(12 * time.Millisecond)))
				time.AfterFunc(after, func() { _ = c.Process.Kill() })
			}
			_, body, err = s.try("/measure/answer", url.Values{"token": {m[1]}, "answer": {text}})
			over := false // an editor that saves what it loaded over a reading that was written meanwhile
			if beside != nil {
				if text, saved := beside(t); saved {
					note = person.notes
					meanwhile++
					over = mustRead(t, "killed.toml") == string(text)
				}
			}
			if err == nil && reading && tokens.MatchString(body) && !over {
				known[last] = true
			}
		}
		if left >= 0 {
			t.Errorf("before it was killed: %v", err)
			_ = c.Process.Kill()
		}
		_ = c.Wait()
		disk.Recover("killed.toml") // as the next to write does: it may have been killed with what an editor saved in hand
		file := mustRead(t, "killed.toml")
		if first, _, _ := strings.Cut(file, "\n"); note > 0 && first != fmt.Sprintf("%s%d.", noteStart, note) {
			t.Fatalf("an editor saved note %d, and the file begins with %q", note, first)
		}
		if !strings.HasPrefix(withoutNote(file), killedLathe) {
			t.Fatalf("the rest of the file has changed:\n%s", file)
		}
		for reading := range known {
			if n := strings.Count(file, reading); n != 1 {
				t.Fatalf("reading %s was acknowledged and stands there %d times", reading, n)
			}
		}
		if last != "" && strings.Count(file, last) > 1 {
			t.Fatalf("reading %s stands there twice", last)
		}
		const some = 100
		if n%some == some-1 {
			t.Logf("killed %d times so far", n+1)
		}
	}
	if acknowledged += len(known); acknowledged == 0 {
		t.Error("no reading was acknowledged: this test sees nothing")
	}
	t.Logf("killed %d times; %d readings sent, %d acknowledged; an editor saved the file %d times, %d of them while "+
		"an answer was taken, for which %d answers were refused",
		times, sent, acknowledged, person.notes, meanwhile, refused)
}
