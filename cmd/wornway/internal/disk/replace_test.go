package disk

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
)

func TestReplace(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	put(t, file, "one", 0o640)
	if err := Replace(file, []byte("one"), []byte("two")); err != nil {
		t.Fatal(err)
	}
	contains(t, file, "two")
	contains(t, file+".bak", "one")
	// The second step of one piece of work keeps the version from before it.
	if err := Again(file, []byte("two"), []byte("three")); err != nil {
		t.Fatal(err)
	}
	contains(t, file, "three")
	contains(t, file+".bak", "one")
	holds(t, dir, "file", "file.bak")
	if runtime.GOOS == "windows" {
		return
	}
	for _, name := range []string{file, file + ".bak"} {
		if info, err := os.Stat(name); err != nil || info.Mode().Perm() != 0o640 {
			t.Errorf("%s: %v, %v", name, info.Mode(), err)
		}
	}
}

func TestReplaceKeepsLinks(t *testing.T) {
	dir := t.TempDir()
	file, link := filepath.Join(dir, "shop", "file"), filepath.Join(dir, "link")
	if err := os.Mkdir(filepath.Join(dir, "shop"), 0o755); err != nil {
		t.Fatal(err)
	}
	put(t, file, "one", 0o644)
	if err := os.Symlink(filepath.Join("shop", "file"), link); err != nil {
		t.Skip("no symbolic links here: ", err)
	}
	unlock, err := Lock(link)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Lock(file); err == nil {
		t.Error("the same file under two names was locked twice")
	}
	if err := Replace(link, []byte("one"), []byte("two")); err != nil {
		t.Fatal(err)
	}
	unlock()
	if to, err := os.Readlink(link); err != nil || to != filepath.Join("shop", "file") {
		t.Errorf("the link leads to %q, %v", to, err)
	}
	contains(t, file, "two")
	holds(t, filepath.Join(dir, "shop"), "file", "file.bak")
}

