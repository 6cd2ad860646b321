package card

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/sheet"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/length"
)

// The strip's measures, mm.
const (
	StripHeight = 46.0 // of one strip
	StripJoin   = 8.0  // by which neighbouring sheets overlap
	stripGap    = 12.0 // between one and the next below it
	StripRows   = 3    // strips on a sheet, at the most
	StripTop    = 26.0 // from the margin to the first of them, at the least
)

// Strip prints the corrections along a ruler at true scale, in pieces as long as the paper allows, several to a sheet.
// There must be something to dial.
func Strip(p *sheet.Drawing, k Entry) {
	c := k.K.Curve
	from, to := c.From, c.To
	rule := k.ruler()
	from = math.Floor(from/rule.numbered) * rule.numbered
	to = math.Ceil(to/rule.numbered-1e-9) * rule.numbered
	// Pieces are alike and end on numbers, so that none is too short for its words.
	units := math.Round((to - from) / rule.numbered)
	n := int(math.Ceil(units / math.Floor((p.Paper.Width-2*paper.Margin-2*StripJoin)/rule.numbered)))
	piece := math.Ceil(units/float64(n)) * rule.numbered
	n = int(math.Ceil(units * rule.numbered / piece * (1 - 1e-9)))
	y, row := 0.0, 0
	for i := range n {
		if i == 0 || row == StripRows || y+StripHeight > p.Paper.Height-paper.Margin {
			p.Page()
			y, row = stripHead(p, k, piece, to-from, i == 0), 0
		}
		if y+StripHeight > p.Paper.Height-paper.Margin {
			p.NoRoom(workWords(k))
			return
		}
		a := from + float64(i)*piece
		s := stripPiece{p, k, rule, a, math.Min(a+piece, to), y, i, n}
		s.draw()
		y, row = y+StripHeight+stripGap, row+1
	}
	under(p, k, y)
}

