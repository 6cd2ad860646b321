package page

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/plot"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/length"
)

// figureText is a figure as it stands on a page; an empty one where an answer has none.
type figureText struct {
	SVG    template.HTML
	Title  string
	Note   string
	Legend []plot.Key
}

// draw draws a figure; nil is none.
func draw(figure func() plot.Figure) figureText {
	if figure == nil {
		return figureText{}
	}
	f := figure()
	f.X = briefly.Replace(f.X)
	var b strings.Builder
	_ = f.Screen(&b) // to memory
	legend := f.Legend()
	for i, k := range legend {
		legend[i].Name = tradeNames(k.Name)
	}
	return figureText{template.HTML(b.String()), f.Title, f.Note, legend}
}

// briefly writes what stands below a picture so that it can be read on a telephone.
var briefly = strings.NewReplacer("position from the spindle nose", "from the spindle nose",
	" – the headstock is at the left", "; headstock at the left")

// bedPicture is the bed to scale with what stands on it, in the file's unit.
type bedPicture struct {
	From, To, Start, End float64 // the bed, and the length that is turned
	Part                 [2]float64
	At                   float64 // where the tool stands
	Stops                []stopMark
	Now                  int // the stop that one is at, from 0; -1: none
}

type stopMark struct {
	At  float64
	Sum string
}

// damaged names the damage that was seen, for whoever hears a picture.
func damaged(p *profile.Profile, u length.Unit) string {
	var b strings.Builder
	w := word.Units{In: u}
	for _, d := range p.Damage {
		fmt.Fprintf(&b, "; damage from %s to %s", w.Bare(d.From), w.At(d.To))
	}
	return b.String()
}

// SVG draws the bed, the headstock at the left.
func (b bedPicture) SVG(p *profile.Profile, u length.Unit) template.HTML {
	const wide, left, right = 360.0, 34.0, 8.0
	var s strings.Builder
	from := math.Min(b.From, 0)
	at := func(z float64) float64 { return left + (z-from)/(b.To-from)*(wide-left-right) }
	fmt.Fprintf(&s, `<svg class="bed" viewBox="0 0 %g 82" role="img" aria-label="The bed to scale, headstock at the `+
		`left, with the length that is turned%s" data-from="%g" data-to="%g" data-left="%g" data-right="%g" `+
		`data-step="%g" data-start="%g" data-end="%g">`, wide, template.HTMLEscapeString(damaged(p, u)), from, b.To,
		left/wide, (wide-right)/wide, stepOf("from", u)/2, b.Part[0],
		b.Part[1])
	s.WriteString("\n")
	nose, in := at(0), u.From
	fmt.Fprintf(&s, `<rect class="ways" x="2" y="58" width="%.1f" height="8" rx="1"/>`, at(b.To)-2)
	const label = 40.0 // how long the word is that stands below
	for i, d := range p.Damage {
		a, b := math.Max(at(in(d.From)), 2), math.Min(at(in(d.To)), at(b.To))
		fmt.Fprintf(&s, `<rect class="damage" x="%.1f" y="56" width="%.1f" height="12"/>`, a, math.Max(2, b-a))
		near := func(o profile.Damage) bool { return math.Abs(at(in(o.From))-a) < label }
		if !slices.ContainsFunc(p.Damage[:i], near) {
			middle := math.Min(math.Max((a+b)/2, label/2+2), wide-label/2-2)
			fmt.Fprintf(&s, `<text x="%.1f" y="79">damage</text>`, middle)
		}
	}
	fmt.Fprintf(&s, `<path class="head" d="M2 58V10H%.1fV22H%.1fV38H%.1fV58Z"/>`, nose-8, nose, nose-8)
	fmt.Fprintf(&s, `<path class="axis-line" d="M%.1f 30H%.1f"/>`, nose, at(b.To))
	saddle := p.Lathe.Bed.Saddle
	length, offset := in(saddle.BearingLength), in(saddle.ToolOffset)
	if length > 0 {
		fmt.Fprintf(&s, `<rect class="saddle" x="%.1f" y="50" width="%.1f" height="8" rx="1.5"/>`,
			at(b.At-offset-length/2), at(b.At-offset+length/2)-at(b.At-offset-length/2))
	}
	if b.Part[0] < b.Start || b.Part[1] > b.End {
		fmt.Fprintf(&s, `<rect class="stock" x="%.1f" y="25" width="%.1f" height="10"/>`, at(b.Part[0]),
			math.Max(1, at(b.Part[1])-at(b.Part[0])))
	}
	if b.Start < b.End {
		fmt.Fprintf(&s, `<rect class="part" x="%.1f" y="23" width="%.1f" height="14"/>`, at(b.Start),
			math.Max(1, at(b.End)-at(b.Start)))
	}
	fmt.Fprintf(&s, `<path class="tool" d="M%.1f 37l4 13h-8Z"/>`, at(b.At))
	for i, m := range b.Stops {
		class := "stop"
		switch {
		case i == b.Now:
			class = "stop now"
		case i < b.Now:
			class = "stop past"
		}
		fmt.Fprintf(&s, `<circle class="%s" cx="%.1f" cy="30" r="%d"/>`,
			class, at(m.At), map[bool]int{true: 6, false: 4}[i == b.Now])
	}
	s.WriteString("</svg>")
	return template.HTML(s.String())
}
