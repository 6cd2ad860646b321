package card

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/sheet"
	"wornway/cmd/wornway/internal/turning"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
)

// What the parts of the smallest card take, mm; larger paper scales them.
const (
	pictureWidth, pictureHeight = 42.0, 21.6
	bedHeight                   = 12.0
	headsHeight                 = 3.6       // the table's headings
	takeUpHeight                = 3.0       // a line under a move that turns back
	readable, greatest          = 6.0, 14.0 // capitals of a move: at arm's length, and the largest
)

// layout is how one card is laid out.
type layout struct {
	*sheet.Drawing
	k           Entry
	t           sheet.Styles
	scale       float64
	left, right float64
	moves       []compensate.Move // on this card
	first       int               // number of the first of them, from 0
	number, of  int               // this card
	figures     paper.Style       // the moves
	notes       paper.Style
	words       []string // what stands below the moves
	brief       bool     // alarms stand without their reasons, which have a card of their own
}

// Card prints the moves of one length or feature on as many cards as they need, as many on each. Every card can be used
// by itself: it has the zero, the feed and what belongs to them. Type grows to fill it; on large paper it is no larger
// than lets all of it stand on one sheet, as long as it is legible.
func Card(p *sheet.Drawing, k Entry) {
	largest := p.Styles().Figures.Height / sheet.Figures.Height
	const smaller = 0.95
	l := newLayout(p, k, largest)
	for l.scale > 1 && !l.fits(len(k.K.Moves)) {
		l = newLayout(p, k, math.Max(1, smaller*l.scale))
	}
	l.cards()
}

func newLayout(p *sheet.Drawing, k Entry, scale float64) *layout {
	t := sheet.Scaled(scale)
	return &layout{Drawing: p, k: k, t: t, scale: scale, left: paper.Margin, right: p.Paper.Width - paper.Margin,
		of: 1, number: 1, figures: t.Figures, notes: t.Plain, words: noted(k)}
}

// fits says whether a card has room for so many of the moves.
func (l *layout) fits(n int) bool {
	l.moves = l.k.K.Moves[:n]
	return l.high() <= l.room()
}

// cards shares the moves out over cards and prints them.
func (l *layout) cards() {
	all := l.k.K.Moves
	var aside []string // what goes on a card of its own
	if alarms := l.alarmList(); len(alarms) > 0 && !l.fits(len(all)) {
		l.brief = true // so that reasons are not told on every card, and leave the moves their room
		for _, a := range alarms {
			aside = append(aside, a.Big+": "+a.Why)
		}
	}
	if !l.fits(min(1, len(all))) { // a long story
		aside, l.words = append(aside, l.words...), []string{sheet.Careful}
	}
	apart := len(aside) > 0
	if !apart {
		l.figures.Height = readable * l.scale
		for _, w := range withLadder(l.k, l.words) { // where it leaves the moves large
			if l.words = w; l.fits(len(all)) {
				break
			}
		}
		l.figures = l.t.Figures
	}
	if apart || !l.fits(len(all)) {
		l.of, l.number = 2, 2 // there will be several, which takes room to say
	}
	most := len(all)
	for most > 1 && !l.fits(most) {
		most--
	}
	l.of = 1
	if len(all) > 0 {
		l.of = (len(all) + most - 1) / most
	}
	cards := l.of
	each := 0
	if len(all) > 0 {
		each = (len(all) + cards - 1) / cards
	}
	words := l.words
	var rest [][]string
	if apart && !l.beside(all[min((cards-1)*each, len(all)):], aside) {
		rest = l.pages(aside)
		l.of += len(rest)
	}
	last := l.words
	for i := range cards {
		l.first = min(i*each, len(all))
		l.moves, l.number = all[l.first:min(l.first+each, len(all))], i+1
		if l.words = words; i == cards-1 {
			l.words = last
		}
		l.grow(each)
		l.draw()
	}
	for _, lines := range rest {
		l.number++
		l.apart(lines)
	}
}

// beside puts what would go on a card of its own under the moves of the last card, where there is room for it.
func (l *layout) beside(moves []compensate.Move, aside []string) bool {
	words := l.words
	l.words, l.moves, l.number = slices.Concat(aside, words), moves, l.of
	if l.high() <= l.room() {
		return true
	}
	l.words = words
	return false
}

// room is the height of a card between its margins.
func (l *layout) room() float64 { return l.Paper.Height - 2*paper.Margin }

