package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"wornway/cmd/wornway/internal/disk"
	"wornway/cmd/wornway/internal/env"
	"wornway/profile"
	"wornway/profile/entry"
	"wornway/profile/survey"
)

var study = flag.Bool("study", false, "kill record, and check --add, a thousand times")

// savesAreKept tells where what an editor saves in the microseconds before a new name is given is not lost: see
// disk.Replace.
const savesAreKept = runtime.GOOS == "linux"

// howOften returns how often something is tried: in an ordinary run, with -study, and with -short.
func howOften(ordinary, whole, short int) int {
	switch {
	case *study:
		return whole
	case testing.Short():
		return short
	}
	return ordinary
}

// A small lathe, so that calculating takes no time.
const killedLathe = `# Invented.   Kept as it is, with its blanks.
format = 1
unit = "mm"

[lathe]
centre_height = 150.0   # by the rule
way_span = 200.0
bed = [-200.0, 1100.0]
saddle = { bearing_length = 0 }
`

const killedStations = "0,100,200,300,400,500"

// expected follows what the file should hold, step by step, by the library alone.
type expected struct {
	text   []byte
	before [][]byte // for undo, of the running process
	method survey.Method
}

func (x *expected) entry(t *testing.T) *entry.Entry {
	t.Helper()
	e, err := entry.Find(x.text, x.method)
	if err != nil {
		t.Fatalf("%v in\n%s", err, x.text)
	}
	return e
}

// then writes the next text.
func (x *expected) then(t *testing.T, text []byte, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	x.before = append(x.before, x.text)
	x.text = text
}

// start begins with the stations, which the command names, where every key is answered.
func (x *expected) start(t *testing.T) {
	t.Helper()
	e := x.entry(t)
	if e == nil || e.Started || !e.Answered("uncertainty") {
		return
	}
	var stations []entry.Station
	for i := range strings.Split(killedStations, ",") {
		stations = append(stations, entry.Station{float64(100 * i)})
	}
	text, err := e.Start([]string{"position", "reading"}, stations)
	x.then(t, text, err)
}

// next chooses what to answer to the next question and returns it with all texts that the file goes through for it; the
// last of them is what it must hold when the next question is asked.
func (x *expected) next(t *testing.T, r *rand.Rand) (answer string, texts [][]byte) {
	t.Helper()
	e := x.entry(t)
	switch {
	case e == nil:
		text, err := entry.Begin(x.text, x.method, "date", "2026-03-14")
		x.then(t, text, err)
		return "2026-03-14", [][]byte{x.text}
	case !e.Has("per_division"):
		text, err := e.Set("per_division", `"0.02 mm/m"`)
		x.then(t, text, err)
		return "0.02 mm/m", [][]byte{x.text}
	case !e.Started: // the last of the keys is left out
		text, err := e.LeaveOut("uncertainty")
		x.then(t, text, err)
		left := x.text
		x.start(t)
		return "", [][]byte{left, x.text}
	}
	reading := fmt.Sprintf("%d.%03d", r.IntN(5), r.IntN(1000))
	words := []string{reading, reading, reading, reading, "same", "skip", "again", "again 200",
		"undo", "return", "nonsense", "help"}
	if len(e.Left) == 0 {
		words = []string{"return", "done", "undo", "again", "again 200", reading}
	}
	answer = words[r.IntN(len(words))]
	if n := len(x.before); answer == "undo" && n > 0 {
		if was, err := entry.Find(x.before[n-1], x.method); err != nil || was == nil || !was.Started {
			answer = "help" // back among the keys the questions are others
		}
	}
	if answer == "again 200" {
		if text, err := e.AgainAt(entry.Station{200}); err == nil {
			x.then(t, text, nil)
		}
		return answer, [][]byte{x.text}
	}
	a, err := e.Parse(answer)
	if err != nil {
		return answer, [][]byte{x.text}
	}
	var text []byte
	switch a.Word {
	case "":
		text, err = e.Read(a.Cells)
	case "skip":
		text, err = e.Skip()
	case "again":
		text, err = e.Again()
	case "return":
		text, err = e.Return()
	case "done":
		text, err = e.Done()
	case "undo":
		if n := len(x.before); n > 0 {
			x.text, x.before = x.before[n-1], x.before[:n-1]
			return answer, [][]byte{x.text}
		}
		if text, err = e.Undo(); err == nil {
			x.text = text
		}
		return answer, [][]byte{x.text}
	default:
		return answer, [][]byte{x.text}
	}
	if err == nil {
		x.then(t, text, nil)
	} else if !errors.Is(err, entry.ErrNothing) && !errors.Is(err, entry.ErrAgain) &&
		!errors.Is(err, entry.ErrReturning) && !errors.Is(err, entry.ErrNoStation) {
		t.Fatal(err)
	}
	return answer, [][]byte{x.text}
}

// asks waits until a program asks its next question: until what it has written from an offset on ends in a colon and a
// blank. It returns false where it has ended.
func asks(s *tape, from int) (at int, yes bool) {
	for {
		text, over := s.read()
		if len(text) > from && strings.HasSuffix(text, ": ") {
			return len(text), true
		}
		if over {
			return len(text), false
		}
		time.Sleep(200 * time.Microsecond)
	}
}

// tape is what a program has written so far.
type tape struct {
	sync.Mutex
	text string
	over bool
}

func (s *tape) record(from io.Reader) {
	buffer := make([]byte, 1<<16)
	for {
		n, err := from.Read(buffer)
		s.Lock()
		s.text += string(buffer[:n])
		s.over = err != nil
		s.Unlock()
		if err != nil {
			return
		}
	}
}

func (s *tape) read() (string, bool) {
	s.Lock()
	defer s.Unlock()
	return s.text, s.over
}

