package disk

import (
	"fmt"
	"hash/fnv"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// Temporary files are named by these, with something random between them.
const (
	tempStart = ".wornway-"
	tempEnd   = ".tmp"
)

// tempFor begins the names of the temporary files for target, so that they can be told from those for its neighbours.
// It is as short for a long name as for a short one.
func tempFor(target string) string {
	h := fnv.New64a()
	h.Write([]byte(filepath.Base(target)))
	return fmt.Sprintf("%s%016x-", tempStart, h.Sum64())
}

// sweep removes the temporary files for target. Whoever calls it holds target's lock: nobody is still writing them, and
// who left them was killed.
func sweep(target string) {
	start := tempFor(target)
	removeIf(folder(target), func(name string, _ os.DirEntry) bool { return strings.HasPrefix(name, start) })
}

// sweepOld removes the temporary files in a folder that nobody can still be writing: those that were last written to
// more than a day ago.
func sweepOld(folder string) {
	const day = 24 * time.Hour
	removeIf(folder, func(_ string, e os.DirEntry) bool {
		info, err := e.Info()
		return err == nil && time.Since(info.ModTime()) > day
	})
}

// removeIf removes those of the temporary files in a folder of which yes is true. One that cannot be removed is in
// nobody's way.
func removeIf(folder string, yes func(name string, e os.DirEntry) bool) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return
	}
	for _, e := range entries {
		if name := e.Name(); e.Type().IsRegular() && strings.HasPrefix(name, tempStart) &&
			strings.HasSuffix(name, tempEnd) && yes(name, e) {
			os.Remove(filepath.Join(folder, name))
		}
	}
}
