package blank

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/length"
	"wornway/profile/survey"
)

type Options struct {
	Method   string
	Contacts string
	Diameter length.Length
	Paper    string
	File     string
	Force    bool
}

// Size is the paper asked for, upright.
func (o *Options) Size(u length.Unit) (paper.Paper, error) {
	name := o.Paper
	if name == "" {
		name = map[length.Unit]string{length.Inch: "letter", length.Millimetre: "a4"}[u]
	}
	p, err := paper.ParsePaper(name)
	if err != nil {
		return p, refuse.Usage(fmt.Sprintf("--paper %s: %v", word.Visible(name), err),
			"a survey sheet needs a5 or more")
	}
	const least = 139 // mm: of half a letter
	if p.Width < least {
		return p, refuse.Usage(fmt.Sprintf("--paper %s: is too small to write a survey on", p.Name),
			"a5, half-letter, a4 or letter")
	}
	return p, nil
}

// Spreading is what the stations of a method are spread by on a blank sheet.
func (b *Sheets) Spreading(m survey.Method, o *Options) (shop.Spread, error) {
	s := shop.NewSpread(b.Profile, m)
	s.Diameter = b.collar(o)
	if m.Name != "straightedge" && m.Name != "light-gap" {
		return s, nil
	}
	ways := b.Profile.Lathe.Ways
	s.Contacts[0] = math.Max(0, ways.From)
	edge := 600.0
	if b.In == length.Inch {
		edge = 24 * 25.4
	}
	s.Contacts[1] = math.Min(s.Contacts[0]+edge, ways.To)
	if o.Contacts != "" {
		from, to, err := flags.TwoPositions("contacts", o.Contacts, "for instance --contacts 2in,26in", b.In)
		if err != nil {
			return s, err
		}
		if from < ways.From-1e-6 || to > ways.To+1e-6 {
			return s, refuse.Usage(fmt.Sprintf("--contacts %s: lies outside lathe.bed, which goes from %s to %s",
				o.Contacts, b.Bare(ways.From), b.At(ways.To)), "positions count from the spindle nose")
		}
		s.Contacts = [2]float64{from, to}
	}
	return s, nil
}

// Stations are the rows of a sheet: a position each, or from and to for a level that stands on two feet, in the file's
// unit.
func Stations(s shop.Spread) [][]float64 {
	at := s.Stations()
	var out [][]float64
	if !s.Method.Stretches() {
		for _, z := range at {
			out = append(out, []float64{z})
		}
		return out
	}
	for i := 1; i < len(at); i++ {
		out = append(out, []float64{at[i-1], at[i]})
	}
	return out
}

// collar is the diameter of a test cut's collars, mm.
func (b *Sheets) collar(o *Options) float64 {
	if o.Diameter.Number > 0 {
		return o.Diameter.MM(b.In)
	}
	return shop.BarFor(b.Profile)
}

// expected returns what diameter each collar of a test cut is expected to have where the last one has its own exactly,
// with its ±, as text; empty where nothing is known of the wear.
func (b *Sheets) expected(m survey.Method, rows [][]float64, o *Options) []string {
	out := make([]string, len(rows))
	if m.Name != profile.TestCut || b.Lathe == nil || len(rows) < 2 {
		return out
	}
	diameter := b.collar(o)
	in := func(i int) float64 { return b.In.ToMM(rows[i][0]) }
	last := len(rows) - 1
	curve, err := b.Lathe.Machine.Curve(compensate.Cut{Feature: work.Feature{From: in(0), To: in(last),
		Diameter: diameter}, SetAt: in(last)})
	if err != nil {
		return out // the collars lie where nothing is known
	}
	for i := range rows {
		s := curve.Station(in(i))
		out[i] = b.ExpectedDiameter(diameter + s.DiameterError)
		if s.Stated && i < last {
			out[i] += " " + b.PlusMinus(s.Uncertainty, true)
		}
	}
	return out
}

