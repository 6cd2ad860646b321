package profile

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"wornway/profile/bar"
	"wornway/profile/document"
	"wornway/profile/length"
	"wornway/profile/survey"
)

// TestCut is the method's name.
const TestCut = "test-cut"

// Cut is a test cut that was read by itself, in its own unit.
type Cut struct {
	Survey
	Unit length.Unit
	As   survey.Cut // as it was written, mm
}

// ReadCut reads a TOML file that holds one [[survey]] with the method test-cut, and nothing else but a unit of its own,
// at the top, where that is not the profile's. The CSV file that it may name lies in the file system. The error is
// document.Faults.
func (p *Profile) ReadCut(fsys fs.FS, name string, data []byte) (*Cut, error) {
	return p.readOne(fsys, name, data, TestCut)
}

// ReadLater reads a file like that of [Profile.ReadCut] whose survey is a test cut, or a level on the saddle or a test
// bar that was read since the profile was made. As is empty but for a test cut.
func (p *Profile) ReadLater(fsys fs.FS, name string, data []byte) (*Cut, error) {
	return p.readOne(fsys, name, data, TestCut, "saddle-level", "bar-side")
}

// readOne reads a file that holds one survey by one of the methods.
func (p *Profile) readOne(fsys fs.FS, name string, data []byte, methods ...string) (*Cut, error) {
	doc, err := document.Parse(name, data)
	if err != nil {
		return nil, err
	}
	r := newReader(doc, fsys, p.Unit, &Profile{File: name, Lathe: p.Lathe, Unit: p.Unit})
	t := doc.Root()
	if v, ok := t.Number("format"); ok && v.V != 1 {
		t.Fault("format", "write format = 1, or leave it out", "this version reads format 1")
	}
	if v, ok := r.Choice(t, "unit", "in", "mm"); ok {
		r.Unit = length.Millimetre
		if v == "in" {
			r.Unit = length.Inch
		}
		r.profile.Unit = r.Unit
	}
	if t.Has("lathe") {
		for _, k := range t.Keys() {
			t.Has(k)
		}
		t.Fault("lathe", "write the cut's [[survey]] into a file of its own, and no [lathe]", "this is a whole profile")
		return nil, doc.Faults()
	}
	surveys, many := t.Tables("survey", mostSurveys)
	const example = `write [[survey]], method = "test-cut", columns = ["position", "diameter"] and rows`
	switch {
	case len(surveys) == 0 && !t.Has("survey"):
		t.Missing("survey", example)
	case len(surveys) == 0 && many:
		t.Fault("survey", example, "is empty")
	case len(surveys) > 1:
		t.Fault("survey", "check them one after the other", "holds %d surveys, and one cut is checked at a time",
			len(surveys))
	}
	if len(surveys) != 1 {
		for _, s := range surveys {
			for _, k := range s.Keys() {
				s.Has(k)
			}
		}
		return nil, doc.Faults()
	}
	if v, ok := surveys[0].Text("method"); ok && !slices.Contains(methods, v.V) {
		if _, known := survey.Find(v.V); known {
			surveys[0].Fault("method", example, "is not what a part was turned and measured by")
			for _, k := range surveys[0].Keys() {
				surveys[0].Has(k)
			}
			return nil, doc.Faults()
		}
	}
	r.survey(surveys[0], 1)
	if err := doc.Faults(); err != nil {
		return nil, err
	}
	if len(r.profile.Surveys) == 0 || r.profile.Surveys[0].Set.Rows == 0 {
		surveys[0].Fault("", example, "holds no measurement")
		return nil, doc.Faults()
	}
	c := &Cut{Survey: r.profile.Surveys[0], Unit: r.Unit}
	c.As, _ = c.Set.Cut()
	return c, nil
}

// CutKeys are what a CSV file of positions and diameters does not say. Lengths in mm; NaN, zero or empty: not given.
type CutKeys struct {
	Date             time.Time
	Held             bar.Holding
	HeldAt, CentreAt float64
	Depth, Feed      float64
	ReadingUnit      string  // of the diameters: in, thou, mm or um
	Uncertainty      float64 // standard, of one diameter
}

