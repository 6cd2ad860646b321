package disk

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// reason puts into plain words why target could not be written.
func reason(err error, target string) string {
	if errors.Is(err, errLinks) {
		return "its symbolic links lead nowhere"
	}
	if s := systemReason(err); s != "" {
		return s
	}
	dir := filepath.Clean(folder(target))
	info, statErr := os.Stat(dir)
	if statErr == nil && !info.IsDir() {
		return dir + " is not a folder"
	}
	switch {
	case errors.Is(err, fs.ErrNotExist) && statErr == nil: // as in the system's own folders, which hold what is no file
		return "no file can be made in the folder " + dir
	case errors.Is(err, fs.ErrNotExist):
		return "there is no folder " + dir
	case errors.Is(err, fs.ErrPermission):
		return "writing in the folder " + dir + " is not permitted"
	}
	// The bare cause, without the call and the temporary file's name that a PathError or LinkError puts around it.
	for {
		inner := errors.Unwrap(err)
		if inner == nil {
			return err.Error()
		}
		err = inner
	}
}
