package profile

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"strings"

	"github.com/agnivade/levenshtein"

	"wornway/profile/document"
	"wornway/profile/length"
)

// Read reads the profile of that name and the CSV files that it names, which lie in the same file system. The error is document.Faults with everything
// that is wrong, or the error of opening the file.
func Read(fsys fs.FS, name string) (*Profile, error) {
	data, err := fs.ReadFile(fsys, name)
	if err != nil {
		return nil, err
	}
	return Parse(fsys, name, data)
}

// Parse reads a profile from its text; name is what faults call it.
func Parse(fsys fs.FS, name string, data []byte) (*Profile, error) {
	p, err := Draft(fsys, name, data)
	if err != nil {
		return nil, err
	}
	return p, nil
}

// Draft reads a profile that may still be wrong or incomplete: it returns what could be read of it with its warnings, and the faults that Parse would return
// alone. The profile is nil for a text that is not TOML.
func Draft(fsys fs.FS, name string, data []byte) (*Profile, error) {
	doc, err := document.Parse(name, data)
	if err != nil {
		return nil, err
	}
	r := &reader{doc: doc, fsys: fsys, profile: &Profile{File: name}}
	r.root(doc.Root())
	document.Faults(r.profile.Warnings).Sort()
	return r.profile, doc.Faults()
}

// reader turns a document into a Profile. What is wrong goes to the document's faults, and reading goes on.
type reader struct {
	doc     *document.Document
	fsys    fs.FS
	profile *Profile
	unit    length.Unit
}

func (r *reader) root(t *document.Table) {
	if v, ok := t.Number("format"); ok {
		if v.V != 1 {
			t.Fault("format", "write format = 1, or use the version of wornway that wrote this file", "this version reads format 1")
		}
	} else if !t.Has("format") {
		t.Missing("format", "write format = 1 as the first line")
	}
	if v, ok := r.choice(t, "unit", "in", "mm"); ok {
		if v == "in" {
			r.unit = length.Inch
		}
	} else if !t.Has("unit") {
		t.Missing("unit", `write unit = "in" or unit = "mm": it holds for every length in this file`)
	}
	r.profile.Unit = r.unit

	if lathe, ok := t.Table("lathe"); ok {
		r.lathe(lathe)
	} else if !t.Has("lathe") {
		t.Missing("lathe", "write a header [lathe] and under it centre_height, way_span and bed")
	}
	surveys, _ := t.Tables("survey")
	if w, ok := t.Table("wear"); ok {
		r.stated(w, len(surveys) > 0)
	}
	for i, s := range surveys {
		r.survey(s, i+1)
	}
	damage, _ := t.Tables("damage")
	for _, d := range damage {
		r.damage(d)
	}
	events, _ := t.Tables("event")
	for _, e := range events {
		r.event(e)
	}
}

// warn notes what is possible but hardly meant.
func (r *reader) warn(t *document.Table, key, hint, format string, args ...any) {
	p := t.At(key)
	path := t.Path()
	if path != "" && key != "" {
		path += "."
	}
	r.profile.Warnings = append(r.profile.Warnings, document.Fault{
		File: r.doc.Name(), Line: p.Line, Column: p.Column, Key: path + key, Message: fmt.Sprintf(format, args...), Hint: hint,
	})
}

// either is the one of two ways to write a size that the file's unit asks for.
func (r *reader) either(inch, mm string) string {
	if r.unit == length.Inch {
		return inch
	}
	return mm
}

