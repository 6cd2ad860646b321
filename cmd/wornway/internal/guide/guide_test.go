package guide

import (
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"
)

// Every page has its title first, and only what the reader of this package knows; each fence ends.
func TestPages(t *testing.T) {
	for _, topic := range Topics() {
		source := topic.Source()
		if !strings.HasPrefix(source, "# ") {
			t.Errorf("%s: no title", topic.Name)
		}
		if n := strings.Count(source, "\n```"); n%2 != 0 {
			t.Errorf("%s: %d fences", topic.Name, n)
		}
		fenced := false
		for i, line := range strings.Split(source, "\n") {
			if strings.HasPrefix(line, "```") {
				fenced = !fenced
			}
			switch {
			case fenced:
			case strings.HasPrefix(line, "|"), regexp.MustCompile(`^\s+[-*] |^\d+\. |^> `).MatchString(line):
				t.Errorf("%s:%d: not read here: %s", topic.Name, i+1, line)
			case utf8.RuneCountInString(line) > 120 && !strings.HasPrefix(line, "!["):
				t.Errorf("%s:%d: %d characters", topic.Name, i+1, utf8.RuneCountInString(line))
			}
		}
	}
}

// Prose keeps to the width that is asked for, whatever it is, and no mark of Markdown is left in it. What is fenced, by
// hand: two blanks before it.
func TestText(t *testing.T) {
	for _, topic := range Topics() {
		for _, width := range []int{40, 80, 100} {
			text := topic.Text(width, func(s string) string { return s })
			for line := range strings.Lines(text) {
				line = strings.TrimSuffix(line, "\n")
				if strings.HasPrefix(line, "  ") || !strings.Contains(line, " ") {
					continue // fenced, the rest of an item, or one word
				}
				if n := utf8.RuneCountInString(line); n > width {
					t.Errorf("%s at %d: a line of %d characters: %s", topic.Name, width, n, line)
				}
				if strings.ContainsAny(line, "`") || strings.Contains(line, "](") {
					t.Errorf("%s: marks are left: %s", topic.Name, line)
				}
			}
			if strings.Contains(text, "\n\n\n") || strings.Contains(text, "<!--") {
				t.Errorf("%s: empty lines or comments are left", topic.Name)
			}
		}
	}
}

// Worked by hand.
func TestReader(t *testing.T) {
	r := reader{width: 20}
	for line := range strings.SplitSeq("# A *b*\n\none two three four\nfive [six](seven.md)\n\n![p](q.png)\n\n"+
		"- an `item` that is\n  long enough\n- two\n\n<!-- file: x -->\n```toml\na = 1\n\n- b\n```", "\n") {
		r.line(line)
	}
	r.flush()
	want := "A b\n===\n\none two three four\nfive six\n\n- an item that is\n  long enough\n- two\n\n  a = 1\n\n  - b"
	if got := strings.Join(r.out, "\n"); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}
