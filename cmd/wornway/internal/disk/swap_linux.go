package disk

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// swap exchanges two names of one folder in one step. A file system that cannot do that gives errNoSwap.
func swap(one, other string) error {
	err := unix.Renameat2(unix.AT_FDCWD, one, unix.AT_FDCWD, other, unix.RENAME_EXCHANGE)
	for errors.Is(err, unix.EINTR) {
		err = unix.Renameat2(unix.AT_FDCWD, one, unix.AT_FDCWD, other, unix.RENAME_EXCHANGE)
	}
	switch {
	case errors.Is(err, unix.EINVAL), errors.Is(err, unix.ENOSYS), errors.Is(err, unix.EOPNOTSUPP),
		errors.Is(err, unix.EPERM): // the last from sandboxes that do not know the call
		return errNoSwap
	}
	return err
}

// openForWriting tells whether a program has a file open to write it: then nobody is granted a lease to read it (fcntl,
// F_SETLEASE). It is false where leases are not known.
func openForWriting(name string) bool {
	f, err := os.Open(name)
	if err != nil {
		return false
	}
	defer f.Close() // which ends the lease
	_, err = unix.FcntlInt(f.Fd(), unix.F_SETLEASE, unix.F_RDLCK)
	return errors.Is(err, unix.EAGAIN)
}
