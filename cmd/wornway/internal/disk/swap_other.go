//go:build !linux

package disk

// swap exchanges two names of one folder in one step, which systems other than Linux are not asked for.
func swap(_, _ string) error { return errNoSwap }

// openForWriting is asked only after an exchange.
func openForWriting(string) bool { return false }
