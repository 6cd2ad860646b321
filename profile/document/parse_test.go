package document

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

// Expected texts in this file are the package's own promise to whoever mends a file by hand; where a rule is TOML's, it
// is from TOML 1.0.0 (toml.io).

// TestSyntaxFaults: a file that is not TOML gives one fault, placed on the offence and with a way to mend it.
func TestSyntaxFaults(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"decimal comma", "[lathe]\nway_span = 8,5\n", "f:2:12: lathe.way_span = 8,5: has a decimal comma\n  hint: " +
			"write a decimal point: 8.5"},
		{"decimal comma, CRLF", "[lathe]\r\nway_span = 8,5\r\n",
			"f:2:12: lathe.way_span = 8,5: has a decimal comma\n  hint: write a decimal point: 8.5"},
		{"unit glued", "[lathe]\nway_span = 8in # span", "f:2:12: lathe.way_span = 8in: is not a number alone\n  " +
			"hint: write the number alone: 8"},
		{"inch mark", "a = 8\"\n", "f:1:5: a = 8\": is not a number alone\n  hint: write the number alone: 8"},
		{"fraction", "a = 3/8\n", "f:1:5: a = 3/8: is a fraction\n  hint: write 0.375"},
		{"mixed fraction", "a = 8 1/2\"\n", "f:1:5: a = 8 1/2\": is a fraction\n  hint: write 8.5"},
		{"unit in a row", "x = [[1, 2],\n [2, 8in]]", "f:2:6: x = 8in: is not a number alone\n  hint: write the " +
			"number alone: 8"},
		{"thousands", "a = 1.234,5", "f:1:5: a = 1.234,5: has both a point and a comma\n  hint: write it without " +
			"marks between the thousands: 1234.5"},
		{"leading zero", "a = 08", "f:1:5: a = 08: begins with a zero\n  hint: if a decimal comma stands before it, " +
			"write a decimal point: 0.08; otherwise leave the zero out"},
		{"leading point", "a = .5", "f:1:5: a = .5: is not how a number is written here\n  hint: write 0.5"},
		{"typographic minus", "a = \u22125", "f:1:5: a = \u22125: is not how a number is written here\n  hint: write " +
			"-5"},
		{"capital NaN", "a = NaN", "f:1:5: a = NaN: is not a number that can be used\n  hint: write a " +
			"plain decimal number, such as 2.5"},
		{"text without quotes", "unit = mm\n", "f:1:8: unit = mm: is text without quotes\n  hint: write \"mm\""},
		{"quotes not closed", "unit = \"mm\n", "f:1:8: unit = \"mm: lacks its closing quote\n  hint: write \"mm\""},
		{"quotes not closed in a list", "a = [\"x, 2]", "f:1:6: a = \"x, 2]: lacks its closing quote\n  hint: write " +
			"\"x, 2]\""},
		{"curly quotes", "unit = \u201cmm\u201d", "f:1:8: unit = \u201cmm\u201d: stands in quotes that do not count " +
			"as such\n  hint: write \"mm\""},
		{"backslash", `a = "C:\shop"`, `f:1:5: a = "C:\shop": has a backslash that means nothing` +
			"\n  hint: write it in single quotes, or every backslash twice"},
		{"apostrophe", "a = 'it's'", "f:1:5: a = 'it's': is followed by something that does not belong there\n  " +
			"hint: a text with an apostrophe in it needs double quotes"},
		{"capital True", "a = True", "f:1:5: a = True: is not how yes and no are written\n  hint: write true or " +
			"false, in small letters"},
		{"no value", "a =\nb = 1", "f:1:4: a: no value is given\n  hint: write the value behind the =, " +
			"or leave the key out"},
		{"date the other way", "date = 14.03.2026", "f:1:8: date = 14.03.2026: is not a date\n  hint: write " +
			"year-month-day, for instance 2026-03-14"},
		{"date that is none", "date = 2026-02-30", "f:1:8: date = 2026-02-30: is no date of the " +
			"calendar\n  hint: write year-month-day, for instance 2026-03-14"},
		{"key twice", "a = 1\nb = 2\na = 3\n", "f:3:1: a: is written twice\n  hint: first written on line 1"},
		{"key twice in braces", "s = {x = 1, x = 2}", "f:1:13: s.x: is written twice\n  hint: first written on line 1"},
		{"table twice", "[a]\nx = 1\n[a]\n", "f:3:1: a: is written twice\n  hint: first written on line 1; put all " +
			"its keys under one header"},
		{"table and list", "[a]\n[[a]]\n", "f:2:1: a: is written twice\n  hint: first written on line 1"},
		{"list not closed", "bed = [1, 2\n", "f:1:7: bed: the list is not closed\n  hint: close every [ with a ]"},
		{"list not closed before a key", "bed = [1,\n2\nb = 3\n",
			"f:1:7: bed: the value does not end before line 3\n  hint: close every bracket, and put a comma between " +
				"entries"},
		{"rows not closed before a header", "x = [[1,2],\n[2,3]\n\n[[survey]]\nm = 1",
			"f:1:5: x: the value does not end before line 4\n  hint: close every bracket, and put a comma between " +
				"entries"},
		{"comma missing between rows", "x = [\n [1, 2]\n [3, 4]\n]",
			"f:3:2: x: '[' cannot stand here\n  hint: put a comma between entries"},
		{"two commas", "a = [1,,2]", "f:1:8: a: ',' cannot stand here\n  hint: something is missing before it"},
		{"braces not closed", "s = {a = 1", "f:1:5: s: the braces are not closed\n  hint: close every { with a }"},
		{"two keys on a line", "a = 1 b = 2", "f:1:7: a: 'b' cannot stand here\n  hint: give every key a line of its " +
			"own"},
		{"header not closed", "[lathe\na = 1", "f:1:7: the header of this table cannot be read\n  hint: write [lathe]"},
		{"header of a list not closed", "[[survey]\na = 1",
			"f:1:9: the header of this table cannot be read\n  hint: write [[survey]]"},
		{"header with a space", "[front way]", "f:1:8: the header of this table cannot be read\n  hint: write " +
			"[front_way]"},
		{"key with a space", "way span = 1", "f:1:5: a key cannot have spaces in it\n  hint: write way_span"},
		{"colon", "way_span: 8", "f:1:9: there is no = behind the key\n  hint: write way_span = 8"},
		{"no equals sign", "way_span 8", "f:1:10: there is no = behind the key\n  hint: write way_span = 8"},
		{"a comment without #", "# x\n\n  Hello, all\n", "f:3:8: this is neither key = value nor a [table]\n  hint: " +
			"begin a comment with #"},
		{"foreign letters in a key", "höhe = 1", "f:1:2: a key has letters a to z, digits, _ and - " +
			"only\n  hint: spell the key as wornway new writes it"},
		{"key alone", "way_span # x", "f:1:10: there is no = behind the key\n  hint: write way_span = and its value, " +
			"or begin a comment with #"},
		{"header without a name", "[]", "f:1:2: the header of this table cannot be read\n  hint: write [name]"},
		{"carriage returns alone", "a = 1\rb = 2", "f:1:6: a: the line ends in a way that TOML does not " +
			"know\n  hint: save the file with ordinary line ends"},
		{"time of day", "a = 25:00:00", "f:1:5: a = 25:00:00: is no time of the day\n  hint: no time of " +
			"the day is asked for here: leave it out, or put it in quotes"},
		{"control character", "a = \"\x07\"", "f:1:5: a = \"\\a\": has a character that may not stand " +
			"in a text\n  hint: leave it out; a text may hold what can be typed"},
		{"long text without quotes", "a = " + strings.Repeat("word ", 20),
			"f:1:5: a = word word word word word word word word…: is text without quotes\n  hint: put the text " +
				"between two quote marks, \"like this\""},
		{"triple quotes not closed", "a = \"\"\"\nb = 1\n",
			"f:1:5: a: the text in triple quotes is not closed, or holds a character that may not stand " +
				"there\n  hint: end the text with the three quotes that it begins with"},
		{"nested too deep", "a = " + strings.Repeat("[", 20000), "f:1:15: brackets are nested more than " +
			"10 deep\n  hint: close each bracket before the next opens; rows are [[1, 2], [3, 4]]"},
		{"UTF-16", "\xff\xfea\x00", "f:1:1: the text is UTF-16, not UTF-8\n  hint: save the file as UTF-8"},
		{"not UTF-8", "a = 1\nb = \"\u00b5\xb5\"", "f:2:7: the text is not valid UTF-8\n  hint: save the file as " +
			"UTF-8"},
		{"columns in characters", "a = \"\u00b5\u00b5\" 5",
			"f:1:5: a = \"\u00b5\u00b5\" 5: is followed by something that does not belong there\n  hint: write \\\" " +
				"for a quote mark within the text, and begin a comment with #"},
		{"byte order mark", "\uFEFFa = 8,5", "f:1:5: a = 8,5: has a decimal comma\n  hint: write a decimal point: 8.5"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d, err := Parse("f", []byte(tt.text))
			if d != nil || err == nil {
				t.Fatalf("accepted %q", tt.text)
			}
			if err.Error() != tt.want {
				t.Errorf("got  %s\nwant %s", err, tt.want)
			}
			var faults Faults
			if !errors.As(err, &faults) || len(faults) != 1 {
				t.Errorf("want one fault, got %#v", err)
			}
		})
	}
}

