package main

import (
	"fmt"
	"math"

	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/length"
)

// The strip's measures, mm.
const (
	stripHeight = 42.0 // of one strip
	stripJoin   = 8.0  // by which neighbouring sheets overlap
	stripGap    = 12.0 // between one and the next below it
	stripRows   = 3    // strips on a sheet, at the most
	stripTop    = 26.0 // from the margin to the first of them, at the least
)

// strip prints the corrections along a ruler at true scale, in pieces as long as the paper allows, several to a sheet.
func (p *printing) strip(k carded) {
	c := k.k.Curve
	from, to := c.From, c.To
	rule := k.ruler()
	from = math.Floor(from/rule.numbered) * rule.numbered
	to = math.Ceil(to/rule.numbered-1e-9) * rule.numbered
	piece := p.Paper.Width - 2*paper.Margin - 2*stripJoin
	n := int(math.Ceil((to - from) / piece))
	y, row := 0.0, 0
	for i := range n {
		if i == 0 || row == stripRows || y+stripHeight > p.Paper.Height-paper.Margin {
			p.Page()
			y, row = p.scaleBar(k), 0
		}
		if y+stripHeight > p.Paper.Height-paper.Margin {
			p.NoRoom(p.workWords(k))
			return
		}
		a := from + float64(i)*piece
		p.piece(k, rule, a, math.Min(a+piece, to), y, i, n)
		y, row = y+stripHeight+stripGap, row+1
	}
	p.under(k, y)
}

// under prints what belongs to the strip under its last piece, or on a sheet of its own where there is no room.
func (p *printing) under(k carded, y float64) {
	left, right := paper.Margin+stripJoin, p.Paper.Width-paper.Margin-stripJoin
	notes := p.notes(k)
	high := 0.0
	for _, n := range notes {
		high += float64(len(p.Lines(right-left, plain, n)))*plain.Lead() + 0.6
	}
	if y+high > p.Paper.Height-paper.Margin {
		p.Page()
		y = p.scaleBar(k)
	}
	for _, n := range notes {
		y = p.Wrap(left, y, right-left, plain, n) + 0.6
	}
}

// ruler is how a ruler is divided, mm: from tick to tick, from longer tick to longer tick, from number to number.
type ruler struct{ tick, longer, numbered float64 }

func (k carded) ruler() ruler {
	if k.In == length.Inch {
		return ruler{25.4 / 8, 25.4 / 2, 25.4}
	}
	return ruler{2, 10, 20}
}

// scaleBar draws a bar of a known length, to see whether the printer has kept to the scale, with what the strip is of,
// and returns where the first piece has its upper edge.
func (p *printing) scaleBar(k carded) float64 {
	long, name := 100.0, "100 mm"
	if k.In == length.Inch {
		long, name = 4*25.4, "4 in"
	}
	x, y := paper.Margin+stripJoin, paper.Margin+6
	p.Pen(0.4)
	p.Line(x, y, x+long, y)
	p.Line(x, y-2, x, y+2)
	p.Line(x+long, y-2, x+long, y+2)
	p.Pen(0.25)
	p.Text(x+long+4, y+1, plain, "This bar is "+name+" long. If a rule says otherwise, print again at 100 %.")
	feed := map[bool]string{true: "tailstock", false: "headstock"}[k.k.Feed == compensate.TowardTailstock]
	wide := p.Paper.Width - 2*x
	// the lines stand 4 mm apart where each is one
	line := func(y float64, s paper.Style, text string) float64 {
		return p.Wrap(x, y, wide, s, text) - s.Lead() + 4
	}
	at := line(y+6.5, strong, fmt.Sprintf("%s. Measure and set zero at %s, feed toward the %s. Positions count from "+
		"the spindle nose.", p.workWords(k), k.About(k.k.Curve.SetAt), feed))
	at = line(at, plain, "Cut along the dashed lines; lay the line beside each number on the line beside the same "+
		"one. Grey: the zero setting holds. Stale after moving, levelling or gib work.")
	switch {
	case !k.held && k.promise != "":
		at = line(at, strong, "NOT PROMISED: "+k.promise)
	case len(k.k.Moves) == 0:
		at = line(at, strong, "NOTHING TO DIAL: less than half the finest setting is due, or no more than is allowed.")
	default:
		at = line(at, plain, k.Lathe.Name)
	}
	return math.Max(paper.Margin+stripTop, at+1.5)
}

