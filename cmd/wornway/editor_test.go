package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"time"
)

// editor is a program that knows no lock: a person's, in which the file is open while readings are written into it. Its
// notes are numbered, in a line of their own at the head of the file.
type editor struct {
	r     *rand.Rand
	notes int
}

const noteStart = "# Note "

// change returns a text with the next note in place of the one before.
func (d *editor) change(text []byte) []byte {
	d.notes++
	return []byte(fmt.Sprintf("%s%d.\n%s", noteStart, d.notes, withoutNote(string(text))))
}

// withoutNote is a text as it is without the editor's note.
func withoutNote(text string) string {
	if first, rest, ok := strings.Cut(text, "\n"); ok && strings.HasPrefix(first, noteStart) {
		return rest
	}
	return text
}

// save puts a text in the place of what was loaded, as editors do: by a file of its own that takes the name, or by
// emptying the file and writing it in two pieces. Where the file has changed since, it leaves it, as a person who is
// warned does.
func (d *editor) save(name string, loaded, text []byte) (saved bool, err error) {
	if now, err := os.ReadFile(name); err != nil || !bytes.Equal(now, loaded) {
		return false, err
	}
	if d.r.IntN(2) == 0 {
		if err := os.WriteFile(name+"~", text, 0o644); err != nil {
			return false, err
		}
		if now, err := os.ReadFile(name); err != nil || !bytes.Equal(now, loaded) { // writing took a while
			return false, os.Remove(name + "~")
		}
		return true, os.Rename(name+"~", name)
	}
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_TRUNC, 0)
	if err != nil {
		return false, err
	}
	half := len(text) / 2
	for _, part := range [][]byte{text[:half], text[half:]} {
		if _, err := f.Write(part); err != nil {
			return true, err
		}
		time.Sleep(time.Duration(d.r.Int64N(int64(time.Millisecond))))
	}
	return true, f.Close()
}

// edit changes a file that nobody else writes, and returns what it holds then.
func (d *editor) edit(t *testing.T, name string) []byte {
	t.Helper()
	was, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	text := d.change(was)
	if saved, err := d.save(name, was, text); err != nil || !saved {
		t.Fatal(saved, err)
	}
	return text
}

// beside saves a change of what was loaded at some moment within the time given; done waits for it.
func (d *editor) beside(name string, loaded []byte, within time.Duration) (done func(t *testing.T) (text []byte,
	saved bool)) {
	text, wait := d.change(loaded), time.Duration(d.r.Int64N(int64(within)))
	var saved bool
	var err error
	over := make(chan struct{})
	go func() {
		defer close(over)
		time.Sleep(wait)
		saved, err = d.save(name, loaded, text)
	}()
	return func(t *testing.T) ([]byte, bool) {
		t.Helper()
		if <-over; err != nil {
			t.Fatal(err)
		}
		return text, saved
	}
}