// read calls every accessor once, each on the key of its own name.
func read(d *Document) {
	r := d.Root()
	r.Number("number")
	r.Text("text")
	r.Bool("bool")
	r.Date("date")
	r.Numbers("numbers")
	r.Texts("texts")
	r.Pairs("pairs")
	r.Scalar("scalar")
	r.Rows("rows", RowOptions{Columns: []string{"position", "reading"}})
	r.Rows("marked", RowOptions{Columns: []string{"position", "light"}, Text: map[string]bool{"light": true}})
	r.Table("table")
	r.Tables("tables", 100)
}

// TestAccessorFaults: a value of the wrong kind is told in plain words, shown as it is written.
func TestAccessorFaults(t *testing.T) {
	tests := []struct{ text, want string }{
		{`number = "8"`, "f:1:10: number = \"8\": must be a number\n  hint: drop the quotes: 8"},
		{`number = "8,5"`, "f:1:10: number = \"8,5\": must be a number\n  hint: drop the quotes: 8.5"},
		{`number = "8in"`, "f:1:10: number = \"8in\": must be a number\n  hint: write the number alone: 8"},
		{`number = "3/8"`, "f:1:10: number = \"3/8\": must be a number\n  hint: write 0.375"},
		{`number = "wide"`, "f:1:10: number = \"wide\": must be a number\n  hint: write a plain decimal " +
			"number, such as 2.5"},
		{`number = true`, "f:1:10: number = true: must be a number\n  hint: write a plain decimal " +
			"number, such as 2.5"},
		{`number = nan`, "f:1:10: number = nan: is not a number that can be used\n  hint: write a plain " +
			"decimal number, such as 2.5"},
		{`number = -inf`, "f:1:10: number = -inf: is not a number that can be used\n  hint: write a " +
			"plain decimal number, such as 2.5"},
		{"number = 1.5e999\n[table]\n", "f:1:10: number = 1.5e999: is too large a number\n  hint: check the number: " +
			"is a decimal point or a minus in the exponent missing?"},
		{`number = 99999999999999999999`, "f:1:10: number = 99999999999999999999: is too large a number\n  hint: " +
			"check the number: is a decimal point or a minus in the exponent missing?"},
		{"numbers = [1, 0x10000000000000000]", "f:1:15: numbers[2] = 0x10000000000000000: is too large a number\n  " +
			"hint: check the number: is a decimal point or a minus in the exponent missing?"},
		{`number = [1]`, "f:1:10: number = [1]: must be a number\n  hint: write a plain decimal number, " +
			"such as 2.5"},
		{"[number]\na = 1", "f:1:1: number: must be a number\n  hint: write a plain decimal number, " +
			"such as 2.5"},
		{"text = 8.50", "f:1:8: text = 8.50: must be text in quotes\n  hint: write \"8.50\""},
		{"text = [\n\"a\"]", "f:1:8: text = [ \"a\"]: must be text in quotes\n  hint: write one text " +
			"between quote marks, \"like this\""},
		{`bool = "true"`, "f:1:8: bool = \"true\": must be true or false\n  hint: drop the quotes: true"},
		{`bool = 1`, "f:1:8: bool = 1: must be true or false\n  hint: write true or false, in small " +
			"letters and without quotes"},
		{`date = "2026-03-14"`, "f:1:8: date = \"2026-03-14\": must be a date\n  hint: drop the quotes: 2026-03-14"},
		{`date = 12:00:00`, "f:1:8: date = 12:00:00: must be a date\n  hint: write year-month-day without quotes, " +
			"for instance 2026-03-14"},
		{`numbers = 3`, "f:1:11: numbers = 3: must be a list of numbers in brackets\n  hint: write [3]"},
		{`numbers = [1, "2", nan]`, "f:1:15: numbers[2] = \"2\": must be a number\n  hint: drop the " +
			"quotes: 2\nf:1:20: numbers[3] = nan: is not a number that can be used\n  hint: write a plain " +
			"decimal number, such as 2.5"},
		{`texts = "a"`, "f:1:9: texts = \"a\": must be a list of texts in brackets\n  hint: write [\"a\"]"},
		{`texts = ["a", 1]`, "f:1:15: texts[2] = 1: must be text in quotes\n  hint: write \"1\""},
		{`pairs = [1, 2]`, "f:1:9: pairs = [1, 2]: must be a list of pairs: one more pair of brackets is needed\n  " +
			"hint: write [[1, 2]]"},
		{`pairs = [[1, 2], [3]]`, "f:1:18: pairs[2] = [3]: must be a pair of numbers in brackets\n  " +
			"hint: write [from, to]"},
		{`pairs = [[1, "x"]]`, "f:1:14: pairs[1] = \"x\": must be a number\n  hint: write a plain " +
			"decimal number, such as 2.5"},
		{`pairs = 7`, "f:1:9: pairs = 7: must be a list of pairs of numbers\n  hint: write [[from, to]]"},
		{`scalar = true`, "f:1:10: scalar = true: must be a number or text in quotes\n  hint: write one " +
			"number, or one text between quote marks"},
		{`scalar = inf`, "f:1:10: scalar = inf: is not a number that can be used\n  hint: write a plain " +
			"decimal number, such as 2.5"},
		{`rows = [1, 2]`, "f:1:8: rows = [1, 2]: must be a list of rows, each in brackets\n  hint: each row needs " +
			"brackets of its own: [[1, 2], [3, 4]]"},
		{"rows = [[1, 2],\n  [1, 2, 3], [4]]", "f:2:3: rows: row 2 has 3 entries, columns names 2\n  " +
			"hint: give each row an entry for each column\nf:2:14: rows: row 3 has 1 entry, columns names " +
			"2\n  hint: give each row an entry for each column"},
		{"rows = [[1,5, 2]]", "f:1:9: rows: row 1 has 3 entries, columns names 2\n  hint: if 1,5 is one number, " +
			"write a decimal point: 1.5"},
		{"rows = [[1, \"2\"]]", "f:1:13: rows: row 1, reading = \"2\": must be a number\n  hint: drop the quotes: 2"},
		{"rows = [[1, \"\"]]", "f:1:13: rows: row 1, reading = \"\": is empty\n  hint: write its " +
			"number, or leave the row out"},
		{"rows = [[1, nan]]", "f:1:13: rows: row 1, reading = nan: is not a number that can be used\n  " +
			"hint: write a plain decimal number, such as 2.5"},
		{"rows = [[1, 2], 3]", "f:1:17: rows: row 2 = 3: must be a list in brackets\n  hint: write it " +
			"as [1, 2]"},
		{"marked = [[\"a\", \"none\"]]", "f:1:12: marked: row 1, position = \"a\": must be a number\n  " +
			"hint: write a plain decimal number, such as 2.5"},
		{"table = 1", "f:1:9: table = 1: must be a table\n  hint: write its keys under a header [table]"},
		{"[[table]]", "f:1:1: table: must be a table\n  hint: write the header with single brackets: [table]"},
		{"[tables]", "f:1:1: tables: there may be several of these\n  hint: begin each of them with the header " +
			"[[tables]]"},
		{"tables = [{}, 1]", "f:1:15: tables[2] = 1: must be a table\n  hint: begin each of them with the header " +
			"[[tables]]"},
		{"numbr = 1", "f:1:1: numbr: unknown key; did you mean number?\n  hint: write number"},
		{"Text = 'a'", "f:1:1: Text: unknown key; did you mean text?\n  hint: write text"},
		{"qqqqqq = 1", "f:1:1: qqqqqq: unknown key\n  hint: keys known here: bool, date, marked, number, numbers, " +
			"pairs, rows, scalar, table, tables, text, texts"},
		{"\"a\\u001b b\" = 1", "f:1:1: \"a\\u001B b\": unknown key\n  hint: keys known here: bool, date, marked, " +
			"number, numbers, pairs, rows, scalar, table, tables, text, texts"},
		{"[table]\nsize = 1", "f:2:1: table.size: unknown key\n  hint: no key is known here: leave it " +
			"out"},
		{"[table]\nscalar = 1", "f:2:1: table.scalar: unknown key\n  hint: scalar belongs above the first [table]"},
		{"x = 1", "f:1:1: x: unknown key\n  hint: keys known here: bool, date, marked, number, numbers, pairs, rows, " +
			"scalar, table, tables, text, texts"},
		{"[[tables]]\n[[tables]]\nx = 1", "f:3:1: tables[2].x: unknown key\n  hint: no key is known " +
			"here: leave it out"},
	}
	for _, tt := range tests {
		t.Run(tt.text, func(t *testing.T) {
			d, err := Parse("f", []byte(tt.text))
			if err != nil {
				t.Fatal(err)
			}
			read(d)
			got := "no fault"
			if err := d.Faults(); err != nil {
				got = err.Error()
			}
			if got != tt.want {
				t.Errorf("got  %s\nwant %s", got, tt.want)
			}
		})
	}
}

