package entry_test

import (
	"slices"
	"strings"
	"testing"

	"wornway/profile/entry"
	"wornway/profile/length"
	"wornway/profile/survey"
)

// Every method's questions, answered as plainly as can be, make a survey that reads; every needed key is among them.
func TestQuestions(t *testing.T) {
	for _, way := range []string{"", vee} {
		p := reads(t, []byte(head+way+rest))
		for _, m := range survey.Methods() {
			text := []byte(head + way + rest)
			answers := map[string]string{"date": "2026-03-14", "contacts": "0, 20", "tightened_at": "300mm",
				"per_division": "0.02 mm/m", "uncertainty": "0.4", "edge_error": "0.0001",
				"tip_offset": "-1", "held_at": "0.5", "depth": "0.01", "feed": "0.004", "bar_diameter": "1.5",
				"bar_overhang": "300mm", "turned": "yes"}
			said := func(key string) string {
				if e := found(t, text, m); e != nil {
					return e.Word(key)
				}
				return ""
			}
			if m.Setup() == "" {
				t.Errorf("%s: nothing is said of how it is done", m.Name)
			}
			for _, q := range m.Questions(survey.Machine{Lathe: p.Lathe.Bed, Unit: p.Unit}) {
				if q.If != nil && !q.If(said) {
					continue
				}
				answer := answers[q.Key]
				if q.Kind == survey.Word {
					answer = q.Of[0]
				}
				value, err := entry.Value(q, answer, p.Unit, length.Thou, m.Level)
				if err != nil || value == "" {
					t.Fatalf("%s, %s: %q, %v", m.Name, q.Key, value, err)
				}
				if e := found(t, text, m); e == nil {
					text, err = entry.Begin(text, m, q.Key, value)
				} else {
					text, err = e.Set(q.Key, value)
				}
				if err != nil {
					t.Fatal(err)
				}
				reads(t, text)
			}
			columns := m.Columns
			if m.Name == "stated" {
				columns = append(slices.Clone(columns), "front", "rear", "shift")
			}
			station := entry.Station{10}
			if m.Stretches() {
				station = entry.Station{10, 16}
			}
			text, err := found(t, text, m).Start(columns, []entry.Station{station, station})
			if err != nil {
				t.Fatal(err)
			}
			reads(t, text)
			said1 := map[string]string{"straightedge": "1 2", "light-gap": "s", "carriage-lock": "drags",
				"test-cut": "25.4 mm", "stated": "1 0.5"}[m.Name]
			if said1 == "" {
				said1 = "1"
			}
			a, err := found(t, text, m).Parse(said1)
			if err != nil {
				t.Fatalf("%s: %v", m.Name, err)
			}
			if text, err = found(t, text, m).Read(a.Cells); err != nil {
				t.Fatal(err)
			}
			if p := reads(t, text); len(p.Surveys) != 1 || p.Surveys[0].Set.Rows != 1 {
				t.Errorf("%s: %+v", m.Name, p.Surveys)
			}
			if text, err = found(t, text, m).Done(); err != nil {
				t.Fatal(err)
			}
			reads(t, text)
		}
	}
}

// The words of a flat way are not those of a V.
func TestQuestionsFitTheWay(t *testing.T) {
	for _, c := range []struct{ way, method, key, want string }{
		{"", "straightedge", "on", "front rear tail-front tail-rear"},
		{vee, "straightedge", "on", "front rear outer inner tail-front tail-rear"},
		{"", "way-micrometer", "on", "front rear tail-front tail-rear"},
		{vee, "way-micrometer", "on", "rear tail-front tail-rear"},
		{"", "tailstock-indicator", "touch", "front rear"},
		{vee, "tailstock-indicator", "touch", "front rear outer inner"},
	} {
		p := reads(t, []byte(head+c.way+rest))
		for _, q := range method(t, c.method).Questions(survey.Machine{Lathe: p.Lathe.Bed, Unit: p.Unit}) {
			if q.Key == c.key && strings.Join(q.Of, " ") != c.want {
				t.Errorf("%s: %q, want %q", c.method, q.Of, c.want)
			}
		}
	}
}