// columnNames are what is written on a sheet beside the position.
func columnNames(m survey.Method, w word.Units) []string {
	switch {
	case m.Name == "straightedge":
		return []string{"goes", "stops"}
	case m.Name == "light-gap":
		return []string{"none, some or wide"}
	case m.Name == "carriage-lock":
		return []string{"feel 0 1 2 3"}
	case m.Name == "test-cut":
		return []string{"expected diameter, " + w.UnitName(), "measured diameter"}
	case m.Name == "stated":
		return []string{"front", "rear", "shift"}
	}
	unit := ""
	if isLevel(m) {
		unit = ", divisions"
	}
	out := []string{"reading there" + unit}
	if slices.Contains(m.Also, "back") {
		out = append(out, "reading back"+unit)
	}
	if isLevel(m) && slices.Contains(m.Also, "reference") {
		out = append(out, "second level, divisions")
	}
	return out
}

// isLevel says whether a method reads a spirit level.
func isLevel(m survey.Method) bool { return strings.Contains(m.Name, "level") }

// ways are those that a survey of a method is taken on, each on a sheet of its own: the flanks of a V in place of its
// crest, which does not wear, but for a level, which a riding block carries; the tailstock's ways only where the method
// reads no others. It is one empty name where the method asks for none.
func ways(m survey.Method, p *profile.Profile) []string {
	for _, q := range m.Questions(survey.Machine{Lathe: p.Lathe.Bed, Unit: p.Unit}) {
		if !choosesWay(q) {
			continue
		}
		of := slices.Clone(q.Of)
		if slices.Contains(of, "outer") {
			of = slices.DeleteFunc(of, func(w string) bool { return w == "front" })
		}
		tail := func(w string) bool { return strings.HasPrefix(w, "tail-") }
		if carriage := slices.DeleteFunc(slices.Clone(of), tail); len(carriage) > 0 {
			of = carriage
		}
		return of
	}
	return []string{""}
}

func choosesWay(q survey.Question) bool { return (q.Key == "on" || q.Key == "touch") && len(q.Of) > 0 }

// wayWords names a way on paper.
func wayWords(way string) string {
	return map[string]string{"front": "front way", "rear": "rear way", "outer": "front way's outer flank",
		"inner": "front way's inner flank", "tail-front": "tailstock's front way",
		"tail-rear": "tailstock's rear way"}[way]
}

// noted are the keys of a survey that are to be written down on its sheet, each with how it is found.
func (b *Sheets) noted(m survey.Method) []survey.Question {
	p := b.Profile
	answer := func(key string) string {
		if key == "on" || key == "touch" {
			return b.way
		}
		return ""
	}
	return slices.DeleteFunc(m.Questions(survey.Machine{Lathe: p.Lathe.Bed, Unit: p.Unit}),
		func(q survey.Question) bool {
			return q.Key == "date" || choosesWay(q) || q.If != nil && !q.If(answer)
		})
}

// askedAs is a key as it is asked for on paper, with what a blank stands for where one may be left.
func askedAs(q survey.Question) string {
	s := word.Upper(strings.TrimSuffix(q.What, "?"))
	switch {
	case len(q.Of) > 0:
		s += " (" + strings.Join(q.Of, ", ") + ")"
	case q.Kind == survey.Distance && q.How != "":
		s += ", " + q.How
	}
	switch {
	case q.Usual != "":
		s += "; blank: " + q.Usual
	case q.Else != "":
		s += "; blank: " + q.Else
	case !q.Needed:
		s += "; may stay blank"
	}
	return s
}

// said is what a sheet says of its readings beside how they are taken.
func (b *Sheets) said(m survey.Method) []string {
	var out []string
	v := b.Profile.Lathe.Bed.V != nil
	switch {
	case v && m.Name == "level-across":
		out = append(out, "On the V the level stands on a riding block that bears on both flanks, packed to the rear "+
			"way's height: the crest does not wear and tells nothing.")
	case v && m.Name == "level-along" && b.way == "front":
		out = append(out, "Its feet stand on riding blocks that bear on both flanks of the V: the crest does not wear "+
			"and tells nothing.")
	}
	if slices.Contains(columnNames(m, b.Units), "reading back") || slices.Contains(columnNames(m, b.Units),
		"reading back, divisions") {
		out = append(out, "There: moving toward the tailstock. Back: the same places on the return; may stay blank.")
	}
	if isLevel(m) && slices.Contains(m.Also, "reference") {
		out = append(out, "Second level: one that stays on the headstock; may stay blank.")
	}
	return append(out, fmt.Sprintf("Positions are in %s from the spindle nose, minus behind it.",
		map[length.Unit]string{length.Inch: "inches", length.Millimetre: "mm"}[b.In]))
}
