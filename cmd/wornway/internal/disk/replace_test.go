package disk

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"testing"
)

// A file is replaced as a whole, keeps its permissions, and what it was is kept beside it.
func TestReplace(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "bench.toml")
	put(t, path, "one", 0o640)
	for _, v := range [][2]string{{"one", "two"}, {"two", "three"}} {
		if err := Replace(path, []byte(v[0]), []byte(v[1])); err != nil {
			t.Fatal(err)
		}
		contains(t, path, v[1])
		contains(t, path+".bak", v[0])
	}
	holds(t, dir, "bench.toml", "bench.toml.bak")
	if info, err := os.Stat(path); err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o640 {
		t.Errorf("%v, %v", info.Mode(), err)
	}
}

// A file that an editor has changed or removed in the meantime is left as it is.
func TestReplaceChanged(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "bench.toml")
	put(t, path, "edited", 0o600)
	var changed *ChangedError
	if err := Replace(path, []byte("read"), []byte("mine")); !errors.As(err, &changed) {
		t.Errorf("%v", err)
	}
	contains(t, path, "edited")
	holds(t, dir, "bench.toml")
	if err := Replace(filepath.Join(dir, "gone.toml"), []byte("read"), []byte("mine")); !errors.As(err, &changed) {
		t.Errorf("%v", err)
	}
	holds(t, dir, "bench.toml")
}

// A link goes on pointing to the file, which is what is written. A folder, and a file marked as not to be written to, are refused.
func TestReplaceOddTargets(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("links and permissions are others there")
	}
	dir := t.TempDir()
	path, link := filepath.Join(dir, "bench.toml"), filepath.Join(dir, "link.toml")
	put(t, path, "one", 0o600)
	if err := os.Symlink("bench.toml", link); err != nil {
		t.Fatal(err)
	}
	if err := Replace(link, []byte("one"), []byte("two")); err != nil {
		t.Fatal(err)
	}
	contains(t, path, "two")
	contains(t, path+".bak", "one")
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link: %v, %v", info, err)
	}
	var refused *Error
	if err := Replace(dir, nil, nil); !errors.As(err, &refused) {
		t.Errorf("a folder: %v", err)
	}
	if err := os.Chmod(path, 0o400); err != nil {
		t.Fatal(err)
	}
	if err := Replace(path, []byte("two"), []byte("three")); !errors.As(err, &refused) {
		t.Errorf("a file not to be written to: %v", err)
	}
	contains(t, path, "two")
}
