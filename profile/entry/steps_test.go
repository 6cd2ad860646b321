package entry_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wornway/profile"
	"wornway/profile/entry"
	"wornway/profile/survey"
	_ "wornway/testdata/steady"
)

const (
	head = `# Invented.
format = 1
unit = "in"

[lathe]   # by the wall
centre_height = 6.0
way_span = 8.0
bed = [-8.0, 44.0]
`
	vee = `
[lathe.front_way]
outer_angle = 45
inner_angle = 45
`
	rest = `
[lathe.saddle]
bearing_length = 11.0

[lathe.tailstock]
base_length = 6.0
`
	tail = `
[[damage]]   # seen by eye
way = "front"
from = 6.0
to = 6.5
`
)

func method(t interface{ Fatal(...any) }, name string) survey.Method {
	m, ok := survey.Find(name)
	if !ok {
		t.Fatal("no method " + name)
	}
	return m
}

// reads returns the profile that a text is, which must be one without a fault.
func reads(t interface {
	Helper()
	Fatalf(string, ...any)
}, text []byte) *profile.Profile {
	t.Helper()
	p, err := profile.Parse(nil, "p", text)
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	return p
}

// found returns the survey under way.
func found(t interface {
	Helper()
	Fatalf(string, ...any)
}, text []byte, m survey.Method) *entry.Entry {
	t.Helper()
	e, err := entry.Find(text, m)
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	return e
}

// A whole survey, step by step, as it then stands in the file.
func TestSteps(t *testing.T) {
	m := method(t, "carriage-indicator")
	text := []byte(head + rest + tail)
	must := func(next []byte, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		text = next
		reads(t, text)
	}
	at := func() *entry.Entry { t.Helper(); return found(t, text, m) }
	if e := at(); e != nil {
		t.Fatalf("a survey is under way: %+v", e)
	}
	must(entry.Begin(text, m, "date", "2026-03-14"))
	if e := at(); e == nil || e.Started || e.Number != 1 {
		t.Fatalf("%+v", e)
	}
	must(at().Set("touch", `"tail-front"`))
	must(at().Set("reading_unit", `"thou"`))
	must(at().Start([]string{"position", "reading"}, []entry.Station{{0}, {4}, {8}, {12}}))
	for _, answer := range []string{"0", "-0.3", "12.7um"} {
		a, err := at().Parse(answer)
		if err != nil {
			t.Fatal(err)
		}
		must(at().Read(a.Cells))
	}
	must(at().Again())
	if i, yes := at().Repeating(); !yes || i != 2 {
		t.Errorf("repeating %d, %v", i, yes)
	}
	a, err := at().Parse("same")
	if err != nil {
		t.Fatal(err)
	}
	must(at().Read(a.Cells))
	must(at().Again())
	must(at().Read(map[string]string{"reading": "0.6"}))
	must(at().Skip())
	if _, err := at().Skip(); !errors.Is(err, entry.ErrNoStation) {
		t.Error(err)
	}
	must(at().Return())
	if e := at(); len(e.Left) != 3 || e.Left[0][0] != 8 || !e.Returning() {
		t.Errorf("%+v", e)
	}
	must(at().Read(map[string]string{"back": "0.5"}))
	must(at().Read(map[string]string{"back": "-0.2"}))
	must(at().Again())
	must(at().Read(map[string]string{"back": "-0.4"}))
	must(at().Undo())
	must(at().Read(map[string]string{"back": "-0.4"}))
	if p := reads(t, text); len(p.Surveys) != 1 || !p.Surveys[0].Unfinished || len(p.Warnings) != 1 {
		t.Errorf("%+v", p.Surveys)
	}
	must(at().Done())
	want := head + rest + tail + `
[[survey]]
method = "carriage-indicator"
date = 2026-03-14
touch = "tail-front"
reading_unit = "thou"
columns = ["position", "reading", "back"]
rows = [
  [0.0, 0.0, ""],
  [4.0, -0.3, -0.4],
  [8.0, 0.6, 0.5],
]
`
	if string(text) != want {
		t.Errorf("got\n%s\nwant\n%s", text, want)
	}
	if p := reads(t, text); p.Surveys[0].Unfinished || len(p.Warnings) != 0 {
		t.Errorf("%+v", p.Warnings)
	}
}