func TestReplaceRefuses(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	put(t, file, "edited", 0o644)
	var changed *ChangedError
	if err := Replace(file, []byte("read"), []byte("new")); !errors.As(err, &changed) ||
		!strings.Contains(err.Error(), "has been changed by another program") {
		t.Errorf("changed meanwhile: %v", err)
	}
	contains(t, file, "edited")
	if err := Replace(filepath.Join(dir, "gone"), nil, []byte("new")); !errors.As(err, &changed) || !changed.Gone {
		t.Errorf("removed meanwhile: %v", err)
	}
	if err := Replace(dir, nil, []byte("new")); err == nil ||
		!strings.Contains(err.Error(), "it is not an ordinary file") {
		t.Errorf("a folder: %v", err)
	}
	if err := os.Chmod(file, 0o444); err != nil {
		t.Fatal(err)
	}
	if err := Replace(file, []byte("edited"), []byte("new")); !errors.Is(err, fs.ErrPermission) ||
		!strings.Contains(err.Error(), "it is read-only") {
		t.Errorf("a read-only file: %v", err)
	}
	// A folder where the backup would have to stand: nothing is replaced without it.
	put(t, file, "edited", 0o644)
	if err := os.MkdirAll(filepath.Join(dir, "file.bak", "full"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := Replace(file, []byte("edited"), []byte("new")); err == nil || !strings.Contains(err.Error(), "file.bak") {
		t.Errorf("no room for the backup: %v", err)
	}
	contains(t, file, "edited")
	holds(t, dir, "file", "file.bak")
}

func TestReplaceUnwritableFolder(t *testing.T) {
	if runtime.GOOS == "windows" || os.Getuid() == 0 {
		t.Skip("this user may write everywhere")
	}
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	put(t, file, "old", 0o644)
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(dir, 0o755)
	if err := Replace(file, []byte("old"), []byte("new")); err == nil ||
		!strings.Contains(err.Error(), "writing in the folder "+dir+" is not permitted") {
		t.Error(err)
	}
	if _, err := Lock(file); err == nil || !strings.Contains(err.Error(),
		"writing in the folder "+dir+" is not permitted") {
		t.Error(err)
	}
	contains(t, file, "old")
}

// Whoever reads while a file is replaced many times sees one of its versions, whole.
func TestReplacedFileIsAlwaysWhole(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a file that is open cannot be replaced here")
	}
	file := filepath.Join(t.TempDir(), "file")
	version := func(i int) string { return strings.Repeat(fmt.Sprintf("%04d\n", i), 2000) }
	put(t, file, version(0), 0o644)
	done := make(chan struct{})
	var wg sync.WaitGroup
	wg.Go(func() {
		for {
			select {
			case <-done:
				return
			default:
			}
			text, err := os.ReadFile(file)
			if err != nil || len(text) != len(version(0)) || string(text) != strings.Repeat(string(text[:5]), 2000) {
				t.Errorf("%d bytes, %v", len(text), err)
				return
			}
		}
	})
	for i := range 100 {
		if err := Replace(file, []byte(version(i)), []byte(version(i+1))); err != nil {
			t.Fatal(err)
		}
	}
	close(done)
	wg.Wait()
	contains(t, file, version(100))
	contains(t, file+".bak", version(99))
}

func TestLock(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	for range 3 {
		unlock, err := Lock(file)
		if err != nil {
			t.Fatal(err)
		}
		var locked *LockedError
		if _, err := Lock(file); !errors.As(err, &locked) || err.Error() != "another wornway is writing "+file {
			t.Errorf("locked twice: %v", err)
		}
		unlock()
	}
	holds(t, dir)
	// A lock file that nobody holds is in nobody's way.
	put(t, file+".lock", "", 0o644)
	unlock, err := Lock(file)
	if err != nil {
		t.Fatal(err)
	}
	unlock()
	if _, err := Lock(filepath.Join(dir, "none", "file")); err == nil ||
		!strings.Contains(err.Error(), "there is no folder "+filepath.Join(dir, "none")) {
		t.Errorf("no folder: %v", err)
	}
}

// Of many that count in one file, each only while it holds the lock, none is lost.
func TestLockExcludes(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	put(t, file, "", 0o644)
	const writers, each = 8, 10
	var wg sync.WaitGroup
	for range writers {
		wg.Go(func() {
			for n := 0; n < each; {
				unlock, err := Lock(file)
				var locked *LockedError
				if errors.As(err, &locked) {
					runtime.Gosched()
					continue
				}
				if err != nil {
					t.Error(err)
					return
				}
				was, err := os.ReadFile(file)
				if err == nil {
					err = Replace(file, was, append(was, 'x'))
				}
				unlock()
				if err != nil {
					t.Error(err)
					return
				}
				n++
			}
		})
	}
	wg.Wait()
	contains(t, file, strings.Repeat("x", writers*each))
}

// lockHelper, in the environment, makes this test program lock a file and wait to be killed.
const lockHelper = "WORNWAY_TEST_LOCK"

func TestMain(m *testing.M) {
	if file := os.Getenv(lockHelper); file != "" {
		if _, err := Lock(file); err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		fmt.Println("locked")
		select {}
	}
	os.Exit(m.Run())
}

// The lock of a process that was killed is free at once.
func TestLockOfKilledProcess(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), lockHelper+"="+file)
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	var word string
	if _, err := fmt.Fscan(out, &word); err != nil || word != "locked" {
		t.Fatalf("%q, %v", word, err)
	}
	var locked *LockedError
	if _, err := Lock(file); !errors.As(err, &locked) {
		t.Errorf("held by another process: %v", err)
	}
	if err := c.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = c.Wait()
	unlock, err := Lock(file)
	if err != nil {
		t.Fatalf("its holder was killed: %v", err)
	}
	unlock()
}
