package profile

import (
	"time"

	"wornway/profile/document"
)

// Event is something done to the lathe after which older readings may not hold: a move, a levelling, work on the gibs,
// a regrind.
type Event struct {
	Date time.Time // midnight UTC of that day
	Note string
}

// event reads one [[event]].
func (r *reader) event(t *document.Table) {
	var e Event
	date, dated := t.Date("date")
	if !dated && !t.Has("date") {
		t.Missing("date", "write the day it was done, for instance date = 2026-03-14")
	}
	note, noted := t.Text("note")
	switch {
	case !noted && !t.Has("note"):
		t.Missing("note", `write what was done, for instance note = "levelled"`)
	case noted && blank(note.V):
		t.Fault("note", `write what was done, for instance note = "levelled"`, "says nothing")
		noted = false
	}
	if dated && noted {
		e.Date, e.Note = date.V, note.V
		r.profile.Events = append(r.profile.Events, e)
	}
}

func blank(text string) bool {
	for _, r := range text {
		if r != ' ' && r != '\t' && r != '\n' && r != '\r' {
			return false
		}
	}
	return true
}

// keepsFor is how many years readings are taken to hold: common practice, no source.
const keepsFor = 2

// Expiry is why what is known of the wear may hold no longer.
type Expiry struct {
	Newest time.Time // of the dated surveys
	Event  *Event    // the latest since; nil where it is age alone
	Old    bool      // it is more than two years old
}

// Stale says whether the newest survey is older than an event that was noted, or than two years on the day today.
// Surveys without a date say nothing: with none that has one, the profile is not stale. Of today only the day counts,
// as its own time zone has it. An event yet to come has not made anything stale.
func (p *Profile) Stale(today time.Time) (Expiry, bool) {
	var s Expiry
	for _, v := range p.Surveys {
		if v.Date.After(s.Newest) {
			s.Newest = v.Date
		}
	}
	if s.Newest.IsZero() {
		return s, false
	}
	day := Day(today)
	for i, e := range p.Events {
		if e.Date.After(s.Newest) && !e.Date.After(day) && (s.Event == nil || e.Date.After(s.Event.Date)) {
			s.Event = &p.Events[i]
		}
	}
	s.Old = s.Newest.AddDate(keepsFor, 0, 0).Before(day)
	return s, s.Old || s.Event != nil
}

// Day returns the day of a moment as its own time zone has it, as dates are kept: midnight UTC.
func Day(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}
