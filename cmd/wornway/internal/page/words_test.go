package page

import "testing"

// Sentences as commands write them, and what a reader of the page has to be told in their place: the labels and names
// that stand on the page.
func TestSentencesNameWhatIsOnThePage(t *testing.T) {
	for _, c := range []struct{ said, want string }{
		{"It varies by 0.5 thou.", "It varies by 0.5 thou."},
		{"put it on the tailstock's centre (--held chuck-and-centre).",
			"put it on the tailstock's centre (“Held”: chuck and tailstock's centre)."},
		{"Finer: the compound at 5.74° leaves 0.24 thou with 4 settings (--compound-angle 5.74).",
			"Finer: the compound at 5.74° leaves 0.24 thou with 4 settings."},
		{"the chance that this makes it worse is 17 % (--settings 3 gives the list).",
			"the chance that this makes it worse is 17 % (“Turns of the dial” 3 gives the list)."},
		{"Another place may be better too (wornway place).", "Another place may be better too (“Where”)."},
		{"What to measure next: wornway wear shop.toml --for 4in,12in.", "What to measure next: “Measure”."},
		{"look at wornway wear shop.toml, which shows it.", "look at “The bed”, which shows it."},
		{"--from 3x: is no length", "“From” 3x: is no length"},
		{"--length 60: is longer than the reach", "“From” to “To” 60: is longer than the reach"},
		{"--feed headstock: lies the other way", "“Feed”: toward the headstock: lies the other way"},
		{"a shorter length, or a longer reach (--reach 4in,30in)", "a shorter length, or a longer reach"},
	} {
		if got := onPage(c.said); got != c.want {
			t.Errorf("%q\n says %q\nnot %q", c.said, got, c.want)
		}
	}
}
