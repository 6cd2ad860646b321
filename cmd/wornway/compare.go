package main

import (
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/document"
	"wornway/profile/length"
)

type compareOptions struct {
	before string
	every  length.Length
	out    env.Output
}

func newCompare(e *env.Env) *cobra.Command {
	o := &compareOptions{}
	c := &cobra.Command{
		Use:   "compare OLD NEW | compare PROFILE --before DATE",
		Short: "Say how far the bed has worn on between two surveys",
		Long: `Compare holds two profiles of one bed against each other, or of one profile the surveys before a day against those
from it on: how far the ways have worn between the two, by how much in a year, whether that is more than chance
makes of the readings, and how much more the bed is twisted, which is levelling and not wear. What NEW has
from OLD counts for OLD alone. Profiles of lathes that differ in their geometry are refused.`,
		Example: `  wornway compare last-year.toml demo.toml
  wornway compare two-years.toml --before 2026-01-01
  wornway compare last-year.toml demo.toml --every 4in --csv`,
		GroupID:     "bed",
		Annotations: map[string]string{"instance": "last-year.toml PROFILE"},
		Args:        func(c *cobra.Command, args []string) error { return compareArgs(c, args) },
		RunE:        func(c *cobra.Command, args []string) error { return runCompare(e, c, args, o) },
	}
	f := c.Flags()
	f.SortFlags = false
	f.StringVar(&o.before, "before", "", "of one profile: the `day` that parts the old surveys from the new, as in "+
		"2026-03-14")
	f.Var(&o.every, "every", "step of the table's positions (default: a round one, at most 25 rows)")
	o.out.Flags(c)
	return c
}

// compareArgs takes two profiles, or one with the day that parts its surveys.
func compareArgs(c *cobra.Command, args []string) error {
	dated := c.Flags().Changed("before")
	example := "for instance: wornway compare last-year.toml this-year.toml, or: wornway compare bench.toml --before " +
		"2026-01-01"
	switch {
	case len(args) == 0:
		return refuse.Usage("which profiles? Give the old and the new one, or one with --before and a day", example)
	case len(args) == 1 && !dated:
		return refuse.Usage("one profile alone is compared with nothing",
			"give the new one as well, or --before and a day that parts its surveys")
	case len(args) == 2 && dated:
		return refuse.Usage("--before parts the surveys of one profile, and two are given", "leave one of them out")
	case len(args) > 2:
		return refuse.Usage(fmt.Sprintf("two profiles at a time: %q is too much", args[2]), example)
	case len(args) == 2 && args[0] == "-" && args[1] == "-":
		return refuse.Usage("standard input holds one profile, not two", "give at least one of them as a file")
	}
	return nil
}

// sides are the two that are compared.
type sides struct {
	old, later *profile.Profile
	names      [2]string
	notes      []string
	word.Units
}

func runCompare(e *env.Env, c *cobra.Command, args []string, o *compareOptions) error {
	defer e.Progress("reckoning along the bed")()
	s, err := openSides(e, args, o)
	if err != nil {
		return err
	}
	k, err := profile.Compare(s.old, s.later)
	if err != nil {
		return err
	}
	r := &comparison{sides: s, Change: k}
	from, to := k.Range()
	if !(from < to) {
		return refuse.With(fmt.Sprintf("%s and %s speak of different stretches of the bed", s.names[0], s.names[1]),
			"survey again where it was surveyed before")
	}
	stations, err := flags.Stations((&shop.Bench{Units: s.Units}), c, o.every, from, to)
	if err != nil {
		return err
	}
	return e.Emit(o.out, r.report(stations), "stations")
}

