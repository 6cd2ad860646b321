package ways

import (
	"fmt"
	"math"
	"strings"

	"wornway/cmd/wornway/internal/listing"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/document"
)

// Pair are the two that are compared.
type Pair struct {
	Earlier, Later *profile.Profile
	Names          [2]string
	Notes          []string
	word.Units
}

// Differing lists in which of the lathe's measures two profiles differ, as far as they are shown.
func Differing(old, later *profile.Profile, w word.Units) document.Faults {
	var out document.Faults
	values := func(p *profile.Profile) map[string]string {
		m := map[string]string{}
		for _, v := range listing.LatheValues(p, w) {
			if text, _, _ := strings.Cut(v.Text, " (not given"); !notGeometry(v.Key) {
				m[v.Key] = text
			}
		}
		if t := p.Lathe.Tailstock; t != nil && used(p) {
			m["tailstock_ways"] = fmt.Sprintf("%s and %s behind the front way", w.At(t.FrontSetback),
				w.At(t.RearSetback))
		}
		return m
	}
	a, b := values(old), values(later)
	for _, v := range append(listing.LatheValues(old, w), append(listing.LatheValues(later, w),
		listing.ValueJSON{Key: "tailstock_ways"})...) {
		x, y := a[v.Key], b[v.Key]
		if x == y || v.Key == "tailstock_ways" && (x == "" || y == "") {
			continue
		}
		out = append(out, document.Fault{File: later.File, Key: "lathe." + v.Key,
			Message: fmt.Sprintf("is %s, but %s in %s", orNone(y), orNone(x), old.File),
			Hint:    "two profiles of one lathe are compared: make both say the same where the lathe is the same"})
		delete(a, v.Key)
		delete(b, v.Key)
	}
	if len(out) > 0 {
		out[len(out)-1].Hint = "wear can be compared only where the geometry is the same: correct what is wrong, or " +
			"survey anew what was changed"
	}
	return out
}

// used says whether any reading rests on the tailstock's ways.
func used(p *profile.Profile) bool {
	for _, s := range p.Surveys {
		if strings.HasPrefix(s.Method, "tailstock-") || s.Method == "carriage-indicator" {
			return true
		}
	}
	return false
}

func notGeometry(key string) bool {
	return strings.HasPrefix(key, "cross_slide") || strings.HasPrefix(key, "compound") || key == "tailstock" ||
		key == "guide_height" || key == "seating" // how the saddle sits may have been found out in between
}

func orNone(text string) string {
	if text == "" {
		return "not given"
	}
	return text
}

// apart returns how many years lie between the two, and why that cannot be said.
func (s *Pair) apart() (years float64, why string) {
	_, a, lastOld, all := s.Earlier.Dates()
	firstNew, b, _, allNew := s.Later.Dates()
	const year, least = 365.25 * 24, 0.25
	switch {
	case !all || !allNew:
		return math.NaN(), "Wear in a year cannot be said: not everything on both sides has a date."
	case firstNew.Before(lastOld):
		return math.NaN(), "Wear in a year cannot be said: the surveys of the two overlap in time, or stand the " +
			"wrong way round."
	}
	if years = b.Sub(a).Hours() / year; years < least {
		return math.NaN(), "Less than three months say nothing of wear in a year."
	}
	return years, ""
}

// between returns what was done to the machine between the newest old survey and the newest new one.
func (s *Pair) between() []profile.Event {
	_, _, from, _ := s.Earlier.Dates()
	_, _, to, _ := s.Later.Dates()
	var out []profile.Event
	for _, v := range s.Later.Events {
		if !from.IsZero() && !to.IsZero() && v.Date.After(from) && !v.Date.After(to) {
			out = append(out, v)
		}
	}
	return out
}

// tool is how far the tool has moved out by wear alone: twist is left out.
func (r *Comparison) tool() bed.Sum {
	s := r.Later.Lathe.Bed.ToolOut()
	s.PerLength[bed.Twist] = 0
	return s
}
