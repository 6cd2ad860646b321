package ask

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"wornway/cmd/wornway/internal/disk"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile"
	"wornway/profile/document"
	"wornway/profile/entry"
	"wornway/profile/estimate"
	"wornway/profile/length"
	"wornway/profile/survey"
)

// Survey is what is to be recorded, and where.
type Survey struct {
	Method    survey.Method
	Places    Places
	Reference bool // each answer has a second reading, of what stays put
	// Work is what the survey is made for: lengths that the spindle holds, with their tolerance or without; nil: the
	// bed as a whole
	Work  []compensate.Cut
	Given shop.Particulars // what was said of it besides
	// Unit is the inch or the millimetre, in which a table of collars counts; a profile says so itself
	Unit length.Unit
}

// Places are the stations that were asked for beforehand; the zero value is none: they are offered.
type Places struct {
	At              *string // listed
	Every, From, To *length.Length
}

// Given says whether there are any.
func (p Places) Given() bool { return p.At != nil || p.Every != nil || p.From != nil || p.To != nil }

// OnDisk says what to do about a file that cannot be written.
func OnDisk(err error) error {
	var locked *disk.LockedError
	var changed *disk.ChangedError
	switch {
	case errors.As(err, &locked):
		return refuse.With(err.Error(), "end it there first; nothing was changed here")
	case errors.As(err, &changed) && changed.Gone:
		return refuse.With(err.Error(), "put it back where it was: all answers but the last are in it, and the same "+
			"command goes on")
	case errors.As(err, &changed):
		return refuse.With(err.Error(),
			"the last answer is not in it; the same command goes on from what the file says "+
				"now")
	}
	return refuse.With(err.Error(),
		"what was answered before is in the file; once that is put right, the same command "+
			"goes on")
}

// Recording is the conversation about one survey of a profile. It is a machine that a terminal or a page leads:
// [Recording.Turn] is what stands before the person, [Recording.Answer] takes what he says to it.
//
// Whatever was answered is in the file before Answer returns. A Recording may be dropped at any moment, and another
// goes on from the file; only undo of more than the last reading is lost with it.
type Recording struct {
	word.Units
	Method  survey.Method
	File    string
	Profile *profile.Profile
	Under   *entry.Entry // the survey under way; nil before its first answer

	survey Survey
	env    *env.Env
	table  *table // nil: readings go into a profile
	text   []byte // of the profile, as it is on disk
	kept   bool   // its version from before this conversation lies beside it
	before [][]byte
	known  func() (*estimate.Result, error) // the wear by the profile, estimated once it is asked for
	told   map[string]bool                  // what was said once
	enough bool                             // the work is sure enough by the last reading
	odd    bool                             // of the reading taken last it was said that it does not fit
	seen   forecast
	rowOf  map[string][]int // of what is seen ahead, by station
	unlock func()

	turn Turn
	next func(text string) error // takes the answer to what is asked now
}

// Record opens a profile to record a survey in it. Nobody else may write the file until it is closed.
func Record(e *env.Env, file string, s Survey) (*Recording, error) {
	if file == "-" {
		return nil, refuse.Usage("standard input cannot be written to: record needs a file",
			"for instance: wornway record demo.toml --method "+s.Method.Name)
	}
	if err := env.Writable(file); err != nil {
		return nil, err
	}
	collars := IsTable(file)
	if !collars {
		if _, err := e.Open(file); err != nil {
			return nil, err
		}
	}
	unlock, err := disk.Lock(file)
	if err != nil {
		return nil, OnDisk(err)
	}
	r := &Recording{Method: s.Method, File: file, survey: s, env: e, told: map[string]bool{}, unlock: unlock}
	if err := r.open(collars); err != nil {
		unlock()
		return nil, err
	}
	return r, nil
}

// open reads the file and asks the first question.
func (r *Recording) open(collars bool) (err error) {
	if collars {
		r.table, r.text, err = openTable(r.env, r.File, r.survey.Unit)
	} else {
		r.text, err = r.env.ProfileText(r.File)
	}
	if err != nil {
		return err
	}
	p, err := r.env.Parse(filepath.Dir(r.File), r.File, r.text)
	if err != nil {
		return err
	}
	r.In = p.Unit
	under, err := entry.Find(r.text, r.Method)
	if err != nil {
		return refuse.With(fmt.Sprintf("%s: %v", r.File, err), "move them into rows, or take the key unfinished out")
	}
	r.holds(r.text, p, under)
	r.tell(Caution, "Caution: Measure with the spindle stopped and the machine isolated. Chuck key out, no gloves, "+
		"sleeves rolled tight, no loose hair. The shop's own rules and local codes come first.")
	if r.started() {
		if err := r.resume(); err != nil {
			return err
		}
	} else if err := r.possible(); err != nil {
		return err
	}
	return r.ask()
}

// Close gives the file back.
func (r *Recording) Close() { r.unlock() }

