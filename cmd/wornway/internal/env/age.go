package env

import (
	"fmt"

	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/document"
)

// Age adds to a profile's warnings that its readings are stale, and which of its dates are yet to come.
func (e *Env) Age(p *profile.Profile) {
	now := e.Now()
	warn := func(key, hint, format string, args ...any) {
		p.Warnings = append(p.Warnings, document.Fault{File: p.File, Key: key, Message: fmt.Sprintf(format, args...),
			Hint: hint})
	}
	if s, stale := p.Stale(now); stale {
		newest := word.Day(s.Newest)
		switch {
		case s.Event != nil && s.Old:
			warn("survey", staleHint, "stale: the newest dated survey, of %s, is more than two years old, and older "+
				"than what was noted on %s (%s)", newest, word.Day(s.Event.Date), word.Event(*s.Event))
		case s.Event != nil:
			warn("survey", staleHint, "stale: the newest dated survey, of %s, is older than what was noted on %s (%s)",
				newest, word.Day(s.Event.Date), word.Event(*s.Event))
		default:
			warn("survey", staleHint, "stale: the newest dated survey, of %s, is more than two years old", newest)
		}
	}
	today := profile.Day(now)
	for _, s := range p.Surveys {
		if s.Date.After(today) {
			warn(fmt.Sprintf("survey[%d].date", s.Number), "correct the date, or this machine's clock",
				"%s is yet to come", word.Day(s.Date))
		}
	}
	for i, v := range p.Events {
		if v.Date.After(today) {
			warn(fmt.Sprintf("event[%d].date", i+1), "correct the date, or this machine's clock", "%s is yet to come",
				word.Day(v.Date))
		}
	}
}

const staleHint = "survey again, or hold a test cut against it with wornway check"
