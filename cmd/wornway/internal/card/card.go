package card

import (
	"fmt"
	"math"
	"strings"

	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/sheet"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/length"
)

// onCard is how many moves one card holds at most; further ones go on further cards.
const onCard = 8

// footHeight is the room that the drawing of the bed takes, mm.
const footHeight = 18.0

// Card prints the moves of one length or feature on as many cards as they need; notes that find no room beside them go
// on a card of their own.
func Card(p *sheet.Printing, k Entry) {
	t := p.Styles()
	moves, notes := k.K.Moves, notes(p, k)
	begun, idle := false, len(moves) == 0 // the zero is told; that nothing is to be dialled is still to be told
	for n := 1; !begun || idle || len(moves) > 0 || len(notes) > 0; n++ {
		p.Page()
		left, right := paper.Margin, p.Paper.Width-paper.Margin
		bottom := p.Paper.Height - paper.Margin - footHeight
		p.Floor(bottom)
		y := head(p, k, t, n, left, right)
		if n == 1 {
			y = notPromised(p, k, t, left, y, right-left)
		}
		column := column(p, k, t, right-left)
		if begun && !idle && len(moves) == 0 {
			column = 0
		}
		var shown []compensate.Move
		placed := false
		if column > 0 && ends(p, y+t.Strong.Height, column-4, t.Strong, k.zero(begun)) <= bottom {
			at := p.Wrap(left, y+t.Strong.Height, column-4, t.Strong, k.zero(begun)) - 0.4*t.Strong.Height
			placed, begun = !begun, true
			nothing := paper.Style{Height: 1.4 * t.Figures.Height, Bold: true}
			if first := at + t.Figures.Height + 4; idle && ends(p, first, column-4, nothing, nothingToDial) <= bottom {
				p.Wrap(left, first, column-4, nothing, nothingToDial)
				placed, idle = true, false
			}
			for len(moves) > 0 && len(shown) < onCard {
				lines := p.Lines(column-4, t.Figures, k.row(moves[0]))
				if at+(1.5*float64(len(lines))-0.5)*t.Figures.Height >= bottom {
					break
				}
				for _, line := range lines {
					p.Text(left, at+t.Figures.Height, t.Figures, line)
					at += 1.5 * t.Figures.Height
				}
				shown, moves = append(shown, moves[0]), moves[1:]
				placed = true
			}
		}
		if column > 0 {
			p.Line(left+column-2, y, left+column-2, bottom)
		}
		at := y + t.Plain.Height
		for len(notes) > 0 {
			lines := p.Lines(right-left-column, t.Plain, notes[0])
			room := int(math.Floor((bottom + 1 - at) / t.Plain.Lead())) // lines
			whole := len(lines) <= room
			if !whole && (n == 1 || placed || room < 1) {
				break
			}
			if whole {
				notes = notes[1:]
			} else { // longer than a card: what is left of it goes on the next one
				notes[0], lines = strings.Join(lines[room:], " "), lines[:room]
			}
			for _, line := range lines {
				p.Text(left+column, at, t.Plain, line)
				at += t.Plain.Lead()
			}
			at += 0.3 * t.Plain.Height
			placed = true
		}
		p.Floor(p.Paper.Height)
		foot(p, k, t, shown, left, right)
		if n > 1 && !placed {
			p.NoRoom(workWords(p, k))
			return
		}
	}
}

// column returns how wide the column of the moves is: what they need, within what the notes leave.
func column(p *sheet.Printing, k Entry, t sheet.Styles, width float64) float64 {
	need := 0.0
	for _, m := range k.K.Moves {
		need = math.Max(need, p.Width(t.Figures, k.row(m)))
	}
	return math.Min(math.Max(need+5, width*0.45), width*0.66)
}

// head prints what the card is for, and returns where the rest begins.
func head(p *sheet.Printing, k Entry, t sheet.Styles, number int, left, right float64) float64 {
	title := workWords(p, k)
	far := say.FarOut(k.Bench, k.K.Curve)
	if number > 1 {
		title += fmt.Sprintf(" (card %d)", number)
	}
	y := p.Wrap(left, paper.Margin+t.Heading.Height, right-left, t.Heading, title)
	if name := k.Lathe.Name; name != "" {
		y = p.Wrap(left, y-1, right-left, t.Plain, name)
	}
	if len(far) > 0 { // as large as the moves: a free end that whips is worse than a wrong diameter
		y = p.Wrap(left, y-1+0.5*t.Figures.Height, right-left, t.Figures, far[0]) - 1
	}
	p.Line(left, y-t.Plain.Height, right, y-t.Plain.Height)
	return y + 0.4*t.Plain.Height
}

// workWords is what the card is for.
func workWords(p *sheet.Printing, k Entry) string {
	c := k.K.Curve
	what := fmt.Sprintf("Ø %s, %s to %s", k.Diameter(c.Diameter), k.BareAbout(c.From), k.About(c.To))
	if c.Bore {
		what = "Bore " + what
	}
	if k.Name != "" {
		what = k.Name + ": " + what
	}
	return what
}

// notPromised says first what cannot be promised.
func notPromised(p *sheet.Printing, k Entry, t sheet.Styles, x, y, width float64) float64 {
	if k.Held || k.Promise == "" {
		return y
	}
	y = p.Wrap(x, y+t.Heading.Height, width, t.Heading, "NOT PROMISED")
	return p.Wrap(x, y-1, width, t.Plain, k.Promise) - 0.5*t.Plain.Height
}

