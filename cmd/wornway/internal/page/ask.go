package page

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/sha256"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"sync"
	"time"

	"wornway/cmd/wornway/internal/env"
	"wornway/profile"
	"wornway/profile/document"
	"wornway/profile/estimate"
)

// Run runs a command line and returns its exit status.
type Run func(e *env.Env, args []string) int

// answer is what a command line answered. It may be shown several times, and is not to be changed.
type answer struct {
	env.Capture
	Status int
	Out    []byte // what went to standard output

	files map[string]checksum // what it was made from

	Picture func() figureText // the answer's, drawn once
}

type checksum [sha256.Size]byte

// Done says whether there is an answer; it may be that the work cannot be held.
func (a *answer) Done() bool { return a.Status == env.ExitDone || a.Status == env.ExitNotHeld }

// asker runs command lines and keeps what they answered as long as the files that were read have the same bytes. Wear
// is estimated once for each state of the files.
type asker struct {
	run  Run
	now  func() time.Time
	turn chan struct{} // has room for as many as calculate at a time

	lock  sync.Mutex
	known []pastAnswer             // answers, the newest last
	kept  []*pastEstimate          // estimates, the newest last
	under map[string]chan struct{} // command lines that are being answered, each closed when it is
}

type pastAnswer struct {
	line string
	*answer
}

// outdated says whether an answer was made from a file that a newer one has seen changed. It is not kept: with it went
// an estimate that nobody asks for again.
func (k pastAnswer) outdated(newer *answer) bool {
	for name, was := range k.files {
		if now, both := newer.files[name]; both && now != was {
			return true
		}
	}
	return false
}

// pastEstimate is an estimate of one state of the files.
type pastEstimate struct {
	of   string
	made func() (*estimate.Result, error)
}

const (
	mostKnown = 48 // answers
	mostKept  = 4  // estimates: files in two states, with and without another centre height
)

func newAsker(run Run, now func() time.Time, together int) *asker {
	return &asker{run: run, now: now, turn: make(chan struct{}, together), under: map[string]chan struct{}{}}
}

// reading is one look at the files: whatever is read of them is summed, and read once.
type reading struct {
	given map[string][]byte // files that are in memory alone
	files map[string]checksum
}

// file reads a file; ok is false where it cannot be, so that opening it tells why.
func (r *reading) file(name string) (data []byte, ok bool) {
	if data, ok = r.given[name]; ok {
		return data, true
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, false
	}
	defer f.Close()
	if info, err := f.Stat(); err != nil || !info.Mode().IsRegular() {
		return nil, false
	}
	if data, err = document.ReadAll(name, f); err != nil { // too large: what was made from it is not kept
		r.files[name] = sha256.Sum256([]byte(rand.Text()))
		return nil, false
	}
	r.files[name] = sha256.Sum256(data)
	return data, true
}

// state names the files with what they hold.
func (r *reading) state() string {
	var names []string
	for n := range r.files {
		names = append(names, n)
	}
	slices.Sort(names)
	var b strings.Builder
	for _, n := range names {
		fmt.Fprintf(&b, "%s\x00%x\x00", n, r.files[n])
	}
	return b.String()
}

// same says whether the files still hold what an answer was made from.
func same(files map[string]checksum) bool {
	for name, was := range files {
		r := reading{files: map[string]checksum{}}
		if _, ok := r.file(name); !ok || r.files[name] != was {
			return false
		}
	}
	return len(files) > 0
}