// choice reads a text that must be one of a few.
func (r *reader) choice(t *document.Table, key string, of ...string) (string, bool) {
	v, ok := t.Text(key)
	if !ok {
		return "", false
	}
	for _, c := range of {
		if v.V == c {
			return c, true
		}
	}
	hint := ""
	if near := nearest(v.V, of); near != "" {
		hint = fmt.Sprintf("did you mean %q?", near)
	}
	t.Fault(key, hint, "must be %s", oneOf(of))
	return "", false
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

func oneOf(names []string) string {
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

// limit is what a number must keep to.
type limit struct {
	required       bool
	above, atLeast *float64 // in the file's unit
}

var zero = new(float64) // a bound to point at

// number reads a number in the file's unit and checks it.
func (r *reader) number(t *document.Table, key string, l limit) (float64, bool) {
	v, ok := t.Number(key)
	if !ok {
		if l.required && !t.Has(key) {
			t.Missing(key, how(t.Path()+"."+key))
		}
		return 0, false
	}
	if l.above != nil && !(v.V > *l.above) {
		t.Fault(key, how(t.Path()+"."+key), "must be greater than %s", bound(*l.above))
		return 0, false
	}
	if l.atLeast != nil && v.V < *l.atLeast {
		t.Fault(key, how(t.Path()+"."+key), "must not be less than %s", bound(*l.atLeast))
		return 0, false
	}
	if math.Abs(v.V) > 1e6 {
		t.Fault(key, "check the number and the file's unit", "is more than any lathe has")
		return 0, false
	}
	return v.V, true
}

func bound(x float64) string {
	if x == 0 {
		return "zero"
	}
	return fmt.Sprint(x)
}

// length reads a length, in mm; fallback, in mm, where the key is absent or faulty.
func (r *reader) length(t *document.Table, key string, l limit, fallback float64) float64 {
	if v, ok := r.number(t, key, l); ok {
		return r.unit.ToMM(v)
	}
	return fallback
}

// stretch turns a pair of positions into mm and checks that it ascends.
func (r *reader) stretch(t *document.Table, key string, a, b float64) (Range, bool) {
	if !(a < b) {
		t.Fault(key, "write the end nearer to the headstock first", "must ascend: %v is not less than %v", a, b)
		return Range{}, false
	}
	return Range{r.unit.ToMM(a), r.unit.ToMM(b)}, true
}

// near is how far, mm, a position may lie outside a stretch and still be its end: conversion between units must not make a fault.
const near = 1e-6

func (g Range) holds(z float64) bool { return z >= g.From-near && z <= g.To+near }

// rows reads rows written in the table itself (key rows) or in the CSV file that key file names; the
// columns of text may hold words, cells of the optional ones may be empty. Where each is given, it
// gets the rows, of a file some thousand at a time, and the rows returned are only the last of them.
// Where some rows are wrong, ok is false, and what there is of others is given and returned all the same.
func (r *reader) rows(t *document.Table, columns, text, optional []string, each func(*document.Rows)) (rows *document.Rows, file string, ok bool) {
	opts := document.RowOptions{Columns: columns, Each: each, Text: map[string]bool{}, Optional: map[string]bool{}}
	for _, c := range text {
		opts.Text[c] = true
	}
	for _, c := range optional {
		opts.Optional[c] = true
	}
	name, named := t.Text("file")
	if t.Has("rows") && t.Has("file") {
		t.Fault("file", "keep the one that is right", "rows and file are both given")
		return nil, "", false
	}
	if !named {
		if t.Has("file") {
			return nil, "", false
		}
		if !t.Has("rows") {
			t.Missing("rows", "write rows = [ [position, …], … ] or file = \"name.csv\"")
			return nil, "", false
		}
		if columns == nil {
			t.Missing("columns", `name what stands in each row, for instance columns = ["position", "front", "rear", "shift"]`)
			t.Rows("rows", document.RowOptions{})
			return nil, "", false
		}
		if rows, ok = t.Rows("rows", opts); rows != nil && each != nil && rows.Len() > 0 {
			each(rows)
		}
		return rows, "", ok
	}
	if strings.Contains(name.V, `\`) {
		t.Fault("file", "write / between a folder and its file: "+strings.ReplaceAll(name.V, `\`, "/"), "has a backslash")
		return nil, "", false
	}
	if !fs.ValidPath(name.V) {
		t.Fault("file", "put it beside the profile and give its bare name", "must name a file in the profile's own folder or below it")
		return nil, "", false
	}
	if r.fsys == nil {
		t.Fault("file", "write the rows into the profile itself", "files cannot be read here")
		return nil, "", false
	}
	f, err := r.fsys.Open(name.V)
	if err != nil {
		var p *fs.PathError
		message := err.Error()
		if errors.As(err, &p) {
			message = p.Err.Error()
		}
		if errors.Is(err, fs.ErrNotExist) {
			message = "there is no such file"
		}
		t.Fault("file", "it is looked for in the profile's own folder", "%s", message)
		return nil, "", false
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && info.IsDir() {
		t.Fault("file", "give the name of a CSV file in it", "is a folder")
		return nil, "", false
	}
	rows, err = document.ReadRows(name.V, f, opts)
	if err != nil {
		r.doc.AddAll(err)
		return rows, name.V, false
	}
	return rows, name.V, true
}