// TestAllAtOnce: faults of every kind come in the order of the file, the document's own before those of other files.
func TestAllAtOnce(t *testing.T) {
	d, err := Parse("bench.toml", []byte("unit = \"in\"\n\n[lathe]\nway_spann = 8.0\nbed = [-8.0, "+
		"44.0]\n\n[lathe.saddle]\nlength = 0\nbed = 1\n"))
	if err != nil {
		t.Fatal(err)
	}
	d.Add(Fault{File: "run.csv", Line: 1, Message: "is first in its file"})
	r := d.Root()
	r.Text("unit")
	r.Fault("unit", "in or mm", "must be one of %d", 2)
	l, _ := r.Table("lathe")
	l.Number("way_span")
	l.Missing("way_span", "measure it")
	l.Numbers("bed")
	s, _ := l.Table("saddle")
	s.Number("length")
	s.Fault("length", "", "must be greater than zero")
	s.Fault("", "", "does not fit")
	d.AddAll(errors.Join(Fault{Line: 9, Column: 7, Message: "from elsewhere"}))
	want := `bench.toml:1:8: unit = "in": must be one of 2
  hint: in or mm
bench.toml:3:1: lathe.way_span: missing
  hint: measure it
bench.toml:4:1: lathe.way_spann: unknown key; did you mean way_span?
  hint: write way_span
bench.toml:7:1: lathe.saddle: does not fit
bench.toml:8:10: lathe.saddle.length = 0: must be greater than zero
bench.toml:9:1: lathe.saddle.bed: unknown key
  hint: bed belongs in [lathe]
bench.toml:9:7: from elsewhere
run.csv:1: is first in its file`
	for range 2 { // asking twice changes nothing
		if got := d.Faults().Error(); got != want {
			t.Errorf("got:\n%s\nwant:\n%s", got, want)
		}
	}
	var one Fault
	if !errors.As(d.Faults(), &one) || one.Key != "unit" {
		t.Errorf("errors.As found %v", one)
	}
}

