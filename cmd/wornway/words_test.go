package main

import (
	"bytes"
	"fmt"
	"os/exec"
	"regexp"
	"strconv"
	"testing"
)

// box is a word on a page, by poppler's own measure of it, in points from the page's upper left corner.
type box struct {
	text                   string
	left, top, right, foot float64
}

// boxed returns the words of each page, and how wide and high the pages are.
func boxed(t *testing.T, pdf []byte) (pages [][]box, sizes [][2]float64) {
	t.Helper()
	c := exec.Command(tool(t, "pdftotext"), "-bbox", "-", "-")
	c.Stdin = bytes.NewReader(pdf)
	out, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	number := func(b []byte) float64 { v, _ := strconv.ParseFloat(string(b), 64); return v }
	for _, m := range regexp.MustCompile(`<page width="([\d.]+)" height="([\d.]+)"|<word xMin="([-\d.]+)" yMin="([-\d.]+)" `+
		`xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>`).FindAllSubmatch(out, -1) {
		if m[1] != nil {
			pages, sizes = append(pages, nil), append(sizes, [2]float64{number(m[1]), number(m[2])})
			continue
		}
		n := len(pages) - 1
		pages[n] = append(pages[n], box{string(m[7]), number(m[3]), number(m[4]), number(m[5]), number(m[6])})
	}
	return pages, sizes
}

// No word lies on another or outside the margin, on any kind of paper, by where poppler finds the words. Its boxes
// reach from the font's highest to its deepest letter; capitals and digits stand in their middle, which is what counts.
func TestNoWordOnAnother(t *testing.T) {
	workshop(t)
	deeper(t)
	const margin = 5.9 * 72 / 25.4 // points
	for _, line := range []string{
		"chart demo.toml --from 4in --to 12in --diameter 1in", "chart " + pieces + " --tolerance 0.5thou",
		"chart demo.toml --from 5in --to 30in --diameter 2in --bore --allow 0.3thou",
		"chart deeper.toml --from 100 --to 990 --diameter 30", "chart " + pieces + " --strip",
		"chart deeper.toml --from 100 --to 990 --diameter 30 --strip",
		"chart demo.toml --job shaft.toml --paper a5", "chart demo.toml --any-work --from 4in --to 36in --every 4in",
		"blank demo.toml --method all --paper a5", "blank demo.toml --method all --paper letter",
		"blank second.toml --method all --paper a4",
	} {
		pages, sizes := boxed(t, printed(t, line))
		if len(pages) == 0 || len(pages[0]) < 10 {
			t.Errorf("%s: no words", line)
		}
		for n, words := range pages {
			for i, a := range words {
				mid := func(b box) (top, foot float64) {
					high := b.foot - b.top
					return b.top + 0.35*high, b.foot - 0.25*high
				}
				top, foot := mid(a)
				if a.left < margin || a.right > sizes[n][0]-margin || top < margin || foot > sizes[n][1]-margin {
					t.Errorf("%s: page %d: %q lies over the margin, at %s mm", line, n+1, a.text, where(a))
				}
				for _, b := range words[:i] {
					over, under := mid(b)
					if a.left < b.right-0.3 && b.left < a.right-0.3 && top < under && over < foot {
						t.Errorf("%s: page %d: %q lies on %q, at %s mm", line, n+1, a.text, b.text, where(a))
					}
				}
			}
		}
	}
}

func where(b box) string { return fmt.Sprintf("%.1f, %.1f", b.left*25.4/72, b.top*25.4/72) }
