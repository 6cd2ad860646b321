package page

import (
	"regexp"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/plot"
	"wornway/profile/survey"
)

// Sentences as commands write them, and what a reader of the page has to be told in their place: the labels and names
// that stand on the page.
func TestSentencesNameWhatIsOnThePage(t *testing.T) {
	for _, c := range []struct{ said, want string }{
		{"It has what wear, predict, place, correct and check need.", "It has all that the pages here need."},
		{"It varies by 0.5 thou.", "It varies by 0.5 thou."},
		{"a.toml: there are no readings and no [wear], so nothing is known of the bed",
			"a.toml: there are no readings, so nothing is known of the bed"},
		{"put it on the tailstock's centre (--held chuck-and-centre).",
			"put it on the tailstock's centre (“Held”: chuck and tailstock's centre)."},
		{"Finer: the compound at 5.74° leaves 0.24 thou with 4 settings (--compound-angle 5.74).",
			"Finer: the compound at 5.74° leaves 0.24 thou with 4 settings."},
		{"the chance that this makes it worse is 17 % (--settings 3 gives the list).",
			"the chance that this makes it worse is 17 % (“Turns of the dial” 3 gives the list)."},
		{"its readings are 2.9 times as far. --accept-slip 2:sign shows the result with it.",
			"its readings are 2.9 times as far."},
		{"Another place may be better too (wornway place).", "Another place may be better too (“Where”)."},
		{"What to measure next: wornway wear shop.toml --for 4in,12in.", "What to measure next: “Measure”."},
		{"look at wornway wear shop.toml, which shows it.", "look at “The bed”, which shows it."},
		{"--from 3x: is no length", "“From” 3x: is no length"},
		{"--length 60: is longer than the reach", "“From” to “To” 60: is longer than the reach"},
		{"--feed headstock: lies the other way", "“Feed”: toward the headstock: lies the other way"},
		{"a shorter length, or a longer reach (--reach 4in,30in)", "a shorter length, or a longer reach"},
	} {
		saysOn(t, onPage, c.said, c.want)
	}
}

// Sentences of record, and what is said of the same on the page: by its keys.
func TestSentencesNameTheKeys(t *testing.T) {
	for _, c := range []struct{ said, want string }{
		{"See that all is clean and firm, then answer again to measure it once more, or zero if something was knocked.",
			"See that all is clean and firm, then tap “Measure the last again” to measure it once more, or “The zero " +
				"has moved” if something was knocked."},
		{"Answer return after the last station, and look there on the way back.",
			"Tap “Start the way back” after the last station, and look there on the way back."},
		{"Enough: 96 % sure that it comes out. done ends the survey.",
			"Enough: 96 % sure that it comes out. “Done” ends the survey."},
		{"All stations are read: done ends the survey, again measures the last one again.",
			"All stations are read: “Done” ends the survey, “Measure the last again” measures the last one again."},
		{"The station at 13 in tells most next. To go there, type: at 13",
			"The station at 13 in tells most next. To go there, tap “Go to 13”"},
		{"8 in was read already. To replace that reading, type: again 8. Type at 8 once more for a second reading " +
			"there: then both count.", "8 in was read already. To replace that reading, tap “Measure 8 again”. Give " +
			"8 under “Other place…” once more for a second reading there: then both count."},
		{"8 in and 12 in have opposite signs: look at both; answer again 8 or again, whichever is wrong.",
			"8 in and 12 in have opposite signs: look at both; tap “Measure 8 again” or “Measure the last again”, " +
				"whichever is wrong."},
		{"Answer again 4 5 to measure it once more: the new reading takes its place.",
			"Tap “Measure 4 5 again” to measure it once more: the new reading takes its place."},
		{`"x" is not understood: give a reading, or one of same, again, skip, return, undo, zero, done, stop, help.`,
			`"x" is not understood: give a reading.`},
		{"After done, another method may: wornway record demo.toml --for 4,12.", "After “Done”, another method may: " +
			"“Measure”."},
		{"8.0 stands twice: the answer again measures a place once more.",
			"8.0 stands twice: “Measure the last again” measures a place once more."},
		{"Written down.", "Written down."},
		{"It would do it again, and stop there when done.", "It would do it again, and stop there when done."},
		{"survey 2 (bar-side) fits badly", "survey 2 (test bar, its side) fits badly"},
	} {
		saysOn(t, onKeys, c.said, c.want)
	}
}

// saysOn compares a sentence as the page has it with what it has to be.
func saysOn(t *testing.T, page func(string) string, said, want string) {
	t.Helper()
	if got := page(said); got != want {
		t.Errorf("%q\n says %q\nnot %q", said, got, want)
	}
}

// Each survey has a name in the shop, and no two the same.
func TestSurveysHaveNamesInTheShop(t *testing.T) {
	seen := map[string]bool{}
	for _, m := range survey.Methods() {
		if name := trade[m.Name]; name == "" || seen[name] || regexp.MustCompile(`[a-z]-[a-z]`).MatchString(name) {
			t.Errorf("%s is called %q", m.Name, name)
		}
		seen[trade[m.Name]] = true
	}
}

// A sentence begins with a capital, whatever stands first.
func TestSentencesBegin(t *testing.T) {
	for said, want := range map[string]string{"“Measure” says what": "“Measure” says what.", "is it?": "Is it?",
		"demo.toml:3: odd": "demo.toml:3: odd."} {
		if got := sentence(said); got != want {
			t.Errorf("%q is written %q", said, got)
		}
	}
}

// A picture's key calls a survey as its page in Measure is headed, not as files do.
func TestPictureNamesSurveysAsInTheShop(t *testing.T) {
	got := draw(func() plot.Figure {
		return plot.Figure{Points: []plot.Points{{Name: "saddle-level, on the front way", X: []float64{1, 2},
			Y: []float64{0, 1}}}}
	}).Legend
	if want := "Level on the saddle, on the front way"; len(got) != 1 || !strings.EqualFold(got[0].Name, want) {
		t.Errorf("%v, expected %q", got, want)
	}
}
