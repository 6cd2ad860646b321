package form

import (
	"fmt"
	"math"
	"strings"

	"github.com/agnivade/levenshtein"

	"wornway/profile/document"
	"wornway/profile/length"
)

// Reader reads keys in the unit of their file. What is wrong goes to the document's faults.
type Reader struct {
	Doc      *document.Document
	Unit     length.Unit              // of the file
	How      func(path string) string // the hint for a key
	Warnings []document.Fault         // what is possible but hardly meant
}

// Head reads format and unit, which stand at the top of a file.
func (r *Reader) Head(t *document.Table) {
	if v, ok := t.Number("format"); ok {
		if v.V != 1 {
			t.Fault("format", "write format = 1, or use the version of wornway that wrote this file",
				"this version reads format 1")
		}
	} else if !t.Has("format") {
		t.Missing("format", "write format = 1 as the first line")
	}
	if v, ok := r.Choice(t, "unit", "in", "mm"); ok {
		if v == "in" {
			r.Unit = length.Inch
		}
	} else if !t.Has("unit") {
		t.Missing("unit", `write unit = "in" or unit = "mm": it holds for every length in this file`)
	}
}

// Warn notes what is possible but hardly meant.
func (r *Reader) Warn(t *document.Table, key, hint, format string, args ...any) {
	p := t.At(key)
	path := t.Path()
	if path != "" && key != "" {
		path += "."
	}
	r.Warnings = append(r.Warnings, document.Fault{
		File: r.Doc.Name(), Line: p.Line, Column: p.Column, Key: path + key, Message: fmt.Sprintf(format, args...),
		Hint: hint,
	})
}

// Choice reads a text that must be one of a few.
func (r *Reader) Choice(t *document.Table, key string, of ...string) (string, bool) {
	v, ok := t.Word(key, OneOf(of))
	if !ok {
		return "", false
	}
	for _, c := range of {
		if v.V == c {
			return c, true
		}
	}
	hint := Meant(v.V, of)
	if hint == "" {
		hint = "write one of these, as it stands here"
	}
	t.Fault(key, hint, "must be %s", OneOf(of))
	return "", false
}

// Meant is the hint for a text that is none of the names: the one that resembles it; empty where none does.
func Meant(text string, names []string) string {
	if near := nearest(text, names); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return ""
}

// nearest returns the name that resembles a text most, capitals and what joins the words apart; empty where none does.
func nearest(text string, names []string) string {
	fold := strings.NewReplacer("_", "-", " ", "-")
	text = fold.Replace(strings.ToLower(strings.TrimSpace(text)))
	best, least := "", 1+len(text)/3
	for _, n := range names {
		if d := levenshtein.ComputeDistance(text, n); d < least {
			best, least = n, d
		}
	}
	return best
}

// OneOf lists names as one says them: "a", "b" or "c".
func OneOf(names []string) string {
	s := ""
	for i, n := range names {
		switch {
		case i == 0:
		case i == len(names)-1:
			s += " or "
		default:
			s += ", "
		}
		s += fmt.Sprintf("%q", n)
	}
	return s
}

// Limit is what a number must keep to.
type Limit struct {
	Required       bool
	Above, AtLeast *float64 // in the file's unit
}

// Zero is a bound to point at.
var Zero = new(float64)

// Number reads a number in the file's unit and checks it.
func (r *Reader) Number(t *document.Table, key string, l Limit) (float64, bool) {
	v, ok := t.Number(key)
	if !ok {
		if l.Required && !t.Has(key) {
			t.Missing(key, r.how(t, key))
		}
		return 0, false
	}
	if !r.keeps(t, key, v.V, l) {
		return 0, false
	}
	return v.V, true
}

// keeps checks a number against its limit.
func (r *Reader) keeps(t *document.Table, key string, v float64, l Limit) bool {
	switch {
	case l.Above != nil && !(v > *l.Above):
		t.Fault(key, r.how(t, key), "must be greater than %s", bound(*l.Above))
	case l.AtLeast != nil && v < *l.AtLeast:
		t.Fault(key, r.how(t, key), "must not be less than %s", bound(*l.AtLeast))
	case math.Abs(v) > 1e6:
		t.Fault(key, "check the number and the file's unit", "is more than any lathe has")
	default:
		return true
	}
	return false
}

func (r *Reader) how(t *document.Table, key string) string { return r.How(t.Path() + "." + key) }

func bound(x float64) string {
	if x == 0 {
		return "zero"
	}
	return fmt.Sprint(x)
}

// Length reads a length, in mm; fallback, in mm, where the key is absent or faulty.
func (r *Reader) Length(t *document.Table, key string, l Limit, fallback float64) float64 {
	if v, ok := r.Number(t, key, l); ok {
		return r.Unit.ToMM(v)
	}
	return fallback
}

// Stretch turns a pair of positions into mm and checks that it ascends.
func (r *Reader) Stretch(t *document.Table, key string, a, b float64) (from, to float64, ok bool) {
	if !(a < b) {
		t.Fault(key, "write the end nearer to the headstock first", "must ascend: %v is not less than %v", a, b)
		return 0, 0, false
	}
	return r.Unit.ToMM(a), r.Unit.ToMM(b), true
}
