//go:build unix

package disk

import (
	"errors"
	"syscall"
)

// systemReason explains errors that only the system's own numbers tell apart.
func systemReason(err error) string {
	switch {
	case errors.Is(err, syscall.EROFS):
		return "the folder is read-only"
	case errors.Is(err, syscall.ENOSPC):
		return "the disk is full"
	case errors.Is(err, syscall.EDQUOT):
		return "the disk space allotted to this user is used up"
	case errors.Is(err, syscall.EFBIG):
		return "the file is too large for this disk"
	case errors.Is(err, syscall.ENAMETOOLONG):
		return "the name is too long"
	case errors.Is(err, syscall.ELOOP):
		return "its symbolic links lead nowhere"
	case errors.Is(err, syscall.ENOTDIR):
		return "a part of its path is not a folder"
	}
	return ""
}
