//go:build unix && !solaris && !aix

package disk

import (
	"errors"
	"os"
	"syscall"
)

// lockFile locks an open file without waiting.
func lockFile(f *os.File) error {
	for {
		err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		switch {
		case errors.Is(err, syscall.EINTR):
			continue
		case errors.Is(err, syscall.EWOULDBLOCK):
			return errLocked
		case errors.Is(err, syscall.ENOSYS), errors.Is(err, syscall.ENOTSUP), errors.Is(err, syscall.EOPNOTSUPP),
			errors.Is(err, syscall.ENOLCK), errors.Is(err, syscall.EINVAL):
			return errNoLocks
		}
		return err
	}
}

// release removes the file first: while its lock is held nobody else can take it for his own.
func release(f *os.File, name string) {
	os.Remove(name)
	f.Close()
}