func TestManyBadRows(t *testing.T) {
	d, err := Parse("f", []byte("rows = ["+strings.Repeat("[1],\n", 57)+"]"))
	if err != nil {
		t.Fatal(err)
	}
	d.Root().Rows("rows", RowOptions{Columns: []string{"a", "b"}})
	lines := strings.Split(d.Faults().Error(), "\n")
	if len(lines) != 42 || lines[40] != "f:20:1: and 37 more faults like these" {
		t.Errorf("%d lines, last %q", len(lines), lines[len(lines)-1])
	}
}

func TestFaultShowsNoControlCharacters(t *testing.T) {
	f := Fault{File: "a\x1b[2J", Line: 1, Key: "k", Value: "\x07" + strings.Repeat("long ", 100), Message: "bad\nnews"}
	got := Faults{f}.Error()
	want := `a\x1b[2J:1: k = \along long long long long long long lo…: bad news`
	if got != want {
		t.Errorf("got %q\nwant %q", got, want)
	}
}

func TestAddAll(t *testing.T) {
	d, err := Parse("f", nil)
	if err != nil || d.Name() != "f" || d.Root().Document() != d {
		t.Fatal(d, err)
	}
	d.AddAll(nil)
	if d.Faults() != nil {
		t.Error(d.Faults())
	}
	_, err = ReadRows("run.csv", strings.NewReader("1,x\n"), RowOptions{Columns: []string{"a", "b"}})
	d.AddAll(fmt.Errorf("wrapped: %w", err))
	d.AddAll(errors.New("something else"))
	d.AddAll(Fault{Line: 2, Message: "one"})
	want := "f:2: one\nf: something else\nrun.csv:1:3: b: x is not a number\n  hint: write a plain " +
		"decimal number, such as 2.5"
	if got := d.Faults().Error(); got != want {
		t.Errorf("got %s\nwant %s", got, want)
	}
}

// TestHeaderNames: the path of a table and the header that its writer should look for.
func TestHeaderNames(t *testing.T) {
	d, err := Parse("f", []byte("[[\"a[1]\\\"\"]]\n[[\"a[1]\\\"\".b]]\nkey = 1\n[c]\nother = 1\n"))
	if err != nil {
		t.Fatal(err)
	}
	list, _ := d.Root().Tables(`a[1]"`, 100)
	below, _ := list[0].Tables("b", 100)
	below[0].Has("key")
	below[0].Has("other")
	d.Root().Table("c")
	if got := below[0].Path(); got != `"a[1]\""[1].b[1]` {
		t.Error(got)
	}
	if got, want := d.Faults().Error(), "f:5:1: c.other: unknown key\n  hint: other belongs in "+
		"[[\"a[1]\\\"\".b]]"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}
