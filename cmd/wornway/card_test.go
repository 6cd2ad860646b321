package main

import (
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// capital is how high a word's capitals are, mm: the font's box is 1.164 of its size, a capital 0.729, by the font's
// file.
func (w pdfWord) capital() float64 { return (w.base - w.top) * 0.729 / 1.164 }

// wordOf returns the first word of a page that is a text.
func wordOf(t *testing.T, page []pdfWord, text string) pdfWord {
	t.Helper()
	for _, w := range page {
		if w.text == text {
			return w
		}
	}
	t.Fatalf("there is no %q on the page", text)
	return pdfWord{}
}

// The zero and the feed come first and are 4 mm high; the moves are larger, four of them 6 mm on the smallest card;
// what is not promised is as large as the moves; a single move is larger still.
func TestCardIsReadInOrder(t *testing.T) {
	alongside(t)
	workshop(t)
	pages, _, _ := wordsOf(t, printed(t, "chart "+pieces+" --held centres --settings 4"))
	above := 0.0
	for _, c := range []struct {
		word  string
		least float64
	}{{"CUT", 4}, {"FEED", 4}, {"26", 6}, {"21", 6}, {"17", 6}, {"14", 6}, {"headstock", 2}, {"Leaves", 2},
		{"Test", 2}} {
		w := wordOf(t, pages[0], c.word)
		if c.word == "headstock" { // the one of the drawing, not of the feed
			for _, v := range pages[0] {
				if v.text == c.word {
					w = v
				}
			}
		}
		if w.capital() < c.least || w.top < above {
			t.Errorf("%q is %.1f mm high, at %.1f mm, after %.1f", c.word, w.capital(), w.top, above)
		}
		above = w.top
	}
	if len(pages) != 1 {
		t.Errorf("%d cards", len(pages))
	}
	pages, _, _ = wordsOf(t, printed(t, "chart "+pieces+" --tolerance 0.5thou"))
	said, move := wordOf(t, pages[0], "PROMISED").capital(), wordOf(t, pages[0], "27").capital()
	if math.Abs(said-move) > 0.05 {
		t.Errorf("not promised stands %.2f mm high, a move %.2f", said, move)
	}
	if len(pages) < 2 {
		t.Fatalf("%d cards", len(pages))
	}
	for i, page := range pages { // each can be used by itself, and says which it is; the last one says why
		text := ""
		for _, w := range page {
			text += w.text + " "
		}
		has := []string{"AT 36 in CUT TO ", "NEEDS THE TAILSTOCK", "NOT PROMISED", "Read the list before the cut",
			"Test cut checked:", "CARD ", "card "}
		if i == len(pages)-1 {
			has = []string{"NEEDS THE TAILSTOCK: The work stands 32.5 diameters out", "NOT PROMISED: The chance",
				"CARD ",
				"card "}
		}
		for _, s := range has {
			if !strings.Contains(text, s) {
				t.Errorf("a card lacks %q: %s", s, text)
			}
		}
	}
	pages, _, _ = wordsOf(t, printed(t, "chart demo.toml --from 4in --to 12in --diameter 1in --held centres"))
	if one := wordOf(t, pages[0], "3/8").capital(); one < 8 {
		t.Errorf("a single move is %.1f mm high", one)
	}
}

// Arrows lie across the bed as the operator sees it: IN away from him with a front post, toward him with a rear one. An
// arrow is the one shape of seven corners; its tip comes first, and a page's own coordinates count upward.
func TestArrowsPointAcross(t *testing.T) {
	alongside(t)
	workshop(t)
	rear := strings.Replace(mustRead(t, "demo.toml"), "[lathe]\n", "[lathe]\ntool_post = \"rear\"\n", 1)
	rear = strings.Replace(rear, "tool_post = \"front\"", "", 1)
	if err := os.WriteFile("rear.toml", []byte(rear), 0o600); err != nil {
		t.Fatal(err)
	}
	number := `([\d.-]+) ([\d.-]+) `
	arrow := regexp.MustCompile(number + `m\s+(?:` + number + `l\s+){3}` + number + `l\s+(?:` + number + `l\s+){2}`)
	for file, away := range map[string]float64{"demo.toml": 1, "rear.toml": -1} {
		pdf := printed(t, "chart "+file+" --from 4in --to 36in --diameter 1in")
		pages, _, _ := wordsOf(t, pdf)
		var ways []float64
		for _, m := range arrow.FindAllSubmatch(pdf, -1) {
			tip, _ := strconv.ParseFloat(string(m[2]), 64)
			tail, _ := strconv.ParseFloat(string(m[6]), 64)
			ways = append(ways, math.Copysign(1, tip-tail))
		}
		want := []float64{away, -away} // IN and OUT of the picture
		for _, w := range pages[0] {
			switch { // those of the table are higher than the picture's
			case w.text == "IN" && w.capital() > 3:
				want = append(want, away)
			case w.text == "OUT" && w.capital() > 3:
				want = append(want, -away)
			}
		}
		if len(ways) < len(want) || len(want) < 4 {
			t.Fatalf("%s: %d arrows, %d words", file, len(ways), len(want))
		}
		for i, w := range want {
			if ways[i] != w {
				t.Errorf("%s: arrow %d points %v, expected %v", file, i, ways[i], w)
			}
		}
	}
}
