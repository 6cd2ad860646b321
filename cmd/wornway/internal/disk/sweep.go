package disk

import (
	"errors"
	"fmt"
	"hash/fnv"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
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
	return fmt.Sprintf("%s%016x-", tempStart, sum([]byte(filepath.Base(target))))
}

func sum(data []byte) uint64 {
	h := fnv.New64a()
	h.Write(data)
	return h.Sum64()
}

// exchanging names a temporary file for target that is whole and is to change names with it. The name says by sums what
// either of them holds: a writer that is killed meanwhile leaves one behind of which can be told whose it is.
func exchanging(target string, was, data []byte) string {
	return filepath.Join(folder(target), fmt.Sprintf("%s%016x-%016x-%016x%s", tempFor(target), sum(was), sum(data),
		rand.Uint64(), tempEnd))
}

// saved tells whether a temporary file holds what another program had saved under the target's name: it was exchanged
// for data, and its writer killed before he could put it back. Nobody else has that text, so it is never removed. data
// is the sum of what stands under the name since.
func saved(temp string) (data uint64, is bool) {
	parts := strings.Split(strings.TrimSuffix(strings.TrimPrefix(filepath.Base(temp), tempStart), tempEnd), "-")
	const named = 4 // the target, what it held, what it should hold, and something random
	if len(parts) != named {
		return 0, false
	}
	was, err := strconv.ParseUint(parts[1], 16, 64)
	if err != nil {
		return 0, false
	}
	if data, err = strconv.ParseUint(parts[2], 16, 64); err != nil {
		return 0, false
	}
	text, err := os.ReadFile(temp)
	if err != nil {
		return 0, !errors.Is(err, fs.ErrNotExist) // it may be
	}
	holds := sum(text)
	return data, holds != was && holds != data
}

// sweep removes the temporary files for target. Whoever calls it holds target's lock: nobody is still writing them, and
// who left them was killed. What another program had saved goes back under its name, unless something else has been
// saved there since.
func sweep(target string) {
	start := tempFor(target)
	removeIf(folder(target), func(name string, _ os.DirEntry) bool {
		if !strings.HasPrefix(name, start) {
			return false
		}
		temp := filepath.Join(folder(target), name)
		if data, is := saved(temp); is {
			before, err := os.ReadFile(temp)
			if now, gone := os.ReadFile(target); err == nil && gone == nil && sum(now) == data {
				_ = putBack(temp, target, before, now, swap) // where it cannot be, it stays
			}
		}
		return true
	})
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

// removeIf removes those of the temporary files in a folder of which yes is true, but for what another program has
// saved. One that cannot be removed is in nobody's way.
func removeIf(folder string, yes func(name string, e os.DirEntry) bool) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return
	}
	for _, e := range entries {
		name := e.Name()
		if !e.Type().IsRegular() || !strings.HasPrefix(name, tempStart) || !strings.HasSuffix(name, tempEnd) ||
			!yes(name, e) {
			continue
		}
		discard(filepath.Join(folder, name))
	}
}

// discard removes a temporary file, unless it holds what another program has saved.
func discard(temp string) {
	if _, is := saved(temp); !is {
		os.Remove(temp)
	}
}
