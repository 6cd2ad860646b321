package document

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"
	"testing/iotest"
)

// TestReadRows: the same two readings in every shape that a spreadsheet or an editor may give them. RFC 4180 says what
// quotes and commas mean.
func TestReadRows(t *testing.T) {
	two := []string{"position", "reading"}
	want := []float64{2, 0.5, -4, 1.25}
	tests := []struct {
		name, text string
		columns    []string
	}{
		{"plain", "2,0.5\n-4,1.25\n", two},
		{"header", "position,reading\n2,0.5\n-4,1.25\n", two},
		{"header alone names", "position,reading\n2,0.5\n-4,1.25\n", nil},
		{"capitals", "Position, Reading \n2,0.5\n-4,1.25\n", nil},
		{"byte order mark", "\uFEFFposition,reading\n2,0.5\n-4,1.25", nil},
		{"byte order mark and quotes", "\uFEFF\"position\",\"reading\"\n2,0.5\n-4,1.25", nil},
		{"CRLF", "position,reading\r\n2,0.5\r\n-4,1.25\r\n", two},
		{"comments and empty lines", "# run, 3\n\nposition,reading\n# mid\n\n2,0.5\n,\n  \n-4,1.25\n", two},
		{"semicolons", "position;reading\n2;0.5\n-4;1.25\n", two},
		{"decimal commas", "position;reading\n2;0,5\n-4;1,25\n", two},
		{"decimal commas, first line numbers", "2;0,5\n-4;1,25\n", two},
		{"tabs", "position\treading\n2\t0.5\n-4\t1.25\n", two},
		{"tabs with decimal commas", "position\treading\n2\t0,5\n-4\t1,25\n", two},
		{"spaces and quotes", "position, reading\n 2 , \"0.5\"\n-4, 1.25 \n", two},
		{"typographic minus", "2,0.5\n\u22124,1.25\n", two},
		{"fractions", "position,reading\n2,1/2\n-4,1 1/4\n", two},
		{"fractions between semicolons", "2;1/2\n-4;1-1/4\n", two},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			rows, err := ReadRows("f", iotest.OneByteReader(strings.NewReader(tt.text)),
				RowOptions{Columns: tt.columns})
			if err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(rows.Data, want) || !reflect.DeepEqual(rows.Columns, two) || rows.Len() != 2 ||
				rows.Width() != 2 {
				t.Errorf("got %v %v", rows.Columns, rows.Data)
			}
		})
	}
}

func TestReadRowsOptions(t *testing.T) {
	text := "# \u00b5\n\nposition\tlight\tback\n 1\tnone \u00b5\t\n2\t7\t3\n3\tnone \u00b5\t-1\n"
	rows, err := ReadRows("run.csv", strings.NewReader(text),
		RowOptions{Text: map[string]bool{"light": true}, Optional: map[string]bool{"back": true}})
	if err != nil {
		t.Fatal(err)
	}
	if rows.Text(0, 1) != "none \u00b5" || !rows.IsText(0, 1) || rows.Number(1, 1) != 7 || rows.IsText(1, 1) ||
		rows.Text(0, 0) != "" {
		t.Error("text column", rows.texts, rows.Data)
	}
	if !rows.Absent(0, 2) || rows.Absent(1, 2) || rows.Absent(0, 1) || !math.IsNaN(rows.Number(0, 2)) {
		t.Error("optional column", rows.Data)
	}
	if got := rows.At(2, 2); got != (Pos{6, 10}) { // counted by hand: 3, tab, six letters, tab
		t.Error("position", got)
	}
	if got := rows.Fault(2, 2, "is too small", "").Error(); got != "run.csv:6:10: back: is too small" {
		t.Error(got)
	}
	if got := rows.Row(1); !reflect.DeepEqual(got, []float64{2, 7, 3}) {
		t.Error(got)
	}
	empty, err := ReadRows("f", strings.NewReader("a,b\n"), RowOptions{})
	if err != nil || empty.Len() != 0 || empty.Width() != 2 {
		t.Error("a header alone:", empty, err)
	}
}

