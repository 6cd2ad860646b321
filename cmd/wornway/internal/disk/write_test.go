package disk

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
)

// holds checks that the folder has these entries and no others, so no temporary file either.
func holds(t *testing.T, dir string, want ...string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	if strings.Join(got, " ") != strings.Join(want, " ") {
		t.Errorf("%s holds %q, want %q", dir, got, want)
	}
}

func contains(t *testing.T, path, want string) {
	t.Helper()
	got, err := os.ReadFile(path)
	if err != nil || string(got) != want {
		t.Errorf("%s contains %q, %v; want %q", path, got, err, want)
	}
}

func put(t *testing.T, path, text string, mode fs.FileMode) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(path, mode); err != nil {
		t.Fatal(err)
	}
}

func TestWriteNew(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "bench.toml")
	for _, force := range []bool{false, true} {
		os.Remove(path)
		if err := WriteNew(path, []byte("format = 1\n"), force); err != nil {
			t.Fatal(err)
		}
		contains(t, path, "format = 1\n")
		holds(t, dir, "bench.toml")
	}
	if err := WriteNew(filepath.Join(dir, "empty"), nil, false); err != nil {
		t.Fatal(err)
	}
	contains(t, filepath.Join(dir, "empty"), "")
}

// A new file has the permissions of any new file, whatever the umask is.
func TestModeOfNewFile(t *testing.T) {
	dir := t.TempDir()
	f, err := os.OpenFile(filepath.Join(dir, "other"), os.O_CREATE|os.O_WRONLY, 0o644)
	if err != nil {
		t.Fatal(err)
	}
	f.Close()
	want, err := os.Stat(f.Name())
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "new")
	if err := WriteNew(path, nil, false); err != nil {
		t.Fatal(err)
	}
	got, err := os.Stat(path)
	if err != nil || got.Mode() != want.Mode() {
		t.Errorf("mode %v, %v; want %v", got.Mode(), err, want.Mode())
	}
}

func TestExistingFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "bench.toml")
	put(t, path, "old", 0o640)
	err := WriteNew(path, []byte("new"), false)
	var exists *ExistsError
	if !errors.As(err, &exists) || !errors.Is(err, fs.ErrExist) {
		t.Fatalf("got %v", err)
	}
	if want := path + " exists; give --force to replace it"; err.Error() != want {
		t.Errorf("message %q, want %q", err, want)
	}
	contains(t, path, "old")
	holds(t, dir, "bench.toml")

	if err := WriteNew(path, []byte("new"), true); err != nil {
		t.Fatal(err)
	}
	contains(t, path, "new")
	holds(t, dir, "bench.toml")
	if info, err := os.Stat(path); runtime.GOOS != "windows" && (err != nil || info.Mode().Perm() != 0o640) {
		t.Errorf("mode %v, %v after replacing; want that of the old file", info.Mode(), err)
	}
}

func TestRefused(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	put(t, file, "old", 0o644)
	for _, c := range []struct{ path, want string }{
		{"", "no file name was given"},
		{dir, "it is a folder"},
		{dir + "/new/", "the name is a folder's"},
		{filepath.Join(dir, "none", "x.toml"), "there is no folder " + filepath.Join(dir, "none")},
		{filepath.Join(file, "x.toml"), "not a folder"},
		{filepath.Join(dir, strings.Repeat("n", 1000)), "the name is too long"},
	} {
		for _, force := range []bool{false, true} {
			err := WriteNew(c.path, []byte("new"), force)
			if err == nil {
				t.Errorf("%q was written", c.path)
				continue
			}
			var e *Error
			if !errors.As(err, &e) || e.Unwrap() == nil {
				t.Errorf("%q: %T does not carry the cause", c.path, err)
			}
			if runtime.GOOS == "windows" && strings.Contains(c.want, "too long") {
				continue // the system calls it a name it cannot find
			}
			if !strings.HasPrefix(err.Error(), "cannot write "+c.path+": ") || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%q: message %q, want %q", c.path, err, c.want)
			}
		}
	}
	contains(t, file, "old")
	holds(t, dir, "file")
}

func TestUnwritableFolder(t *testing.T) {
	if runtime.GOOS == "windows" || os.Getuid() == 0 {
		t.Skip("this user may write everywhere; a path under a file stands in for it in TestRefused")
	}
	dir := t.TempDir()
	put(t, filepath.Join(dir, "old"), "old", 0o644)
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(dir, 0o755)
	for _, name := range []string{"old", "new"} {
		err := WriteNew(filepath.Join(dir, name), []byte("new"), true)
		if !errors.Is(err, fs.ErrPermission) || !strings.Contains(err.Error(),
			"writing in the folder "+dir+" is not permitted") {
			t.Errorf("%s: %v", name, err)
		}
	}
	contains(t, filepath.Join(dir, "old"), "old")
	holds(t, dir, "old")
}

func TestDeviceIsRefused(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no device files here")
	}
	for _, force := range []bool{false, true} {
		if err := WriteNew(os.DevNull, []byte("new"), force); err == nil ||
			!strings.Contains(err.Error(), "not an ordinary file") {
			t.Errorf("force %v: %v", force, err)
		}
	}
}