// Killed at whatever moment, record leaves a file that reads and holds every answer that was acknowledged by a further
// question; of the one that was not it holds all or nothing. The same command then goes on from there. The rest of the
// file stays, and the version beside it is a whole one too. An editor saves the file between runs, between questions,
// and while an answer is written: what it saved stays too, and record is not killed but ends and says why.
func TestRecordKilled(t *testing.T) {
	program, err := exec.LookPath("wornway")
	if err != nil {
		t.Fatal(err)
	}
	times := howOften(12, 1000, 6)
	const seed = 20260314
	r := rand.New(rand.NewPCG(seed, uint64(times)))
	workshop(t)
	method, _ := survey.Find("saddle-level")
	x := &expected{method: method}
	person := &editor{r: rand.New(rand.NewPCG(seed, 1))}
	killed, finished, between, refused, meanwhile := 0, 0, 0, 0, 0
	for killed < times {
		// finished: begin with a new file
		if e := x.text; e == nil || strings.Contains(string(e), "[[survey]]") && x.entry(t) == nil {
			x.text = []byte(killedLathe)
			if err := os.WriteFile("killed.toml", x.text, 0o644); err != nil {
				t.Fatal(err)
			}
			os.Remove("killed.toml.bak")
		}
		if r.IntN(4) == 0 {
			x.text = person.edit(t, "killed.toml")
		}
		x.before = nil
		c := exec.Command(program, "record", "killed.toml", "--method", "saddle-level", "--at", killedStations)
		in, err := c.StdinPipe()
		if err != nil {
			t.Fatal(err)
		}
		out, err := c.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		var errs strings.Builder
		c.Stderr = &errs
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		var said tape
		var reading sync.WaitGroup
		reading.Go(func() { said.record(out) })
		begun := x.text
		x.start(t)
		possible := [][]byte{begun, x.text}
		at, asked := 0, false
		answers := r.IntN(8)
		if r.IntN(10) > 0 {
			at, asked = asks(&said, at)
		} else {
			answers = 0 // killed while it starts
		}
		var beside func(*testing.T) ([]byte, bool)
		edited := false
		for n := 0; asked; n++ {
			last := possible[len(possible)-1]
			answer, texts := x.next(t, r)
			possible = append([][]byte{last}, texts...)
			end := n >= answers
			switch {
			// An editor saves it about the moment at which it is written.
			case end && r.IntN(3) == 0 && savesAreKept:
				beside = person.beside("killed.toml", last, 8*time.Millisecond)
			case !end && r.IntN(12) == 0: // or before
				possible, edited = [][]byte{person.edit(t, "killed.toml")}, true
			}
			if _, err := io.WriteString(in, answer+"\n"); err != nil {
				t.Fatalf("%v, %s", err, errs.String())
			}
			if end {
				break // killed before it asks again, perhaps
			}
			at, asked = asks(&said, at)
			now, err := os.ReadFile("killed.toml")
			if edited {
				if writes := string(texts[len(texts)-1]) != string(last) || len(texts) > 1; writes && asked {
					t.Errorf("asks on after %q, which cannot be in the file", answer)
				}
				break
			}
			if err != nil || string(now) != string(x.text) {
				t.Fatalf("after %q the file holds, %v\n%s\nwant\n%s\n%s", answer, err, now, x.text, errs.String())
			}
			possible = [][]byte{x.text}
		}
		time.Sleep(time.Duration(r.Int64N(int64(12 * time.Millisecond))))
		_ = c.Process.Kill()
		reading.Wait()
		err = c.Wait()
		if beside != nil {
			if text, saved := beside(t); saved {
				possible, edited = [][]byte{text}, true
				meanwhile++
			}
		}
		now, readErr := os.ReadFile("killed.toml")
		if beside != nil && edited && err != nil && string(now) != string(possible[0]) {
			// Killed after it had taken what an editor saved for its own: the next one puts that back.
			disk.Recover("killed.toml")
			now, readErr = os.ReadFile("killed.toml")
		}
		if readErr != nil {
			t.Fatal(readErr)
		}
		if _, err := profile.Parse(nil, "killed.toml", now); err != nil {
			t.Fatalf("%v\n%s", err, now)
		}
		i := slices.IndexFunc(possible, func(p []byte) bool { return string(p) == string(now) })
		if i < 0 {
			t.Fatalf("killed after %d times (an editor has saved it meanwhile: %v) the file holds\n%s\nwhich it "+
				"should never have held; last it should have been\n%s", killed, edited, now, possible[len(possible)-1])
		}
		if !strings.HasPrefix(withoutNote(string(now)), killedLathe) {
			t.Fatalf("the rest of the file has changed:\n%s", now)
		}
		if old, err := os.ReadFile("killed.toml.bak"); err == nil && !edited && string(now) != string(begun) &&
			string(old) != string(begun) {
			t.Fatalf("the version beside it is not the one from before:\n%s\nwant\n%s", old, begun)
		}
		x.text = now
		switch {
		case err == nil:
			finished++
		case c.ProcessState.ExitCode() == env.ExitRefused:
			if !edited || !strings.Contains(errs.String(), "has been changed") {
				t.Fatalf("ended by itself: %s", errs.String())
			}
			refused++
		case i < len(possible)-1:
			between++
			killed++
		default:
			killed++
		}
		const some = 100
		if killed%some == some-1 {
			t.Logf("killed %d times so far", killed)
		}
	}
	t.Logf("killed %d times, %d of them before the last answer was written; finished %d times; an editor saved it %d "+
		"times, %d of them while an answer was written, and %d answers were refused for it", times, between, finished,
		person.notes, meanwhile, refused)
}
