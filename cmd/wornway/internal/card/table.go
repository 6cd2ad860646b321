package card

import (
	"fmt"
	"math"

	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
)

// leastGap is between columns of the table, mm on the smallest card.
const leastGap = 4.5

// NothingToDial is what paper says where nothing is due.
const NothingToDial = "NOTHING TO DIAL"

// row is a move as it stands in the table; its units stand in the heading.
type row struct{ number, at, turn, divisions, reads string }

// turn is the word for a way to turn.
func turn(change int) string {
	if change > 0 {
		return "IN"
	}
	return "OUT"
}

func (l *layout) row(i int) row {
	m := l.moves[i]
	return row{fmt.Sprint(l.first + i + 1), l.k.BareMark(m.Position), turn(m.Change),
		word.Fraction(math.Abs(l.k.Dial.Divisions(m.Change))), l.k.Reads(m.Setting)}
}

// heads are the table's headings.
func (l *layout) heads() [4]string {
	return [4]string{"carriage at, " + l.k.UnitName(), "turn", "divisions", "dial then reads, " + l.k.UnitName()}
}

// widths are how wide the columns are with what stands in them: number, position, turn with its arrow, divisions,
// reads.
func (l *layout) widths() [5]float64 {
	s, small := l.figures, l.t.Heading
	w := [5]float64{l.Width(small, fmt.Sprint(l.first+len(l.moves))), 0, l.turnWidth() + 1.7*s.Height, 0, 0}
	for i, h := range l.heads() {
		w[i+1] = math.Max(w[i+1], l.Width(l.t.Plain, h))
	}
	for i := range l.moves {
		r := l.row(i)
		w[1], w[3] = math.Max(w[1], l.Width(s, r.at)), math.Max(w[3], l.Width(s, r.divisions))
		w[4] = math.Max(w[4], l.Width(s, r.reads))
	}
	return w
}

// turnWidth is how wide the widest of IN and OUT on this card is.
func (l *layout) turnWidth() float64 {
	w := 0.0
	for _, m := range l.moves {
		w = math.Max(w, l.Width(l.figures, turn(m.Change)))
	}
	return w
}

// wide is how much width the table takes, with the least gaps.
func (l *layout) wide() float64 {
	sum := 4 * leastGap * l.scale
	for _, w := range l.widths() {
		sum += w
	}
	return sum
}

func (l *layout) rowHigh(m compensate.Move) float64 {
	high := 1.32 * l.figures.Height
	if m.TakeUp {
		high += takeUpHeight * l.scale
	}
	return high
}

// table prints the moves from y down, and what lies between their columns is spread over the card's width.
func (l *layout) table(y float64) {
	w := l.widths()
	gap := (l.right - l.left - (l.wide() - 4*leastGap*l.scale)) / 4
	var x [5]float64 // where the columns begin
	x[0] = l.left
	for i := 1; i < len(x); i++ {
		x[i] = x[i-1] + w[i-1] + gap
	}
	for i, h := range l.heads() {
		if i == 1 {
			l.Text(x[2], y+l.t.Plain.Height+0.5, l.t.Plain, h)
			continue
		}
		l.Right(x[i+1]+w[i+1], y+l.t.Plain.Height+0.5, l.t.Plain, h)
	}
	y += headsHeight * l.scale
	s := l.figures
	for i, m := range l.moves {
		r, base := l.row(i), y+s.Height
		l.Text(x[0], base, l.t.Heading, r.number)
		l.Right(x[1]+w[1], base, s, r.at)
		l.turn(x[2], base, s, m.Change)
		l.Right(x[3]+w[3], base, s, r.divisions)
		l.Right(x[4]+w[4], base, s, r.reads)
		if m.TakeUp {
			l.Text(x[1], base+0.9*takeUpHeight*l.scale, l.t.Plain, l.k.TakeOutBriefly())
		}
		y += l.rowHigh(m)
	}
}

// turn prints IN or OUT with an arrow across the bed as the operator sees it, whose post the tool stands on counted. IN
// is black on white, OUT white on black.
func (l *layout) turn(x, base float64, s paper.Style, change int) {
	word, w := turn(change), l.Width(s, turn(change))
	if change < 0 {
		l.Band(x-0.2*s.Height, base-1.12*s.Height, w+0.4*s.Height, 1.24*s.Height, 0)
		s.White = true
	}
	l.Text(x, base, s, word)
	at := x + l.turnWidth() + 1.1*s.Height
	l.across(at, base-s.Height, base, change > 0)
}

// across draws an arrow between two heights: up is away from the operator.
func (l *layout) across(x, top, bottom float64, in bool) {
	tip, tail := top, bottom
	if in == (l.k.K.Curve.Lathe.RearPost) {
		tip, tail = bottom, top
	}
	h := tail - tip // its sign is its direction
	half := math.Abs(h) * 0.36
	shaft := half * 0.38
	l.Shape(0, x, tip, x-half, tip+0.5*h, x-shaft, tip+0.5*h, x-shaft, tail, x+shaft, tail, x+shaft, tip+0.5*h,
		x+half, tip+0.5*h)
}
