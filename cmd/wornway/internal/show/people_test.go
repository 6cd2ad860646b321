package show

import (
	"bytes"
	"strings"
	"testing"
)

// A column for CSV alone is in CSV, and people are not shown it.
func TestDataColumn(t *testing.T) {
	r := Report{Tables: []Table{{Name: "t", Columns: []Column{{Head: "seen", Key: "a"}, {Head: "hidden", Key: "b", Data: true}, {Head: "too", Key: "c"}},
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
		if strings.Contains(text, "hidden") || strings.Contains(text, "two") || !strings.Contains(text, "seen") || !strings.Contains(text, "three") {
			t.Errorf("kind %v:\n%s", k, text)
		}
	}
}
