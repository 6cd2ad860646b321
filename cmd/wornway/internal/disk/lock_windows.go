package disk

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// lockFile locks an open file without waiting.
func lockFile(f *os.File) error {
	err := windows.LockFileEx(windows.Handle(f.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY,
		0, 1, 0, &windows.Overlapped{})
	switch {
	case errors.Is(err, windows.ERROR_LOCK_VIOLATION), errors.Is(err, windows.ERROR_IO_PENDING):
		return errLocked
	case errors.Is(err, windows.ERROR_NOT_SUPPORTED), errors.Is(err, windows.ERROR_INVALID_FUNCTION),
		errors.Is(err, windows.ERROR_CALL_NOT_IMPLEMENTED):
		return errNoLocks
	}
	return err
}

// release closes the file first: what is open cannot be removed here, and where somebody else has opened it meanwhile
// it stays.
func release(f *os.File, name string) {
	f.Close()
	os.Remove(name)
}
