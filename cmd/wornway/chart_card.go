package main

import (
	"fmt"
	"math"
	"strings"
	"time"

	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
)

// How high capitals and digits stand on the smallest card, mm: what is read while the machine runs, and the rest.
// Larger paper has larger ones.
var (
	figures = paper.Style{Height: 4.2, Bold: true}
	heading = paper.Style{Height: 3, Bold: true}
	plain   = paper.Style{Height: 2.1}
	strong  = paper.Style{Height: 2.1, Bold: true}
)

// What stands on all paper for the machine.
const (
	stale   = "Stale after moving, levelling or gib work."
	testCut = "Test cut checked: __________ on __________"
	careful = "Read the list before the cut; dial from the wheel side, never reach over the work; stop short of the " +
		"jaws; measure with the spindle stopped."
)

// printing is paper being drawn.
type printing struct {
	*paper.Doc
	made time.Time
	day  string // that it was made on, where somebody said so
}

// onCard is how many moves one card holds at most; further ones go on further cards.
const onCard = 8

// styles are the heights of text on this paper.
type styles struct{ figures, heading, plain, strong paper.Style }

// styles returns them, larger on paper that is larger than the smallest card.
func (p *printing) styles() styles {
	const width, height = 148, 101.6 // of the smallest card, laid across
	scale := math.Max(1, math.Min(p.Paper.Width/width, p.Paper.Height/height))
	by := func(s paper.Style) paper.Style { s.Height *= scale; return s }
	return styles{by(figures), by(heading), by(plain), by(strong)}
}

// footHeight is the room that the drawing of the bed takes, mm.
const footHeight = 18.0

// card prints the moves of one length or feature on as many cards as they need; notes that find no room beside them go
// on a card of their own.
func (p *printing) card(k carded) {
	t := p.styles()
	moves, notes := k.k.Moves, p.notes(k)
	begun, idle := false, len(moves) == 0 // the zero is told; that nothing is to be dialled is still to be told
	for n := 1; !begun || idle || len(moves) > 0 || len(notes) > 0; n++ {
		p.Page()
		left, right := paper.Margin, p.Paper.Width-paper.Margin
		bottom := p.Paper.Height - paper.Margin - footHeight
		p.Floor(bottom)
		y := p.head(k, t, n, left, right)
		if n == 1 {
			y = p.notPromised(k, t, left, y, right-left)
		}
		column := p.column(k, t, right-left)
		if begun && !idle && len(moves) == 0 {
			column = 0
		}
		var shown []compensate.Move
		placed := false
		if column > 0 && p.ends(y+t.strong.Height, column-4, t.strong, k.zero(begun)) <= bottom {
			at := p.Wrap(left, y+t.strong.Height, column-4, t.strong, k.zero(begun)) - 0.4*t.strong.Height
			placed, begun = !begun, true
			nothing := paper.Style{Height: 1.4 * t.figures.Height, Bold: true}
			if first := at + t.figures.Height + 4; idle && p.ends(first, column-4, nothing, nothingToDial) <= bottom {
				p.Wrap(left, first, column-4, nothing, nothingToDial)
				placed, idle = true, false
			}
			for len(moves) > 0 && len(shown) < onCard {
				lines := p.Lines(column-4, t.figures, k.row(moves[0]))
				if at+(1.5*float64(len(lines))-0.5)*t.figures.Height >= bottom {
					break
				}
				for _, line := range lines {
					p.Text(left, at+t.figures.Height, t.figures, line)
					at += 1.5 * t.figures.Height
				}
				shown, moves = append(shown, moves[0]), moves[1:]
				placed = true
			}
		}
		if column > 0 {
			p.Line(left+column-2, y, left+column-2, bottom)
		}
		at := y + t.plain.Height
		for len(notes) > 0 {
			lines := p.Lines(right-left-column, t.plain, notes[0])
			room := int(math.Floor((bottom + 1 - at) / t.plain.Lead())) // lines
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
				p.Text(left+column, at, t.plain, line)
				at += t.plain.Lead()
			}
			at += 0.3 * t.plain.Height
			placed = true
		}
		p.Floor(p.Paper.Height)
		p.foot(k, t, shown, left, right)
		if n > 1 && !placed {
			p.NoRoom(p.workWords(k))
			return
		}
	}
}

// column returns how wide the column of the moves is: what they need, within what the notes leave.
func (p *printing) column(k carded, t styles, width float64) float64 {
	need := 0.0
	for _, m := range k.k.Moves {
		need = math.Max(need, p.Width(t.figures, k.row(m)))
	}
	return math.Min(math.Max(need+5, width*0.45), width*0.66)
}

// head prints what the card is for, and returns where the rest begins.
func (p *printing) head(k carded, t styles, number int, left, right float64) float64 {
	title := p.workWords(k)
	if number > 1 {
		title += fmt.Sprintf(" (card %d)", number)
	}
	y := p.Wrap(left, paper.Margin+t.heading.Height, right-left, t.heading, title)
	if name := k.Lathe.Name; name != "" {
		y = p.Wrap(left, y-1, right-left, t.plain, name)
	}
	p.Line(left, y-t.plain.Height, right, y-t.plain.Height)
	return y + 0.4*t.plain.Height
}

// workWords is what the card is for.
func (p *printing) workWords(k carded) string {
	c := k.k.Curve
	what := fmt.Sprintf("Ø %s, %s to %s", k.Diameter(c.Diameter), k.BareAbout(c.From), k.About(c.To))
	if c.Bore {
		what = "Bore " + what
	}
	if k.name != "" {
		what = k.name + ": " + what
	}
	return what
}

