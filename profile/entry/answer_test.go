package entry_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"wornway/profile"
	"wornway/profile/document"
	"wornway/profile/entry"
	"wornway/profile/length"
	"wornway/profile/survey"
)

// begun makes a survey of a method in which readings can be taken.
func begun(t testing.TB, name, keys string, columns ...string) []byte {
	t.Helper()
	m := method(t, name)
	text, err := entry.Begin([]byte(head+rest), m, "date", "2026-03-14")
	if err != nil {
		t.Fatal(err)
	}
	text = append(text, keys...)
	if len(columns) == 0 {
		columns = m.Columns
	}
	station := entry.Station{10}
	if m.Stretches() {
		station = entry.Station{10, 16}
	}
	if text, err = found(t, text, m).Start(columns, []entry.Station{station, station, station}); err != nil {
		t.Fatal(err)
	}
	reads(t, text)
	return text
}

// Answers and what they become in the file. Conversions are exact arithmetic: an inch is 25.4 mm.
func TestAnswers(t *testing.T) {
	thou := "touch = \"tail-front\"\nreading_unit = \"thou\"\n"
	level := "per_division = \"0.02 mm/m\"\n"
	edge := "on = \"rear\"\ncontacts = [0, 20]\nreading_unit = \"thou\"\n"
	const words = "same, again, skip, return, undo, zero, done, stop, help"
	for _, c := range []struct{ method, keys, answer, want string }{
		{"carriage-indicator", thou, "-0.3", "reading=-0.3"},
		{"carriage-indicator", thou, "+2", "reading=2.0"},
		{"carriage-indicator", thou, "-0", "reading=0.0"},
		{"carriage-indicator", thou, "0.5thou", "reading=0.5"},
		{"carriage-indicator", thou, "0.5 THOU", "reading=0.5"},
		{"carriage-indicator", thou, "0.0005in", "reading=0.5"},
		{"carriage-indicator", thou, "25.4um", "reading=1.0"},
		{"carriage-indicator", thou, "0.0127 mm", "reading=0.5"},
		{"carriage-indicator", thou, "SAME", "error: there is no reading before it that it could be the same as"},
		{"carriage-indicator", thou, " Again ", "again"},
		{"carriage-indicator", thou, "-1,5", "reading=-1.5"},
		{"carriage-indicator", thou, "3 furlongs",
			`error: "3 furlongs" has an unknown unit "furlongs"; use mm, in, thou or um`},
		{"carriage-indicator", thou, "nan",
			`error: "nan" is not understood: give a reading, or one of ` + words},
		{"carriage-indicator", thou, "back",
			`error: "back" is not understood: give a reading, or one of ` + words},
		{"carriage-indicator", thou, "", "error: give a reading, or one of " + words},
		{"saddle-level", level, "1.5", "reading=1.5"},
		{"saddle-level", level, "1.5 div", "reading=1.5"},
		{"saddle-level", level, "-2 divisions", "reading=-2.0"},
		{"straightedge", edge, "1.5 2", "goes=1.5 stops=2.0"},
		{"straightedge", edge, "0, 1.5", "goes=0.0 stops=1.5"},
		{"straightedge", edge, "1.5thou 2 thou", "goes=1.5 stops=2.0"},
		{"straightedge", edge, "2", "error: 2 numbers are needed: goes, stops"},
		{"light-gap", edge[:len(edge)-len("reading_unit = \"thou\"\n")], "S", `light="some"`},
		{"light-gap", edge[:len(edge)-len("reading_unit = \"thou\"\n")], "dark",
			`error: "dark" is not understood: give none, some or wide, or one of ` + words},
		{"carriage-lock", "tightened_at = 30\n", "2", "feel=2"},
		{"carriage-lock", "tightened_at = 30\n", "will not move", "feel=3"},
		{"carriage-lock", "tightened_at = 30\n", "1.5",
			`error: "1.5" is not understood: give 0 free, 1 drags, 2 tight or 3 will not move, or one of ` +
				words},
		{"test-cut", "reading_unit = \"in\"\n", "25.4mm", "diameter=1.0"},
	} {
		e := found(t, begun(t, c.method, c.keys), method(t, c.method))
		a, err := e.Parse(c.answer)
		got := a.Word
		if err != nil {
			got = "error: " + err.Error()
		}
		for _, column := range e.Wanted() {
			if a.Cells != nil {
				got = strings.TrimSpace(got + " " + column + "=" + a.Cells[column])
			}
		}
		if got != c.want {
			t.Errorf("%s, %q: %s\nwant %s", c.method, c.answer, got, c.want)
		}
	}
	// Beside a second level each answer has two numbers.
	e := found(t, begun(t, "saddle-level", level, "position", "reading", "reference"), method(t, "saddle-level"))
	if a, err := e.Parse("1.5 -0.5"); err != nil || a.Cells["reading"] != "1.5" || a.Cells["reference"] != "-0.5" {
		t.Errorf("%v, %v", a, err)
	}
}

