package document

import (
	"math"
	"strings"
	"testing"
	"unicode/utf8"
)

func finite(t *testing.T, x float64) {
	t.Helper()
	if math.IsNaN(x) || math.IsInf(x, 0) {
		t.Fatalf("accepted %v", x)
	}
}

// readAll calls every accessor on every key, and on one that is not there.
func readAll(t *testing.T, table *Table, depth int) {
	for _, key := range append(table.Keys(), "absent") {
		if table.At(key).Line < 1 || table.At(key).Column < 1 {
			t.Fatalf("%s stands at %v", key, table.At(key))
		}
		if n, ok := table.Number(key); ok {
			finite(t, n.V)
		}
		table.Text(key)
		table.Bool(key)
		table.Date(key)
		table.Texts(key)
		table.Scalar(key)
		table.OneOrMore(key)
		if list, ok := table.Numbers(key); ok {
			for _, n := range list.V {
				finite(t, n)
			}
		}
		if pairs, ok := table.Pairs(key); ok {
			for _, p := range pairs {
				finite(t, p.V[0]+p.V[1]/2)
			}
		}
		if rows, ok := table.Rows(key, RowOptions{}); ok {
			checkRows(t, rows)
		}
		if sub, ok := table.Table(key); ok && depth < 50 {
			readAll(t, sub, depth+1)
		}
		if list, ok := table.Tables(key, 100); ok && depth < 50 {
			for _, sub := range list {
				readAll(t, sub, depth+1)
			}
		}
		table.Fault(key, "", "shown")
	}
	table.Missing("gone", "")
}

func checkRows(t *testing.T, rows *Rows) {
	if rows.Len()*rows.Width() != len(rows.Data) {
		t.Fatalf("%d rows of %d in %d numbers", rows.Len(), rows.Width(), len(rows.Data))
	}
	for i := range rows.Len() {
		for j := range rows.Width() {
			if !rows.Absent(i, j) && !rows.IsText(i, j) {
				finite(t, rows.Number(i, j))
			}
			if p := rows.At(i, j); p.Line < 1 || p.Column < 0 {
				t.Fatalf("row %d, column %d stands at %v", i, j, p)
			}
		}
	}
}

// checkFaults sees to it that an error is Faults, that each stands on one line and prints, and that its position lies
// in the text.
func checkFaults(t *testing.T, err error, text string) {
	t.Helper()
	faults, ok := err.(Faults)
	if !ok || len(faults) == 0 {
		t.Fatalf("%T: %v", err, err)
	}
	lines := strings.Split(strings.TrimPrefix(text, byteOrderMark), "\n")
	for _, f := range faults {
		s := f.Error()
		if strings.ContainsAny(s, "\r\n\x1b\x00") {
			t.Fatalf("%q", s)
		}
		if f.Line > len(lines) || f.Line > 0 && f.Column > len(lines[f.Line-1])+1 {
			t.Fatalf("%q stands outside the text", s)
		}
		if f.Message == "" {
			t.Fatalf("%q says nothing", s)
		}
	}
	if strings.ContainsAny(faults.Error(), "\r\x1b\x00") {
		t.Fatalf("%q", faults.Error())
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{sample, "a = 8,5", "[[s]]\nrows = [[1, 2],\n[3, 4]] # x\n[s.t]\nu.v = {a.b = 1}\n",
		"a = [1,,2]", "d = 2026-03-14 10:00:00\r\n", "\uFEFFa = \"\"\"\n\\u00e9\"\"\"", "a = [\"x, 2]",
		"a = { b = \"c\n", "a.b = 1\n[a]\n", "x = 1e999", "x = -nan"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := Parse("f", data)
		if err != nil {
			checkFaults(t, err, string(data))
			return
		}
		if string(d.Bytes()) != string(data) {
			t.Fatalf("bytes %q", d.Bytes())
		}
		d.Root().Has("nothing")
		if err := d.Faults(); err != nil {
			checkFaults(t, err, string(data))
		}
		readAll(t, d.Root(), 0)
		checkFaults(t, d.Faults(), string(data))
	})
}

func FuzzReadRows(f *testing.F) {
	for _, s := range []string{"a,b\n1,2\n", "# c\n\n1;2,5\n3;4,5\r\n", "a\tb\n1\t\n", "\uFEFFa,b\n1,\"x \"\"y\"\"\"\n",
		"1,2\n\"3\n4\",5", "a;b\n1.5;2,5", "\u22121,x\n", "nan,0x1p3\n", "1,2\"\n"} {
		f.Add(s, true)
		f.Add(s, false)
	}
	f.Fuzz(func(t *testing.T, text string, named bool) {
		opts := RowOptions{Text: map[string]bool{"b": true}, Optional: map[string]bool{"b": true}}
		if named {
			opts.Columns = []string{"a", "b"}
		}
		rows, err := ReadRows("f", strings.NewReader(text), opts)
		if err != nil {
			checkFaults(t, err, text)
		}
		if rows == nil {
			return
		}
		checkRows(t, rows)
		for i := range rows.Len() {
			for j := range rows.Width() {
				if rows.Columns[j] != "b" {
					finite(t, rows.Number(i, j))
				}
				if !utf8.ValidString(rows.Text(i, j)) {
					t.Fatalf("text %q", rows.Text(i, j))
				}
			}
		}
	})
}

func FuzzSet(f *testing.F) {
	f.Add("[lathe]\nway_span = 8 # x\n", "lathe.way_span", "8.5")
	f.Add("[[s]]\r\na = {b = 1}\r\n[s.t]\r\n", "s[1].t.u", "\"x\"")
	f.Add("a.b.c = 1\n", "a.b.d", "[1, 2]")
	f.Add("# head\n\n[x.y]\n", "x.z", "true")
	f.Add("a = [{b = [1]}]", "a[1].b[1]", "2")
	f.Add("", `a."b.c"`, "{d = 1}")
	f.Fuzz(func(t *testing.T, text, path, value string) {
		d, err := Parse("f", []byte(text))
		if err != nil {
			return
		}
		out, err := d.Set(path, value)
		if err != nil {
			return
		}
		if string(d.Bytes()) != text {
			t.Fatal("the document itself has changed")
		}
		changed, err := Parse("f", out)
		if err != nil {
			t.Fatalf("%q: %v", out, err)
		}
		steps, _ := splitPath(path)
		v := changed.root.follow(steps)
		if v == nil {
			t.Fatalf("%s not in %q", path, out)
		}
		again, err := changed.Set(path, value)
		if err != nil || string(again) != string(out) {
			t.Fatalf("setting it again changes %q to %q, %v", out, again, err)
		}
	})
}
