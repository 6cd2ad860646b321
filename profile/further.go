package profile

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/profile/length"
	"wornway/profile/survey"
)

// undone returns a copy in which a slip with a survey is undone, likewise numbered as for [Profile.AcceptSlip].
func (p *Profile) undone(number int, name string) (*Profile, error) {
	out := *p
	out.Surveys, out.Accepted = slices.Clone(p.Surveys), slices.Clone(p.Accepted)
	return &out, out.AcceptSlip(number, name)
}

// Practice are cuts that were made, as far as further ones go by them. Lengths mm, NaN where not known.
type Practice struct {
	From, To, Diameter float64
	U                  float64 // standard, of one diameter
	HeldAt             float64
	Light, Deep, Feed  float64 // depths of cut on radius
}

// Proposal is a cut or a reading that could be made, with equations whose readings count for nothing.
type Proposal struct {
	Name string // chucked-light, chucked-deep, centres, near, far, saddle-level or bar-side
	Set  survey.Set
	// From and To are its first and last place, mm; Depth is that of a cut, NaN: none.
	From, To, Depth float64
}

// Further returns cuts and readings of which one may tell causes apart: five collars, light and deep, from the chuck,
// between centres, on the near and the far half of the length, and a level and a bar at five places. What does not lie
// on the bed is left out.
func (p *Profile) Further(made Practice) ([]Proposal, error) {
	light, deep, feed := made.Light, made.Deep, made.Feed
	if !(light > 0) {
		light = 0.1
	}
	if !(deep > 0) || deep < 3*light { // a cut that pushes much harder than the light one
		deep = math.Max(4*light, 0.5)
	}
	middle := (made.From + made.To) / 2
	centred := 400.0 // mm: so far from the spindle nose a bar between centres reaches
	if p.Unit == length.Inch {
		centred = length.Inch.ToMM(16)
	}
	far := math.Min(math.Max(made.To, centred), p.Lathe.Ways.To)
	jaws := made.HeldAt
	if math.IsNaN(jaws) {
		jaws = 0
	}
	// no further out of the chuck than the cuts that were made, or than is called the limit
	stout := math.Max(made.To, jaws+MostOverhang*made.Diameter)
	all := []Proposal{
		{Name: "chucked-light", From: made.From, To: made.To, Depth: light},
		{Name: "chucked-deep", From: made.From, To: made.To, Depth: deep},
		{Name: "centres", From: made.From, To: far, Depth: light},
		{Name: "near", From: made.From, To: middle, Depth: light},
		{Name: "far", From: middle, To: math.Min(stout, p.Lathe.Ways.To), Depth: light},
		{Name: "saddle-level", From: made.From, To: far, Depth: math.NaN()},
		{Name: "bar-side", From: made.From, To: made.To, Depth: math.NaN()},
	}
	var out []Proposal
	for _, f := range all {
		if !p.Lathe.Ways.holds(f.From) || !p.Lathe.Ways.holds(f.To) || f.To <= f.From {
			continue
		}
		var b strings.Builder
		method, columns, value := TestCut, "position\", \"diameter", digits(p.Unit.From(made.Diameter))
		if math.IsNaN(f.Depth) {
			method, columns, value = f.Name, "position\", \"reading", "0"
		}
		fmt.Fprintf(&b, "[[survey]]\nmethod = %q\ncolumns = [\"%s\"]\n", method, columns)
		key := func(name string, mm float64) {
			if !math.IsNaN(mm) {
				fmt.Fprintf(&b, "%s = %s\n", name, digits(p.Unit.From(mm)))
			}
		}
		switch {
		case f.Name == "saddle-level":
			b.WriteString("per_division = \"0.02 mm/m\"\n")
		case f.Name == "bar-side":
			b.WriteString("turned = true\n")
		default:
			key("uncertainty", made.U)
			key("depth", f.Depth)
			key("feed", feed)
			if f.Name == "centres" {
				b.WriteString("held = \"centres\"\n")
			} else {
				key("held_at", made.HeldAt)
			}
		}
		b.WriteString("rows = [\n")
		const places = 5
		for i := range places {
			fmt.Fprintf(&b, "  [%s, %s],\n", digits(p.Unit.From(f.From+(f.To-f.From)*float64(i)/(places-1))), value)
		}
		b.WriteString("]\n")
		sets, err := p.sets(b.String())
		if err != nil {
			return nil, err
		}
		f.Set = sets[0]
		out = append(out, f)
	}
	return out, nil
}
