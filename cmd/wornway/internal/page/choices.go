package page

import (
	"math"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"wornway/cmd/wornway/internal/shop"
	"wornway/profile"
	"wornway/profile/length"
)

// choices are what is asked for on a page, as it was typed. They go from page to page in the address.
type choices struct {
	From, To, Diameter, Tolerance string
	Held, Feed, Settings          string
	// of a job's part
	Feature                     string // by its number from 1; ownLength: the length above
	At, Turned, SetOver, Steady string

	job *jobFeature // the feature that was chosen
}

// field is one of the choices.
type field struct {
	Name  string
	value *string
}

// Value is what was chosen.
func (f field) Value() string { return *f.value }

func (c *choices) fields() []field {
	return []field{{"from", &c.From}, {"to", &c.To}, {"diameter", &c.Diameter}, {"tolerance", &c.Tolerance},
		{"held", &c.Held}, {"feed", &c.Feed}, {"settings", &c.Settings}, {"feature", &c.Feature},
		{"at", &c.At}, {"turned", &c.Turned}, {"set-over", &c.SetOver}, {"steady", &c.Steady}}
}

const longestChoice = 40 // characters

// chosen reads the choices of an address. Where there are none they are a length that lies well on the lathe.
func chosen(v url.Values, p *profile.Profile) choices {
	var c choices
	for _, f := range c.fields() {
		*f.value = short(v.Get(f.Name))
	}
	if p == nil {
		return c
	}
	from, to := usualLength(p)
	for _, f := range []struct {
		at   *string
		than float64
	}{{&c.From, from}, {&c.To, to}, {&c.Diameter, shop.UsualDiameter(p.Unit)}} {
		if *f.at == "" {
			*f.at = typed(p.Unit.From(f.than))
		}
	}
	return c
}

// usualLength is a length of work that is looked at first, mm: eight inches or 200 mm from the first round position out
// of the jaws on, no longer than half the bed.
func usualLength(p *profile.Profile) (from, to float64) {
	round, long := 25.4, 8*25.4
	if p.Unit == length.Millimetre {
		round, long = 25, 200
	}
	from = 4 * round
	if h := p.Lathe.Holding; h != nil {
		from = math.Ceil((h.JawsFront+1e-6)/round) * round
	}
	from = math.Max(from, math.Ceil(p.Lathe.Ways.From/round)*round)
	half := math.Floor((p.Lathe.Ways.To-from)/2/round) * round
	return from, from + math.Max(round, math.Min(long, half))
}

// typed is a number as one would type it.
func typed(x float64) string { return strconv.FormatFloat(shop.Tidy(x), 'f', -1, 64) }

// query are the choices as part of an address.
func (c choices) query() url.Values {
	v := url.Values{}
	for _, f := range c.fields() {
		if *f.value != "" {
			v.Set(f.Name, *f.value)
		}
	}
	return v
}

// step changes one of the choices by a step up or down: what the buttons beside a number do. What is no number stays.
func (c *choices) step(what string, p *profile.Profile) {
	u := c.unit(p)
	name, up := strings.CutSuffix(what, "+")
	if !up {
		name = strings.TrimSuffix(what, "-")
	}
	for _, f := range c.fields() {
		if f.Name != name || slices.Contains([]string{"held", "feed", "feature", "turned"}, name) {
			continue
		}
		size, x := stepOf(name, u), 0.0
		switch l, err := length.Parse(*f.value); {
		case err == nil:
			x = u.From(l.MM(u))
		case *f.value != "":
			return
		case name == "at" && c.job != nil && c.job.known:
			x = u.From(c.job.at)
		}
		n := math.Round(x/size*1e6) / 1e6
		if up {
			n = math.Floor(n) + 1
		} else {
			n = math.Ceil(n) - 1
		}
		if x = shop.Tidy(n * size); x <= 0 && slices.Contains([]string{"diameter", "tolerance", "settings"}, name) {
			if name == "diameter" {
				return
			}
			*f.value = ""
			return
		}
		*f.value = typed(x)
	}
}

// stepOf is by how much a button changes a number, in the file's unit.
func stepOf(name string, u length.Unit) float64 {
	inch := u == length.Inch
	switch {
	case name == "settings":
		return 1
	case (name == "tolerance" || name == "set-over") && inch:
		return 0.0001
	case name == "tolerance" || name == "set-over":
		return 0.002
	case name == "diameter" && inch:
		return 0.125
	case name == "diameter":
		return 1
	case inch:
		return 0.5
	}
	return 10
}

// flags are the choices as flags of a command, by its name.
func (c choices) flags(command string, u length.Unit, s *Server) []string {
	var out []string
	add := func(name, value string) {
		if value != "" {
			out = append(out, "--"+name+"="+value)
		}
	}
	onlyCorrected := func() []string {
		if command == "correct" || command == "chart" {
			add("feed", c.Feed)
			add("settings", c.Settings)
		}
		return out
	}
	if c.job != nil && slices.Contains([]string{"predict", "correct", "chart"}, command) {
		out = c.jobFlags(s)
		return onlyCorrected()
	}
	c = c.plain(u)
	switch command {
	case "place":
		add("length", c.long(u))
		add("diameter", c.Diameter)
		add("tolerance", c.Tolerance)
		add("held", c.Held)
		return out
	case "ahead":
		add("for", c.From+","+c.To)
		add("diameter", c.Diameter)
		add("tolerance", c.Tolerance)
		return out
	}
	add("from", c.From)
	add("to", c.To)
	add("diameter", c.Diameter)
	add("held", c.Held)
	if command == "lesson" { // no tolerance is taught
		return out
	}
	add("tolerance", c.Tolerance)
	return onlyCorrected()
}

// ends are the length's two ends in mm; ok is false where they are none.
func (c choices) ends(u length.Unit) (from, to float64, ok bool) {
	if c.job != nil {
		return c.job.from, c.job.to, c.job.known
	}
	a, err := length.Parse(c.From)
	b, other := length.Parse(c.To)
	if err != nil || other != nil {
		return 0, 0, false
	}
	from, to = a.MM(u), b.MM(u)
	return from, to, from < to
}

// long is how long the length is, in the file's unit.
func (c choices) long(u length.Unit) string {
	from, to, ok := c.ends(u)
	if !ok {
		return ""
	}
	return typed(u.From(to - from))
}

// moved are the choices with the length's headstock end elsewhere, in the file's unit.
func (c choices) moved(from float64, u length.Unit) choices {
	a, b, ok := c.ends(u)
	if !ok {
		return c
	}
	if c.job != nil {
		j := c.job.file.Unit
		c.At = length.Position(c.job.at+u.ToMM(from)-a, j)
		return c
	}
	c.From, c.To = length.Position(u.ToMM(from), u), length.Position(u.ToMM(from)+b-a, u)
	return c
}

// typedSmall is a small length of the file's unit in the unit of errors.
func typedSmall(x float64, u length.Unit) string { return length.Small(u.ToMM(x), u) }
