//go:build !unix && !windows

package disk

// systemReason has nothing to add on systems whose error numbers are not known here.
func systemReason(error) string { return "" }
