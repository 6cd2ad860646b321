package disk

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"runtime"
)

// ChangedError says that a file is not what it was when it was read.
type ChangedError struct{ Path string }

func (e *ChangedError) Error() string {
	return e.Path + " was changed by someone else meanwhile; nothing was written"
}

// Replace puts data in the place of a file that was read as was. The previous version is kept beside it, as path + ".bak"; the new one takes the file's name only when all of it has reached the disk,
// and has its permissions. Where the file is no longer what it was, it is a [*ChangedError] and nothing is written. Through a symbolic link the file it points to is written. All other errors are of
// type [*Error].
func Replace(path string, was, data []byte) error {
	refuse := func(err error, at string) error { return &Error{Path: at, Reason: reason(err, at), Err: err} }
	target, info, err := follow(path)
	switch {
	case err != nil:
		return refuse(err, path)
	case info == nil:
		return &ChangedError{path}
	case !info.Mode().IsRegular():
		return &Error{Path: path, Reason: "it is not an ordinary file", Err: fs.ErrInvalid}
	}
	is, err := os.ReadFile(target)
	if err != nil {
		return refuse(err, target)
	}
	if !bytes.Equal(is, was) {
		return &ChangedError{path}
	}
	mode := info.Mode().Perm()
	if mode&0o222 == 0 && runtime.GOOS != "windows" {
		return &Error{Path: path, Reason: "it is marked as not to be written to", Err: fs.ErrPermission}
	}
	temp, err := writeTemp(folder(target), data, mode)
	if err != nil {
		return refuse(err, target)
	}
	if err := WriteNew(target+".bak", was, true); err != nil {
		os.Remove(temp)
		return err
	}
	// As late as can be: an editor may have saved in the meantime.
	if is, err = os.ReadFile(target); err == nil && !bytes.Equal(is, was) || errors.Is(err, fs.ErrNotExist) {
		os.Remove(temp)
		return &ChangedError{path}
	}
	if err := os.Rename(temp, target); err != nil {
		os.Remove(temp)
		return refuse(err, target)
	}
	syncFolder(folder(target))
	return nil
}