// grow finds the largest type with which the card is still not overfull: the moves' first, then that of what is below
// them. each is how many moves the fullest card has, so that all cards have the same type.
func (l *layout) grow(each int) {
	const step = 0.1 // mm
	shown := l.moves
	if full := l.k.K.Moves[:each]; len(shown) < each { // as if it were full, where it is no fuller by its notes
		if l.moves = full; l.high() > l.room() {
			l.moves = shown
		}
	}
	largest := func(s *paper.Style, from, to float64) {
		for s.Height = from; s.Height+step <= to; {
			s.Height += step
			if l.high() > l.room() || max(l.wide(), l.alarmsWide()) > l.right-l.left {
				s.Height -= step
				break
			}
		}
	}
	l.notes = l.t.Plain
	if each > 0 {
		largest(&l.figures, l.t.Figures.Height, greatest*l.scale)
	}
	largest(&l.notes, l.t.Plain.Height, l.t.Heading.Height)
	l.moves = shown
}

// high is how much height the card's parts take.
func (l *layout) high() float64 {
	y := l.headHigh() + bedHeight*l.scale + l.alarmsHigh()
	if len(l.k.K.Moves) == 0 {
		y += 2 * l.t.Figures.Height
	} else {
		y += headsHeight * l.scale
	}
	for _, m := range l.moves {
		y += l.rowHigh(m)
	}
	return y + l.wordsHigh()
}

func (l *layout) wordsHigh() float64 {
	y := 0.0
	for _, w := range l.words {
		y += l.notesLead() * float64(len(l.Lines(l.right-l.left, l.notes, w)))
	}
	if l.lastLine() {
		y += l.notesLead()
	}
	return y
}

// lastLine says whether the card's number, or the day, needs a line of its own.
func (l *layout) lastLine() bool {
	if l.of == 1 && l.Day == "" {
		return false
	}
	lines := l.Lines(l.right-l.left, l.notes, l.words[len(l.words)-1])
	used := l.Width(l.notes, lines[len(lines)-1])
	return l.Day != "" || used+l.Width(l.t.Strong, l.count())+4*l.scale > l.right-l.left
}

// count says which card of how many this is.
func (l *layout) count() string { return fmt.Sprintf("card %d of %d", l.number, l.of) }

// notesLead is a little closer than that of other text: the notes are many.
func (l *layout) notesLead() float64 { return 1.4 * l.notes.Height }

func (l *layout) draw() {
	l.Page()
	bottom := l.Paper.Height - paper.Margin
	l.Floor(bottom)
	y := l.head() + (l.room()-l.high())/4
	y = l.alarms(y)
	if len(l.k.K.Moves) == 0 {
		l.Wrap(l.left, y+1.4*l.t.Figures.Height, l.right-l.left, l.t.Figures, NothingToDial)
	} else {
		l.table(y)
	}
	at := bottom - l.wordsHigh()
	l.bed(at - bedHeight*l.scale)
	at += l.notesLead()
	l.tell(at-0.2*l.notes.Height, l.words)
	l.foot(bottom)
}

// tell prints notes from y down.
func (l *layout) tell(y float64, words []string) {
	for _, w := range words {
		for _, line := range l.Lines(l.right-l.left, l.notes, w) {
			l.Text(l.left, y, l.notes, line)
			y += l.notesLead()
		}
	}
}

// foot is the last line: when the card was made, and which of how many it is.
func (l *layout) foot(bottom float64) {
	if l.of > 1 {
		l.Right(l.right, bottom, l.t.Strong, l.count())
	}
	if l.Day != "" {
		l.Text(l.left, bottom, l.t.Plain, "Made on "+l.Day+".")
	}
}

// pages cuts what found no room beside the moves into the lines of cards of their own; the head's room is left on each.
func (l *layout) pages(words []string) [][]string {
	var all []string
	for _, w := range words {
		all = append(all, l.Lines(l.right-l.left, l.t.Plain, w)...)
	}
	head := float64(len(l.Lines(l.right-l.left, l.t.Heading, l.titleWords()))) * l.t.Heading.Lead()
	most := max(1, int((l.room()-head-3*l.t.Plain.Height)/(1.4*l.t.Plain.Height)))
	cards := (len(all) + most - 1) / most
	return slices.Collect(slices.Chunk(all, (len(all)+cards-1)/cards)) // as many on each
}

// apart prints a card of such lines.
func (l *layout) apart(lines []string) {
	l.notes = l.t.Plain
	l.Page()
	bottom := l.Paper.Height - paper.Margin
	l.Floor(bottom)
	y := l.Wrap(l.left, paper.Margin+l.t.Heading.Height, l.right-l.left, l.t.Heading, l.titleWords())
	for _, line := range lines {
		l.Text(l.left, y, l.notes, line)
		y += l.notesLead()
	}
	l.foot(bottom)
}

