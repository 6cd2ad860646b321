package document

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	_ "wornway/testdata/steady"
)

func TestAppend(t *testing.T) {
	tests := []struct{ name, text, path, value, want string }{
		{"in one line", "a = [1, 2] # x\nb = 1", "a", "3", "a = [1, 2, 3] # x\nb = 1"},
		{"in one line with a comma at the end", "a = [ 1, 2, ]", "a", "3", "a = [ 1, 2, 3, ]"},
		{"to an empty list", "a = []", "a", "[1, 2]", "a = [[1, 2]]"},
		{"to an empty list over two lines", "a = [ # rows\n]\n", "a", "[1, 2]", "a = [ # rows\n  [1, 2],\n]\n"},
		{"to an empty list with a comment within", "a = [\n  # none yet\n]\n", "a", "1",
			"a = [\n  # none yet\n  1,\n]\n"},
		{"a row to a line", "[[s]]\nrows = [\n  [1, 2],\n  [3, 4],\n]\n# end\n", "s[1].rows", "[5, 6]",
			"[[s]]\nrows = [\n  [1, 2],\n  [3, 4],\n  [5, 6],\n]\n# end\n"},
		{"no comma at the end", "rows = [\n\t[1, 2],\n\t[3, 4] # last\n]\n", "rows", "[5, 6]",
			"rows = [\n\t[1, 2],\n\t[3, 4], # last\n\t[5, 6]\n]\n"},
		{"a comment behind the last", "rows = [\n  [3, 4], # bumped the stand, [5, 6] is right\n]\n", "rows", "[5, 6]",
			"rows = [\n  [3, 4], # bumped the stand, [5, 6] is right\n  [5, 6],\n]\n"},
		{"the comma in a line of its own", "rows = [\n  [3, 4] # x\n  , # y\n]\n", "rows", "[5, 6]",
			"rows = [\n  [3, 4] # x\n  , # y\n  [5, 6],\n]\n"},
		{"the first in the key's line", "rows = [[1, 2],\n  [3, 4]]\n", "rows", "[5, 6]",
			"rows = [[1, 2],\n  [3, 4], [5, 6]]\n"},
		{"the only one in the key's line", "rows = [[1, 2],\n]\n", "rows", "[5, 6]", "rows = [[1, 2],\n  [5, 6],\n]\n"},
		{"several to a line", "rows = [\n  [1, 2], [3, 4],\n]\n", "rows", "[5, 6]",
			"rows = [\n  [1, 2], [3, 4],\n  [5, 6],\n]\n"},
		{"CRLF", "rows = [\r\n  [1, 2]\r\n]\r\n", "rows", "[5, 6]", "rows = [\r\n  [1, 2],\r\n  [5, 6]\r\n]\r\n"},
		{"byte order mark", "\uFEFFa = [1]", "a", "2", "\uFEFFa = [1, 2]"},
		{"into a row", "rows = [[1, 2], [3, 4]] # x", "rows[1]", "\"\"", "rows = [[1, 2, \"\"], [3, 4]] # x"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d := parsed(t, tt.text)
			got, err := d.Append(tt.path, tt.value)
			if err != nil || string(got) != tt.want {
				t.Errorf("got  %q, %v\nwant %q", got, err, tt.want)
			}
			if string(d.Bytes()) != tt.text {
				t.Error("the document itself has changed")
			}
		})
	}
	for _, tt := range []struct{ text, path, value, want string }{
		{"a = 1", "a", "2", "f:1:5: a: is not a list in brackets"},
		{"[[a]]", "a", "2", "f:1:1: a: is not a list in brackets"},
		{"a = [1]", "b", "2", "f: b: there is no such list"},
		{"a = [1]", "a", "2, 3", "a = 2, 3: is not a TOML value"},
		{"a = [1]", "a.", "2", `"a." is not the path of a key`},
	} {
		if got, err := parsed(t, tt.text).Append(tt.path, tt.value); got != nil || err == nil ||
			err.Error() != tt.want {
			t.Errorf("Append(%q, %q) = %q, %v; want %s", tt.path, tt.value, got, err, tt.want)
		}
	}
}

