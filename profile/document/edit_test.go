package document

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestSet(t *testing.T) {
	tests := []struct{ name, text, path, value, want string }{
		{"replaces, comment stays", "[lathe]\nway_span = 8   # in\nx = 1\n", "lathe.way_span", "8.25",
			"[lathe]\nway_span = 8.25   # in\nx = 1\n"},
		{"replaces a list over lines", "a = [1, # one\n 2]\nb = 1", "a", "[3]", "a = [3]\nb = 1"},
		{"replaces one entry", "[lathe]\nbed = [-8, 44 ] # x\n", "lathe.bed[2]", "40",
			"[lathe]\nbed = [-8, 40 ] # x\n"},
		{"replaces in braces", "s = {a = 1, b = 2}", "s.b", "\"x\"", "s = {a = 1, b = \"x\"}"},
		{"replaces a dotted key", "[lathe]\nsaddle.length = 11\n", "lathe.saddle.length", "12",
			"[lathe]\nsaddle.length = 12\n"},
		{"replaces in the second element", "[[survey]]\nu = 1\n[[survey]]\nu = 2\n", "survey[2].u", "3",
			"[[survey]]\nu = 1\n[[survey]]\nu = 3\n"},
		{"adds at the end of its table", "[a]\nx = 1 # one\n\n# b\n[b]\ny = 2\n", "a.z", "3",
			"[a]\nx = 1 # one\nz = 3\n\n# b\n[b]\ny = 2\n"},
		{"adds to an empty table", "[a]\n\n[b]\n", "a.z", "3", "[a]\nz = 3\n\n[b]\n"},
		{"adds with the indent used there", "[a]\n  x = 1\n[b]\n", "a.z", "3", "[a]\n  x = 1\n  z = 3\n[b]\n"},
		{"adds behind a list over lines", "[a]\nx = [\n 1,\n ] # x\n[b]\n", "a.z", "3",
			"[a]\nx = [\n 1,\n ] # x\nz = 3\n[b]\n"},
		{"keeps CRLF", "[a]\r\nx = 1\r\n[b]\r\n", "a.z", "3", "[a]\r\nx = 1\r\nz = 3\r\n[b]\r\n"},
		{"last line without end", "[a]\nx = 1", "a.z", "3", "[a]\nx = 1\nz = 3\n"},
		{"keeps the byte order mark", "\uFEFFx = 1\n", "x", "2", "\uFEFFx = 2\n"},
		{"adds to braces", "s = {a = 1}", "s.b", "2", "s = {a = 1, b = 2}"},
		{"adds to empty braces", "s = {}", "s.b", "2", "s = { b = 2 }"},
		{"adds a table in braces", "s = {a = 1}", "s.b.c", "2", "s = {a = 1, b.c = 2}"},
		{"adds to a dotted table", "[a]\nb.x = 1\nc = 2\n", "a.b.y", "3", "[a]\nb.x = 1\nb.y = 3\nc = 2\n"},
		{"adds to a dotted table in braces", "s = {b.x = 1, c = 2}", "s.b.y", "3", "s = {b.x = 1, b.y = 3, c = 2}"},
		{"adds a table at the end", "[a]\nx = 1\n", "b.y", "3", "[a]\nx = 1\n\n[b]\ny = 3\n"},
		{"adds the table that was implied", "[a.b]\nx = 1\n", "a.y", "3", "[a.b]\nx = 1\n\n[a]\ny = 3\n"},
		{"adds a table to an element", "[[s]]\nx = 1\n[[s]]\nx = 2\n", "s[1].h.y", "3",
			"[[s]]\nx = 1\n\n[s.h]\ny = 3\n\n[[s]]\nx = 2\n"},
		{"adds to the root", "# head\na = 1\n\n[b]\n", "c", "2", "# head\na = 1\nc = 2\n\n[b]\n"},
		{"adds to a root without keys", "# head\n\n[b]\n", "c", "2", "# head\n\nc = 2\n\n[b]\n"},
		{"the comment belongs to the table", "# about b\n[b]\n", "c", "2", "c = 2\n\n# about b\n[b]\n"},
		{"empty file", "", "c", "2", "c = 2\n"},
		{"table in an empty file", "", "a.c", "2", "[a]\nc = 2\n"},
		{"key in quotes", "[a]\n", `a."b c"`, "2", "[a]\n\"b c\" = 2\n"},
		{"text over lines", "a = 1\n", "a", "\"\"\"\nx\n\"\"\"", "a = \"\"\"\nx\n\"\"\"\n"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d, err := Parse("f", []byte(tt.text))
			if err != nil {
				t.Fatal(err)
			}
			got, err := d.Set(tt.path, tt.value)
			if err != nil {
				t.Fatal(err)
			}
			if string(got) != tt.want {
				t.Errorf("got  %q\nwant %q", got, tt.want)
			}
			if string(d.Bytes()) != tt.text {
				t.Error("the document itself has changed")
			}
		})
	}
}

