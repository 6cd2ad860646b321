package show

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"
)

// sample is a report with every part in it. Its numbers are invented.
func sample() Report {
	return Report{
		Answer: []string{
			"The part comes out 1.60 thou/ft bigger at the tailstock end (± 0.42 thou over its length), and no dial " +
				"setting of half a division holds it.",
			"Best between 4 and 9 in.",
		},
		Warnings: []string{"the saddle's bearings run over the datum at 4 in."},
		Tables: []Table{
			{
				Name: "stations", Title: "Along the part",
				Columns: []Column{
					{Head: "position, in", Key: "position"},
					{Head: "diameter error, thou", Key: "diameter_error"},
					{Head: "± thou", Key: "uncertainty"},
					{Head: "wear", Key: "wear", Left: true},
				},
				Rows: [][]Cell{
					{{"4", 4.0}, {"0.00", 0.0}, {"0.00", 0.0}, {Bar(0.5, 8, 8, false), 0.5}},
					{{"6.5", 6.5}, {"-1.25", -0.00125}, {"0.42", nil}, {Bar(8, 8, 8, false), 8}},
				},
			},
			{
				Name: "moves",
				Columns: []Column{{Head: "at", Key: "position"}, {Head: "turn", Key: "direction", Left: true},
					{Head: "back", Key: "take_up", Left: true}},
				Rows: [][]Cell{{{"6.5", 6.5}, {"in | out", "in | out"}, {"yes", true}}},
			},
			{Name: "damage", Title: "Damage", Columns: []Column{{Head: "way", Key: "way", Left: true}}},
		},
		Remarks: []string{"± is at k = 2."},
		Assumed: []string{"the spindle is parallel to the bed; out by 0.02/300 it would add 1.07 thou over 8 in.",
			"the tool is on centre."},
		Cautions: []string{"stop the spindle before you set the tool."},
		JSON: struct {
			Name string  `json:"name"`
			From float64 `json:"from"`
		}{"A<B", 4},
	}
}