// ReadCutCSV reads a CSV file of positions and diameters, in the profile's unit; its first line may name the columns.
func (p *Profile) ReadCutCSV(fsys fs.FS, name string, keys CutKeys) (*Cut, error) {
	data, err := document.ReadFile(fsys, name)
	if err != nil {
		return nil, err
	}
	scale := p.Unit.MM()
	var b strings.Builder
	fmt.Fprintf(&b, "[[survey]]\nmethod = %q\nfile = %s\n", TestCut, document.Quote(name))
	if !named(data) {
		b.WriteString("columns = [\"position\", \"diameter\"]\n")
	}
	if keys.ReadingUnit != "" {
		fmt.Fprintf(&b, "reading_unit = %s\n", document.Quote(keys.ReadingUnit))
		u, err := length.ParseUnit(keys.ReadingUnit)
		if err != nil {
			return nil, err
		}
		scale = u.MM()
	}
	if keys.Held != "" {
		fmt.Fprintf(&b, "held = %s\n", document.Quote(string(keys.Held)))
	}
	if !keys.Date.IsZero() {
		fmt.Fprintf(&b, "date = %s\n", keys.Date.Format(time.DateOnly))
	}
	for _, k := range []struct {
		key string
		mm  float64
	}{{"held_at", keys.HeldAt}, {"centre_at", keys.CentreAt}, {"depth", keys.Depth}, {"feed", keys.Feed}} {
		if !math.IsNaN(k.mm) {
			fmt.Fprintf(&b, "%s = %s\n", k.key, digits(p.Unit.From(k.mm)))
		}
	}
	if keys.Uncertainty != 0 {
		fmt.Fprintf(&b, "uncertainty = %s\n", digits(keys.Uncertainty/scale))
	}
	cut, err := p.ReadCut(fsys, name, []byte(b.String()))
	var faults document.Faults
	if errors.As(err, &faults) { // of what was put around the file, nobody knows the lines
		for i := range faults {
			if strings.HasPrefix(faults[i].Key, "survey") {
				faults[i] = document.Fault{File: name, Message: faults[i].Message, Hint: faults[i].Hint}
			}
		}
		return nil, faults
	}
	return cut, err
}

// named says whether the first line of a CSV file that says anything names its columns.
func named(data []byte) bool {
	for line := range strings.Lines(strings.TrimPrefix(string(data), "\uFEFF")) {
		if line = strings.TrimSpace(line); line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		// without e, which a number may have
		return strings.ContainsAny(strings.ToLower(line), "abcdfghijklmnopqrstuvwxyz")
	}
	return false
}

// digits writes a number as TOML has it, shortest.
func digits(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// round writes a length, mm, in a unit, to ten figures: none that conversion has made up.
func round(mm float64, u length.Unit) string {
	x, err := strconv.ParseFloat(strconv.FormatFloat(u.From(mm), 'g', 10, 64), 64)
	if err != nil {
		x = u.From(mm)
	}
	return digits(x)
}

// Block returns the cut as a [[survey]] of a profile in the given unit.
func (c *Cut) Block(unit length.Unit) string {
	var b strings.Builder
	fmt.Fprintf(&b, "[[survey]]\nmethod = %q\n", TestCut)
	if !c.Date.IsZero() {
		fmt.Fprintf(&b, "date = %s\n", c.Date.Format(time.DateOnly))
	}
	if c.As.Held != bar.Chuck {
		fmt.Fprintf(&b, "held = %q\n", c.As.Held)
	}
	for _, k := range []struct {
		key string
		mm  float64
	}{{"held_at", c.As.HeldAt}, {"centre_at", c.As.CentreAt}, {"depth", c.As.Depth}, {"feed", c.As.Feed}} {
		if !math.IsNaN(k.mm) {
			fmt.Fprintf(&b, "%s = %s\n", k.key, round(k.mm, unit))
		}
	}
	written := length.Millimetre // the diameters keep the unit that they were read in
	for _, u := range []length.Unit{length.Inch, length.Thou, length.Millimetre, length.Micrometre} {
		if u.MM() == c.Set.Scale {
			written = u
		}
	}
	if written != unit {
		fmt.Fprintf(&b, "reading_unit = %q\n", map[length.Unit]string{length.Inch: "in", length.Thou: "thou",
			length.Millimetre: "mm", length.Micrometre: "um"}[written])
	}
	if u, stated := c.Set.StatesUncertainty(); stated {
		fmt.Fprintf(&b, "uncertainty = %s\n", round(u, written))
	}
	b.WriteString("columns = [\"position\", \"diameter\"]\nrows = [\n")
	for i, z := range c.As.Positions {
		fmt.Fprintf(&b, "  [%s, %s],\n", round(z, unit), round(c.As.Diameters[i], written))
	}
	b.WriteString("]\n")
	return b.String()
}

// Holds returns the place, counted from 0 among the surveys, of one that holds the same readings, −1 where there is
// none. Two that were made on different days are different.
func (p *Profile) Holds(s Survey) int {
	for i, o := range p.Surveys {
		if s.Set.Same(o.Set) && (s.Date.IsZero() || o.Date.IsZero() || s.Date.Equal(o.Date)) {
			return i
		}
	}
	return -1
}

// Without returns a copy without the surveys of those places, counted from 0.
func (p *Profile) Without(places ...int) *Profile {
	out := *p
	out.Surveys = nil
	for i, s := range p.Surveys {
		left := true
		for _, k := range places {
			left = left && k != i
		}
		if left {
			out.Surveys = append(out.Surveys, s)
		}
	}
	return &out
}

// WithLeanOpen returns a copy in which the spindle's lean is as little known as where a cut in the spindle was
// surveyed, so that a ± from before such a cut can be compared with the one after.
func (p *Profile) WithLeanOpen() *Profile {
	out := *p
	out.Lathe.Spindle.Uncertainty = math.Max(out.Lathe.Spindle.Uncertainty, UsualLean)
	return &out
}