func TestSetRefuses(t *testing.T) {
	tests := []struct{ text, path, value, want string }{
		{"a = 1", "a", "8in", "a = 8in: is not a TOML value"},
		{"a = 1", "a", "", "a: is not a TOML value"},
		{"a = 1", "a", "1\nb = 2", "a = 1 b = 2: is not a TOML value"},
		{"a = 1", "a", "1 # b", "a = 1 # b: is not a TOML value"},
		{"a = 1", "a b", "1", `"a b" is not the path of a key`},
		{"a = 1", "a..b", "1", `"a..b" is not the path of a key`},
		{"a = 1", "a[0]", "1", `"a[0]" is not the path of a key`},
		{"a = 1", "", "1", `"" is not the path of a key`},
		{"a = 1", "a.b", "2", "f:1:5: a.b: leads through what is not a table"},
		{"\n[a]\nb = 1", "a", "2", "f:2:1: a: is a table, and cannot be set to a value"},
		{"[[a]]\nb = 1", "a", "2", "f:1:1: a: is a table, and cannot be set to a value"},
		{"[[a]]\nb = 1", "a[2].b", "2", "f:1:1: a[2].b: names an element that does not exist"},
		{"[[a]]\nb = 1", "a.b", "2", "f:1:1: a.b: leads through what is not a table"},
		{"a = [1]", "a[2]", "2", "f:1:1: a[2]: names an element that does not exist"},
	}
	for _, tt := range tests {
		d, err := Parse("f", []byte(tt.text))
		if err != nil {
			t.Fatal(err)
		}
		got, err := d.Set(tt.path, tt.value)
		if got != nil || err == nil || err.Error() != tt.want {
			t.Errorf("Set(%q, %q) = %q, %v; want %s", tt.path, tt.value, got, err, tt.want)
		}
	}
}

func TestAppendTable(t *testing.T) {
	block := "# third run\n[[survey]]\nu = 1\n"
	tests := []struct{ name, text, block, want string }{
		{"after a line", "a = 1\n", block, "a = 1\n\n" + block},
		{"after a line without end", "a = 1", block, "a = 1\n\n" + block},
		{"after an empty line", "a = 1\n\n", block, "a = 1\n\n" + block},
		{"in an empty file", "", block, block},
		{"block with blank ends", "a = 1\n", "\n" + block + "\n\n", "a = 1\n\n" + block},
		{"CRLF", "a = 1\r\n", block, strings.ReplaceAll("a = 1\n\n"+block, "\n", "\r\n")},
		{"CRLF block in an LF file", "a = 1\n", strings.ReplaceAll(block, "\n", "\r\n"), "a = 1\n\n" + block},
		{"another element", "[[survey]]\nu = 0\n", block, "[[survey]]\nu = 0\n\n" + block},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d, err := Parse("f", []byte(tt.text))
			if err != nil {
				t.Fatal(err)
			}
			got, err := d.AppendTable(tt.block)
			if err != nil || string(got) != tt.want {
				t.Errorf("got  %q, %v\nwant %q", got, err, tt.want)
			}
		})
	}
	refused := []struct{ text, block, want string }{
		{"[a]\n", "b = 1\n[c]", "b: the block to be added must begin with a [table] or [[table]] header"},
		{"[a]\n", "# nothing", "the block to be added has no [table] or [[table]] header"},
		{"[a]\n", "[b]\nx = 1,5", "the block to be added is not TOML: 2:5: b.x = 1,5: has a decimal comma"},
		{"[a]\n", "[a]\nx = 1", "f:3:1: a: is written twice\n  hint: first written on line 1; put all its keys under " +
			"one header"},
	}
	for _, tt := range refused {
		d, _ := Parse("f", []byte(tt.text))
		got, err := d.AppendTable(tt.block)
		if got != nil || err == nil || err.Error() != tt.want {
			t.Errorf("AppendTable(%q) = %q, %v; want %s", tt.block, got, err, tt.want)
		}
	}
}

