package show

import (
	"bytes"
	"strings"
	"testing"
)

// A column for CSV alone is in CSV, and people are not shown it.
func TestDataColumn(t *testing.T) {
	r := Report{Tables: []Table{{Name: "t", Columns: []Column{{Head: "seen", Key: "a"},
		{Head: "hidden", Key: "b", Data: true}, {Head: "too", Key: "c"}},
		Rows: [][]Cell{{{Text: "one", Value: 1}, {Text: "two", Value: 2}, {Text: "three", Value: 3}}}}}}
	for _, k := range []Kind{Text, Markdown, CSV} {
		var b bytes.Buffer
		if err := Write(&b, r, Format{Kind: k}); err != nil {
			t.Fatal(err)
		}
		text := b.String()
		if k == CSV {
			if text != "a,b,c\n1,2,3\n" {
				t.Errorf("CSV is %q", text)
			}
			continue
		}
		if strings.Contains(text, "hidden") || strings.Contains(text, "two") || !strings.Contains(text, "seen") ||
			!strings.Contains(text, "three") {
			t.Errorf("kind %v:\n%s", k, text)
		}
	}
}

// Entries of words go over several rows where the table would be wider than the terminal, or than 80 where that is not
// known; CSV and Markdown have them whole. Laid out by hand.
func TestColumnOfWords(t *testing.T) {
	r := Report{Tables: []Table{{Name: "t", Columns: []Column{{Head: "what", Key: "a", Left: true},
		{Head: "rows", Key: "b"}, {Head: "where", Key: "c", Left: true, Words: true}},
		Rows: [][]Cell{
			{{Text: "first", Value: "first"}, {Text: "12", Value: 12},
				{Text: "on the front way beside the gap from 3 in on", Value: "where"}},
			{{Text: "second", Value: "second"}, {Text: "3", Value: 3}, {Text: "at 9 in", Value: "at"}},
		}}}}
	const narrow = `what    rows  where
──────  ────  ────────────────────
first     12  on the front way
                beside the gap
                from 3 in on
second     3  at 9 in
`
	for _, c := range []struct {
		terminal int
		want     string
	}{{34, narrow}, {0, "what    rows  where\n──────  ────  ────────────────────────────────────────────\nfirst     " +
		"12  on the front way beside the gap from 3 in on\nsecond     3  at 9 in\n"}} {
		var b bytes.Buffer
		if err := Write(&b, r, Format{Kind: Text, Width: c.terminal}); err != nil {
			t.Fatal(err)
		}
		got := b.String()
		for line := range strings.Lines(got) {
			if n := width(strings.TrimSuffix(line, "\n")); c.terminal > 0 && n > c.terminal {
				t.Errorf("%d cells on a terminal of %d: %s", n, c.terminal, line)
			}
		}
		if strings.ReplaceAll(got, "─", "") != strings.ReplaceAll(c.want, "─", "") {
			t.Errorf("got\n%s\nwant\n%s", got, c.want)
		}
	}
	long := strings.Repeat("word ", 30)
	r.Tables[0].Rows[0][2].Text = long
	var b bytes.Buffer
	if err := Write(&b, r, Format{Kind: Text}); err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(b.String()) {
		if n := width(strings.TrimSuffix(line, "\n")); n > 80 {
			t.Errorf("%d cells: %s", n, line)
		}
	}
	b.Reset()
	if err := Write(&b, r, Format{Kind: Markdown}); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), strings.TrimSpace(long)) {
		t.Errorf("Markdown:\n%s", b.String())
	}
}