func TestSymbolicLinks(t *testing.T) {
	dir := t.TempDir()
	sub := filepath.Join(dir, "sub")
	if err := os.Mkdir(sub, 0o755); err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(dir, "link")
	if err := os.Symlink(filepath.Join("sub", "real"), link); err != nil {
		t.Skip("no symbolic links here: ", err)
	}
	// The link leads to a file that is not there yet, then to one that is.
	if err := WriteNew(link, []byte("one"), false); err != nil {
		t.Fatal(err)
	}
	contains(t, filepath.Join(sub, "real"), "one")
	if err := WriteNew(link, []byte("two"), false); !errors.Is(err, fs.ErrExist) ||
		!strings.HasPrefix(err.Error(), link) {
		t.Errorf("through a link to a file: %v", err)
	}
	if err := WriteNew(link, []byte("two"), true); err != nil {
		t.Fatal(err)
	}
	contains(t, filepath.Join(sub, "real"), "two")
	if to, err := os.Readlink(link); err != nil || to != filepath.Join("sub", "real") {
		t.Errorf("the link now leads to %q, %v", to, err)
	}
	holds(t, dir, "link", "sub")
	holds(t, sub, "real")

	round := filepath.Join(dir, "round")
	if err := os.Symlink("round", round); err != nil {
		t.Fatal(err)
	}
	if err := WriteNew(round, nil, true); err == nil || !strings.Contains(err.Error(), "lead nowhere") {
		t.Errorf("a link to itself: %v", err)
	}
}

// noLink stands for a file system on which no file has two names.
func noLink(from, to string) error {
	return &os.LinkError{Op: "link", Old: from, New: to, Err: errors.ErrUnsupported}
}

func TestWithoutHardLinks(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "bench.toml")
	if err := writeNew(path, []byte("one"), false, noLink); err != nil {
		t.Fatal(err)
	}
	if err := writeNew(path, []byte("two"), false, noLink); !errors.Is(err, fs.ErrExist) {
		t.Errorf("second: %v", err)
	}
	contains(t, path, "one")
	holds(t, dir, "bench.toml")
}

// Where the last step fails, neither the temporary file nor the one that reserved the name stays.
func TestLastStepFails(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "bench.toml")
	err := writeNew(path, []byte("one"), false, func(from, to string) error {
		os.Remove(from) // so that nothing is left to be renamed
		return noLink(from, to)
	})
	var e *Error
	if !errors.As(err, &e) || !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("got %v", err)
	}
	holds(t, dir)

	err = writeNew(path, []byte("one"), false, func(from, to string) error {
		put(t, to, "another's", 0o644) // somebody is faster
		return os.Link(from, to)
	})
	if !errors.Is(err, fs.ErrExist) {
		t.Errorf("got %v", err)
	}
	contains(t, path, "another's")
	holds(t, dir, "bench.toml")
}

func TestConcurrentWriters(t *testing.T) {
	const writers = 16
	for name, link := range map[string]func(string, string) error{"link": os.Link, "no link": noLink} {
		t.Run(name, func(t *testing.T) {
			for range 20 {
				dir := t.TempDir()
				path := filepath.Join(dir, "bench.toml")
				errs := make([]error, writers)
				start := make(chan struct{})
				var wg sync.WaitGroup
				for i := range writers {
					wg.Go(func() {
						<-start
						errs[i] = writeNew(path, bytes.Repeat([]byte{'a' + byte(i)}, 5000), false, link)
					})
				}
				close(start)
				wg.Wait()
				winner := -1
				for i, err := range errs {
					switch {
					case err == nil && winner >= 0:
						t.Fatalf("writers %d and %d both succeeded", winner, i)
					case err == nil:
						winner = i
					case !errors.Is(err, fs.ErrExist):
						t.Fatalf("writer %d: %v", i, err)
					}
				}
				if winner < 0 {
					t.Fatal("nobody succeeded")
				}
				contains(t, path, strings.Repeat(string(rune('a'+winner)), 5000))
				holds(t, dir, "bench.toml")
			}
		})
	}
}

// While a file is replaced again and again, whoever reads it sees one whole version or another.
func TestReadersSeeWholeFiles(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a file that is open cannot be replaced here")
	}
	path := filepath.Join(t.TempDir(), "bench.toml")
	version := func(i int) []byte { return bytes.Repeat([]byte{'a' + byte(i%26)}, 10_000+i) }
	if err := WriteNew(path, version(0), false); err != nil {
		t.Fatal(err)
	}
	done := make(chan struct{})
	go func() {
		defer close(done)
		for i := range 200 {
			if err := WriteNew(path, version(i), true); err != nil {
				t.Error(err)
				return
			}
		}
	}()
	for reading := true; reading; {
		select {
		case <-done:
			reading = false
		default:
		}
		got, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if i := len(got) - 10_000; i < 0 || !bytes.Equal(got, version(i)) {
			t.Fatalf("read a torn file of %d bytes", len(got))
		}
	}
}