// headHigh is how much the head takes.
func (l *layout) headHigh() float64 {
	return math.Max(l.lines(l.right-l.left-(pictureWidth+3)*l.scale, func(float64, paper.Style, string) {}),
		pictureHeight*l.scale) + 1.5*l.scale
}

// lines passes the lines of the head to show, each with where it stands under the card's upper margin, and returns how
// much they take.
func (l *layout) lines(width float64, show func(y float64, s paper.Style, line string)) float64 {
	y := 0.0
	for _, part := range []struct {
		style paper.Style
		text  string
	}{{l.t.Figures, l.k.setOver()}, {l.t.Figures, l.k.zero()}, {l.t.Figures, l.k.feed()},
		{l.t.Heading, l.titleWords()}, {l.t.Plain, l.k.Lathe.Name}} {
		if part.text == "" {
			continue
		}
		for _, line := range l.Lines(width, part.style, part.text) {
			y += part.style.Height
			show(y, part.style, line)
			y += 0.6 * part.style.Height
		}
	}
	return y
}

// head prints the compound's angle, the zero and the feed first, then what the card is for, with a picture beside it,
// and returns where the rest begins.
func (l *layout) head() float64 {
	width := l.right - l.left - (pictureWidth+3)*l.scale
	l.lines(width, func(y float64, s paper.Style, line string) { l.Text(l.left, paper.Margin+y, s, line) })
	l.fromAbove(l.right-pictureWidth*l.scale, paper.Margin)
	y := paper.Margin + l.headHigh()
	l.Pen(0.4)
	l.Line(l.left, y-1*l.scale, l.right, y-1*l.scale)
	l.Pen(0.25)
	return y
}

// titleWords are what the card is for, headed by its number where there are several.
func (l *layout) titleWords() string {
	s := workWords(l.k) + " from the spindle nose"
	if l.of > 1 {
		s = fmt.Sprintf("CARD %d OF %d: %s", l.number, l.of, s)
	}
	return s
}

// alarmList is what is to be known before a move is made, said as large as the moves, and why; where room is short, the
// large words alone in one line.
func (l *layout) alarmList() []turning.Alarm {
	all := l.k.Alarms(l.k.Promise)
	for i := range all {
		all[i].Why = word.WithoutFlags(all[i].Why)
	}
	if !l.brief || len(all) == 0 {
		return all
	}
	big := make([]string, len(all))
	for i, a := range all {
		big[i] = a.Big
	}
	return []turning.Alarm{{Big: strings.Join(big, "  ·  ")}}
}

// alarmLines cuts the reason into lines beside the large words, or under them where these leave too little beside them.
func (l *layout) alarmLines(a turning.Alarm) (lines []string, beside float64) {
	if a.Why == "" {
		return nil, 0
	}
	big := l.Width(l.figures, a.Big) + 3*l.scale
	width := l.right - l.left
	if big > 0.7*width {
		return l.Lines(width, l.t.Plain, a.Why), 0
	}
	return l.Lines(width-big, l.t.Plain, a.Why), big
}

func (l *layout) alarmHigh(a turning.Alarm) float64 {
	lines, beside := l.alarmLines(a)
	small := float64(len(lines)) * 1.5 * l.t.Plain.Height
	if beside > 0 {
		return math.Max(1.3*l.figures.Height, small) + 1
	}
	return 1.3*l.figures.Height + small + 1
}

func (l *layout) alarmsHigh() float64 {
	y := 0.0
	for _, a := range l.alarmList() {
		y += l.alarmHigh(a)
	}
	return y
}

// alarmsWide is how much width their large words take.
func (l *layout) alarmsWide() float64 {
	w := 0.0
	for _, a := range l.alarmList() {
		w = math.Max(w, l.Width(l.figures, a.Big))
	}
	return w
}

func (l *layout) alarms(y float64) float64 {
	for _, a := range l.alarmList() {
		lines, beside := l.alarmLines(a)
		l.Text(l.left, y+l.figures.Height+0.8, l.figures, a.Big)
		at := y + l.t.Plain.Height + 0.8
		if beside == 0 {
			at += 1.3 * l.figures.Height
		}
		for _, line := range lines {
			l.Text(l.left+beside, at, l.t.Plain, line)
			at += 1.5 * l.t.Plain.Height
		}
		y += l.alarmHigh(a)
	}
	return y
}
