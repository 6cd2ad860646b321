package disk

import (
	"errors"
	"syscall"
)

// Numbers of Windows system errors, from memory; the syscall package does not name them.
const (
	errorWriteProtect     syscall.Errno = 19
	errorSharingViolation syscall.Errno = 32
	errorHandleDiskFull   syscall.Errno = 39
	errorDiskFull         syscall.Errno = 112
	errorInvalidName      syscall.Errno = 123
	errorFilenameTooLong  syscall.Errno = 206
)

// systemReason explains errors that only the system's own numbers tell apart.
func systemReason(err error) string {
	switch {
	case errors.Is(err, errorWriteProtect):
		return "the disk is read-only"
	case errors.Is(err, errorSharingViolation):
		return "another program has the file open"
	case errors.Is(err, errorDiskFull), errors.Is(err, errorHandleDiskFull):
		return "the disk is full"
	case errors.Is(err, errorInvalidName):
		return "the name has a character that file names cannot have"
	case errors.Is(err, errorFilenameTooLong):
		return "the name is too long"
	}
	return ""
}
