package card

import (
	"fmt"
	"math"

	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/sheet"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/length"
)

// The strip's measures, mm.
const (
	StripHeight = 42.0 // of one strip
	StripJoin   = 8.0  // by which neighbouring sheets overlap
	stripGap    = 12.0 // between one and the next below it
	StripRows   = 3    // strips on a sheet, at the most
	StripTop    = 26.0 // from the margin to the first of them, at the least
)

// Strip prints the corrections along a ruler at true scale, in pieces as long as the paper allows, several to a sheet.
func Strip(p *sheet.Printing, k Entry) {
	c := k.K.Curve
	from, to := c.From, c.To
	rule := k.ruler()
	from = math.Floor(from/rule.numbered) * rule.numbered
	to = math.Ceil(to/rule.numbered-1e-9) * rule.numbered
	piece := p.Paper.Width - 2*paper.Margin - 2*StripJoin
	n := int(math.Ceil((to - from) / piece))
	y, row := 0.0, 0
	for i := range n {
		if i == 0 || row == StripRows || y+StripHeight > p.Paper.Height-paper.Margin {
			p.Page()
			y, row = scaleBar(p, k), 0
		}
		if y+StripHeight > p.Paper.Height-paper.Margin {
			p.NoRoom(workWords(p, k))
			return
		}
		a := from + float64(i)*piece
		drawPiece(p, k, rule, a, math.Min(a+piece, to), y, i, n)
		y, row = y+StripHeight+stripGap, row+1
	}
	under(p, k, y)
}

// under prints what belongs to the strip under its last piece, or on a sheet of its own where there is no room.
func under(p *sheet.Printing, k Entry, y float64) {
	left, right := paper.Margin+StripJoin, p.Paper.Width-paper.Margin-StripJoin
	notes := notes(p, k)
	high := 0.0
	for _, n := range notes {
		high += float64(len(p.Lines(right-left, sheet.Plain, n)))*sheet.Plain.Lead() + 0.6
	}
	if y+high > p.Paper.Height-paper.Margin {
		p.Page()
		y = scaleBar(p, k)
	}
	for _, n := range notes {
		y = p.Wrap(left, y, right-left, sheet.Plain, n) + 0.6
	}
}

// ruler is how a ruler is divided, mm: from tick to tick, from longer tick to longer tick, from number to number.
type ruler struct{ tick, longer, numbered float64 }

func (k Entry) ruler() ruler {
	if k.In == length.Inch {
		return ruler{25.4 / 8, 25.4 / 2, 25.4}
	}
	return ruler{2, 10, 20}
}

// scaleBar draws a bar of a known length, to see whether the printer has kept to the scale, with what the strip is of,
// and returns where the first piece has its upper edge.
func scaleBar(p *sheet.Printing, k Entry) float64 {
	long, name := 100.0, "100 mm"
	if k.In == length.Inch {
		long, name = 4*25.4, "4 in"
	}
	x, y := paper.Margin+StripJoin, paper.Margin+6
	p.Pen(0.4)
	p.Line(x, y, x+long, y)
	p.Line(x, y-2, x, y+2)
	p.Line(x+long, y-2, x+long, y+2)
	p.Pen(0.25)
	p.Text(x+long+4, y+1, sheet.Plain, "This bar is "+name+" long. If a rule says otherwise, print again at 100 %.")
	feed := map[bool]string{true: "tailstock", false: "headstock"}[k.K.Feed == compensate.TowardTailstock]
	wide := p.Paper.Width - 2*x
	// the lines stand 4 mm apart where each is one
	line := func(y float64, s paper.Style, text string) float64 {
		return p.Wrap(x, y, wide, s, text) - s.Lead() + 4
	}
	at := line(y+6.5, sheet.Strong, fmt.Sprintf(
		"%s. Measure and set zero at %s, feed toward the %s. Positions count from "+
			"the spindle nose.", workWords(p, k), k.About(k.K.Curve.SetAt), feed))
	at = line(at, sheet.Plain,
		"Cut along the dashed lines; lay the line beside each number on the line beside the same "+
			"one. Grey: the zero setting holds. Stale after moving, levelling or gib work.")
	switch {
	case !k.Held && k.Promise != "":
		at = line(at, sheet.Strong, "NOT PROMISED: "+k.Promise)
	case len(k.K.Moves) == 0:
		at = line(at, sheet.Strong,
			"NOTHING TO DIAL: less than half the finest setting is due, or no more than is allowed.")
	default:
		at = line(at, sheet.Plain, k.Lathe.Name)
	}
	return math.Max(paper.Margin+StripTop, at+1.5)
}

