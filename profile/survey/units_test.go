package survey_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"wornway/profile/bed"
	"wornway/profile/document"
	"wornway/profile/length"
	"wornway/profile/survey"
)

func TestReadingUnit(t *testing.T) {
	for _, c := range []struct {
		unit string
		mm   float64
	}{{"", inch}, {"reading_unit = 'in'\n", inch}, {"reading_unit = 'thou'\n", 0.0254}, {"reading_unit = 'mm'\n", 1},
		{"reading_unit = 'um'\n", 0.001}} {
		keys := "[[survey]]\nmethod = 'way-micrometer'\non = 'rear'\nuncertainty = 0.25\n" + c.unit +
			"columns = ['position', 'reading']\nrows = [[20, 1.5]]\n"
		s := parse(t, head("", "")+keys)
		e := one(t, s)
		near(t, c.unit+"reading", e.Reading, 1.5*c.mm, 1e-12)
		near(t, c.unit+"uncertainty", e.U, 0.25*c.mm, 1e-12)
		near(t, c.unit+"scale", s.Scale, c.mm, 1e-12)
		near(t, c.unit+"position", e.Position, 20*inch, 1e-9)
	}
	// Leaves are in the reading's unit, contacts and positions in the file's.
	e := one(t, parse(t, head("", "")+"[[survey]]\nmethod = 'straightedge'\non = 'rear'\ncontacts = [10, "+
		"30]\nreading_unit = 'thou'\nuncertainty = 0.1\ncolumns = ['position', 'goes', 'stops']\nrows = [[15, 2, "+
		"3]]\n"))
	near(t, "gap", e.Reading, 2.5*0.0254, 1e-12)
	near(t, "half of the step", e.Half, 0.5*0.0254, 1e-12)
	near(t, "its uncertainty", e.U, 0.1*0.0254, 1e-12)
	near(t, "contact", e.Parts[1].At, 254, 1e-9)
}

// One division, on whatever the level says: equivalents are exact arithmetic (1 in/ft = 1/12); a second of arc is
// 4.8481368e-6.
func TestPerDivision(t *testing.T) {
	for _, c := range []struct {
		says string
		one  float64
	}{{"0.00002", 2e-5}, {"'0.02 mm/m'", 2e-5}, {"'0.0005 in/ft'", 0.0005 / 12}, {"'10 um/m'", 1e-5},
		{"'0.02/1000'", 2e-5}, {"'4 arcsec'", 4 * 4.84813681109536e-6}} {
		s := parse(t, head("", "")+"[[survey]]\nmethod = 'level-across'\nper_division = "+
			""+c.says+"\ncolumns = ['position', 'reading']\nrows = [[20, 3.5]]\n")
		e := one(t, s)
		near(t, c.says+": reading", e.Reading, 3.5*c.one, 1e-9*c.one) // tangent against angle
		near(t, c.says+": uncertainty", e.U, 0.2*c.one, 1e-9*c.one)
		near(t, c.says+": scale", s.Scale, c.one, 1e-9*c.one)
	}
	// Given, the uncertainty is in divisions.
	e := one(t, parse(t, head("", "")+"[[survey]]\nmethod = 'saddle-level'\nuncertainty = 0.5\nper_division = "+
		"'0.0005 in/ft'\ncolumns = ['position', 'reading']\nrows = [[20, 3.5]]\n"))
	near(t, "uncertainty", e.U, 0.5*0.0005/12, 1e-15)
}

// A run there and back: the mean has a √2 less uncertainty and no drift. Differences 0.2, 0.4, 0.3 and 0.5 scatter by
// s² = (0.15² + 0.05² + 0.05² + 0.15²)/3 = 0.05/3, one reading by a √2 less.
func TestBack(t *testing.T) {
	keys := "[[survey]]\nmethod = 'bar-side'\nturned = true\nreading_unit = 'thou'\nuncertainty = 0.3\ncolumns = " +
		"['position', 'reading', 'back']\n"
	s := parse(t, head("", "")+keys+"rows = [[5, 1.0, 0.8], [10, 1.0, 0.6], [15, 1.0, 0.7], [20, 1.0, 0.5]]\n")
	for i, want := range []float64{0.9, 0.8, 0.85, 0.75} {
		near(t, "mean", s.Equations[i].Reading, want*0.0254, 1e-12)
		near(t, "uncertainty", s.Equations[i].U, 0.3*0.0254/math.Sqrt2, 1e-12)
		if got := terms(s, s.Equations[i]); got != "zero F*1" {
			t.Errorf("left open %q", got)
		}
	}
	near(t, "repeat", s.Repeat, 0.0254*math.Sqrt(0.05/3/2), 1e-12)
	if s.Rows != 4 {
		t.Errorf("%d rows", s.Rows)
	}

	// Read back in places: elsewhere the one reading stands with its own uncertainty.
	s = parse(t, head("", "")+keys+"rows = [[5, 1.0, 0.8], [10, 1.0, '']]\n")
	near(t, "without a way back", s.Equations[1].Reading, 0.0254, 1e-12)
	near(t, "its uncertainty", s.Equations[1].U, 0.3*0.0254, 1e-12)
	if !math.IsNaN(s.Repeat) {
		t.Errorf("two readings repeat within %g", s.Repeat)
	}

	// Not read back: the mount drifts, evenly from the first row to the last.
	s = parse(t, head("", "")+"[[survey]]\nmethod = 'bar-side'\nturned = true\ncolumns = ['position', "+
		"'reading']\nrows = [[5, 1.0], [10, 1.0], [15, 1.0]]\n")
	if got := terms(s, s.Equations[1]); got != "zero F*1, drift 0.001*0.5" {
		t.Errorf("left open %q", got)
	}
}