// openSides reads what is to be compared.
func openSides(e *env.Env, args []string, o *compareOptions) (*sides, error) {
	if len(args) == 1 {
		return parted(e, args[0], o.before)
	}
	s := &sides{names: [2]string{args[0], args[1]}}
	for i, to := range []**profile.Profile{&s.old, &s.later} {
		p, err := e.Open(args[i])
		if err != nil {
			return nil, err
		}
		if p.Stated == nil && len(p.Surveys) == 0 {
			return nil, refuse.With(fmt.Sprintf("%s: knows nothing of the wear", p.File),
				"give it a [[survey]] or [wear]; wornway show "+args[i]+" says what it holds")
		}
		*to = p
	}
	s.Units = word.Units{In: s.later.Unit}
	if d := differing(s.old, s.later, s.Units); len(d) > 0 {
		return nil, d
	}
	e.Age(s.later)
	shared := 0
	if s.later, shared = s.later.NewIn(s.old); shared > 0 {
		if s.later.Stated == nil && len(s.later.Surveys) == 0 {
			return nil, refuse.With(fmt.Sprintf("%s holds no reading that %s does not hold", args[1], args[0]),
				"survey the bed again, and add that to it")
		}
		s.notes = append(s.notes, fmt.Sprintf("%s has %s from %s, which counts as old alone.", args[1],
			word.Count(shared, "survey"), args[0]))
	}
	return s, nil
}

// parted parts the surveys of one profile at a day.
func parted(e *env.Env, name, text string) (*sides, error) {
	at, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return nil, refuse.Usage(fmt.Sprintf("--before %s: must be a day", word.Visible(text)),
			"write year-month-day, as in 2026-03-14")
	}
	p, err := e.Open(name)
	if err != nil {
		return nil, err
	}
	e.Age(p)
	old, later, undated := p.Since(at)
	s := &sides{old: old, later: later, Units: word.Units{In: p.Unit},
		names: [2]string{"before " + text, "from " + text + " on"}}
	first, _, last, _ := p.Dates()
	switch {
	case first.IsZero():
		return nil, refuse.With(fmt.Sprintf("%s: no survey has a date", p.File),
			"write under each [[survey]] when it was made: date = 2026-03-14")
	case len(old.Surveys) == 0:
		return nil, refuse.With(fmt.Sprintf("%s: no survey was made before %s", p.File, text),
			fmt.Sprintf("its dates go from %s to %s", word.Day(first), word.Day(last)))
	case len(later.Surveys) == 0:
		return nil, refuse.With(fmt.Sprintf("%s: no survey was made on or after %s", p.File, text),
			fmt.Sprintf("its dates go from %s to %s", word.Day(first), word.Day(last)))
	}
	if undated > 0 {
		s.notes = append(s.notes, fmt.Sprintf("What has no date counts for neither side: %s, stated drops among them "+
			"if there are any.", word.Count(undated, "survey")))
	}
	return s, nil
}

// differing lists in which of the lathe's measures two profiles differ, as far as they are shown.
func differing(old, later *profile.Profile, w word.Units) document.Faults {
	var out document.Faults
	values := func(p *profile.Profile) map[string]string {
		m := map[string]string{}
		for _, v := range latheValues(p, w) {
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
	for _, v := range append(latheValues(old, w), append(latheValues(later, w), valueJSON{Key: "tailstock_ways"})...) {
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
		key == "guide_height"
}

func orNone(text string) string {
	if text == "" {
		return "not given"
	}
	return text
}

// apart returns how many years lie between the two, and why that cannot be said.
func (s *sides) apart() (years float64, why string) {
	_, a, lastOld, all := s.old.Dates()
	firstNew, b, _, allNew := s.later.Dates()
	const year, least = 365.25 * 24, 0.25
	switch {
	case !all || !allNew:
		return math.NaN(), "Wear in a year cannot be said: not everything on both sides has a date."
	case firstNew.Before(lastOld):
		return math.NaN(), "Wear in a year cannot be said: the surveys of the two overlap in time, or stand the " +
			"wrong way round."
	}
	if years = b.Sub(a).Hours() / year; years < least {
		return math.NaN(), "Wear in a year is not told of less than three months."
	}
	return years, ""
}

// between returns what was done to the machine between the newest old survey and the newest new one.
func (s *sides) between() []profile.Event {
	_, _, from, _ := s.old.Dates()
	_, _, to, _ := s.later.Dates()
	var out []profile.Event
	for _, v := range s.later.Events {
		if !from.IsZero() && !to.IsZero() && v.Date.After(from) && !v.Date.After(to) {
			out = append(out, v)
		}
	}
	return out
}

// tool is how far the tool has moved out by wear alone: twist is left out.
func (r *comparison) tool() bed.Sum {
	s := r.later.Lathe.Bed.ToolOut()
	s.PerLength[bed.Twist] = 0
	return s
}