// piece draws one piece of the strip: x of its beginning is where its first position lies.
func (p *printing) piece(k carded, rule ruler, from, to, top float64, number, of int) {
	x0 := paper.Margin + stripJoin
	x := func(z float64) float64 { return x0 + z - from }
	bottom := top + stripHeight
	c := k.k.Curve
	// The stretch where nothing is due yet or no more than the allowance is left stands out as a band.
	p.bands(k, from, to, x, top)
	p.Pen(0.3)
	p.Dashed(x0-stripJoin, top, x(to)+stripJoin, top)
	p.Dashed(x0-stripJoin, bottom, x(to)+stripJoin, bottom)
	p.Pen(0.2)
	for _, z := range []float64{from, to} {
		p.Line(x(z), top-4, x(z), bottom+4)
	}
	if number > 0 {
		p.Centred(x0-stripJoin/2, top+stripHeight/2, heading, fmt.Sprint(number))
	}
	if number+1 < of {
		p.Centred(x(to)+stripJoin/2, top+stripHeight/2, heading, fmt.Sprint(number+1))
	}
	const hair = 1e-6
	for i := math.Ceil((from - hair) / rule.tick); i*rule.tick <= to+hair; i++ {
		z := i * rule.tick
		deep := 2.5
		whole := func(step float64) bool { return math.Abs(z/step-math.Round(z/step)) < hair }
		switch {
		case whole(rule.numbered):
			deep = 6
			if z > from+hair || number == 0 {
				p.Centred(x(z), bottom-7, strong, k.Bare(z))
			}
		case whole(rule.longer):
			deep = 4
		}
		p.Line(x(z), bottom, x(z), bottom-deep)
	}
	p.mark(k, x, from, to, c.SetAt, top, "0", "set here")
	before := math.Inf(-1)
	low := false
	for _, m := range k.k.Moves {
		if m.Position < from-hair || m.Position > to+hair {
			continue
		}
		turn := fmt.Sprintf("%s %s", map[bool]string{true: "IN", false: "OUT"}[m.Change > 0],
			word.Fraction(math.Abs(k.dial.Divisions(m.Change))))
		if m.TakeUp {
			turn += " ↩"
		}
		total := "zero"
		if mm := k.dial.Reading(m.Setting); m.Setting != 0 {
			total = fmt.Sprintf("to %s %s %s", k.Units.Dial(math.Abs(mm)), k.UnitName(),
				map[bool]string{true: "IN", false: "OUT"}[mm > 0])
		}
		// Neighbours that would run into each other go one above the other.
		wide := math.Max(p.Width(figures, turn), p.Width(heading, total))
		if math.Abs(x(m.Position)-before) < wide+2 {
			low = !low
		} else {
			low = false
		}
		before = x(m.Position)
		p.move(k, x(m.Position), top, turn, total, low)
	}
}

// bands fills what may be cut at the setting of the zero with a light grey.
func (p *printing) bands(k carded, from, to float64, x func(float64) float64, top float64) {
	for _, s := range k.atZero() {
		a, b := math.Max(from, s.From), math.Min(to, s.To)
		if a < b {
			p.Band(x(a), top+0.5, b-a, stripHeight-8, 0.88)
		}
	}
}

// atZero are the stretches of the cut over which the dial stands at its zero.
func (k carded) atZero() []compensate.Range {
	c := k.k.Curve
	var out []compensate.Range
	at, setting := c.To, 0
	if k.k.Feed == compensate.TowardTailstock {
		at = c.From
	}
	add := func(to float64) {
		if setting == 0 && to != at {
			out = append(out, compensate.Range{From: math.Min(at, to), To: math.Max(at, to)})
		}
		at = to
	}
	for _, m := range k.k.Moves {
		add(m.Position)
		setting = m.Setting
	}
	if k.k.Feed == compensate.TowardTailstock {
		add(c.To)
	} else {
		add(c.From)
	}
	return out
}

// mark draws an open mark with words, where the dial is set.
func (p *printing) mark(k carded, x func(float64) float64, from, to, z, top float64, figure, words string) {
	if z < from-1e-6 || z > to+1e-6 {
		return
	}
	p.Shape(-1, x(z), top+stripHeight-9.5, x(z)-1.6, top+stripHeight-13, x(z)+1.6, top+stripHeight-13)
	p.Line(x(z), top+12, x(z), top+stripHeight-13)
	p.Centred(x(z), top+6, figures, figure)
	p.Centred(x(z), top+10.5, plain, words)
}

// move draws a move: a filled mark on its position, what to turn, and the dial's total.
func (p *printing) move(k carded, x, top float64, turn, total string, low bool) {
	y := top + 6
	if low {
		y += 11
	}
	p.Shape(0, x, top+stripHeight-9.5, x-1.6, top+stripHeight-13, x+1.6, top+stripHeight-13)
	p.Line(x, y+6.5, x, top+stripHeight-13)
	p.Centred(x, y, figures, turn)
	p.Centred(x, y+5, heading, total)
}
