package profile

import (
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func on(text string) time.Time {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		panic(err)
	}
	return t
}

// dated writes a profile with surveys and events of those days; an empty day is none.
func dated(surveys, events []string) string {
	var b strings.Builder
	b.WriteString("format = 1\nunit = \"mm\"\n[lathe]\ncentre_height = 150\nway_span = 200\nbed = [0, " +
		"1000]\n[lathe.saddle]\nbearing_length = 0\n")
	for _, s := range surveys {
		b.WriteString("[[survey]]\nmethod = \"saddle-level\"\nper_division = \"0.02 mm/m\"\ncolumns = [\"position\", " +
			"\"reading\"]\nrows = [[100, 0], [200, 1]]\n")
		if s != "" {
			b.WriteString("date = " + s + "\n")
		}
	}
	for _, e := range events {
		b.WriteString("[[event]]\ndate = " + e + "\nnote = \"levelled\"\n")
	}
	return b.String()
}

// When a profile is stale. The two years are common practice, no source; the rest is what the words mean.
func TestStale(t *testing.T) {
	for _, c := range []struct {
		surveys, events string
		today           string
		old             bool
		event           string
	}{
		{"2024-03-14", "", "2026-03-14", false, ""}, // two years to the day
		{"2024-03-14", "", "2026-03-15", true, ""},
		{"2024-02-29", "", "2026-03-01", false, ""}, // there is no 29 February two years on: 1 March
		{"2024-02-29", "", "2026-03-02", true, ""},
		{"2020-01-01 2025-01-01", "", "2026-03-15", false, ""}, // the newest counts
		{"2025-01-01 2020-01-01", "", "2026-03-15", false, ""},
		{"2025-01-01", "2025-06-01", "2026-03-15", false, "2025-06-01"},
		{"2025-01-01", "2025-06-01 2025-07-01 2025-05-01", "2026-03-15", false, "2025-07-01"}, // the latest is named
		// surveyed on the day, as one does after a levelling
		{"2025-06-01", "2025-06-01", "2026-03-15", false, ""},
		{"2025-06-01", "2025-01-01", "2026-03-15", false, ""},
		{"2020-01-01", "2021-01-01", "2026-03-15", true, "2021-01-01"},
		{"2025-01-01", "2027-01-01", "2026-03-15", false, ""}, // yet to come
		{"-", "2025-01-01", "2026-03-15", false, ""},          // without a date
		{"- 2025-01-01", "2025-06-01", "2026-03-15", false, "2025-06-01"},
		{"", "2025-01-01", "2026-03-15", false, ""}, // no survey at all
	} {
		surveys := strings.Fields(c.surveys)
		for i := range surveys {
			surveys[i] = strings.Trim(surveys[i], " ")
			if surveys[i] == "-" {
				surveys[i] = ""
			}
		}
		p, err := Parse(nil, "bench.toml", []byte(dated(surveys, strings.Fields(c.events))))
		if err != nil {
			t.Fatal(err)
		}
		s, stale := p.Stale(on(c.today))
		event := ""
		if s.Event != nil {
			event = s.Event.Date.Format(time.DateOnly)
		}
		if s.Old != c.old || event != c.event || stale != (c.old || c.event != "") {
			t.Errorf("%+v: old %v, event %q, stale %v", c, s.Old, event, stale)
		}
	}
}

// The order in which surveys and events stand does not matter, and neither does the hour or the time zone in which
// today is told.
func TestStaleWhateverTheOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		day := func(name string) string {
			return on("2023-01-01").AddDate(0, 0, rapid.IntRange(0, 1500).Draw(t, name)).Format(time.DateOnly)
		}
		surveys, events := []string{day("s"), day("s"), day("s")}, []string{day("e"), day("e")}
		today := on(day("today"))
		read := func(surveys, events []string) *Profile {
			p, err := Parse(nil, "bench.toml", []byte(dated(surveys, events)))
			if err != nil {
				t.Fatal(err)
			}
			return p
		}
		told := func(p *Profile, at time.Time) string {
			s, stale := p.Stale(at)
			out := s.Newest.String()
			if s.Event != nil {
				out += s.Event.Date.String()
			}
			if s.Old {
				out += " old"
			}
			if stale {
				out += " stale"
			}
			return out
		}
		p := read(surveys, events)
		want := told(p, today)
		if got := told(read([]string{surveys[2], surveys[0], surveys[1]}, []string{events[1], events[0]}),
			today); got != want {
			t.Fatalf("%s, in another order %s", want, got)
		}
		zone := time.FixedZone("", 3600*rapid.IntRange(-12, 14).Draw(t, "zone"))
		y, m, d := today.Date()
		if got := told(p, time.Date(y, m, d, rapid.IntRange(0, 23).Draw(t, "hour"), 59, 59, 0, zone)); got != want {
			t.Fatalf("%s, at another hour %s", want, got)
		}
	})
}