func write(t *testing.T, r Report, f Format) string {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, r, f); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func same(t *testing.T, got, want string) {
	t.Helper()
	if want = strings.TrimPrefix(want, "\n"); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestText(t *testing.T) {
	same(t, write(t, sample(), Format{Full: true}), `
The part comes out 1.60 thou/ft bigger at the tailstock end (± 0.42 thou over
  its length), and no dial setting of half a division holds it.
Best between 4 and 9 in.

Warning: the saddle's bearings run over the datum at 4 in.

Along the part
position, in  diameter error, thou  ± thou  wear
────────────  ────────────────────  ──────  ────────
           4                  0.00    0.00  ▌
         6.5                 -1.25    0.42  ████████

 at  turn      back
───  ────────  ────
6.5  in | out  yes

Damage
(no rows)

± is at k = 2.

Assumed:
- the spindle is parallel to the bed; out by 0.02/300 it would add 1.07 thou
  over 8 in.
- the tool is on centre.

Caution: stop the spindle before you set the tool.
`)
}

func TestTextOnAPhone(t *testing.T) {
	same(t, write(t, sample(), Format{Width: 40, Full: true}), `
The part comes out 1.60 thou/ft bigger
  at the tailstock end (± 0.42 thou over
  its length), and no dial setting of
  half a division holds it.
Best between 4 and 9 in.

Warning: the saddle's bearings run over
  the datum at 4 in.

Along the part
position,     diameter     ±
       in  error, thou  thou  wear
─────────  ───────────  ────  ────────
        4         0.00  0.00  ▌
      6.5        -1.25  0.42  ████████

 at  turn      back
───  ────────  ────
6.5  in | out  yes

Damage
(no rows)

± is at k = 2.

Assumed:
- the spindle is parallel to the bed;
  out by 0.02/300 it would add 1.07 thou
  over 8 in.
- the tool is on centre.

Caution: stop the spindle before you set
  the tool.
`)
}

func TestMarkdown(t *testing.T) {
	same(t, write(t, sample(), Format{Kind: Markdown, Width: 40, Full: true}), `
The part comes out 1.60 thou/ft bigger at the tailstock end (± 0.42 thou over its length), and no dial `+
		`setting of half a division holds it.

Best between 4 and 9 in.

**Warning:** the saddle's bearings run over the datum at 4 in.

### Along the part

| position, in | diameter error, thou | ± thou | wear     |
|-------------:|---------------------:|-------:|:---------|
|            4 |                 0.00 |   0.00 | ▌        |
|          6.5 |                -1.25 |   0.42 | ████████ |

|  at | turn      | back |
|----:|:----------|:-----|
| 6.5 | in \| out | yes  |

### Damage

| way |
|:----|

± is at k = 2.

Assumed:

- the spindle is parallel to the bed; out by 0.02/300 it would add 1.07 thou over 8 in.
- the tool is on centre.

**Caution:** stop the spindle before you set the tool.
`)
}

func TestJSON(t *testing.T) {
	same(t, write(t, sample(), Format{Kind: JSON}), `
{
  "name": "A<B",
  "from": 4
}
`)
}

func TestCSV(t *testing.T) {
	same(t, write(t, sample(), Format{Kind: CSV}), `
position,diameter_error,uncertainty,wear
4,0,0,0.5
6.5,-0.00125,,8
`)
	same(t, write(t, sample(), Format{Kind: CSV, Table: "moves"}), `
position,direction,take_up
6.5,in | out,true
`)
	same(t, write(t, sample(), Format{Kind: CSV, Table: "damage"}), "way\n")
}

// Nothing is written where the report cannot be put into the form asked for.
func TestRefused(t *testing.T) {
	one := func(v any) Report {
		return Report{Tables: []Table{{Name: "t", Columns: []Column{{Key: "x"}}, Rows: [][]Cell{{{Value: v}}}}},
			JSON: v}
	}
	for _, c := range []struct {
		name string
		r    Report
		f    Format
		want string
	}{
		{"NaN in JSON", one(math.NaN()), Format{Kind: JSON}, "not finite"},
		{"infinity deep in JSON", Report{JSON: map[string][]float64{"a": {1, math.Inf(-1)}}}, Format{Kind: JSON},
			"not finite"},
		{"a value that JSON has no form for", one(make(chan int)), Format{Kind: JSON}, "cannot write JSON"},
		{"no JSON", Report{}, Format{Kind: JSON}, "no JSON"},
		{"NaN in CSV", one(math.NaN()), Format{Kind: CSV},
			`table "t", row 1, x: the answer holds a number that is not finite`},
		{"infinity in CSV", one(math.Inf(1)), Format{Kind: CSV}, "not finite"},
		{"odd type in CSV", one([]int{1}), Format{Kind: CSV}, "[]int has no place in a table"},
		{"no table", Report{}, Format{Kind: CSV}, "no table in this answer"},
		{"unknown table", sample(), Format{Kind: CSV, Table: "turns"},
			`no table "turns" in this answer; it has stations, moves, damage`},
		{"ragged table", Report{Tables: []Table{{Name: "t", Columns: []Column{{}}, Rows: [][]Cell{{{}, {}}}}}},
			Format{}, "row 1: 2 cells for 1 columns"},
		{"no columns", Report{Tables: []Table{{Name: "t"}}}, Format{}, "no columns"},
		{"no such kind", Report{}, Format{Kind: 9}, "no such way"},
	} {
		var b bytes.Buffer
		err := Write(&b, c.r, c.f)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
		if b.Len() > 0 {
			t.Errorf("%s: half an answer was written: %q", c.name, b.String())
		}
	}
}

type brokenPipe struct{ calls int }

var errPipe = errors.New("broken pipe")

func (p *brokenPipe) Write([]byte) (int, error) {
	p.calls++
	return 0, errPipe
}

func TestWriterFails(t *testing.T) {
	for _, k := range []Kind{Text, JSON, CSV, Markdown} {
		var p brokenPipe
		if err := Write(&p, sample(), Format{Kind: k}); !errors.Is(err, errPipe) || p.calls != 1 {
			t.Errorf("kind %d: %v after %d calls", k, err, p.calls)
		}
	}
}

// The locale of East Asian terminals would make µ, ± and the blocks two cells wide; here they are one.
func TestAmbiguousWidths(t *testing.T) {
	for _, s := range []string{"µ", "μ", "±", "Ø", "█", "▏", "─", "°", "≤", "Δ"} {
		if w := width(s); w != 1 {
			t.Errorf("%q takes %d cells", s, w)
		}
	}
	r := Report{Tables: []Table{{Name: "t", Columns: []Column{{Head: "Ø µm ±"}, {Head: "x", Left: true}},
		Rows: [][]Cell{{{"1", nil}, {"█▏", nil}}, {{"日本", nil}, {"y", nil}}}}}}
	same(t, write(t, r, Format{}), `
Ø µm ±  x
──────  ──
     1  █▏
  日本  y
`)
}

func TestBar(t *testing.T) {
	for _, c := range []struct {
		value, max float64
		width      int
		want       string
		ascii      string
	}{
		{8, 8, 4, "████", "####"},
		{4, 8, 4, "██", "##"},
		{1, 8, 1, "▏", "#"},
		{7, 8, 1, "▉", "#"},
		{5, 8, 2, "█▎", "#"},
		{1e-9, 8, 4, "▏", "#"},
		{9, 8, 4, "████", "####"},
		{math.Inf(1), 8, 4, "████", "####"},
		{0, 8, 4, "", ""},
		{-1, 8, 4, "", ""},
		{math.NaN(), 8, 4, "", ""},
		{1, 0, 4, "", ""},
		{1, math.NaN(), 4, "", ""},
		{1, 8, 0, "", ""},
	} {
		if got := Bar(c.value, c.max, c.width, false); got != c.want {
			t.Errorf("Bar(%v, %v, %d) = %q, want %q", c.value, c.max, c.width, got, c.want)
		}
		if got := Bar(c.value, c.max, c.width, true); got != c.ascii {
			t.Errorf("Bar(%v, %v, %d) in ASCII = %q, want %q", c.value, c.max, c.width, got, c.ascii)
		}
	}
}
