package show

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"

	"wornway/cmd/wornway/internal/safe"
	_ "wornway/testdata/steady"
)

func TestBreakHead(t *testing.T) {
	for _, c := range []struct {
		head   string
		column int
		most   int
		want   string
	}{
		{"diameter error, thou", 4, 1, "diameter error, thou"},
		{"diameter error, thou", 4, 2, "diameter/error, thou"},
		{"diameter error, thou", 4, 3, "diameter/error,/thou"},
		{"diameter error, thou", 11, 3, "diameter/error, thou"},
		{"diameter error, thou", 20, 3, "diameter error, thou"},
		{"error,thou", 4, 2, "error,/thou"},
		{"left over\nafter correction", 4, 1, "left over/after correction"},
		{"left over\nafter correction", 4, 3, "left over/after/correction"},
		{"±\u00a0at\u00a0k\u00a0=\u00a02, thou", 4, 3, "±\u00a0at\u00a0k\u00a0=\u00a02,/thou"},
		{"position", 2, 3, "position"},
		{"", 2, 3, ""},
	} {
		if got := strings.Join(breakHead(c.head, c.column, c.most), "/"); got != c.want {
			t.Errorf("breakHead(%q, %d, %d) = %q, want %q", c.head, c.column, c.most, got, c.want)
		}
	}
}

// A heading of the same words is never wider for having more lines to go to, and no word is lost.
func TestBreakHeadNarrows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		head := strings.Join(rapid.SliceOfN(rapid.StringMatching(`[a-zµ±]{1,9},?`), 1, 6).Draw(t, "words"), " ")
		before := math.MaxInt
		for most := 1; most <= mostHeadLines; most++ {
			lines := breakHead(head, 0, most)
			if w := widest(lines); w > before {
				t.Fatalf("%q over %d lines is wider than over fewer: %q", head, most, lines)
			} else {
				before = w
			}
			if len(lines) > most || strings.Join(lines, " ") != head {
				t.Fatalf("%q over %d lines: %q", head, most, lines)
			}
		}
	})
}

// A table that is too wide for the terminal gets narrower headings; one that fits keeps them on one line; entries are
// never broken. Where the terminal is not known, it is 80 wide.
func TestNarrowing(t *testing.T) {
	table := Table{Name: "t", Rows: [][]Cell{{}}}
	for i := range 5 {
		table.Columns = append(table.Columns, Column{Head: "diameter error left, thou", Key: "k"})
		table.Rows[0] = append(table.Rows[0], Cell{Text: strconv.Itoa(i) + " long entry"})
	}
	for _, c := range []struct{ limit, lines, cells int }{
		{0, 2, 5*14 + 8}, {133, 1, 5*25 + 8}, {132, 2, 5*14 + 8}, {78, 2, 5*14 + 8}, {77, 3, 5*12 + 8},
	} {
		lines := strings.Split(strings.TrimSuffix(write(t, Report{Tables: []Table{table}}, Format{Width: c.limit}),
			"\n"), "\n")
		if got := len(lines) - 2; got != c.lines || widest(lines) != c.cells {
			t.Errorf("on %d cells: %d heading lines and %d cells wide, want %d and %d:\n%s", c.limit, got,
				widest(lines), c.lines, c.cells, strings.Join(lines, "\n"))
		}
	}
}

func TestWrap(t *testing.T) {
	for _, c := range []struct {
		text  string
		limit int
		want  string
	}{
		{"", 10, ""},
		{"   ", 10, ""},
		{"one two three", 7, "one two/  three"},
		{"one averyverylongword two", 7, "one/  averyverylongword/  two"},
		{"taper is ± 0.42 thou now", 12, "taper is/  ± 0.42 thou/  now"},
		{"between 4 in and 9 in.", 11, "between/  4 in and/  9 in."},
		{"a  b", 10, "a b"},
		{"lathe \"\x1b[2J\nB\"", 40, "lathe \"\ufffd[2J\ufffdB\""},
	} {
		if got := strings.Join(wrap(c.text, c.limit), "/"); got != c.want {
			t.Errorf("wrap(%q, %d) = %q, want %q", c.text, c.limit, got, c.want)
		}
	}
}

