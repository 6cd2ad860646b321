// Package disk puts files on disk whole or not at all.
//
// [WriteNew] makes a file, [Replace] puts a new version in the place of one that exists, under [Lock] where two
// programs might come together there. What a person asked to have written is there in full afterwards, or the folder is
// as it was before and the error says why. A file that exists is replaced only on request.
package disk

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
)

// Error says why a file could not be written. It unwraps to the system's error.
type Error struct {
	Path   string // the file, as the caller named it
	Reason string // for people: "the disk is full"
	Err    error
}

func (e *Error) Error() string { return "cannot write " + e.Path + ": " + e.Reason }

func (e *Error) Unwrap() error { return e.Err }

// ExistsError says that a file exists and that nobody asked for it to be replaced. It unwraps to [fs.ErrExist].
type ExistsError struct{ Path string }

func (e *ExistsError) Error() string { return e.Path + " exists; give --force to replace it" }

func (e *ExistsError) Unwrap() error { return fs.ErrExist }

// WriteNew writes data to the file path. The data goes to a temporary file in the same folder first, which takes the
// file's name only when all of it has reached the disk; on an error the temporary file is removed and whatever had the
// name is untouched.
//
// Without force an existing file gives an [*ExistsError], and of several writers at the same moment one succeeds and
// the others get that error. With force the file is replaced and the new one has its permissions. A new file has the
// permissions that the system gives to files, 0644 less the umask. Through a symbolic link the file it points to is
// written, and the link stays. What is neither a file nor absent, such as a folder or a device, is refused. All other
// errors are of type [*Error]. Where a file cannot have two names (memory cards, some network drives), a process that is
// killed at the last moment may leave a new file empty.
func WriteNew(path string, data []byte, force bool) error {
	return writeNew(path, data, force, os.Link)
}

// writeNew takes the call that gives a file a second name, which some file systems do not have.
func writeNew(path string, data []byte, force bool, link func(from, to string) error) error {
	refuse := func(err error, reason string) error { return &Error{Path: path, Reason: reason, Err: err} }
	if path == "" {
		return refuse(fs.ErrInvalid, "no file name was given")
	}
	if os.IsPathSeparator(path[len(path)-1]) {
		return refuse(fs.ErrInvalid, "the name is a folder's; a file name must follow")
	}
	target, info, err := follow(path)
	if err != nil {
		return refuse(err, reason(err, path))
	}
	mode := fs.FileMode(0)
	if info != nil {
		switch {
		case info.IsDir():
			return refuse(fs.ErrInvalid, "it is a folder")
		case !info.Mode().IsRegular():
			return refuse(fs.ErrInvalid, "it is not an ordinary file")
		case !force:
			return &ExistsError{Path: path}
		}
		mode = info.Mode().Perm()
	}
	sweepOld(folder(target))
	temp, err := writeTemp(folder(target), tempStart, data, mode)
	if err != nil {
		return refuse(err, reason(err, target))
	}
	if force {
		err = os.Rename(temp, target)
	} else {
		err = takeName(temp, target, link)
	}
	if err != nil {
		os.Remove(temp)
		if !force && errors.Is(err, fs.ErrExist) {
			return &ExistsError{Path: path}
		}
		return refuse(err, reason(err, target))
	}
	syncFolder(folder(target))
	return nil
}

// takeName gives the temporary file the name target unless that is taken, and leaves no temporary file behind where it
// succeeds.
func takeName(temp, target string, link func(from, to string) error) error {
	err := link(temp, target)
	if err == nil {
		os.Remove(temp)
		return nil
	}
	if errors.Is(err, fs.ErrExist) {
		return err
	}
	// No second names here (memory cards, some network drives). An empty file, made by whoever comes first, reserves
	// the name instead.
	f, err := os.OpenFile(target, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	f.Close()
	if err := os.Rename(temp, target); err != nil {
		os.Remove(target)
		return err
	}
	return nil
}

// writeTemp writes data to a new file in the folder and returns its name, which begins with start. mode 0 leaves the
// permissions to the system.
func writeTemp(folder, start string, data []byte, mode fs.FileMode) (name string, err error) {
	f, err := createTemp(folder, start)
	if err != nil {
		return "", err
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
		}
	}()
	if mode != 0 { // before the data, which may be private
		if err := f.Chmod(mode); err != nil && runtime.GOOS != "windows" {
			return "", err
		}
	}
	if _, err := f.Write(data); err != nil {
		return "", err
	}
	if err := f.Sync(); err != nil {
		return "", err
	}
	return f.Name(), f.Close()
}

// createTemp opens a new file. Unlike os.CreateTemp it leaves the permissions to the umask.
func createTemp(folder, start string) (*os.File, error) {
	for try := 0; ; try++ {
		name := filepath.Join(folder, fmt.Sprintf("%s%016x%s", start, rand.Uint64(), tempEnd))
		f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if errors.Is(err, fs.ErrExist) && try < 100 {
			continue
		}
		return f, err
	}
}

// follow goes through symbolic links to the file they stand for, which need not exist: info is nil then.
func follow(path string) (target string, info fs.FileInfo, err error) {
	const mostLinks = 40
	for range mostLinks {
		info, err = os.Lstat(path)
		if errors.Is(err, fs.ErrNotExist) {
			return path, nil, nil
		}
		if err != nil {
			return "", nil, err
		}
		if info.Mode()&fs.ModeSymlink == 0 {
			return path, info, nil
		}
		to, err := os.Readlink(path)
		if err != nil {
			return "", nil, err
		}
		if !filepath.IsAbs(to) {
			// Not filepath.Join: it would take a/../b for b, which is wrong where a is a link itself.
			dir, _ := filepath.Split(path)
			to = dir + to
		}
		path = to
	}
	return "", nil, errLinks
}

var errLinks = errors.New("too many symbolic links")

// folder returns the folder that holds path, without simplifying it.
func folder(path string) string {
	dir, _ := filepath.Split(path)
	if dir == "" {
		return "."
	}
	return dir
}

// syncFolder makes a new name survive a power cut, where the system can do that. The file itself is complete by now
// whatever comes of it, so that no error is worth reporting.
func syncFolder(dir string) {
	if runtime.GOOS == "windows" {
		return
	}
	d, err := os.Open(dir)
	if err != nil {
		return
	}
	_ = d.Sync()
	d.Close()
}