// Turn returns what was said since the last answer, and what is asked now.
func (r *Recording) Turn() Turn { return r.turn }

// Answer takes the answer to what is asked, with blanks around it or not, and returns what comes next. What is wrong
// with an answer is said there; an error is about the file, and nothing more can be answered.
func (r *Recording) Answer(text string) (Turn, error) {
	if r.turn.Asks == nil {
		return r.turn, nil
	}
	asked := r.turn.Asks.Kind
	r.turn = Turn{}
	text = strings.TrimSpace(text)
	if strings.EqualFold(text, "stop") {
		return r.Stop(), nil
	}
	if err := r.next(text); err != nil {
		r.turn.Asks = nil
		return r.turn, err
	}
	if r.turn.Done {
		return r.turn, nil
	}
	if r.started() && asked != AskReading {
		r.begun()
	}
	return r.turn, r.ask()
}

// Stop leaves the rest for later and says how to go on.
func (r *Recording) Stop() Turn {
	r.turn = Turn{}
	if r.Under == nil {
		r.tell(Plain, fmt.Sprintf("Nothing was begun in %s.", r.File))
		return r.turn
	}
	command := fmt.Sprintf("wornway record %s --method %s", r.File, r.Method.Name)
	if r.table != nil {
		command = r.table.command()
	}
	r.tell(Plain, fmt.Sprintf("Stopped, with %s in %s. This goes on there:", word.Count(len(r.Under.Rows), "reading"),
		r.File))
	r.tell(Command, command)
	return r.turn
}

func (r *Recording) started() bool { return r.Under != nil && r.Under.Started }

// ask puts the next question.
func (r *Recording) ask() error {
	if r.started() {
		r.askReading()
		return nil
	}
	if q, ok := r.openQuestion(); ok {
		r.askQuestion(q)
		return nil
	}
	again := slices.ContainsFunc(r.turn.Said, func(m Remark) bool { return m.Kind == Refused })
	if !again {
		r.tell(About, r.Method.Setup())
	}
	if !r.survey.Places.Given() {
		r.askStations(again)
		return nil
	}
	stations, err := r.asked()
	if err != nil {
		return err
	}
	if err := r.start(stations); err != nil {
		return err
	}
	r.begun()
	r.askReading()
	return nil
}

// begun says what else can be answered, before the first station.
func (r *Recording) begun() {
	r.tell(Typing, fmt.Sprintf("Other answers: same, again, again %s, at %[1]s, skip, return, undo, zero, done, stop; "+
		"help explains them.", r.such()))
	r.tell(Plain, "")
}

// resume says where the survey stands, and changes the stations that are left where others were asked for.
func (r *Recording) resume() error {
	which := fmt.Sprintf("survey %d (%s)", r.Under.Number, r.Method.Name)
	if r.table != nil {
		which = fmt.Sprintf("cut %d", r.table.cut)
	}
	r.tell(Plain, fmt.Sprintf("Going on with %s: %s so far.", which, word.Count(len(r.Under.Rows), "reading")))
	if r.survey.Reference && !slices.Contains(r.Under.Columns, "reference") {
		r.tell(Plain, "Its columns are set already: --reference changes nothing.")
	}
	if r.survey.Places.Given() {
		stations, err := r.asked()
		if err != nil {
			return err
		}
		if !r.Under.AskedFor(stations) {
			if r.Under.Returning() {
				return refuse.With("the way back has begun: it goes over the stations that were read",
					"leave --at, --every, --from and --to out")
			}
			text, err := r.Under.AskFor(stations)
			if err != nil {
				return err
			}
			if err := r.write(text); err != nil {
				return err
			}
		}
	}
	r.begun()
	return nil
}

// write puts the file on disk with the next answer in it, and takes note of what it was before.
func (r *Recording) write(text []byte) error {
	was := r.text
	if err := r.put(text); err != nil {
		return err
	}
	r.before = append(r.before, was)
	return nil
}

// put writes the file and reads back what it says. The first time its version from before this conversation is kept
// beside it.
func (r *Recording) put(text []byte) error {
	p, err := r.env.Parse(filepath.Dir(r.File), r.File, text)
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
	if r.table != nil {
		err = r.table.put(text, r.Under, under, write)
	} else {
		err = write(r.File, r.text, text)
	}
	var faults document.Faults
	if errors.As(err, &faults) {
		return err
	}
	if err != nil {
		return OnDisk(err)
	}
	r.kept = true
	r.holds(text, p, under)
	return nil
}

// holds takes note of what the file holds now.
func (r *Recording) holds(text []byte, p *profile.Profile, under *entry.Entry) {
	r.text, r.Profile, r.Under = text, p, under
	r.known = sync.OnceValues(func() (*estimate.Result, error) { return r.env.Estimate(p, string(text)) })
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

// today is the day that a survey is dated when nothing else is said.
func (r *Recording) today() string { return r.env.Now().Format(time.DateOnly) }
