package profile

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"wornway/profile/document"
	"wornway/profile/form"
	"wornway/profile/length"
)

// Limits that no lathe reaches; those of rows are package document's.
const (
	mostSurveys = 200
	mostNotes   = 1000 // of damage, and of events
)

// Read reads the profile of that name and the CSV files that it names, which lie in the same file system. The error is
// document.Faults with everything that is wrong, or the error of opening the file.
func Read(fsys fs.FS, name string) (*Profile, error) {
	data, err := document.ReadFile(fsys, name)
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

// Draft reads a profile that may still be wrong or incomplete: it returns what could be read of it with its warnings,
// and the faults that Parse would return alone. The profile is nil for a text that is not TOML.
func Draft(fsys fs.FS, name string, data []byte) (*Profile, error) {
	doc, err := document.Parse(name, data)
	if err != nil {
		return nil, err
	}
	r := newReader(doc, fsys, length.Millimetre, &Profile{File: name})
	r.root(doc.Root())
	r.profile.Warnings = r.Warnings
	document.Faults(r.profile.Warnings).Sort()
	return r.profile, doc.Faults()
}

// reader turns a document into a Profile. What is wrong goes to the document's faults, and reading goes on.
type reader struct {
	form.Reader
	fsys    fs.FS
	profile *Profile
	taken   int // rows read so far, of all surveys
}

// newReader begins to read a document in a unit.
func newReader(doc *document.Document, fsys fs.FS, unit length.Unit, p *Profile) *reader {
	return &reader{Reader: form.Reader{Doc: doc, Unit: unit, How: how}, fsys: fsys, profile: p}
}

func (r *reader) root(t *document.Table) {
	if t.Has("job") && !t.Has("lathe") {
		for _, k := range t.Keys() {
			t.Has(k)
		}
		t.Fault("job", "a profile has [lathe]; wornway new FILE writes one",
			"this is a job file, and not a lathe's profile")
		return
	}
	r.Head(t)
	r.profile.Unit = r.Unit

	if lathe, ok := t.Table("lathe"); ok {
		r.lathe(lathe)
	} else if !t.Has("lathe") {
		t.Missing("lathe", "write a header [lathe] and under it centre_height, way_span and bed")
	}
	surveys, _ := t.Tables("survey", mostSurveys)
	if w, ok := t.Table("wear"); ok {
		r.stated(w, len(surveys) > 0)
	}
	for i, s := range surveys {
		r.survey(s, i+1)
	}
	damage, _ := t.Tables("damage", mostNotes)
	for _, d := range damage {
		r.damage(d)
	}
	events, _ := t.Tables("event", mostNotes)
	for _, e := range events {
		r.event(e)
	}
}

// either is the one of two ways to write a size that the file's unit asks for.
func (r *reader) either(inch, mm string) string {
	if r.Unit == length.Inch {
		return inch
	}
	return mm
}

// stretch turns a pair of positions into mm and checks that it ascends.
func (r *reader) stretch(t *document.Table, key string, a, b float64) (Range, bool) {
	from, to, ok := r.Stretch(t, key, a, b)
	return Range{from, to}, ok
}

// near is how far, mm, a position may lie outside a stretch and still be its end: conversion between units must not
// make a fault.
const near = 1e-6

func (g Range) holds(z float64) bool { return z >= g.From-near && z <= g.To+near }

// rows reads rows written in the table itself (key rows) or in the CSV file that key file names; the
// columns of text may hold words, cells of the optional ones may be empty. Where each is given, it
// gets the rows, of a file some thousand at a time, and the rows returned are only the last of them. usual is what
// stands in a row, for whoever has not said it. Where some rows are wrong, ok is false, and what there is of others is
// given and returned all the same.
func (r *reader) rows(t *document.Table, columns, usual, text, optional []string,
	each func(*document.Rows)) (rows *document.Rows, file string, ok bool) {
	opts := document.RowOptions{Columns: columns, Each: each, Text: map[string]bool{}, Optional: map[string]bool{},
		Read: r.taken}
	for _, c := range text {
		opts.Text[c] = true
	}
	for _, c := range optional {
		opts.Optional[c] = true
	}
	defer func() {
		if rows != nil {
			r.taken += rows.Before + rows.Len()
		}
	}()
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
			t.Missing("columns", fmt.Sprintf(`name what stands in each row, for instance columns = ["%s"]`,
				strings.Join(usual, `", "`)))
			t.Rows("rows", document.RowOptions{})
			return nil, "", false
		}
		if rows, ok = t.Rows("rows", opts); rows != nil && each != nil && rows.Len() > 0 {
			each(rows)
		}
		return rows, "", ok
	}
	if strings.Contains(name.V, `\`) {
		t.Fault("file", "write / between a folder and its file: "+strings.ReplaceAll(name.V, `\`, "/"),
			"has a backslash")
		return nil, "", false
	}
	if !fs.ValidPath(name.V) {
		t.Fault("file", "put it beside the profile and give its bare name",
			"must name a file in the profile's own folder or below it")
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
		r.Doc.AddAll(err)
		return rows, name.V, false
	}
	return rows, name.V, true
}