// A second level on the headstock is subtracted, of there and back the mean too.
func TestReference(t *testing.T) {
	keys := "[[survey]]\nmethod = 'saddle-level'\nper_division = 1e-5\n"
	e := one(t, parse(t, head("", "")+keys+"columns = ['position', 'reading', 'reference']\nrows = [[20, 3.5, 1.5]]\n"))
	near(t, "reading", e.Reading, 2e-5, 1e-18)
	e = one(t, parse(t, head("", "")+keys+"columns = ['reference', 'back', 'position', 'reading']\nrows = [[1.5, "+
		"2.5, 20, 3.5]]\n"))
	near(t, "there and back", e.Reading, 1.5e-5, 1e-18)
	near(t, "position", e.Position, 20*inch, 1e-9)
}

// Stated drops are read as they stand, flanks as the metal lost from them.
func TestStated(t *testing.T) {
	curves := map[bed.Curve]points{bed.Front: {20: 0.005}, bed.Shift: {20: -0.001}, bed.Rear: {20: 0.002}}
	w := worn(t, curves, handScalars)
	so, co := math.Sincos(60 * degree)
	si, ci := math.Sincos(30 * degree)
	for _, c := range []struct {
		columns string
		want    []float64
	}{
		{"'position', 'front', 'rear', 'shift'", []float64{0.005, 0.002, -0.001}},
		{"'position', 'rear'", []float64{0.002}},
		{"'position', 'outer', 'inner'", []float64{0.005*co + 0.001*so, 0.005*ci - 0.001*si}},
	} {
		row := strings.Repeat(", 0.003", len(c.want))
		s := parse(t, head(vee, "")+"[[survey]]\nmethod = 'stated'\nuncertainty = 0.0002\ncolumns = "+
			"["+c.columns+"]\nrows = [[20"+row+"]]\n")
		if len(s.Equations) != len(c.want) {
			t.Fatalf("%d equations for %s", len(s.Equations), c.columns)
		}
		for i, e := range s.Equations {
			near(t, c.columns, model(e, w)/inch, c.want[i], 1e-12)
			near(t, c.columns+": as stated", e.Reading/inch, 0.003, 1e-12)
			near(t, c.columns+": uncertainty", e.U/inch, 0.0002, 1e-12)
		}
	}
}

// Of a very long run neighbours are averaged: no reading is lost, the means stand at the means of their positions, and
// as many as were averaged count.
func TestLongRunsAreAveraged(t *testing.T) {
	const n = 10000
	var b strings.Builder
	b.WriteString("position,reading\n")
	for i := range n {
		fmt.Fprintf(&b, "%g,%g\n", 40*float64(i)/n, 1e-4*float64(i)/n)
	}
	rows, err := document.ReadRows("run.csv", strings.NewReader(b.String()),
		document.RowOptions{Columns: []string{"position", "reading"}})
	if err != nil {
		t.Fatal(err)
	}
	m, _ := survey.Find("way-micrometer")
	s := survey.Read(m, keysOf(t, "on = 'rear'\n"), rows, func(f document.Fault) { t.Error(f) })
	if s.Rows != n || len(s.Equations) > 2000 || len(s.Equations) < 1500 {
		t.Fatalf("%d rows, %d equations", s.Rows, len(s.Equations))
	}
	information := 0.0
	for _, e := range s.Equations {
		near(t, "mean", e.Reading, 1e-4*e.Position/40, 1e-12)
		information += 1 / (e.U * e.U)
	}
	near(t, "information", information*0.003*0.003, n, 1e-6*n)
}

// keysOf is what a survey in inches with these keys reads.
func keysOf(t testing.TB, text string) survey.Keys {
	d, err := document.Parse("keys.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	l := bed.Lathe{CentreHeight: 6 * inch, Span: 8 * inch, Setback: 4 * inch}
	base := bed.Base{FrontSetback: 2.5 * inch, RearSetback: 6.5 * inch, Length: 6 * inch}
	return survey.Keys{Machine: survey.Machine{Lathe: l, Base: &base, Unit: length.Inch,
		Ways: [2]float64{-8 * inch, 44 * inch}}, Table: d.Root(), Warn: func(string, string, string, ...any) {}}
}