// zero says where the dial is set, once, and which way to feed.
func (k Entry) zero(told bool) string {
	feed := "FEED ← TO THE HEADSTOCK"
	if k.K.Feed == compensate.TowardTailstock {
		feed = "FEED → TO THE TAILSTOCK"
	}
	if told {
		return feed + ", going on"
	}
	return fmt.Sprintf("SET AT %s TO %s. %s", k.About(k.K.Curve.SetAt),
		length.Diameter(k.K.Curve.Diameter+k.K.Aim, k.In), feed)
}

const nothingToDial = "NOTHING TO DIAL"

// ends is where the last line of a text stands whose first one stands on y.
func ends(p *sheet.Printing, y, width float64, s paper.Style, text string) float64 {
	return y + float64(len(p.Lines(width, s, text))-1)*s.Lead()
}

// row is a move as it is read out.
func (k Entry) row(m compensate.Move) string {
	s := fmt.Sprintf("at %s  %s %s", k.Mark(m.Position), map[bool]string{true: "IN", false: "OUT"}[m.Change > 0],
		word.Divisions(math.Abs(k.Dial.Divisions(m.Change))))
	if m.TakeUp {
		s += " ↩"
	}
	return s
}

// notes are what belongs to the moves.
func notes(p *sheet.Printing, k Entry) []string {
	c := k.K.Curve
	out := []string{k.DialNote()}
	for _, m := range k.K.Moves {
		if m.TakeUp {
			out = append(out, "↩ turns back: "+k.TakeOut(map[bool]string{false: "in", true: "out"}[c.Bore])+".")
			break
		}
	}
	t := c.Taper()
	left := fmt.Sprintf("Left on the diameter: spread %s of %s", k.Small(k.K.MovesSpread), k.Small(k.K.Before))
	if t.Stated {
		left += fmt.Sprintf("; not known: %s between the ends (k = 2)", k.PlusMinus(t.UEnds, true))
	} else {
		left += "; ± not stated"
	}
	out = append(out, left+".")
	if k.Held && k.Promise != "" {
		out = append(out, k.Promise)
	}
	g := c.Lathe
	saddle := "saddle a point"
	if g.Saddle.BearingLength > 0 {
		saddle = "saddle " + k.At(g.Saddle.BearingLength)
	}
	out = append(out, sheet.Stale, sheet.TestCut, sheet.Careful, fmt.Sprintf("H %s, S %s, %s.", k.At(g.CentreHeight),
		k.At(g.Span),
		saddle), k.Surveyed())
	if k.How != "" {
		out = append(out, "Held "+k.How+".")
	}
	if p.Day != "" {
		out = append(out, "Made on "+p.Day+".")
	}
	return out
}

// DialNote says in few words what is turned.
func (k Entry) DialNote() string {
	name, counts := "cross slide", "the slide's own way (radius)"
	if k.Dial.Angle != 0 {
		name = fmt.Sprintf("compound at %s from the bed's axis", word.Degrees(k.Dial.Angle))
	}
	if k.Dial.Diameter {
		counts = "diameter"
	}
	return fmt.Sprintf("Dial: %s, counts %s. 1 division is %s; %s, the finest, makes %s on the diameter.", name, counts,
		k.Division(k.Dial.Division), word.Divisions(k.Dial.Finest), k.Small(k.Dial.Limit()))
}

// Surveyed says what the wear was found by.
func (k Entry) Surveyed() string {
	if len(k.Surveys) == 0 {
		return "Wear as stated, not dated."
	}
	methods, seen := "", map[string]bool{}
	for _, s := range k.Surveys {
		if !seen[s.Method] {
			seen[s.Method] = true
			methods += ", " + s.Method
		}
	}
	s := "Surveyed by " + methods[2:]
	if _, _, last, _ := k.Dates(); !last.IsZero() {
		s += ", last on " + word.Day(last)
	}
	return s + "."
}

// foot draws the bed along the card's lower edge, as the operator sees it: the headstock at the left, the length, the
// moves and the zero.
func foot(p *sheet.Printing, k Entry, t sheet.Styles, moves []compensate.Move, left, right float64) {
	c := k.K.Curve
	y := p.Paper.Height - paper.Margin - t.Plain.Height - 5.5
	first, last := c.Wear.Range()
	first = math.Min(math.Max(first, 0), c.From)
	headstock := p.Width(t.Plain, "headstock") + 2
	x := func(z float64) float64 { return left + headstock + (z-first)/(last-first)*(right-left-headstock) }
	nose := left + headstock
	p.Box(left, y-7, nose-left, 10, 0.8)
	p.Centred((left+nose)/2, y-1, t.Plain, "headstock")
	p.Pen(0.5)
	p.Line(left, y+3, right, y+3)
	p.Pen(0.25)
	p.Box(x(c.From), y-2, x(c.To)-x(c.From), 3, 0.9)
	end := math.Inf(-1)
	for _, z := range []float64{c.From, c.To} {
		label := k.BareAbout(z)
		at := x(z)
		if at-p.Width(t.Plain, label)/2 < end+1 {
			at = end + 1 + p.Width(t.Plain, label)/2
		}
		end = math.Min(at+p.Width(t.Plain, label)/2, right)
		p.Right(end, y+4.2+t.Plain.Height, t.Plain, label)
	}
	p.Right(right, y-1, t.Plain, "tailstock →")
	for _, m := range moves {
		at := x(m.Position)
		p.Shape(0, at, y-2.2, at-1.1, y-4.6, at+1.1, y-4.6)
	}
	p.Shape(-1, x(c.SetAt), y-2.2, x(c.SetAt)-1.2, y-5, x(c.SetAt)+1.2, y-5)
	p.Centred(x(c.SetAt), y-6, t.Plain, "0")
}