func TestRemove(t *testing.T) {
	tests := []struct{ name, text, path, want string }{
		{"a key with its comment", "[a]\nx = 1 # one\ny = 2\n", "a.x", "[a]\ny = 2\n"},
		{"a key over lines", "[a]\nx = [\n 1,\n] # one\ny = 2\n", "a.x", "[a]\ny = 2\n"},
		{"the last key, no line end", "[a]\nx = 1\ny = 2", "a.y", "[a]\nx = 1\n"},
		{"a key of the second element", "[[s]]\nu = 1\n[[s]]\n  u = 2\nv = 3\n", "s[2].u",
			"[[s]]\nu = 1\n[[s]]\nv = 3\n"},
		{"a dotted key", "a.x = 1\na.y = 2\n", "a.x", "a.y = 2\n"},
		{"CRLF", "[a]\r\nx = 1\r\ny = 2\r\n", "a.x", "[a]\r\ny = 2\r\n"},
		{"a row with its line", "rows = [\n  [1, 2],\n  [3, 4], # last\n]\n", "rows[2]", "rows = [\n  [1, 2],\n]\n"},
		{"the last row without a comma", "rows = [\n  [1, 2],\n  [3, 4] # last\n]\n", "rows[2]",
			"rows = [\n  [1, 2],\n]\n"},
		{"an entry before others", "a = [1, 2, 3]", "a[2]", "a = [1, 3]"},
		{"the last entry", "a = [1, 2]", "a[2]", "a = [1]"},
		{"the only entry", "a = [ 1 ]", "a[1]", "a = [  ]"},
		{"of a row", "a = [[1, 2, \"\"], [3]]", "a[1][3]", "a = [[1, 2], [3]]"},
		{"the comma in the next line", "a = [\n1 # one\n, 2]", "a[1]", "a = [\n # one\n 2]"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := parsed(t, tt.text).Remove(tt.path)
			if err != nil || string(got) != tt.want {
				t.Errorf("got  %q, %v\nwant %q", got, err, tt.want)
			}
		})
	}
	for _, tt := range []struct{ text, path, want string }{
		{"a = 1", "b", "f: b: there is nothing to remove"},
		{"a = [1]", "a[2]", "f: a[2]: there is nothing to remove"},
		{"[a]\nb = 1", "a", "f:1:1: a: is a table with a header, and cannot be removed alone"},
		{"a = {b = 1, c = 2}", "a.b", "f:1:10: a.b: does not have its line to itself, and cannot be removed"},
		{"a = 1", "a b", `"a b" is not the path of a key`},
	} {
		if got, err := parsed(t, tt.text).Remove(tt.path); got != nil || err == nil || err.Error() != tt.want {
			t.Errorf("Remove(%q) = %q, %v; want %s", tt.path, got, err, tt.want)
		}
	}
}