// A survey that was laid out and commented by hand is gone on with as it is laid out.
func TestByHand(t *testing.T) {
	m := method(t, "level-along")
	text := []byte(strings.ReplaceAll(head+rest+`
[[survey]]  # begun on Monday
method = 'level-along'
on = "rear"
per_division = "0.02 mm/m"
unfinished = [[12, 18], [18, 24]] # the rest
columns = ["from", "to", "reading"] # feet 6 apart
rows = [ [0, 6, 1.5], # warm
         [6, 12, 2] ] # cold
# end
[[survey]]
method = "way-micrometer"
on = "rear"
columns = ["position", "reading"]
rows = [[1, 1]]
`, "\n", "\r\n"))
	a, err := found(t, text, m).Parse("1.25 div")
	if err != nil {
		t.Fatal(err)
	}
	next, err := found(t, text, m).Read(a.Cells)
	if err != nil {
		t.Fatal(err)
	}
	want := strings.Replace(strings.Replace(string(text), "[6, 12, 2] ]", "[6, 12, 2], [12.0, 18.0, 1.25] ]", 1),
		"[[12, 18], [18, 24]]", "[[18.0, 24.0]]", 1)
	if string(next) != want {
		t.Errorf("got\n%s\nwant\n%s", next, want)
	}
	if p := reads(t, next); len(p.Surveys) != 2 || p.Surveys[0].Number != 1 || p.Surveys[1].Number != 2 {
		t.Errorf("%+v", p.Surveys)
	}
}

func TestStepsRefused(t *testing.T) {
	m := method(t, "straightedge")
	text, err := entry.Begin([]byte(head+rest), m, "on", `"rear"`)
	if err != nil {
		t.Fatal(err)
	}
	if text, err = found(t, text, m).Set("contacts", "[0, 20]"); err != nil {
		t.Fatal(err)
	}
	if text, err = found(t, text, m).Start([]string{"position", "goes", "stops"}, []entry.Station{{4}}); err != nil {
		t.Fatal(err)
	}
	e := found(t, text, m)
	for _, c := range []struct {
		what string
		f    func() ([]byte, error)
		want error
	}{{"again", e.Again, entry.ErrNothing}, {"undo", e.Undo, entry.ErrNothing}, {"done", e.Done, entry.ErrNothing},
		{"return", e.Return, entry.ErrOneWay}} {
		if text, err := c.f(); text != nil || !errors.Is(err, c.want) {
			t.Errorf("%s: %q, %v", c.what, text, err)
		}
	}
	if _, err := e.Parse("same"); err == nil {
		t.Error("same as nothing")
	}
}

// model is what a survey under way should hold.
type model struct {
	rows []struct{ at, there, back string }
	left []string
	back bool
	anew int // the row that is measured again, from 1
}