// ask answers a command line. given are files that it may name and that are not on the disk.
func (a *asker) ask(ctx context.Context, given map[string][]byte, args ...string) (*answer, error) {
	line := strings.Join(args, "\x00")
	if len(given) == 0 {
		k, done, err := a.first(ctx, line)
		if k != nil || err != nil {
			return k, err
		}
		defer done()
	}
	select {
	case a.turn <- struct{}{}:
		defer func() { <-a.turn }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	if len(given) == 0 { // somebody may have been answered the same just now
		if k := a.find(line); k != nil {
			return k, nil
		}
	}
	read := &reading{given: given, files: map[string]checksum{}}
	out := &answer{files: read.files}
	var b bytes.Buffer
	e := a.env(ctx, read)
	e.Stdout, e.Stderr, e.Taken = &b, &b, &out.Capture
	out.Status = a.run(e, args)
	r := &out.Report // what limits an answer stands apart there, and the rest is folded away
	r.Cautions, r.Remarks = slices.Concat(r.Usual, r.Cautions), slices.Concat(r.Steps, r.Remarks, r.Notes)
	worded(&out.Capture)
	out.Out = b.Bytes()
	out.Picture = sync.OnceValue(func() figureText { return draw(out.Figure) })
	if len(given) == 0 && out.Done() {
		a.lock.Lock()
		a.known = slices.DeleteFunc(a.known, func(k pastAnswer) bool { return k.line == line || k.outdated(out) })
		a.known = append(a.known, pastAnswer{line, out})
		a.known = a.known[max(0, len(a.known)-mostKnown):]
		a.lock.Unlock()
	}
	return out, nil
}

// first returns the answer to a command line that is known, or that somebody else waits for already; where there is
// none the caller is the first to ask, and calls done when it is answered.
func (a *asker) first(ctx context.Context, line string) (k *answer, done func(), err error) {
	for {
		if k := a.find(line); k != nil {
			return k, nil, nil
		}
		a.lock.Lock()
		other, busy := a.under[line]
		if !busy {
			this := make(chan struct{})
			a.under[line] = this
			a.lock.Unlock()
			return nil, func() {
				a.lock.Lock()
				delete(a.under, line)
				a.lock.Unlock()
				close(this)
			}, nil
		}
		a.lock.Unlock()
		select {
		case <-other:
		case <-ctx.Done():
			return nil, nil, ctx.Err()
		}
	}
}

// find returns the answer that is known already, if it still holds.
func (a *asker) find(line string) *answer {
	a.lock.Lock()
	i := slices.IndexFunc(a.known, func(k pastAnswer) bool { return k.line == line })
	var k *answer
	if i >= 0 {
		k = a.known[i].answer
	}
	a.lock.Unlock()
	if k == nil || !same(k.files) {
		return nil
	}
	return k
}

// env is what a command line works with.
func (a *asker) env(ctx context.Context, read *reading) *env.Env {
	e := env.New(ctx, a.now, strings.NewReader(""), io.Discard, io.Discard)
	e.Given = read.file
	e.Kept = func(changed string, make func() (*estimate.Result, error)) (*estimate.Result, error) {
		return a.estimate(read.state()+changed, make)
	}
	return e
}

// estimate returns the estimate of a state of the files. It is made once, also for those who ask at the same time. One
// that panics is not kept, so that whoever asks next is not answered by what it left.
func (a *asker) estimate(of string, make func() (*estimate.Result, error)) (est *estimate.Result, err error) {
	a.lock.Lock()
	i := slices.IndexFunc(a.kept, func(k *pastEstimate) bool { return k.of == of })
	var k *pastEstimate
	if i >= 0 {
		k = a.kept[i]
		a.kept = slices.Delete(a.kept, i, i+1)
	} else {
		k = &pastEstimate{of, sync.OnceValues(make)}
	}
	a.kept = append(a.kept, k)
	a.kept = a.kept[max(0, len(a.kept)-mostKept):]
	a.lock.Unlock()
	done := false
	defer func() {
		if !done {
			a.lock.Lock()
			a.kept = slices.DeleteFunc(a.kept, func(other *pastEstimate) bool { return other == k })
			a.lock.Unlock()
		}
	}()
	est, err = k.made()
	done = true
	return est, err
}

// profile reads the profile as it is now.
func (a *asker) profile(ctx context.Context, file string) (*profile.Profile, error) {
	return a.env(ctx, &reading{files: map[string]checksum{}}).OpenFile(file)
}
