package main

import (
	"context"
	"errors"
	"io"
	"os"
	"strings"
	"testing"
	"time"

	"wornway/cmd/wornway/internal/blank"
	"wornway/cmd/wornway/internal/card"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/invented"
	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/sheet"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/survey"
)

// renamed writes the demonstration lathe and its job with other names.
func renamed(t *testing.T, lathe, job, feature string) {
	t.Helper()
	for file, text := range map[string]string{
		"named.toml": strings.Replace(string(invented.Lathe), "name = \"", "name = \""+lathe+"\" #", 1),
		"job.toml": strings.Replace(strings.Replace(string(invented.Shaft), "name = \"", "name = \""+job+"\" #", 1),
			"name = \"left bearing seat\"", "name = \""+feature+"\"", 1),
		"class.csv": "name,seed,cause\n" + lathe + ",417,twist\n",
	} {
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// Names of 200 characters, the most that one may have, print on the smallest papers; of the broadest letters, without a
// blank, on the next larger where two of them head a card.
func TestLongestNamesPrint(t *testing.T) {
	alongside(t)
	workshop(t)
	for name, of := range map[string]string{strings.Repeat("W", 200): "a5", strings.Repeat("Bed ", 50): "4x6"} {
		renamed(t, name, name, name)
		for _, line := range []string{
			"chart named.toml --from 12in --to 18in --diameter 1in --tolerance 0.1thou",
			"chart named.toml --from 12in --to 18in --diameter 1in --paper a6",
			"chart named.toml --from 4in --to 36in --diameter 1in --strip",
			"chart named.toml --from 4in --to 36in --diameter 1in --strip --tolerance 0.1thou",
			"chart named.toml --from 4in --to 36in --any-work --diameters 0.5in,1in,2in,3in,4in",
			"chart named.toml --job job.toml --paper " + of,
			"blank named.toml --method all --paper a5",
		} {
			pages := strings.Count(string(printed(t, line)), "/Type /Page\n")
			// The most is the set of blank sheets: 12 methods, three pages each on the smallest paper.
			if pages < 1 || pages > 36 {
				t.Errorf("%s: %d pages", line, pages)
			}
		}
	}
}

// One character more is told with its place.
func TestNamesTooLong(t *testing.T) {
	alongside(t)
	workshop(t)
	long := strings.Repeat("W", 201)
	for _, c := range []struct {
		lathe, job, feature, line, want string
	}{
		{long, "job", "seat", "show named.toml", "named.toml:6:8: lathe.name"},
		{long, "job", "seat", "chart named.toml --from 12in --to 18in --diameter 1in -o no.pdf",
			"named.toml:6:8: lathe.name"},
		{"lathe", long, "seat", "plan job.toml demo.toml", "job.toml:6:8: job.name"},
		{"lathe", "job", long, "chart demo.toml --job job.toml -o no.pdf", "job.toml:21:8: feature[1].name"},
		{long, "job", "seat", "exercise --mark class.csv", "class.csv:2: name"},
	} {
		renamed(t, c.lathe, c.job, c.feature)
		a := invoke(split(c.line)...)
		if a.status != env.ExitRefused || !strings.Contains(a.stderr, c.want) ||
			!strings.Contains(a.stderr, ": is a name of 201 characters, and 200 are the most\n  hint: shorten it") ||
			strings.Contains(a.stderr, "empty") {
			t.Errorf("%s: %d\n%s", c.line, a.status, a.stderr)
		}
	}
}

// Whatever text comes to the pages, they end: after a few of them, with all of it on paper or with an error that names
// what had no room.
func TestPagesEnd(t *testing.T) {
	alongside(t)
	workshop(t)
	e := env.New(context.Background(), onTestDay, strings.NewReader(""), io.Discard, io.Discard)
	l, err := flags.Open(e, "demo.toml", nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	cut := compensate.Cut{Feature: work.Feature{From: 300, To: 460, Diameter: 25}, SetAt: 460}
	k, err := cardOf(e, newChart(e), l, l.Machine, cut, &chartOptions{})
	if err != nil {
		t.Fatal(err)
	}
	const fits, mayFit, full = "fits", "may fit", "full"
	for _, c := range []struct {
		what, lathe, feature, promise, how string
		card                               string // whether it must, may or cannot have room on the smallest card
	}{
		{what: "short names", lathe: "lathe", feature: "seat", promise: "It is held.", how: "in the chuck", card: fits},
		{what: "a lathe's name of 1,500 characters", lathe: strings.Repeat("W", 1500), card: full},
		{what: "a lathe's name of 20,000 characters", lathe: strings.Repeat("i", 20000), card: full},
		{what: "a feature's name of 1,000 characters", feature: strings.Repeat("W", 1000), card: full},
		{what: "a name of 220 words", lathe: strings.Repeat("word ", 220), card: mayFit},
		{what: "2,000 words on how it is held", how: strings.Repeat("word ", 2000), card: fits},
		{what: "2,000 words of a promise", promise: strings.Repeat("word ", 2000), card: mayFit},
	} {
		k.Name, k.Says, k.How = c.feature, c.promise, c.how
		l.Lathe.Name = c.lathe
		for _, held := range []bool{true, false} {
			k.Held = held
			for i, p := range paper.Papers() {
				if some := 4; testing.Short() && i%some > 0 { // the smallest, and the one most used
					continue
				}
				draw := func(way string, paper paper.Paper, draw func(p sheet.Drawing)) error {
					t.Helper()
					made := sheet.Drawing{Doc: newDoc(paper), Made: testDay}
					draw(made)
					_, err := env.PDF(made.Doc)
					var wrong refuse.Refusal
					// 2,000 words of this kind are some 200 lines of the smallest card, which has some 15.
					if made.Pages < 1 || made.Pages > 30 || err != nil && (!errors.As(err, &wrong) ||
						!strings.Contains(err.Error(), paper.Name+" has no room for \"")) {
						t.Errorf("%s on a %s of %s: %d pages, %v", c.what, way, paper.Name, made.Pages, err)
					}
					return err
				}
				err := draw("card", p.Across(), func(p sheet.Drawing) { card.Card(&p, k) })
				if p.Name == "a6" && (c.card == fits && err != nil || c.card == full && err == nil) {
					t.Errorf("%s: the card says %v", c.what, err)
				}
				if p.Across().Width > 270 {
					_ = draw("strip", p.Across(), func(p sheet.Drawing) { card.Strip(&p, k) })
				}
				if !held { // which a survey sheet knows nothing of
					continue
				}
				m, _ := survey.Find("saddle-level")
				_ = draw("sheet", p, func(p sheet.Drawing) {
					b := blank.Sheets{Drawing: p, Units: l.Units, Profile: l.Profile, Lathe: l}
					if err := b.Sheet(m, &blank.Options{}); err != nil {
						t.Error(err)
					}
				})
			}
		}
	}
}

func newDoc(p paper.Paper) *paper.Doc { return paper.New(p, "", time.Time{}) }

// However narrow a column is, a text comes to no more lines than it has letters, and loses none of them.
func TestLinesEnd(t *testing.T) {
	alongside(t)
	d := newDoc(paper.Papers()[0])
	for _, width := range []float64{-1, 0, 0.1, 2, 20, 200} {
		for _, text := range []string{"", "W", "one two three", strings.Repeat("W", 500), "Ø Å µ"} {
			letters := strings.ReplaceAll(text, " ", "")
			lines := d.Lines(width, sheet.Plain, text)
			if len(lines) > len([]rune(letters)) ||
				strings.ReplaceAll(strings.Join(lines, ""), " ", "") != letters {
				t.Errorf("%q over %g mm: %q", text, width, lines)
			}
		}
	}
}
