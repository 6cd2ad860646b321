package ask

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/disk"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/safe"
	"wornway/cmd/wornway/internal/word"
)

// The answers of a conversation stand in a file of their own until what they are for is written: the answers as they
// were typed, one to a line, below a line that says what they answer. A conversation that was broken off, in whatever
// way, is gone through anew with them.

// Kept is what the file with a new file's answers is called.
func Kept(file string) string { return file + ".answers" }

// Keep keeps the answers beside a file from now on. At a terminal it asks whether to go on from those of a conversation
// that was broken off; about says what they answer, and others are refused.
func (a *Interview) Keep(file, about string) error {
	name, head := Kept(file), "# "+about+"\n"
	data, err := os.ReadFile(name)
	switch {
	case err == nil && !a.echo:
		text, found := strings.CutPrefix(string(data), head)
		if !found {
			return refuse.With(name+" holds the answers to other questions than those of "+about,
				"go on with them by the command in its first line, or delete it")
		}
		before := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
		if text == "" {
			break
		}
		said := back // there is no question before
		for said == back {
			said = a.yesOrNo(fmt.Sprintf("%s holds %s of a conversation that was broken off. Go on from there? "+
				"(Enter: yes; no begins anew)", safe.Line(name), word.Count(len(before), "answer")))
		}
		if said != "no" && !a.ended {
			a.before, a.muted = before, true
		}
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return OnDisk(err)
	}
	if !a.echo {
		a.say("Each answer is kept in %s until %s is written: if you are interrupted, the same command goes on from "+
			"there.", safe.Line(name), safe.Line(file))
	}
	a.given = nil
	a.keep = func(answers []string) error {
		return disk.WriteNew(name, []byte(head+strings.Join(answers, "\n")+"\n"), true)
	}
	return nil
}

// again returns the next answer of a conversation that was broken off; false where all have been given. Nothing is
// shown until the last of them; then what was asked, each with the answer that counts.
func (a *Interview) again(prompt string) (string, bool) {
	if len(a.before) == 0 {
		return "", false
	}
	s := a.before[0]
	a.before = a.before[1:]
	a.given = append(a.given, s)
	a.counts = slices.DeleteFunc(a.counts, func(o answer) bool { return o.prompt == prompt })
	switch n := len(a.counts); {
	case prompt == keepIt && n > 0 && yesNoBack(s) == "no":
		a.counts = a.counts[:n-1]
	case prompt == keepIt && n > 0 && yesNoBack(s) == "" && s != "":
		a.counts[n-1].text = s // typed anew
	case prompt != keepIt && s != back:
		a.counts = append(a.counts, answer{prompt, s})
	}
	if len(a.before) > 0 {
		return s, true
	}
	a.muted = false
	a.raw("\n")
	for _, o := range a.counts {
		a.say("%s: %s", o.prompt, o.text)
	}
	a.say("So far you had come.")
	return s, true
}

// answer is an answer as it was given.
type answer struct{ prompt, text string }

// note keeps an answer.
func (a *Interview) note(s string) {
	if a.given = append(a.given, s); a.keep == nil {
		return
	}
	if err := a.keep(a.given); err != nil {
		a.say("  Note: the answers cannot be kept (%v). They count all the same, once all is answered.", err)
		a.keep = nil
	}
}

// refused drops the last answer, which could not be taken: going on from the others comes to the same question. Typed
// where something was to be confirmed it stays, as it took the place of what was odd.
func (a *Interview) refused(confirming bool) {
	if n := len(a.given); n > 0 && !confirming && !a.ended {
		a.given = a.given[:n-1]
		if a.keep != nil {
			_ = a.keep(a.given) // the next one says what is wrong with the disk
		}
	}
}

// Written takes the answers away, as what they are for is on the disk.
func (a *Interview) Written(file string) {
	if a.keep != nil {
		_ = os.Remove(Kept(file)) // what stays behind is asked about
	}
}
