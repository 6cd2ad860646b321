package disk

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// What killed processes left behind goes: for the file that is locked at once, for others in the folder once it is a
// day old. What only looks like it stays.
func TestLeftBehindIsSwept(t *testing.T) {
	dir := t.TempDir()
	file, other := filepath.Join(dir, "bench.toml"), filepath.Join(dir, "other.toml")
	left := func(of string) string {
		t.Helper()
		name, err := writeTemp(dir, tempFor(of), []byte("half"), 0o644)
		if err != nil {
			t.Fatal(err)
		}
		return filepath.Base(name)
	}
	left(file)
	stays := left(other)
	put(t, filepath.Join(dir, "z.tmp"), "somebody's", 0o644)
	unlock, err := Lock(file)
	if err != nil {
		t.Fatal(err)
	}
	unlock()
	holds(t, dir, stays, "z.tmp")

	// While somebody holds the lock of a file, its temporary files are his.
	hold, err := Lock(other)
	if err != nil {
		t.Fatal(err)
	}
	stays = left(other)
	if _, err := Lock(other); err == nil {
		t.Fatal("locked twice")
	}
	holds(t, dir, stays, "other.toml.lock", "z.tmp")
	hold()

	old := time.Now().Add(-25 * time.Hour)
	for _, name := range []string{stays, "z.tmp"} {
		if err := os.Chtimes(filepath.Join(dir, name), old, old); err != nil {
			t.Fatal(err)
		}
	}
	if err := WriteNew(file, nil, false); err != nil {
		t.Fatal(err)
	}
	holds(t, dir, "bench.toml", "z.tmp")
}

// A writer is killed when it has exchanged the names. What an editor had saved last thing stands under the name again
// after the next lock, if nobody has saved it since; else it stays beside it, however old it gets. What was read, and
// what was to be written, goes.
func TestSavedIsPutBack(t *testing.T) {
	for _, c := range []struct {
		name, under, left string // what the killed writer left
		want              string
		stays             bool
	}{
		{"before the exchange", "read", "new", "read", false},
		{"before the exchange, saved", "saved", "new", "saved", false},
		{"after it", "new", "read", "new", false},
		{"after it, saved before", "new", "saved", "saved", false},
		{"after it, saved before and again", "again", "saved", "again", true},
	} {
		dir := t.TempDir()
		file := filepath.Join(dir, "bench.toml")
		put(t, file, c.under, 0o644)
		if errors.Is(swap(file, file), errNoSwap) {
			t.Skip("names cannot be exchanged here")
		}
		temp := exchanging(file, []byte("read"), []byte("new"))
		put(t, temp, c.left, 0o644)
		old := time.Now().Add(-25 * time.Hour)
		if err := os.Chtimes(temp, old, old); err != nil {
			t.Fatal(err)
		}
		if err := WriteNew(filepath.Join(dir, "other.toml"), nil, false); err != nil { // clears away what is old
			t.Fatal(err)
		}
		Recover(file)
		contains(t, file, c.want)
		want := []string{"bench.toml", "other.toml"}
		if c.stays {
			want = append([]string{filepath.Base(temp)}, want...)
			contains(t, temp, c.left)
		}
		holds(t, dir, want...)
		if t.Failed() {
			t.Fatal(c.name)
		}
	}
}