func parsed(t interface {
	Helper()
	Fatal(...any)
}, text string) *Document {
	t.Helper()
	d, err := Parse("f", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// written draws a list of rows with whatever may stand between its entries.
func written(t *rapid.T, end string) (text string, entries []string) {
	space := func(label string) string {
		return rapid.SampledFrom([]string{"", " ", "  ", end, end + "  ", " # note, [9, 9]" + end,
			end + "# ] whole line" + end + "\t"}).Draw(t, label)
	}
	text = "["
	n := rapid.IntRange(0, 5).Draw(t, "entries")
	for i := range n {
		e := rapid.SampledFrom([]string{"[1, 2]", "[ 3.5,4 ]", "\"a # b\"", "7", "[5, 6,]", "['x', \"]\"]"}).Draw(t,
			"entry")
		entries = append(entries, e)
		text += space("before") + e + space("behind")
		if i < n-1 || rapid.Bool().Draw(t, "comma at the end") {
			text += ","
		}
	}
	return text + space("before the bracket") + "]", entries
}

// keeps says whether text is was with something added at one place or two.
func keeps(was, text string) bool {
	i := 0
	for j := 0; j < len(text) && i < len(was); j++ {
		if was[i] == text[j] {
			i++
		}
	}
	return i == len(was)
}

// The list then reads as before and the new entry, whatever it looks like, and nothing that was there is lost.
func TestAppendProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		end := rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "line end")
		list, entries := written(t, end)
		head := "# head" + end + "[a]" + end + "x = 1 # one" + end +
			rapid.SampledFrom([]string{"", "  "}).Draw(t, "indent") + "rows = "
		tail := rapid.SampledFrom([]string{"", " # behind", end,
			end + "y = 2" + end + "[[b]]" + end + "rows = [1]"}).Draw(t, "tail")
		text := head + list + tail
		d := parsed(t, text)
		got, err := d.Append("a.rows", "[8, 9]")
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		out := string(got)
		if !strings.HasPrefix(out, head+"[") || !strings.HasSuffix(out, "]"+tail) || !keeps(text, out) {
			t.Fatalf("%q became %q", text, out)
		}
		changed := parsed(t, out)
		steps, _ := splitPath("a.rows")
		if raws := changed.raws(changed.root.follow(steps)); !slices.Equal(raws, append(entries, "[8, 9]")) {
			t.Fatalf("%q became %q: %q", text, out, raws)
		}
		// Taken away again, the list reads as before.
		back, err := changed.Remove("a.rows[" + itoa(len(entries)+1) + "]")
		if err != nil {
			t.Fatalf("%q: %v", out, err)
		}
		again := parsed(t, string(back))
		if raws := again.raws(again.root.follow(steps)); !slices.Equal(raws, entries) {
			t.Fatalf("%q became %q", out, back)
		}
	})
}

// An entry taken away leaves the others as they are written.
func TestRemoveProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list, entries := written(t, "\n")
		if len(entries) == 0 {
			t.Skip("nothing to remove")
		}
		i := rapid.IntRange(0, len(entries)-1).Draw(t, "which")
		text := "[a]\nrows = " + list + "\ny = 1\n"
		got, err := parsed(t, text).Remove("a.rows[" + itoa(i+1) + "]")
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		d := parsed(t, string(got))
		steps, _ := splitPath("a.rows")
		if raws := d.raws(d.root.follow(steps)); !slices.Equal(raws, slices.Delete(slices.Clone(entries), i, i+1)) {
			t.Fatalf("%q became %q", text, got)
		}
	})
}

func itoa(n int) string { return string(rune('0' + n)) }

func FuzzAppend(f *testing.F) {
	f.Add("[[survey]]\nrows = [\n  [1, 2], # one\n]\n", "survey[1].rows", "[3, 4]")
	f.Add("a = [1, 2,]", "a", "3")
	f.Add("a = {b = [\r\n# x\r\n]}", "a.b", "\"x\"")
	f.Add("a = [[[]], []]", "a[1][1]", "{c = 1}")
	f.Fuzz(func(t *testing.T, text, path, value string) {
		d, err := Parse("f", []byte(text))
		if err != nil {
			return
		}
		if out, err := d.Remove(path); err == nil {
			if _, err := Parse("f", out); err != nil || len(out) >= len(text) {
				t.Fatalf("without %s: %q, %v", path, out, err)
			}
		}
		out, err := d.Append(path, value)
		if err != nil {
			return
		}
		if !keeps(text, string(out)) {
			t.Fatalf("%q became %q", text, out)
		}
		if string(d.Bytes()) != text {
			t.Fatal("the document itself has changed")
		}
		changed, err := Parse("f", out)
		if err != nil {
			t.Fatalf("%q: %v", out, err)
		}
		steps, _ := splitPath(path)
		before, after := d.root.follow(steps), changed.root.follow(steps)
		if len(after.items) != len(before.items)+1 ||
			changed.raw(&after.items[len(before.items)]) != strings.TrimSpace(value) {
			t.Fatalf("%q became %q", text, out)
		}
	})
}
