package document

import (
	"fmt"
	"io"
	"strings"
	"testing"
)

// counted counts the bytes that are read from an endless stream of one character, in lines of so many where it has
// lines.
type counted struct {
	char       byte
	line, read int
}

func (c *counted) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = c.char
	}
	if c.line > 0 {
		for i := c.line - c.read%c.line - 1; i < len(p); i += c.line {
			p[i] = '\n'
		}
	}
	c.read += len(p)
	return len(p), nil
}

// A text over a limit is refused where it goes over, before it is parsed: what the parser would do with it grows with
// the square of its size, or takes gigabytes. The places are counted by hand.
func TestLimits(t *testing.T) {
	numbered := func(n int, format string) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, format, i)
		}
		return b.String()
	}
	for _, tt := range []struct{ name, text, want string }{
		{"dots in a key", "a = 1\nb" + strings.Repeat(".b", 30_000) + " = 1", "f:2:1: a key has more than 10 parts"},
		{"dots in a header", "[b" + strings.Repeat(".b", 30_000) + "]", "f:1:2: a key has more than 10 parts"},
		{"dots in braces", "a = {c = 1, b" + strings.Repeat(".b", 30_000) + " = 1}",
			"f:1:13: a key has more than 10 parts"},
		{"quoted parts", "\"a.b\"" + strings.Repeat(". 'c' ", 10) + "= 1", "f:1:1: a key has more than 10 parts"},
		{"a long key", strings.Repeat("k", 201) + " = 1", "f:1:1: a key of more than 200 characters"},
		{"brackets", "a = 1\nb = " + strings.Repeat("[", 9000) + strings.Repeat("]", 9000),
			"f:2:15: brackets are nested more than 10 deep"},
		{"braces", "b = " + strings.Repeat("{a=", 9000), "f:1:35: brackets are nested more than 10 deep"},
		{"keys under a header", numbered(10_001, "k%d = 1\n"),
			"f:10001:1: there are more than 10000 keys under one header"},
		{"headers", numbered(1001, "[h%d]\n"), "f:1001:2: there are more than 1000 different headers"},
		{"keys of all headers", strings.Repeat("[[h]]\nk = 1\n", 500_001),
			"f:1000001:3: there are more than 1000000 keys and headers"},
		{"rows", "r = [\n" + strings.Repeat("[1],\n", 1_000_001) + "]",
			"f:1000001:4: there are more than 1000000 rows"},
		{"a list of numbers", "r = [" + strings.Repeat("\n1,", 1_000_001),
			"f:1000001:2: there are more than 1000000 rows"},
		{"entries of rows", "r = [" + strings.Repeat("\n[1,1,1,1,1,1,1],", 700_000),
			"f:625001:16: the lists hold more than 5000000 entries"},
	} {
		_, err := Parse("f", []byte(tt.text))
		faults, ok := err.(Faults)
		if !ok || len(faults) != 1 || faults[0].Error() != tt.want || faults[0].Hint == "" {
			t.Errorf("%s: told is %v, expected was %s", tt.name, err, tt.want)
		}
	}
}

// What keeps to the limits is read, and what only looks like brackets and dots is not counted.
func TestWithinLimits(t *testing.T) {
	deep := strings.Repeat("[", 10) + strings.Repeat("]", 10)
	for _, text := range []string{
		"a.b.c.d.e.f.g.h.i.j = 1", "a = " + deep, strings.Repeat("k", 200) + " = 1",
		"a = \"" + strings.Repeat("[", 50) + strings.Repeat(".", 50) + "\" # " + strings.Repeat("[", 50),
		"a = '" + strings.Repeat("{", 50) + "'\n# " + strings.Repeat(".", 50) + "\nb = 1",
		"a = \"\"\"\n" + strings.Repeat("[", 50) + " \\\"\"\" \n\"\"\"\nb = 1",
		"a = [ # " + strings.Repeat("[", 50) + "\n1]",
		"\"" + strings.Repeat(".", 50) + "\" = 1",
		strings.Repeat("[[survey]]\nrows = [[1, 2]]\n", 2000),
	} {
		if _, err := Parse("f", []byte(text)); err != nil {
			t.Errorf("%.60q: %v", text, err)
		}
	}
}

// Of an endless pipe or device no more is read than a file may hold.
func TestReadAllEnds(t *testing.T) {
	in := &counted{char: 0}
	_, err := ReadAll("f", in)
	want := "f: is larger than 64 MB"
	if faults, ok := err.(Faults); !ok || len(faults) != 1 || faults[0].Error() != want || faults[0].Hint == "" {
		t.Errorf("told is %v, expected was %s", err, want)
	}
	if in.read > 130<<20 {
		t.Errorf("%d bytes were read", in.read)
	}
}

// A CSV file without an end, of whatever, is a fault after a bounded number of bytes.
func TestReadRowsEnds(t *testing.T) {
	two := RowOptions{Columns: []string{"position", "reading"}}
	for _, tt := range []struct {
		name  string
		start string
		char  byte
		line  int
		want  string
	}{
		{"an endless first line", "", 0, 0, "a line is longer than 1 MB"},
		{"an endless cell", "1,2\n3,", '7', 0, "a line is longer than 1 MB"},
		{"an endless quote", "1,2\n\"", 'a', 0, "a line is longer than 1 MB"},
		{"lines that say nothing", "1,2\n", ' ', 4096, "is larger than 256 MB"}, // empty ones take ten times as long
	} {
		if testing.Short() && tt.line > 0 { // it reads 256 MB
			continue
		}
		in := &counted{char: tt.char, line: tt.line}
		_, err := ReadRows("f", io.MultiReader(strings.NewReader(tt.start), in), two)
		faults, ok := err.(Faults)
		if !ok || faults[len(faults)-1].Message != tt.want || faults[len(faults)-1].Hint == "" {
			t.Errorf("%s: told is %v, expected was %s", tt.name, err, tt.want)
		}
		if in.read > 260<<20 {
			t.Errorf("%s: %d bytes were read", tt.name, in.read)
		}
	}
	rows := 0
	_, err := ReadRows("f", strings.NewReader(strings.Repeat("1,2\n", 1_000_010)), RowOptions{Columns: two.Columns,
		Each: func(r *Rows) { rows += r.Len() }})
	if want := "f:1000001:1: there are more than 1000000 rows"; err == nil || err.(Faults)[0].Error() != want ||
		rows > maxRows {
		t.Errorf("told after %d rows is %v, expected was %s", rows, err, want)
	}
}
