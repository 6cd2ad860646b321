package disk

import (
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
