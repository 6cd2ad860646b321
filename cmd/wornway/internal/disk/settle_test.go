package disk

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"
)

// Another program saves last thing before the new name, and again before what it saved is put back: its last text
// stays. Where names cannot be exchanged, what was saved before the last comparison does.
func TestSettle(t *testing.T) {

	without := func(_, _ string) error { return errNoSwap }
	for _, c := range []struct {
		name  string
		swap  func(one, other string) error
		holds string   // when it begins
		saves []string // before the first exchange, the second ...
		want  string
	}{
		{"as it was read", swap, "read", nil, "new"},
		{"as it was read, no exchange", without, "read", nil, "new"},
		{"saved before", swap, "saved", nil, "saved"},
		{"saved before, no exchange", without, "saved", nil, "saved"},
		{"longer, no exchange", without, "read, and more", nil, "read, and more"},
		{"saved last thing", swap, "read", []string{"saved"}, "saved"},
		{"emptied, to be written", swap, "read", []string{""}, ""},
		{"saved twice", swap, "read", []string{"saved", "saved again"}, "saved again"},
		{"saved three times", swap, "read", []string{"saved", "saved again", "and again"}, "and again"},
	} {
		dir := t.TempDir()
		temp, target := filepath.Join(dir, "temp"), filepath.Join(dir, "file")
		put(t, temp, "new", 0o644)
		put(t, target, c.holds, 0o644)
		if len(c.saves) > 0 && errors.Is(swap(temp, temp), errNoSwap) {
			continue // not on this system
		}
		changed, err := settle(temp, target, []byte("read"), []byte("new"), func(one, other string) error {
			if len(c.saves) > 0 {
				put(t, filepath.Join(dir, "editor"), c.saves[0], 0o644)
				if err := os.Rename(filepath.Join(dir, "editor"), target); err != nil {
					t.Fatal(err)
				}
				c.saves = c.saves[1:]
			}
			return c.swap(one, other)
		})
		if err != nil || changed != (c.want != "new") || len(c.saves) > 0 {
			t.Errorf("%s: changed %v, %v, not saved %q", c.name, changed, err, c.saves)
		}
		contains(t, target, c.want)
	}
}

func TestSettleGone(t *testing.T) {
	dir := t.TempDir()
	temp, gone := filepath.Join(dir, "temp"), filepath.Join(dir, "gone")
	put(t, temp, "new", 0o644)
	if _, err := settle(temp, gone, nil, []byte("new"), swap); !errors.Is(err, fs.ErrNotExist) {
		t.Error(err)
	}
	holds(t, dir, "temp")
}

// An editor that saves while a file is replaced finds its text there when both are done, whoever was first.
func TestReplaceLosesNoSave(t *testing.T) {
	dir := t.TempDir()
	file, other := filepath.Join(dir, "file"), filepath.Join(dir, "other")
	put(t, file, "", 0o644)
	if errors.Is(swap(file, file), errNoSwap) {
		t.Skip("names cannot be exchanged here")
	}
	for n := range 50 {
		put(t, file, "read", 0o644)
		done := make(chan error, 1)
		go func() { done <- Again(file, []byte("read"), []byte("new")) }()
		for start := time.Now(); time.Since(start) < time.Duration(n)*50*time.Microsecond; {
			runtime.Gosched()
		}
		put(t, other, "saved", 0o644)
		if err := os.Rename(other, file); err != nil {
			t.Fatal(err)
		}
		err := <-done
		if changed := new(ChangedError); err != nil && !errors.As(err, &changed) {
			t.Fatal(err)
		}
		contains(t, file, "saved")
	}
	holds(t, dir, "file")
}
