//go:build !windows && (!unix || solaris || aix)

package disk

import "os"

// lockFile says that files cannot be locked on these systems.
func lockFile(*os.File) error { return errNoLocks }

func release(f *os.File, name string) {
	f.Close()
	os.Remove(name)
}
