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

// What a short answer leaves out is what is as usual; what limits it, it has. Laid out by hand.
func TestShortAndWhole(t *testing.T) {
	r := Report{Answer: []string{"One thou bigger."}, Steps: []string{"Made of this."}, Warnings: []string{"Stale."},
		Limits: []string{"A scar."}, Remarks: []string{"± holds 19 times in 20."}, Notes: []string{"A note."},
		Assumed:  []string{"The tool is on centre.", "There is a scar at 6 in."},
		Usual:    []string{"Stand clear.", "Key out."},
		Cautions: []string{"It hangs out far."}, Next: []string{"What to dial: correct."},
		Tables: []Table{{Name: "t", Most: 3, Keep: []int{1}, Columns: []Column{{Head: "at, in", Key: "at"},
			{Head: "drop", Key: "drop", Full: true}}}, {Name: "more", Full: true, Columns: []Column{{Head: "more"}}}}}
	for i := range 6 {
		s := string(rune('0' + i))
		r.Tables[0].Rows = append(r.Tables[0].Rows, []Cell{{Text: s}, {Text: s + "0"}})
	}
	same(t, write(t, r, Format{}), `
One thou bigger.

Warning: Stale.

at, in
──────
     0
     1
     3
     5

A scar.
± holds 19 times in 20.

Caution: Stand clear.
Caution: It hangs out far.
What to dial: correct. The whole answer: --full.
`)
	same(t, write(t, r, Format{Full: true}), `
One thou bigger.
Made of this.

Warning: Stale.

at, in  drop
──────  ────
     0    00
     1    10
     2    20
     3    30
     4    40
     5    50

(no rows)

± holds 19 times in 20.
A note.

Assumed:
- The tool is on centre.
- There is a scar at 6 in.

Caution: Stand clear.
Caution: Key out.
Caution: It hangs out far.
`)
	if got := write(t, r, Format{Rows: true}); !strings.Contains(got, "\n     2\n     3\n") {
		t.Errorf("rows that were asked for are left out:\n%s", got)
	}
	short := Report{Answer: []string{"All there is."}}
	same(t, write(t, short, Format{}), "All there is.\n")
}

// A table that has no room becomes a list, with the unit behind each number.
func TestTableAsList(t *testing.T) {
	r := Report{Tables: []Table{{Name: "t", Columns: []Column{{Head: "at, in", Key: "at"},
		{Head: "unbreakable", Key: "a"}, {Head: "±, thou", Key: "b"}, {Head: "", Key: "c", Left: true}},
		Rows: [][]Cell{{{Text: "4"}, {Text: "-0.78"}, {Text: "1.2"}, {Text: "this one"}}, {{Text: "5"}, {}, {}, {}}}}}}
	same(t, write(t, r, Format{Width: 25}), "at 4 in: unbreakable\n  -0.78; ± 1.2 thou; this\n  one\nat 5 in\n")
}

// A terminal that shows no more than ASCII gets no more.
func TestASCII(t *testing.T) {
	r := Report{Answer: []string{"½ division, ± 0.4 µm at 45°: “so” – Ø 1 × 2 …", "Prüfstück Łódź"},
		Tables: []Table{{Name: "t", Columns: []Column{{Head: "±, µm", Key: "a"}}, Rows: [][]Cell{{{Text: "−¼"}}}}}}
	same(t, write(t, r, Format{ASCII: true}), `
1/2 division, +/- 0.4 um at 45 deg: "so" - dia. 1 x 2 ...
Pruefstueck ??d?

+/-, um
-------
   -1/4
`)
	if got := write(t, r, Format{ASCII: true, Kind: Markdown}); !strings.Contains(got, "½ division, ± 0.4 µm") {
		t.Errorf("a document is for other programs:\n%s", got)
	}
}

// A line that is wider than the terminal goes on under what it began with; a command stays one that a shell takes.
func TestFold(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"Short.\n", "Short.\n"},
		{"One two three four five six.\n", "One two three four\n  five six.\n"},
		{"  1  done, with a long remark\n", "  1  done, with a\n     long remark\n"},
		{"$ wornway wear demo.toml --json", "$ wornway wear \\\n  demo.toml --json"},
		{"Usage:\n  wornway wear PROFILE [flags]\n", "Usage:\n  wornway wear\n    PROFILE [flags]\n"},
		{strings.Repeat("─", 30) + "\n", strings.Repeat("─", 20) + "\n"},
	} {
		if got := Fold(c.text, 20); got != c.want {
			t.Errorf("Fold(%q) = %q, want %q", c.text, got, c.want)
		}
	}
}