func TestValues(t *testing.T) {
	for _, c := range []struct {
		q          survey.Question
		text, want string
	}{
		{survey.Question{Kind: survey.Word, Of: []string{"front", "rear"}}, " Rear ", `"rear"`},
		{survey.Question{Kind: survey.Word, Of: []string{"front", "rear"}}, "left",
			`error: "left" is not one of front, rear`},
		{survey.Question{Kind: survey.Word, Of: []string{"in", "mm"}, Usual: "mm"}, "", `"mm"`},
		{survey.Question{Kind: survey.Distance}, "25.4mm", "1.0"},
		{survey.Question{Kind: survey.Distance}, "", ""},
		{survey.Question{Kind: survey.Distance, Needed: true}, "", "error: this one is needed"},
		{survey.Question{Kind: survey.Ends}, "[2, 26]", "[2.0, 26.0]"},
		{survey.Question{Kind: survey.Ends}, "50.8 mm 26", "[2.0, 26.0]"},
		{survey.Question{Kind: survey.Ends}, "-6 to 40 in", "[-6.0, 40.0]"},
		{survey.Question{Kind: survey.Ends}, "2,26", "error: 2,26 may be one number with a decimal comma: write two " +
			"positions with a blank between, such as 2 26"},
		{survey.Question{Kind: survey.Ends}, "[2.0,26.0]", "[2.0, 26.0]"},
		{survey.Question{Kind: survey.Ends}, "2", "error: two positions are needed, from and to, such as 2 26"},
		{survey.Question{Kind: survey.Slope}, "0.0005 in/ft", `"0.0005 in/ft"`},
		{survey.Question{Kind: survey.Slope}, "0,02mm/m", `"0.02mm/m"`},
		{survey.Question{Kind: survey.Slope}, "0.0005", "error: " +
			`"0.0005" does not say over what length; write it as 0.02 mm/m, 10 um/m, 0.0005 in/ft, 0.01 mm/300 mm, ` +
			`0.02/1000 or 4 arcsec`},
		{survey.Question{Kind: survey.YesNo}, "Y", "true"},
		{survey.Question{Kind: survey.YesNo}, "perhaps", "error: please answer yes or no"},
		{survey.Question{Kind: survey.Precision}, "0.3", "0.3"},
		{survey.Question{Kind: survey.Precision}, "25.4um", "1.0"},
		{survey.Question{Kind: survey.Day}, "2026-02-30", "error: write year-month-day, such as 2026-03-14"},
		{survey.Question{Kind: survey.Day}, "2026-02-28", "2026-02-28"},
		{survey.Question{Kind: survey.Day}, "28 Feb 2026", "2026-02-28"},
		{survey.Question{Kind: survey.Day}, "february 28, 2026", "2026-02-28"},
		{survey.Question{Kind: survey.Day}, "0.9985", "error: this asks for the day; readings come later. Write " +
			"year-month-day, such as 2026-03-14"},
		{survey.Question{Kind: survey.Ends}, "8 in under",
			"error: two positions are needed, from and to, such as 2 26"},
		{survey.Question{Kind: survey.Day}, "2/3/2026", "error: write year-month-day, such as 2026-03-14"},
		{survey.Question{Kind: survey.Day, Usual: "2026-03-01"}, "Yesterday", "2026-02-28"},
		{survey.Question{Kind: survey.Distance, Along: true}, "40 thou", "error: 40 thou: nobody measures along the " +
			"bed in thou: give it in inches or millimetres"},
		{survey.Question{Kind: survey.Ends}, "2000 thou 26", "error: 2000thou: nobody measures along the bed in " +
			"thou: give it in inches or millimetres"},
	} {
		got, err := entry.Value(c.q, c.text, length.Inch, length.Thou, false)
		if err != nil {
			got = "error: " + err.Error()
		}
		if got != c.want {
			t.Errorf("%q: %s, want %s", c.text, got, c.want)
		}
	}
}

// FuzzAnswer gives whatever comes as the answer at a station of each method. What is taken leaves a file that is TOML,
// in which the survey is found again with one row more; what is wrong with the reading is then a fault of that row and
// of nothing else.
func FuzzAnswer(f *testing.F) {
	bases := map[string][]byte{}
	var names []string
	for name, keys := range map[string]string{"carriage-indicator": "touch = \"tail-front\"\nreading_unit = \"thou\"\n",
		"saddle-level": "per_division = 2e-5\n", "straightedge": "on = \"rear\"\ncontacts = [0, 20]\n",
		"light-gap": "on = \"rear\"\ncontacts = [0, 20]\n", "carriage-lock": "tightened_at = 30\n", "test-cut": "",
		"level-along": "on = \"rear\"\nper_division = 2e-5\n"} {
		bases[name] = begun(f, name, keys)
	}
	for _, m := range survey.Methods() {
		if bases[m.Name] != nil {
			names = append(names, m.Name)
		}
	}
	for i := range names {
		for _, s := range []string{"0", "-1.5", "1 2", "same", "0.5 thou", "1e300", "12um", "2,5", "none", "−3", "1;2",
			"\x00", "0x10", "\"", "1 2 3", "µm", "]", "tight", "1e-320 mm"} {
			f.Add(byte(i), s)
		}
	}
	f.Fuzz(func(t *testing.T, which byte, text string) {
		name := names[int(which)%len(names)]
		m := method(t, name)
		e := found(t, bases[name], m)
		a, err := e.Parse(text)
		if err != nil {
			if s := err.Error(); s == "" || len(s) > 400 {
				t.Fatalf("%q: %q", text, s)
			}
			return
		}
		if a.Word != "" {
			return
		}
		next, err := e.Read(a.Cells)
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		if _, err := profile.Parse(nil, "p", next); err != nil {
			var faults document.Faults
			if !errors.As(err, &faults) {
				t.Fatalf("%q: %v", text, err)
			}
			for _, f := range faults {
				if f.Key != fmt.Sprintf("survey[%d].rows", e.Number) {
					t.Fatalf("%q: %v", text, err)
				}
			}
			return
		}
		if again := found(t, next, m); len(again.Rows) != 1 || len(again.Left) != len(e.Left)-1 {
			t.Fatalf("%q: %+v", text, again)
		}
	})
}
