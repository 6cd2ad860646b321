package document

import (
	"math"
	"reflect"
	"strings"
	"testing"
	"time"
)

const sample = `# invented data
unit = "in"

[lathe]
way_span = 8.0                    # required
bed = [ -8.0, 44 ]
unworn = [[-8.0, -4.5], [40.5, 44.0]]
µ = 1
`

// TestValues: what every accessor gives, with position and text as written.
func TestValues(t *testing.T) {
	text := strings.Replace(sample, "µ", `"µ"`, 1) + `saddle.length = 11
saddle . bearing = 'ends'

  [lathe.spindle]
  lean_out = -1_000e-3
  big = 0x1F
  turned = true
  [[survey]]
  date = 2026-03-14T23:30:00-05:00
  columns = ["position", "light"]
  rows = [
    [2, "none"],  # µ
    [ 4.5 , 7 ],
    [5, ""] ]
  per_division = "0.02 mm/m"
[[survey]]
  date = 2026-03-15
  per_division = 0.5
  stand = { height = 2, note = "µm", at.x = 3 }
  [survey.holder]
  x = 1
`
	d, err := Parse("f", []byte("\uFEFF"+text))
	if err != nil {
		t.Fatal(err)
	}
	r := d.Root()
	check := func(what string, got, want any) {
		t.Helper()
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%s: got %v, want %v", what, got, want)
		}
	}
	unit, _ := r.Text("unit")
	check("unit", unit, Value[string]{"in", Pos{2, 8}, `"in"`})
	lathe, _ := r.Table("lathe")
	check("keys", lathe.Keys(), []string{"way_span", "bed", "unworn", "µ", "saddle", "spindle"})
	check("at", lathe.At(""), Pos{4, 1})
	check("at a table", lathe.At("spindle"), Pos{12, 3})
	check("at what is absent", lathe.At("none"), Pos{4, 1})
	span, _ := lathe.Number("way_span")
	check("way_span", span, Value[float64]{8, Pos{5, 12}, "8.0"})
	bed, _ := lathe.Numbers("bed")
	check("bed", bed, Value[[]float64]{[]float64{-8, 44}, Pos{6, 7}, "[ -8.0, 44 ]"})
	unworn, _ := lathe.Pairs("unworn")
	check("unworn", unworn, []Value[[2]float64]{{[2]float64{-8, -4.5}, Pos{7, 11}, "[-8.0, -4.5]"},
		{[2]float64{40.5, 44}, Pos{7, 25}, "[40.5, 44.0]"}})
	mu, _ := lathe.Number("µ")
	check("columns count characters", mu.Pos, Pos{8, 7})
	saddle, _ := lathe.Table("saddle")
	length, _ := saddle.Number("length")
	check("dotted", length, Value[float64]{11, Pos{9, 17}, "11"})
	bearing, _ := saddle.Text("bearing")
	check("dotted", bearing, Value[string]{"ends", Pos{10, 20}, "'ends'"})
	check("path", saddle.Path(), "lathe.saddle")
	spindle, _ := lathe.Table("spindle")
	lean, _ := spindle.Number("lean_out")
	check("lean_out", lean.V, -1.0)
	big, _ := spindle.Number("big")
	check("hexadecimal is TOML", big.V, 31.0)
	turned, _ := spindle.Bool("turned")
	check("turned", turned, Value[bool]{true, Pos{15, 12}, "true"})
	surveys, ok := r.Tables("survey", 100)
	if !ok || len(surveys) != 2 {
		t.Fatalf("%d surveys", len(surveys))
	}
	check("path", surveys[1].Path(), "survey[2]")
	check("at", surveys[1].At(""), Pos{24, 1})
	date, _ := surveys[0].Date("date")
	check("date as written", date.V, time.Date(2026, 3, 14, 0, 0, 0, 0, time.UTC))
	date, _ = surveys[1].Date("date")
	check("date", date, Value[time.Time]{time.Date(2026, 3, 15, 0, 0, 0, 0, time.UTC), Pos{25, 10}, "2026-03-15"})
	per, _ := surveys[0].Scalar("per_division")
	check("text", per, Value[any]{"0.02 mm/m", Pos{23, 18}, `"0.02 mm/m"`})
	per, _ = surveys[1].Scalar("per_division")
	check("number", per, Value[any]{0.5, Pos{26, 18}, "0.5"})
	columns, _ := surveys[0].Texts("columns")
	rows, ok := surveys[0].Rows("rows", RowOptions{Columns: columns.V, Text: map[string]bool{"light": true},
		Optional: map[string]bool{"light": true}})
	if !ok {
		t.Fatal(d.Faults())
	}
	check("rows", rows.Len(), 3)
	check("width", rows.Width(), 2)
	check("column", rows.Column("light"), 1)
	check("number", rows.Number(1, 0), 4.5)
	check("text", rows.Text(0, 1), "none")
	check("text", rows.IsText(0, 1), true)
	check("a number in a text column", rows.Number(1, 1), 7.0)
	check("a number in a text column", rows.Text(1, 1), "7")
	check("absent", rows.Absent(2, 1), true)
	check("absent", rows.Absent(1, 1), false)
	check("at", rows.At(1, 1), Pos{21, 13})
	check("fault", rows.Fault(1, 0, "must ascend", "").Error(), "f:21:7: survey[1].rows: row 2, position: must ascend")
	check("fault", rows.Fault(1, -1, "must ascend", "").Error(), "f:21:7: survey[1].rows: row 2: must ascend")
	stand, _ := surveys[1].Table("stand")
	note, _ := stand.Text("note")
	check("inline", note, Value[string]{"µm", Pos{27, 32}, `"µm"`})
	at, _ := stand.Table("at")
	x, _ := at.Number("x")
	check("dotted in braces", x, Value[float64]{3, Pos{27, 45}, "3"})
	check("path", at.Path(), "survey[2].stand.at")
	holder, _ := surveys[1].Table("holder")
	x, _ = holder.Number("x")
	check("beneath an element", x.Pos, Pos{29, 7})
	stand.Number("height")
	if err := d.Faults(); err != nil {
		t.Error(err)
	}
	check("bytes", string(d.Bytes()), "\uFEFF"+text)
}