// under prints what belongs to the strip under its last piece, or on a sheet of its own where there is no room.
func under(p *sheet.Drawing, k Entry, y float64) {
	left, right := paper.Margin+StripJoin, p.Paper.Width-paper.Margin-StripJoin
	var notes []string
	high := 0.0
	for _, notes = range withLadder(k, noted(k)) {
		high = 0
		for _, n := range notes {
			high += float64(len(p.Lines(right-left, sheet.Plain, n)))*sheet.Plain.Lead() + 0.6
		}
		if y+high <= p.Paper.Height-paper.Margin {
			break
		}
	}
	if y+high > p.Paper.Height-paper.Margin {
		p.Page()
		y = paper.Margin + sheet.Plain.Height
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

// stripHead draws a bar as long as a piece, to see whether the printer has kept to the scale, and on the first sheet
// how the strip is put together and read, and returns where the first piece has its upper edge.
func stripHead(p *sheet.Drawing, k Entry, long, whole float64, first bool) float64 {
	x, y := paper.Margin+StripJoin, paper.Margin+3
	wide := p.Paper.Width - 2*x
	p.Pen(0.4)
	p.Line(x, y, x+long, y)
	p.Line(x, y-2, x, y+2)
	p.Line(x+long, y-2, x+long, y+2)
	p.Pen(0.25)
	// the lines stand 4 mm apart where each is one
	line := func(y float64, s paper.Style, text string) float64 {
		return p.Wrap(x, y, wide, s, text) - s.Lead() + 4
	}
	total := k.At(whole)
	if k.In == length.Inch {
		total += fmt.Sprintf(" (%.1f mm)", whole)
	}
	at := line(y+5, sheet.Strong, fmt.Sprintf("This bar is %s long, and the whole strip %s from its first line to "+
		"its last. If a rule says otherwise, print again at 100 %%.", k.At(long), total))
	if !first {
		return math.Max(paper.Margin+StripTop, at+1.5)
	}
	if !k.Held && k.Says != "" {
		at = line(at+1.5, sheet.Heading, "NOT PROMISED. "+k.Reason())
	}
	at = line(at, sheet.Plain, "Cut along the dashed lines. Cut the left end off every piece but the first at its "+
		"line, and lay it on the one before, line on line. Read the strip by a pointer fixed to the saddle: stick it "+
		"on so that, with the tool at the zero, the pointer stands on the zero's mark. Grey: the zero's setting "+
		"holds.")
	return math.Max(paper.Margin+StripTop, at+1.5)
}

// stripPiece is one piece of the strip: its left line is where its first position lies.
type stripPiece struct {
	*sheet.Drawing
	k          Entry
	rule       ruler
	from, to   float64
	top        float64
	number, of int // this piece, from 0
}

func (s *stripPiece) x(z float64) float64 { return paper.Margin + StripJoin + z - s.from }

func (s *stripPiece) draw() {
	left, right, bottom := s.x(s.from), s.x(s.to), s.top+StripHeight
	// The stretch where nothing is due yet or no more than the allowance is left stands out as a band.
	bands(s.Drawing, s.k, s.from, s.to, s.x, s.top)
	s.Pen(0.3)
	s.Dashed(left-StripJoin, s.top, right+StripJoin, s.top)
	s.Dashed(left-StripJoin, bottom, right+StripJoin, bottom)
	s.Pen(0.2)
	for _, x := range []float64{left, right} {
		s.Line(x, s.top-4, x, bottom+4)
	}
	if s.number > 0 {
		s.tab(left-StripJoin/2, s.number, "cut off at the line")
	}
	if s.number+1 < s.of {
		s.tab(right+StripJoin/2, s.number+1, "next piece lies on top")
	}
	s.name(left+1.5, right-left-3)
	s.ticks()
	s.marks()
}

// tab prints what is done with the end of a piece: joins are numbered.
func (s *stripPiece) tab(x float64, join int, words string) {
	y := s.top + 8
	s.Centred(x, y, sheet.Heading, fmt.Sprint(join))
	y += 5
	for _, line := range s.Lines(StripJoin-0.8, sheet.Plain, words) {
		s.Centred(x, y, sheet.Plain, line)
		y += sheet.Plain.Lead()
	}
}

// name prints what the piece belongs to, as much as it has room for: it is cut out, and must not lose its name.
func (s *stripPiece) name(x, width float64) {
	k := s.k
	parts := []string{"For this job only: " + workWords(k), "zero at " + k.About(k.K.Curve.SetAt), k.feed()}
	if _, _, last, _ := k.Dates(); !last.IsZero() {
		parts = append(parts, "surveyed "+word.Day(last))
	}
	if s.Day != "" {
		parts = append(parts, "made "+s.Day)
	}
	parts = append(parts, k.Lathe.Name)
	text := ""
	for i, part := range parts {
		longer := text + part
		if i > 0 {
			longer = text + "  ·  " + part
		}
		if s.Width(sheet.Plain, longer) > width {
			break
		}
		text = longer
	}
	if text != "" {
		s.Text(x, s.top+3.2, sheet.Plain, text)
	}
}

// ticks draws the ruler along the lower edge. A number beside a line across the strip stands clear of it.
func (s *stripPiece) ticks() {
	bottom := s.top + StripHeight
	const hair = 1e-6
	for i := math.Ceil((s.from - hair) / s.rule.tick); i*s.rule.tick <= s.to+hair; i++ {
		z := i * s.rule.tick
		deep := 2.5
		whole := func(step float64) bool { return math.Abs(z/step-math.Round(z/step)) < hair }
		switch {
		case whole(s.rule.numbered):
			deep = 6
			text := s.k.Bare(z)
			half := s.Width(sheet.Strong, text) / 2
			at := math.Min(math.Max(s.x(z), s.x(s.from)+half+0.8), s.x(s.to)-half-0.8)
			if z > s.from+hair || s.number == 0 {
				s.Centred(at, bottom-7, sheet.Strong, text)
			}
		case whole(s.rule.longer):
			deep = 4
		}
		s.Line(s.x(z), bottom, s.x(z), bottom-deep)
	}
}

// bands fills what may be cut at the setting of the zero with a light grey.
func bands(p *sheet.Drawing, k Entry, from, to float64, x func(float64) float64, top float64) {
	for _, s := range k.atZero() {
		a, b := math.Max(from, s.From), math.Min(to, s.To)
		if a < b {
			p.Band(x(a), top+4.5, b-a, StripHeight-12, 0.88)
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

// stripMark is a place on the strip with what is done there.
type stripMark struct {
	z     float64
	zero  bool
	big   string
	small []string
}

// marksOf are the zero and the moves from a to b, ascending.
func (k Entry) marksOf(a, b float64) []stripMark {
	c := k.K.Curve
	all := []stripMark{{c.SetAt, true, "ZERO", []string{"set to " + k.Diameter(k.aim())}}}
	for _, m := range k.K.Moves {
		mark := stripMark{z: m.Position,
			big:   turn(m.Change) + " " + word.Fraction(math.Abs(k.Dial.Divisions(m.Change))),
			small: []string{"dial " + k.Reads(m.Setting)}}
		if m.TakeUp && k.Dial.Backlash != 0 {
			back := map[bool]string{false: "IN", true: "OUT"}[c.Bore]
			mark.small = append(mark.small, "back past the", "backlash, then "+back)
		}
		all = append(all, mark)
	}
	all = slices.DeleteFunc(all, func(m stripMark) bool { return m.z < a-1e-6 || m.z > b+1e-6 })
	slices.SortStableFunc(all, func(m, n stripMark) int { return cmp.Compare(m.z, n.z) })
	return all
}

// marks draws a mark on each place and its words above, beside each other where the places lie too close, with a line
// from the words to the mark: none crosses another or a word, as they keep their order.
func (s *stripPiece) marks() {
	marks := s.k.marksOf(s.from, s.to)
	for _, size := range [][2]paper.Style{{sheet.Figures, sheet.Heading}, {sheet.Heading, sheet.Plain}} {
		wide := make([]float64, len(marks))
		for i, m := range marks {
			wide[i] = s.Width(size[0], m.big)
			for n, line := range m.small {
				wide[i] = math.Max(wide[i], s.Width(smallStyle(size[1], n), line))
			}
		}
		if at, ok := s.beside(marks, wide); ok {
			for i, m := range marks {
				s.mark(m, at[i], size)
			}
			return
		}
	}
	s.NoRoom(marks[0].big)
}

// smallStyle is that of the n-th line under a mark's word.
func smallStyle(first paper.Style, n int) paper.Style {
	if n > 0 {
		return sheet.Plain
	}
	return first
}

// beside returns the middle of each mark's words, as near to its place as the others allow, and whether there is room.
func (s *stripPiece) beside(marks []stripMark, wide []float64) ([]float64, bool) {
	const gap = 2.5
	at := make([]float64, len(marks))
	low := s.x(s.from) + 1
	for i, m := range marks {
		at[i] = math.Max(s.x(m.z), low+wide[i]/2)
		low = at[i] + wide[i]/2 + gap
	}
	high := s.x(s.to) - 1
	for i := len(marks) - 1; i >= 0; i-- {
		at[i] = math.Min(at[i], high-wide[i]/2)
		high = at[i] - wide[i]/2 - gap
	}
	return at, len(marks) == 0 || at[0]-wide[0]/2 >= s.x(s.from)
}

// mark draws one: the zero open, a move filled.
func (s *stripPiece) mark(m stripMark, at float64, size [2]paper.Style) {
	x, tip := s.x(m.z), s.top+StripHeight-10.3
	grey := 0.0
	if m.zero {
		grey = -1
	}
	s.Shape(grey, x, tip, x-1.6, tip-3.5, x+1.6, tip-3.5)
	y := s.top + 5.5 + size[0].Height
	s.Centred(at, y, size[0], m.big)
	for n, line := range m.small {
		style := smallStyle(size[1], n)
		y += style.Height * 1.55
		s.Centred(at, y, style, line)
	}
	s.Line(at, y+1.2, x, tip-3.5)
}