// Whatever is answered in whatever order, the file reads, the survey holds what was answered, and every byte of the
// rest of the file stays.
func TestStepsProperty(t *testing.T) {
	m := method(t, "carriage-indicator")
	rapid.Check(t, func(t *rapid.T) {
		end := rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "line end")
		before := strings.ReplaceAll(head+rest+tail, "\n", end)
		text, err := entry.Begin([]byte(before), m, "touch", `"tail-rear"`)
		if err != nil {
			t.Fatal(err)
		}
		var stations []entry.Station
		want := model{}
		for i := range rapid.IntRange(1, 5).Draw(t, "stations") {
			stations = append(stations, entry.Station{float64(2 * i)})
			want.left = append(want.left, fmt.Sprint(2*i))
		}
		if text, err = found(t, text, m).Start([]string{"position", "reading"}, stations); err != nil {
			t.Fatal(err)
		}
		last := func() int { // the row read last
			if !want.back {
				return len(want.rows) - 1
			}
			return slices.IndexFunc(want.rows, func(r struct{ at, there, back string }) bool { return r.back != "" })
		}
		repeating := func() (int, bool) {
			return want.anew - 1, want.anew > 0
		}
		for n := range rapid.IntRange(0, 25).Draw(t, "answers") {
			e := found(t, text, m)
			word := rapid.SampledFrom([]string{"read", "read", "read", "skip", "again", "again at", "return",
				"undo"}).Draw(t,
				"answer")
			next, err := []byte(nil), error(nil)
			i := last()
			again, repeats := repeating()
			possible := true
			switch word {
			case "read":
				v := fmt.Sprintf("%d.5", n)
				next, err = e.Read(map[string]string{"reading": v, "back": v})
				if possible = len(want.left) > 0; !possible {
					break
				}
				switch {
				case want.back && repeats:
					want.rows[again].back = v
				case want.back:
					for k := range want.rows {
						if want.rows[k].at == want.left[0] {
							want.rows[k].back = v
						}
					}
				case repeats:
					want.rows[again].there = v
				default:
					want.rows = append(want.rows, struct{ at, there, back string }{want.left[0], v, ""})
				}
				want.left, want.anew = want.left[1:], 0
			case "skip":
				next, err = e.Skip()
				if possible = len(want.left) > 0; possible {
					want.left, want.anew = want.left[1:], 0
				}
			case "again", "again at":
				if word == "again" {
					next, err = e.Again()
				} else {
					z := 2 * rapid.IntRange(0, 5).Draw(t, "at")
					next, err = e.AgainAt(entry.Station{float64(z)})
					i = slices.IndexFunc(want.rows, func(r struct{ at, there, back string }) bool {
						return r.at == fmt.Sprint(z) && (!want.back || r.back != "")
					})
				}
				if possible = i >= 0 && !(repeats && again == i); possible {
					if repeats {
						want.left = want.left[1:]
					}
					want.left, want.anew = append([]string{want.rows[i].at}, want.left...), i+1
				}
			case "return":
				next, err = e.Return()
				if possible = !want.back && len(want.rows) > 0; possible {
					want.back, want.left, want.anew = true, nil, 0
					for _, r := range want.rows {
						want.left = append([]string{r.at}, want.left...)
					}
				}
			case "undo":
				next, err = e.Undo()
				switch {
				case repeats:
					want.left, want.anew = want.left[1:], 0
				case want.back && i < 0:
					want.back, want.left = false, nil
				case i < 0:
					possible = false
				case want.back:
					want.left = append([]string{want.rows[i].at}, want.left...)
					want.rows[i].back = ""
				default:
					want.left = append([]string{want.rows[i].at}, want.left...)
					want.rows = want.rows[:i]
				}
			}
			if (err == nil) != possible {
				t.Fatalf("%s: %v, possible %v\n%s", word, err, possible, text)
			}
			if err != nil {
				continue
			}
			text = next
			if !strings.HasPrefix(string(text), before) || end == "\r\n" &&
				strings.Count(string(text), "\r\n") != strings.Count(string(text), "\n") {
				t.Fatalf("the rest of the file has changed:\n%q", text)
			}
			reads(t, text)
			e = found(t, text, m)
			got := model{back: e.Returning()}
			if i, yes := e.Repeating(); yes {
				got.anew = i + 1
			}
			for _, s := range e.Left {
				got.left = append(got.left, fmt.Sprint(s[0]))
			}
			for _, r := range e.Rows {
				got.rows = append(got.rows, struct{ at, there, back string }{fmt.Sprint(r.At[0]), r.Cells["reading"],
					strings.Trim(r.Cells["back"], `"`)})
			}
			if fmt.Sprint(got) != fmt.Sprint(want) {
				t.Fatalf("after %s the file holds %v, want %v\n%s", word, got, want, text)
			}
		}
		if len(want.rows) == 0 {
			return
		}
		if text, err = found(t, text, m).Done(); err != nil {
			t.Fatal(err)
		}
		p := reads(t, text)
		if len(p.Surveys) != 1 || p.Surveys[0].Unfinished || p.Surveys[0].Set.Rows != len(want.rows) ||
			found(t, text, m) != nil {
			t.Fatalf("%+v\n%s", p.Surveys, text)
		}
		if read := last() >= 0 && want.back; strings.Contains(string(text), `"back"`) != read {
			t.Fatalf("a way back that was read: %v\n%s", read, text)
		}
	})
}