// notPromised says first what cannot be promised.
func (p *printing) notPromised(k carded, t styles, x, y, width float64) float64 {
	if k.held || k.promise == "" {
		return y
	}
	y = p.Wrap(x, y+t.heading.Height, width, t.heading, "NOT PROMISED")
	return p.Wrap(x, y-1, width, t.plain, k.promise) - 0.5*t.plain.Height
}

// zero says where the dial is set, once, and which way to feed.
func (k carded) zero(told bool) string {
	feed := "FEED ← TO THE HEADSTOCK"
	if k.k.Feed == compensate.TowardTailstock {
		feed = "FEED → TO THE TAILSTOCK"
	}
	if told {
		return feed + ", going on"
	}
	return fmt.Sprintf("Measure and set zero at %s. %s", k.About(k.k.Curve.SetAt), feed)
}

const nothingToDial = "NOTHING TO DIAL"

// ends is where the last line of a text stands whose first one stands on y.
func (p *printing) ends(y, width float64, s paper.Style, text string) float64 {
	return y + float64(len(p.Lines(width, s, text))-1)*s.Lead()
}

// row is a move as it is read out.
func (k carded) row(m compensate.Move) string {
	s := fmt.Sprintf("at %s  %s %s", k.About(m.Position), map[bool]string{true: "IN", false: "OUT"}[m.Change > 0],
		word.Divisions(math.Abs(k.dial.Divisions(m.Change))))
	if m.TakeUp {
		s += " ↩"
	}
	return s
}

// notes are what belongs to the moves.
func (p *printing) notes(k carded) []string {
	c := k.k.Curve
	out := []string{k.dialNote()}
	for _, m := range k.k.Moves {
		if m.TakeUp {
			out = append(out, "↩ turns back: "+k.takeOut(map[bool]string{false: "in", true: "out"}[c.Bore])+".")
			break
		}
	}
	t := c.Taper()
	left := fmt.Sprintf("Left on the diameter: spread %s of %s", k.Small(k.k.MovesSpread), k.Small(k.k.Before))
	if t.Stated {
		left += fmt.Sprintf("; not known: %s between the ends (k = 2)", k.PlusMinus(t.UEnds, true))
	} else {
		left += "; ± not stated"
	}
	out = append(out, left+".")
	if k.held && k.promise != "" {
		out = append(out, k.promise)
	}
	g := c.Lathe
	saddle := "saddle a point"
	if g.Saddle.BearingLength > 0 {
		saddle = "saddle " + k.At(g.Saddle.BearingLength)
	}
	out = append(out, stale, testCut, careful, fmt.Sprintf("H %s, S %s, %s.", k.At(g.CentreHeight), k.At(g.Span),
		saddle), k.surveyed())
	if k.how != "" {
		out = append(out, "Held "+k.how+".")
	}
	if p.day != "" {
		out = append(out, "Made on "+p.day+".")
	}
	return out
}

// dialNote says in few words what is turned.
func (k carded) dialNote() string {
	name, counts := "cross slide", "the slide's own way (radius)"
	if k.dial.Angle != 0 {
		name = fmt.Sprintf("compound at %s from the bed's axis", word.Degrees(k.dial.Angle))
	}
	if k.dial.Diameter {
		counts = "diameter"
	}
	return fmt.Sprintf("Dial: %s, counts %s. 1 division is %s; %s, the finest, makes %s on the diameter.", name, counts,
		k.Division(k.dial.Division), word.Divisions(k.dial.Finest), k.Small(k.dial.Limit()))
}

// surveyed says what the wear was found by.
func (k carded) surveyed() string {
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
func (p *printing) foot(k carded, t styles, moves []compensate.Move, left, right float64) {
	c := k.k.Curve
	y := p.Paper.Height - paper.Margin - t.plain.Height - 5.5
	first, last := c.Wear.Range()
	first = math.Min(math.Max(first, 0), c.From)
	headstock := p.Width(t.plain, "headstock") + 2
	x := func(z float64) float64 { return left + headstock + (z-first)/(last-first)*(right-left-headstock) }
	nose := left + headstock
	p.Box(left, y-7, nose-left, 10, 0.8)
	p.Centred((left+nose)/2, y-1, t.plain, "headstock")
	p.Pen(0.5)
	p.Line(left, y+3, right, y+3)
	p.Pen(0.25)
	p.Box(x(c.From), y-2, x(c.To)-x(c.From), 3, 0.9)
	end := math.Inf(-1)
	for _, z := range []float64{c.From, c.To} {
		label := k.BareAbout(z)
		at := x(z)
		if at-p.Width(t.plain, label)/2 < end+1 {
			at = end + 1 + p.Width(t.plain, label)/2
		}
		end = math.Min(at+p.Width(t.plain, label)/2, right)
		p.Right(end, y+4.2+t.plain.Height, t.plain, label)
	}
	p.Right(right, y-1, t.plain, "tailstock →")
	for _, m := range moves {
		at := x(m.Position)
		p.Shape(0, at, y-2.2, at-1.1, y-4.6, at+1.1, y-4.6)
	}
	p.Shape(-1, x(c.SetAt), y-2.2, x(c.SetAt)-1.2, y-5, x(c.SetAt)+1.2, y-5)
	p.Centred(x(c.SetAt), y-6, t.plain, "0")
}