// drawPiece draws one piece of the strip: x of its beginning is where its first position lies.
func drawPiece(p *sheet.Printing, k Entry, rule ruler, from, to, top float64, number, of int) {
	x0 := paper.Margin + StripJoin
	x := func(z float64) float64 { return x0 + z - from }
	bottom := top + StripHeight
	c := k.K.Curve
	// The stretch where nothing is due yet or no more than the allowance is left stands out as a band.
	bands(p, k, from, to, x, top)
	p.Pen(0.3)
	p.Dashed(x0-StripJoin, top, x(to)+StripJoin, top)
	p.Dashed(x0-StripJoin, bottom, x(to)+StripJoin, bottom)
	p.Pen(0.2)
	for _, z := range []float64{from, to} {
		p.Line(x(z), top-4, x(z), bottom+4)
	}
	if number > 0 {
		p.Centred(x0-StripJoin/2, top+StripHeight/2, sheet.Heading, fmt.Sprint(number))
	}
	if number+1 < of {
		p.Centred(x(to)+StripJoin/2, top+StripHeight/2, sheet.Heading, fmt.Sprint(number+1))
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
				p.Centred(x(z), bottom-7, sheet.Strong, k.Bare(z))
			}
		case whole(rule.longer):
			deep = 4
		}
		p.Line(x(z), bottom, x(z), bottom-deep)
	}
	mark(p, k, x, from, to, c.SetAt, top, "0", "set here")
	before := math.Inf(-1)
	low := false
	for _, m := range k.K.Moves {
		if m.Position < from-hair || m.Position > to+hair {
			continue
		}
		turn := fmt.Sprintf("%s %s", map[bool]string{true: "IN", false: "OUT"}[m.Change > 0],
			word.Fraction(math.Abs(k.Dial.Divisions(m.Change))))
		if m.TakeUp {
			turn += " ↩"
		}
		total := "zero"
		if mm := k.Dial.Reading(m.Setting); m.Setting != 0 {
			total = fmt.Sprintf("to %s %s %s", k.Units.Dial(math.Abs(mm)), k.UnitName(),
				map[bool]string{true: "IN", false: "OUT"}[mm > 0])
		}
		// Neighbours that would run into each other go one above the other.
		wide := math.Max(p.Width(sheet.Figures, turn), p.Width(sheet.Heading, total))
		if math.Abs(x(m.Position)-before) < wide+2 {
			low = !low
		} else {
			low = false
		}
		before = x(m.Position)
		move(p, k, x(m.Position), top, turn, total, low)
	}
}

// bands fills what may be cut at the setting of the zero with a light grey.
func bands(p *sheet.Printing, k Entry, from, to float64, x func(float64) float64, top float64) {
	for _, s := range k.atZero() {
		a, b := math.Max(from, s.From), math.Min(to, s.To)
		if a < b {
			p.Band(x(a), top+0.5, b-a, StripHeight-8, 0.88)
		}
	}
}

// atZero are the stretches of the cut over which the dial stands at its zero.
func (k Entry) atZero() []compensate.Range {
	c := k.K.Curve
	var out []compensate.Range
	at, setting := c.To, 0
	if k.K.Feed == compensate.TowardTailstock {
		at = c.From
	}
	add := func(to float64) {
		if setting == 0 && to != at {
			out = append(out, compensate.Range{From: math.Min(at, to), To: math.Max(at, to)})
		}
		at = to
	}
	for _, m := range k.K.Moves {
		add(m.Position)
		setting = m.Setting
	}
	if k.K.Feed == compensate.TowardTailstock {
		add(c.To)
	} else {
		add(c.From)
	}
	return out
}

// mark draws an open mark with words, where the dial is set.
func mark(p *sheet.Printing, k Entry, x func(float64) float64, from, to, z, top float64, figure, words string) {
	if z < from-1e-6 || z > to+1e-6 {
		return
	}
	p.Shape(-1, x(z), top+StripHeight-9.5, x(z)-1.6, top+StripHeight-13, x(z)+1.6, top+StripHeight-13)
	p.Line(x(z), top+12, x(z), top+StripHeight-13)
	p.Centred(x(z), top+6, sheet.Figures, figure)
	p.Centred(x(z), top+10.5, sheet.Plain, words)
}

// move draws a move: a filled mark on its position, what to turn, and the dial's total.
func move(p *sheet.Printing, k Entry, x, top float64, turn, total string, low bool) {
	y := top + 6
	if low {
		y += 11
	}
	p.Shape(0, x, top+StripHeight-9.5, x-1.6, top+StripHeight-13, x+1.6, top+StripHeight-13)
	p.Line(x, y+6.5, x, top+StripHeight-13)
	p.Centred(x, y, sheet.Figures, turn)
	p.Centred(x, y+5, sheet.Heading, total)
}