func TestInlineTablesAsList(t *testing.T) {
	d, err := Parse("f", []byte("damage = [\n  { from = 1 }, # one\n  { from = 2 },\n]\n"))
	if err != nil {
		t.Fatal(err)
	}
	list, ok := d.Root().Tables("damage", 100)
	if !ok || len(list) != 2 {
		t.Fatal(list, ok)
	}
	from, _ := list[1].Number("from")
	list[0].Has("from")
	if from.V != 2 || from.Pos != (Pos{3, 12}) || list[1].Path() != "damage[2]" || list[1].At("") != (Pos{3, 3}) {
		t.Error(from, list[1].Path(), list[1].At(""))
	}
	if err := d.Faults(); err != nil {
		t.Error(err)
	}
}

func TestParseNumber(t *testing.T) {
	const plain = " | write a plain decimal number, such as 2.5"
	tests := []struct {
		in    string
		comma bool
		want  float64
		err   string // with " | " before the hint
	}{
		{"8.5", false, 8.5, ""},
		{" -0.25\t", false, -0.25, ""},
		{"+1e-3", false, 1e-3, ""},
		{"\u22120.4", false, -0.4, ""},
		{"1e\u22123", false, 1e-3, ""},
		{"8,5", true, 8.5, ""},
		{"1,234", true, 1.234, ""},
		{"8.5", true, 8.5, ""},
		{"1e-400", false, 0, ""},
		{"", false, 0, "no number given" + plain},
		{"8,5", false, 0, "8,5 has a decimal comma | write a decimal point: 8.5"},
		{"1.234,5", true, 0, "1.234,5 has both a point and a comma | write it without marks between the thousands: " +
			"1234.5"},
		{"1,234.5", true, 0, "1,234.5 has both a point and a comma | write it without marks between the thousands: " +
			"1234.5"},
		{"nan", false, 0, "nan is not a number that can be used" + plain},
		{"-Inf", false, 0, "-Inf is not a number that can be used" + plain},
		{"+infinity", false, 0, "+infinity is not a number that can be used" + plain},
		{"0x10", false, 0, "0x10 is not a plain decimal number | write 16"},
		{"0x1p-2", false, 0, "0x1p-2 is not a number" + plain},
		{"1_000", false, 0, "1_000 has marks between its digits | write 1000"},
		{"1 000,5", true, 0, "1 000,5 has marks between its digits | write 1000.5"},
		{"3/8", false, 0, "3/8 is a fraction | write 0.375"},
		{"-1 3/8", false, 0, "-1 3/8 is a fraction | write -1.375"},
		{"2-1/3\"", false, 0, "2-1/3\" is a fraction | write 2.333333"},
		{"1/0", false, 0, "1/0 is not a number" + plain},
		{"8in", false, 0, "8in is not a number alone | write the number alone: 8"},
		{"12,5 µm", false, 0, "12,5 µm is not a number alone | write the number alone: 12.5"},
		{"45°", false, 0, "45° is not a number alone | write the number alone: 45"},
		{"1e400", false, 0, "1e400 is too large a number | check the number: is a decimal point or a minus in the " +
			"exponent missing?"},
		{"\u20135", false, 0, "\u20135 begins with a dash, not a minus | write -5"},
		{"--5", false, 0, "--5 is not a number" + plain},
		{"1.2.3", false, 0, "1.2.3 is not a number" + plain},
		{"1,2,3", true, 0, "1,2,3 is not a number" + plain},
		{".", false, 0, ". is not a number" + plain},
		{"e", false, 0, "e is not a number" + plain},
		{"eight", false, 0, "eight is not a number" + plain},
	}
	for _, tt := range tests {
		got, err := ParseNumber(tt.in, tt.comma)
		text := ""
		if err != nil {
			f := err.(Fault)
			text = f.Error()
			if f.Hint != "" {
				text += " | " + f.Hint
			}
		}
		if text != tt.err || got != tt.want || math.IsNaN(got) {
			t.Errorf("ParseNumber(%q, %v) = %v, %q; want %v, %q", tt.in, tt.comma, got, text, tt.want, tt.err)
		}
	}
}