// Whatever a name holds, no control character comes out in text and Markdown, and a table keeps one line for each row.
func TestNamesCannotBreakTheTerminal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.StringOf(rapid.OneOf(rapid.Rune(), rapid.SampledFrom([]rune(
			"\x00\x07\x1b\t\r\n\x7f\u0085\u009b\u2028\u2029\u202e\u2066|\\`*_[<&")))).Draw(t, "name")
		r := Report{
			Answer: []string{name}, Warnings: []string{name}, Remarks: []string{name}, Assumed: []string{name},
			Cautions: []string{name},
			Tables: []Table{{Name: "t", Title: name,
				Columns: []Column{{Head: strings.ReplaceAll(name, "\n", "")}, {Head: "b", Left: true}},
				Rows:    [][]Cell{{{Text: name}, {Text: name}}, {{Text: "1"}, {Text: "x"}}}}},
		}
		for _, f := range []Format{{}, {Width: 30}, {Kind: Markdown}} {
			var b bytes.Buffer
			if err := Write(&b, r, f); err != nil {
				t.Fatal(err)
			}
			for _, c := range b.String() {
				if c != '\n' && (unicode.IsControl(c) || unicode.Is(unicode.Bidi_Control, c) || c == '\u2028' ||
					c == '\u2029') {
					t.Fatalf("%q came through in %q", c, b.String())
				}
			}
		}
		drawn, err := drawText(r.Tables[0], 0)
		if err != nil || strings.Count(drawn, "\n") != 4 {
			t.Fatalf("two rows with a heading and a rule became %q, %v", drawn, err)
		}
	})
}

func TestEmptyCells(t *testing.T) {
	r := Report{Tables: []Table{{Name: "t", Columns: []Column{{Head: "a"}, {Head: "b", Left: true}},
		Rows: [][]Cell{{{}, {}}, {{Text: "1"}, {}}, {{}, {Text: "x"}}}}}}
	same(t, write(t, r, Format{}), "a  b\n─  ─\n\n1\n   x\n")
}

func TestMarkdownEscapes(t *testing.T) {
	r := Report{
		Answer: []string{"# one", "-0.5 thou", "12. May", "12.5 thou", "a*b_c<d>`e`[f](g) \\ & ~"},
		Tables: []Table{{Name: "t", Columns: []Column{{Head: "a|b\nc", Left: true}}, Rows: [][]Cell{{{Text: `x|y\`}}}}},
	}
	same(t, write(t, r, Format{Kind: Markdown}), `
\# one

\-0.5 thou

12\. May

12.5 thou

a\*b\_c\<d>\`+"`e\\`"+`\[f](g) \\ \& \~

| a\|b c |
|:-------|
| x\|y\\ |
`)
}

// What is written as CSV reads back as the same values: every number to the last bit, every text to the last
// character, unless it would be a formula or move a cursor.
func TestCSVReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 5).Draw(t, "rows")
		table := Table{Name: "t", Columns: []Column{{Key: "x"}, {Key: "n"}, {Key: "s"}, {Key: "b"}, {Key: "p"}}}
		finite := rapid.Float64().Filter(func(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) })
		for range n {
			var p *float64
			if rapid.Bool().Draw(t, "stated") {
				x := finite.Draw(t, "p")
				p = &x
			}
			table.Rows = append(table.Rows, []Cell{
				{Value: finite.Draw(t, "x")}, {Value: rapid.Int().Draw(t, "n")}, {Value: rapid.String().Draw(t, "s")},
				{Value: rapid.Bool().Draw(t, "b")}, {Value: p},
			})
		}
		var b bytes.Buffer
		if err := Write(&b, Report{Tables: []Table{table}}, Format{Kind: CSV, Table: "t"}); err != nil {
			t.Fatal(err)
		}
		records, err := csv.NewReader(&b).ReadAll()
		if err != nil || len(records) != n+1 {
			t.Fatalf("%d records for %d rows, %v", len(records), n, err)
		}
		for i, row := range table.Rows {
			for j, cell := range row {
				got := records[i+1][j]
				switch v := cell.Value.(type) {
				case float64:
					if x, err := strconv.ParseFloat(got, 64); err != nil || x != v {
						t.Fatalf("%v came back as %q", v, got)
					}
				case *float64:
					if v == nil {
						if got != "" {
							t.Fatalf("nothing came back as %q", got)
						}
					} else if x, err := strconv.ParseFloat(got, 64); err != nil || x != *v {
						t.Fatalf("%v came back as %q", *v, got)
					}
				case string:
					switch {
					case got != "" && strings.Contains("=+-@\t\r", got[:1]): // a spreadsheet would run it
						t.Fatalf("%q came back as the formula %q", v, got)
					case strings.ContainsFunc(got, unicode.IsControl):
						t.Fatalf("%q came back as %q", v, got)
					case got != v && strings.TrimLeft(v, "=+-@") == v && !strings.ContainsFunc(v, safe.Hidden):
						t.Fatalf("%q came back as %q", v, got)
					}
				default:
					if got != fmt.Sprint(v) {
						t.Fatalf("%v came back as %q", v, got)
					}
				}
			}
		}
	})
}

func BenchmarkText(b *testing.B) {
	r := sample()
	for len(r.Tables[0].Rows) < 200 {
		r.Tables[0].Rows = append(r.Tables[0].Rows, r.Tables[0].Rows[1])
	}
	for b.Loop() {
		if err := Write(&bytes.Buffer{}, r, Format{Width: 80}); err != nil {
			b.Fatal(err)
		}
	}
}
