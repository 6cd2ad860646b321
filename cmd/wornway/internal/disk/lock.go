package disk

import (
	"errors"
	"os"
)

// LockedError says that another process is writing a file.
type LockedError struct{ Path string }

func (e *LockedError) Error() string { return "another wornway is writing " + e.Path }

// lockSuffix is added to a file's name for the file that its lock is held on.
const lockSuffix = ".lock"

var (
	errLocked  = errors.New("locked")
	errNoLocks = errors.New("no locks here")
)

// Lock takes the right to write the file path, which need not exist, until unlock is called or the process ends,
// however it ends. It does not wait: where another process has it, the error is a [*LockedError]. What cannot be locked
// because the folder cannot be written to gives an [*Error].
//
// The lock is the operating system's, on an empty file with ".lock" behind the name; unlock removes that. Where a
// killed process left one behind, nobody holds it, and it is in nobody's way. It binds only those who ask for it, and a
// file system that knows no locks binds nobody: [Replace] compares what it replaces all the same.
//
// What a process that was killed while it wrote the file has left half written beside it goes as soon as the lock is
// taken again; what another program had saved just then, and that process had taken for its own, is put back.
func Lock(path string) (unlock func(), err error) {
	target, _, err := follow(path)
	if err != nil {
		return nil, &Error{Path: path, Reason: reason(err, path), Err: err}
	}
	name := target + lockSuffix
	const tries = 100
	for range tries {
		f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o666)
		if err != nil {
			return nil, &Error{Path: path, Reason: reason(err, target), Err: err}
		}
		switch err := lockFile(f); {
		case errors.Is(err, errLocked):
			f.Close()
			return nil, &LockedError{Path: path}
		case errors.Is(err, errNoLocks):
			f.Close()
			os.Remove(name)
			return func() {}, nil
		case err != nil:
			f.Close()
			return nil, &Error{Path: path, Reason: reason(err, target), Err: err}
		}
		// Whoever held it before may have removed the file between its opening and its locking here; the lock would
		// then be on a file that nobody else finds.
		if held, err := f.Stat(); err == nil {
			if there, err := os.Stat(name); err == nil && os.SameFile(held, there) {
				sweep(target)
				sweepOld(folder(target))
				return func() { release(f, name) }, nil
			}
		}
		f.Close()
	}
	return nil, &LockedError{Path: path}
}

// Recover does what [Lock] does with what a killed process has left, for who is going to read the file path before he
// writes it. Where the file cannot be locked, nothing is done: the lock will say why.
func Recover(path string) {
	if unlock, err := Lock(path); err == nil {
		unlock()
	}
}
