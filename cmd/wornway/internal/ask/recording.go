package ask

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/disk"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/entry"
	"wornway/profile/length"
	"wornway/profile/survey"
)

type Survey struct {
	Method          string
	At              string
	Every, From, To length.Length
	Reference       bool
}

// OnDisk says what to do about a file that cannot be written.
func OnDisk(err error) error {
	var locked *disk.LockedError
	var changed *disk.ChangedError
	switch {
	case errors.As(err, &locked):
		return refuse.With(err.Error(), "end it there first; nothing was changed here")
	case errors.As(err, &changed):
		return refuse.With(err.Error(),
			"the last answer is not in it; the same command goes on from what the file says "+
				"now")
	}
	return refuse.With(err.Error(),
		"what was answered before is in the file; once that is put right, the same command "+
			"goes on")
}

// Recording is the conversation about one survey.
type Recording struct {
	*Talk
	word.Units
	Env     *env.Env
	File    string
	Method  survey.Method
	Text    []byte // of the file, as it is on disk
	kept    bool   // its version from before this conversation lies beside it
	Profile *profile.Profile
	Under   *entry.Entry    // the survey under way; nil before its first answer
	before  [][]byte        // the file before each answer of this conversation, for undo
	Told    map[string]bool // readings of which it was said that they do not fit
}

// All asks from the first question to the last.
func (r *Recording) All(c *cobra.Command, o *Survey) error {
	r.say("Caution: Measure with the spindle stopped and the machine isolated. Chuck key out, no gloves, sleeves " +
		"rolled tight, no loose hair. The shop's own rules and local codes come first.")
	if r.Under != nil && r.Under.Started {
		if err := r.resume(c, o); err != nil {
			return err
		}
	}
	for asked := false; ; {
		if r.Under == nil || !r.Under.Started && !asked {
			if err := r.questions(); err != nil {
				return err
			}
			asked = true
		}
		if !r.Under.Started {
			r.say("")
			r.say(r.Method.Setup())
			if err := r.start(c, o); errors.Is(err, errBack) {
				asked = false
				continue
			} else if err != nil {
				return err
			}
		}
		r.say("Other answers: same, again, skip, return, undo, done, stop; help explains them.")
		r.say("")
		if err := r.stations(); !errors.Is(err, errBack) {
			return err
		}
		// the stations stand in the command and would only be put back: what was answered before them is meant
		if o.given(c) && len(r.before) > 0 {
			if err := r.takeBack(); err != nil {
				return err
			}
			asked = false
		}
	}
}

// resume says where the survey stands, and changes the stations that are left where others were asked for.
func (r *Recording) resume(c *cobra.Command, o *Survey) error {
	r.say(fmt.Sprintf("Going on with survey %d (%s): %s so far.", r.Under.Number, r.Method.Name,
		word.Count(len(r.Under.Rows), "reading")))
	if o.Reference && !slices.Contains(r.Under.Columns, "reference") {
		r.say("Its columns are set already: --reference changes nothing.")
	}
	if !o.given(c) {
		return nil
	}
	stations, err := r.asked(c, o)
	if err != nil || r.Under.AskedFor(stations) {
		return err
	}
	if r.Under.Returning() {
		return refuse.With("the way back has begun: it goes over the stations that were read",
			"leave --at, --every, --from and --to out")
	}
	text, err := r.Under.AskFor(stations)
	if err != nil {
		return err
	}
	return r.write(text)
}

// write puts the file on disk with the next answer in it, and takes note of what it was before.
func (r *Recording) write(text []byte) error {
	was := r.Text
	if err := r.put(text); err != nil {
		return err
	}
	r.before = append(r.before, was)
	return nil
}

// put writes the file and reads back what it says. The first time its version from before this conversation is kept
// beside it.
func (r *Recording) put(text []byte) error {
	p, err := r.Env.Parse(filepath.Dir(r.File), r.File, text)
	if err != nil {
		return err
	}
	under, err := entry.Find(text, r.Method)
	if err != nil {
		return err
	}
	write := disk.Again
	if !r.kept {
		write = disk.Replace
	}
	if err := write(r.File, r.Text, text); err != nil {
		return OnDisk(err)
	}
	r.kept = true
	r.Text, r.Profile, r.Under = text, p, under
	return nil
}

// takeBack restores the file as it was before the last answer of this conversation.
func (r *Recording) takeBack() error {
	was := r.before[len(r.before)-1]
	if err := r.put(was); err != nil {
		return err
	}
	r.before = r.before[:len(r.before)-1]
	return nil
}

// Goodbye says how to go on, once the conversation was broken off.
func (r *Recording) Goodbye() {
	if r.Under == nil {
		r.say(fmt.Sprintf("Nothing was begun in %s.", r.File))
		return
	}
	r.say(fmt.Sprintf("Stopped, with %s in %s. This goes on there:", word.Count(len(r.Under.Rows), "reading"), r.File))
	r.raw(fmt.Sprintf("  wornway record %s --method %s\n", r.File, r.Method.Name))
}

// today is the day that a survey is dated when nothing else is said.
func (r *Recording) today() string { return r.Env.Now().Format(time.DateOnly) }

// ErrStopped ends a conversation that is to be gone on with later; errBack goes back to the questions before.
var (
	ErrStopped = errors.New("stopped")
	errBack    = errors.New("back")
)
