package disk

import (
	"errors"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

// An editor has opened the file before the names are exchanged, and writes it only after that. It loses nothing, be it
// slow; and one that keeps the file open and does not write is in nobody's way.
func TestReplaceSeesOpenFile(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	put(t, file, "read", 0o644)
	if errors.Is(swap(file, file), errNoSwap) || !leases(t, file) {
		t.Skip("names cannot be exchanged here, or no leases are granted")
	}
	if openForWriting(file) {
		t.Error("nobody has the file open")
	}
	f, err := os.OpenFile(file, os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	saved := make(chan error, 1)
	var once sync.Once // and not when it is put back
	changed, err := settle(newFile(t, dir), file, []byte("read"), []byte("new"), func(one, other string) error {
		err := swap(one, other)
		once.Do(func() {
			go func() {
				time.Sleep(20 * time.Millisecond)
				_, err := f.WriteString("saved")
				saved <- err
			}()
		})
		return err
	})
	if !changed || err != nil || <-saved != nil {
		t.Errorf("changed %v, %v", changed, err)
	}
	contains(t, file, "saved")

	changed, err = settle(newFile(t, dir), file, []byte("saved"), []byte("new"), swap)
	if changed || err != nil {
		t.Errorf("a file that is open: changed %v, %v", changed, err)
	}
	contains(t, file, "new")
}

// newFile makes a file that is to be put in another's place.
func newFile(t *testing.T, dir string) (name string) {
	t.Helper()
	name = filepath.Join(dir, "temp")
	put(t, name, "new", 0o644)
	return name
}

// leases tells whether a lease to read a file is granted, as it is where nobody writes it.
func leases(t *testing.T, name string) bool {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	_, err = unix.FcntlInt(f.Fd(), unix.F_SETLEASE, unix.F_RDLCK)
	return err == nil
}
