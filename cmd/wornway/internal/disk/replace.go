package disk

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
)

// ChangedError says that a file is no longer what it was when it was read.
type ChangedError struct {
	Path string
	Gone bool // no file has the name any more
}

func (e *ChangedError) Error() string {
	if e.Gone {
		return e.Path + " is gone: it was moved or removed since it was read"
	}
	return e.Path + " has been changed by another program since it was read, and is left as it is now"
}

// backupSuffix is added to a file's name for its previous version.
const backupSuffix = ".bak"

// Replace writes data over the file path, which must still hold was, and keeps was beside it under the name path +
// ".bak"; the latter comes first, so that it may be there though data is refused in the end.
//
// As with [WriteNew], readers see the old file or the new one whole, at whatever moment the program or the machine
// stops; the new one keeps the permissions, the owner where the system allows that, and through a symbolic link the
// file it points to is replaced and the link stays. Further names that the old file has (hard links) stay with it. A
// file that holds anything else than was, or is gone, gives a [*ChangedError]; one that may not be written an [*Error],
// as does all else. Two programs that both use [Lock] cannot come between each other. One that does not, such as an
// editor, loses nothing either where the system can exchange two names (Linux, on its usual file systems): what it saved
// is put back, by the next [Lock] if this program is killed before it has done so. Elsewhere an editor could come between
// the comparison and the new name.
func Replace(path string, was, data []byte) error { return replace(path, was, data, true) }

// Again does what Replace does but leaves the ".bak" alone: for the second and further steps of one piece of work, so
// that the version from before it is kept.
func Again(path string, was, data []byte) error { return replace(path, was, data, false) }

func replace(path string, was, data []byte, keep bool) error {
	refuse := func(err error, reason string) error { return &Error{Path: path, Reason: reason, Err: err} }
	target, info, err := follow(path)
	switch {
	case err != nil:
		return refuse(err, reason(err, path))
	case info == nil:
		return &ChangedError{Path: path, Gone: true}
	case !info.Mode().IsRegular():
		return refuse(fs.ErrInvalid, "it is not an ordinary file")
	case info.Mode().Perm()&0o222 == 0:
		return refuse(fs.ErrPermission, "it is read-only")
	}
	switch now, err := readUpTo(target, len(was)+1); {
	case err == nil && !bytes.Equal(now, was), errors.Is(err, fs.ErrNotExist):
		return &ChangedError{Path: path, Gone: err != nil}
	case err != nil:
		return refuse(err, reason(err, target))
	}
	temp, err := writeTemp(folder(target), tempFor(target), data, info.Mode().Perm())
	if err != nil {
		return refuse(err, reason(err, target))
	}
	defer func() { discard(temp) }() // where it still is there
	if keep {
		backup, err := writeTemp(folder(target), tempFor(target), was, info.Mode().Perm())
		if err == nil {
			sameOwner(backup, info)
			if err = os.Rename(backup, target+backupSuffix); err != nil {
				os.Remove(backup)
			}
		}
		if err != nil {
			return &Error{Path: path + backupSuffix, Reason: reason(err, target), Err: err}
		}
	}
	sameOwner(temp, info)
	out := exchanging(target, was, data)
	if err := os.Rename(temp, out); err != nil {
		return refuse(err, reason(err, target))
	}
	temp = out
	switch changed, err := settle(temp, target, was, data, swap); {
	case changed && err == nil, errors.Is(err, fs.ErrNotExist):
		return &ChangedError{Path: path, Gone: err != nil}
	case err != nil:
		return refuse(err, reason(err, target))
	}
	syncFolder(folder(target))
	return nil
}

// readUpTo reads a file, or so many bytes of it where it is longer.
func readUpTo(name string, most int) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, int64(most)))
}