func TestReadRowsFaults(t *testing.T) {
	two := RowOptions{Columns: []string{"position", "reading"}}
	tests := []struct {
		name, text string
		opts       RowOptions
		want       string
	}{
		{"empty", "", two, "f: holds no rows\n  hint: write a line for each row, such as 4,0.5"},
		{"comments alone", "# a\n\n", two, "f: holds no rows\n  hint: write a line for each row, such " +
			"as 4,0.5"},
		{"no header", "1,2\n", RowOptions{}, "f:1:1: the first line names no columns\n  hint: put the columns' names " +
			"in the first line, for instance position,reading"},
		{"other header", "\nposition,back\n1,2\n", two, "f:2:1: the header names position, back; expected are " +
			"position, reading\n  hint: give the same names in the same order"},
		{"other order", "reading;position\n1;2\n", two, "f:1:1: the header names reading, position; expected are " +
			"position, reading\n  hint: give the same names in the same order"},
		{"name twice", "a,b,A\n", RowOptions{}, "f:1:5: two columns are called a\n  hint: leave one of " +
			"them out, or name it otherwise"},
		{"name missing", "\u00b5,\n", RowOptions{}, "f:1:3: column 2 has no name\n  hint: name it, or " +
			"leave the column out"},
		{"short row", "1,2\n\n3\n", two, "f:3:1: row has 1 entry, columns names 2\n  hint: give each " +
			"row a cell for each column"},
		{"long row", "position,reading\n1,2,3\n", two, "f:2:1: row has 3 entries, the header names 2\n  " +
			"hint: give each row a cell for each column"},
		{"decimal commas between commas", "position,reading\n1,5,2,5\n", two,
			"f:2:1: row has 4 entries, the header names 2\n  hint: if these are decimal commas, separate the cells " +
				"by semicolons"},
		{"not a number", "# \u00b5\n1,2\n3,x\n4,5\n,6\n", two,
			"f:3:3: reading: x is not a number\n  hint: write a plain decimal number, such as 2.5\nf:5:1: " +
				"position: is empty\n  hint: write its number, or leave the row out"},
		{"unit", "1,2in\n", two, "f:1:3: reading: 2in is not a number alone\n  hint: write the number alone: 2"},
		{"fraction that lacks a blank", "1,81/4\n", two, "f:1:3: reading: 81/4 is a fraction\n  hint: write 20.25"},
		{"nan", "1,nan\nNaN,inf\n", two, "f:1:3: reading: nan is not a number that can be used\n  hint: " +
			"write a plain decimal number, such as 2.5\nf:2:1: position: NaN is not a number that can be " +
			"used\n  hint: write a plain decimal number, such as 2.5\nf:2:5: reading: inf is not a number " +
			"that can be used\n  hint: write a plain decimal number, such as 2.5"},
		{"nan in the first line", "nan,nan\n", two, "f:1:1: position: nan is not a number that can be " +
			"used\n  hint: write a plain decimal number, such as 2.5\nf:1:5: reading: nan is not a number " +
			"that can be used\n  hint: write a plain decimal number, such as 2.5"},
		{"hexadecimal and underscores", "0x10,1_000\n", two,
			"f:1:1: position: 0x10 is not a plain decimal number\n  hint: write 16\nf:1:6: reading: 1_000 has marks " +
				"between its digits\n  hint: write 1000"},
		{"decimal comma in quotes", "1,\"2,5\"\n", two, "f:1:3: reading: 2,5 has a decimal comma\n  hint: write a " +
			"decimal point: 2.5"},
		{"mixed marks", "1;2,5\n2;3\n3.5;4.5\n", two, "f:3:1: position: 3.5 has a decimal point, but 2,5 on line 1 " +
			"has a comma\n  hint: use one decimal mark throughout"},
		{"mixed marks, comma last", "1;2.5\n2;3,5\n", two, "f:2:3: reading: 3,5 has a decimal comma, but 2.5 on line " +
			"1 has a point\n  hint: use one decimal mark throughout"},
		{"thousands", "1;1.234,5\n", two, "f:1:3: reading: 1.234,5 has both a point and a comma\n  hint: write it " +
			"without marks between the thousands: 1234.5"},
		{"column in characters", "\u22121,x\n", two, "f:1:4: reading: x is not a number\n  hint: write " +
			"a plain decimal number, such as 2.5"},
		{"inch mark", "1,2\n3,4\"\n5,x\n", two, "f:2:4: a quote mark stands within a cell\n  hint: " +
			"write numbers without an inch mark; begin and end a quoted cell with the quote mark\nf:3:3: " +
			"reading: x is not a number\n  hint: write a plain decimal number, such as 2.5"},
		{"open quote", "1,2\n\"3,4\n", two, "f:2: a quote mark is missing or stands in the wrong place\n  hint: end " +
			"a cell in quotes with a quote mark"},
		{"quote over a line end", "1,\"2\n\"\n", two, "f:1:1: a cell in quotes runs over the end of the line\n  " +
			"hint: close the quotes in the same line"},
		{"UTF-16", "\xff\xfe1\x00", two, "f:1:1: the text is UTF-16, not UTF-8\n  hint: save the file as UTF-8"},
		{"not UTF-8", "1,\xb5\n", RowOptions{Columns: two.Columns, Text: map[string]bool{"reading": true}},
			"f:1:3: reading: the text is not valid UTF-8\n  hint: save the file as UTF-8"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			rows, err := ReadRows("f", strings.NewReader(tt.text), tt.opts)
			var faults Faults
			if !errors.As(err, &faults) {
				t.Fatalf("got %v, %v", rows, err)
			}
			if rows != nil { // what is right beside what is wrong
				checkRows(t, rows)
			}
			if err.Error() != tt.want {
				t.Errorf("got  %s\nwant %s", err, tt.want)
			}
		})
	}
	_, err := ReadRows("f", strings.NewReader("a,b\n"+strings.Repeat("x,1\n", 57)), RowOptions{})
	lines := strings.Split(err.Error(), "\n")
	if len(lines) != 42 || lines[0] != "f:2:1: a: x is not a number" ||
		lines[40] != "f:21:1: and 37 more faults like these" {
		t.Errorf("%d lines, last %q", len(lines), lines[len(lines)-1])
	}
	_, err = ReadRows("f", iotest.ErrReader(errors.New("disk gone")), two)
	if err == nil || err.Error() != "f: cannot be read: disk gone\n  hint: see whether it can be opened and copied" {
		t.Error(err)
	}
}

// BenchmarkReadRows: rows of four numbers, as a logger writes them.
func BenchmarkReadRows(b *testing.B) {
	for _, n := range []int{1e3, 1e4, 1e5, 1e6} {
		var text bytes.Buffer
		text.WriteString("position,front,rear,shift\n")
		for i := range n {
			fmt.Fprintf(&text, "%.3f,%.5f,%.5f,%.5f\n", float64(i)/8, float64(i%97)/7e3, float64(i%89)/9e3,
				float64(i%83)/-8e3)
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(text.Len()))
			for b.Loop() {
				rows, err := ReadRows("f", bytes.NewReader(text.Bytes()), RowOptions{})
				if err != nil || rows.Len() != n {
					b.Fatal(err)
				}
			}
		})
	}
}