// drawFile makes a file with comments, odd spacing and either line end, and lists the keys in it.
func drawFile(t *rapid.T) (text string, paths []string) {
	end := rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "end")
	var b strings.Builder
	fill := func() {
		b.WriteString(rapid.SampledFrom([]string{"", "", end, "# µ comment = [ \"" + end, "  \t" + end}).Draw(t,
			"fill"))
	}
	value := rapid.SampledFrom([]string{"1", "-2.5e3", `"x # y"`, "'it is'", "true", "2026-03-14", "[1, 2 ]",
		"[[1, 2]," + end + " # c" + end + " [3, 4] ]", `{ a = 1, "b c" = [2] }`, "\"\"\"\n a\n\"\"\""})
	keys := func(table string) {
		for i := range rapid.IntRange(0, 3).Draw(t, "keys") {
			fill()
			key := fmt.Sprintf("k%d", i)
			if rapid.Bool().Draw(t, "dotted") {
				key = fmt.Sprintf("d%d.k", i)
			}
			b.WriteString(rapid.SampledFrom([]string{"", "  ", "\t"}).Draw(t, "indent") + key +
				rapid.SampledFrom([]string{" = ", "=", "  =\t"}).Draw(t, "equals"))
			b.WriteString(value.Draw(t, "value") + rapid.SampledFrom([]string{"", " # µ why", "\t"}).Draw(t, "behind") +
				end)
			paths = append(paths, joinRaw(table, key))
		}
	}
	keys("")
	for i := range rapid.IntRange(0, 3).Draw(t, "tables") {
		fill()
		b.WriteString(fmt.Sprintf("[t%d.u]", i) + end)
		keys(fmt.Sprintf("t%d.u", i))
	}
	for i := range rapid.IntRange(0, 3).Draw(t, "elements") {
		fill()
		b.WriteString("[[s]] # run" + end)
		keys(fmt.Sprintf("s[%d]", i+1))
		if rapid.Bool().Draw(t, "sub") {
			b.WriteString("[s.sub]" + end)
			keys(fmt.Sprintf("s[%d].sub", i+1))
		}
	}
	text = b.String()
	if rapid.Bool().Draw(t, "cut") {
		text = strings.TrimSuffix(text, end)
	}
	return text, paths
}

