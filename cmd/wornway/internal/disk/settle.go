package disk

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"time"
)

// errNoSwap says that two names cannot be exchanged in one step here.
var errNoSwap = errors.New("no exchange of names here")

// settle puts the file temp, which holds data, under the name target if target holds was. Where it holds anything else,
// changed says so, and target is what another program made of it. The caller removes temp, if it is still there.
//
// An editor knows no lock, and may save between a comparison and the new name. So the two names are exchanged, and what
// had the name until then is looked at afterwards, when nobody can get at it by the name any more. If it is not was, it
// is put back, and so is what was saved even while that was done. Where names cannot be exchanged, target is compared
// last thing before the new name, and what is saved in the microseconds between is lost. swap exchanges two names.
func settle(temp, target string, was, data []byte, swap func(one, other string) error) (changed bool, err error) {
	if err := swap(temp, target); errors.Is(err, errNoSwap) {
		if now, err := readUpTo(target, len(was)+1); err != nil || !bytes.Equal(now, was) {
			return err == nil, err
		}
		return false, os.Rename(temp, target)
	} else if err != nil {
		return false, err
	}
	// An editor that has opened the file by its name before the exchange may empty and write it only now. One that saves
	// does so at once; one that merely keeps the file open is not waited for.
	const patience = time.Second / 2
	for begun := time.Now(); ; time.Sleep(time.Millisecond) {
		open := openForWriting(temp) // before it is read: else it could be written and closed in between
		if before, err := os.ReadFile(temp); err != nil || !bytes.Equal(before, was) {
			return true, putBack(temp, target, before, data, swap)
		}
		if !open || time.Since(begun) > patience {
			return false, nil
		}
	}
}

// putBack exchanges the two names again where target holds data: temp is what another program has saved, before its
// text. What was saved under the name meanwhile stays there instead, as it is newer.
func putBack(temp, target string, before, data []byte, swap func(one, other string) error) error {
	for put := data; ; {
		if err := swap(temp, target); errors.Is(err, fs.ErrNotExist) {
			return nil // removed since, and so it stays
		} else if err != nil {
			return os.Rename(temp, target)
		}
		// The name must have held what was put there: else somebody has saved it since, and that is newer.
		now, err := os.ReadFile(temp)
		if err != nil || bytes.Equal(now, put) {
			return err
		}
		put, before = before, now
	}
}