// TestSetProperty: a value that was set is read back, and the text around it is the same to the byte.
func TestSetProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text, paths := drawFile(t)
		d, err := Parse("f", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		fresh := rapid.SampledFrom([]string{"new", "t0.u.new", "t0.new", "t1.v.new", "x.new", "k0x", "d0.new"})
		path := fresh.Draw(t, "fresh")
		if len(paths) > 0 && rapid.Bool().Draw(t, "existing") {
			path = rapid.SampledFrom(paths).Draw(t, "path")
		} else if n := strings.Count(text, "[[s]]"); n > 0 && rapid.Bool().Draw(t, "in element") {
			path = fmt.Sprintf("s[%d].%s", rapid.IntRange(1, n).Draw(t, "n"),
				rapid.SampledFrom([]string{"new", "sub.new", "sub.deep.new", "d0.new"}).Draw(t, "key"))
		}
		number := rapid.Float64Range(-1e9, 1e9).Draw(t, "number")
		value := strconv.FormatFloat(number, 'f', -1, 64)
		out, err := d.Set(path, value)
		if err != nil {
			t.Fatalf("%s in %q: %v", path, text, err)
		}
		changed, err := Parse("f", out)
		if err != nil {
			t.Fatal(err)
		}
		steps, _ := splitPath(path)
		v := changed.root.follow(steps)
		if v == nil || changed.raw(v) != value {
			t.Fatalf("%s not found in %q", path, out)
		}
		if n, message, _ := changed.number(v); message != "" || n != number {
			t.Fatalf("read %v, want %v", n, number)
		}
		old := d.root.follow(steps)
		if old != nil {
			want := text[:old.start] + value + text[old.end:]
			if string(out) != want {
				t.Fatalf("got %q, want %q", out, want)
			}
			return
		}
		// A new key: every line of the old text is still there, in order, and at most three lines are new.
		before, after := strings.Split(text, "\n"), strings.Split(string(out), "\n")
		i, added := 0, 0
		for _, line := range after {
			if i < len(before) && strings.TrimSuffix(line, "\r") == strings.TrimSuffix(before[i], "\r") {
				i++
				continue
			}
			added++
		}
		if i < len(before)-1 || i == len(before)-1 && before[i] != "" || added > 4 {
			t.Fatalf("lines lost or added: %d of %d kept, %d new: %q to %q", i, len(before), added, text, out)
		}
		for _, p := range paths {
			s, _ := splitPath(p)
			a := d.root.follow(s)
			b := changed.root.follow(s)
			if a == nil || b == nil || d.raw(a) != changed.raw(b) {
				t.Fatalf("%s changed: %q to %q", p, text, out)
			}
		}
	})
}

// TestAppendTableProperty: the old text is a prefix of the new one, and the block is read behind it.
func TestAppendTableProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text, _ := drawFile(t)
		d, err := Parse("f", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		note := rapid.String().Draw(t, "note")
		out, err := d.AppendTable("[[s]]\nnote = " + Quote(note))
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(string(out), text) {
			t.Fatalf("%q is no prefix of %q", text, out)
		}
		changed, err := Parse("f", out)
		if err != nil {
			t.Fatal(err)
		}
		list, _ := changed.Root().Tables("s", 100)
		got, ok := list[len(list)-1].Text("note")
		if !ok || got.V != note {
			t.Fatalf("got %q, want %q", got.V, note)
		}
	})
}

// TestQuoteProperty: every text comes back, and nothing in quotes fails to print.
func TestQuoteProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.String().Draw(t, "s")
		q := Quote(s)
		for _, r := range q {
			if r != '\uFFFD' && !strconv.IsPrint(r) {
				t.Fatalf("%q holds %q", q, r)
			}
		}
		d, err := Parse("f", []byte("x = "+q))
		if err != nil {
			t.Fatal(err)
		}
		if got, _ := d.Root().Text("x"); got.V != s {
			t.Fatalf("got %q, want %q", got.V, s)
		}
	})
}

// TestNumberProperty: what strconv writes, ParseNumber reads, with point or comma.
func TestNumberProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.Float64().Filter(func(x float64) bool { return !math.IsInf(x, 0) && !math.IsNaN(x) }).Draw(t, "x")
		s := strconv.FormatFloat(want, byte(rapid.SampledFrom([]rune("fge")).Draw(t, "format")), -1, 64)
		for _, comma := range []bool{false, true} {
			if comma {
				s = strings.Replace(s, ".", ",", 1)
			}
			if got, err := ParseNumber(s, comma); err != nil || got != want {
				t.Fatalf("ParseNumber(%q) = %v, %v", s, got, err)
			}
		}
	})
}
