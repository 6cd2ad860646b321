package card

import (
	"fmt"
	"math"
)

// fromAbove draws the lathe's own tool post from above, the operator below and the headstock at the left, with the ways
// that IN and OUT go.
func (l *layout) fromAbove(x, y float64) {
	s := l.scale
	at := func(dx, dy float64) (float64, float64) { return x + dx*s, y + dy*s }
	box := func(dx, dy, w, h, grey float64) {
		bx, by := at(dx, dy)
		l.Box(bx, by, w*s, h*s, grey)
	}
	label := func(dx, dy float64, text string) {
		tx, ty := at(dx, dy)
		l.Centred(tx, ty, l.t.Plain, text)
	}
	bore, rear := l.k.K.Curve.Bore, l.k.K.Curve.Lathe.RearPost
	// Across, in the drawing's mm from its upper edge: the axis, and which side of it the tool is on.
	axis, side := 6.0, 1.0
	if rear {
		axis, side = 13.0, -1
	}
	l.Pen(0.2)
	box(0, axis-5, 5, 10, 0.8) // chuck
	for _, jaw := range []float64{-4, 2.4} {
		box(5, axis+jaw, 2, 1.6, 0.6)
	}
	const half = 2.4
	if bore {
		box(5, axis-half-1.4, 15, 1.4, 0.9)
		box(5, axis+half, 15, 1.4, 0.9)
	} else {
		box(5, axis-half, 19, 2*half, 0.95)
	}
	ax, ay := at(0, axis)
	l.Dashed(ax-0, ay, ax+26*s, ay)
	point := func(dx, dy float64) []float64 { px, py := at(dx, axis+side*dy); return []float64{px, py} }
	shape := func(grey float64, xy ...float64) {
		var out []float64
		for i := 0; i+1 < len(xy); i += 2 {
			out = append(out, point(xy[i], xy[i+1])...)
		}
		l.Shape(grey, out...)
	}
	tool := 17.0
	if bore { // a bar that reaches into the work along the axis
		shape(0.4, 12, half, 12, half-1.4, 24, half-1.4, 24, half-0.2, 13, half-0.2)
		shape(0.75, 24, half-2.4, 28, half-2.4, 28, half+1.2, 24, half+1.2)
		tool = 26
	} else {
		shape(0, tool, half, tool-1.2, half+2, tool-1.2, half+6, tool+1.2, half+6, tool+1.2, half+2)
		shape(0.75, tool-3, half+4.5, tool+3, half+4.5, tool+3, half+9.5, tool-3, half+9.5)
	}
	// The arrows stand beside the tool, IN toward the axis.
	top, bottom := axis+side*(half+1), axis+side*(half+9.5)
	for i, in := range []bool{true, false} {
		px, py := at(30+8*float64(i), math.Min(top, bottom))
		_, qy := at(0, math.Max(top, bottom))
		l.across(px, py, qy, in)
		word, dy := "IN", axis-0.4
		if !in {
			word = "OUT"
		}
		label(30+8*float64(i), dy, word)
	}
	label(21, 21.2, "you stand here")
}

// bed draws the bed with its upper edge at top, as the operator sees it: the headstock at the left, positions from the
// spindle nose, the length, the numbered moves and the zero.
func (l *layout) bed(top float64) {
	c, s := l.k.K.Curve, l.scale
	y := top + 6.6*s // the ways
	first, last := c.Wear.Range()
	first = math.Min(math.Max(first, 0), c.From)
	head := l.Width(l.t.Plain, "headstock") + 2*s
	nose := l.left + head
	tail := "tailstock →"
	right := l.right - 1*s
	x := func(z float64) float64 { return nose + (z-first)/(last-first)*(right-nose) }
	l.Pen(0.25)
	l.Box(l.left, y-6*s, head, 7.5*s, 0.8)
	l.Centred((l.left+nose)/2, y-1.5*s, l.t.Plain, "headstock")
	l.Pen(0.5)
	l.Line(l.left, y+1.5*s, l.right, y+1.5*s)
	l.Pen(0.25)
	l.Box(x(c.From), y-1.5*s, x(c.To)-x(c.From), 3*s, 0.9)
	under := y + 2.6*s + l.t.Plain.Height
	end := l.left
	place := func(at float64, text string) bool {
		half := l.Width(l.t.Plain, text) / 2
		if at = math.Min(math.Max(at, end+half), l.right-half); at-half < end-1e-9 {
			return false
		}
		l.Centred(at, under, l.t.Plain, text)
		end = at + half + 1.5*s
		return true
	}
	if c.From > 1e-6 && first <= 0 {
		place(x(0), "0")
	}
	place(x(c.From), l.k.BareAbout(c.From))
	place(x(c.To), l.k.BareAbout(c.To))
	if text := l.k.unitWords() + " from the spindle nose"; l.right-l.Width(l.t.Plain, text) > end {
		l.Right(l.right, under, l.t.Plain, text)
	}
	// Marks: the zero open, a move filled, each with its number where there is room for it.
	before := math.Inf(-1)
	mark := func(z float64, text string, grey float64) {
		at, half := x(z), l.Width(l.t.Strong, text)/2
		l.Shape(grey, at, y-1.7*s, at-1.1*s, y-4*s, at+1.1*s, y-4*s)
		if math.Abs(at-before) > 2*half+0.8*s {
			l.Centred(at, y-4.7*s, l.t.Strong, text)
			before = at
		}
	}
	mark(c.SetAt, "0", -1)
	for i, m := range l.moves {
		mark(m.Position, fmt.Sprint(l.first+i+1), 0)
	}
	if end := x(c.To); l.right-l.Width(l.t.Plain, tail) > end+2*s {
		l.Right(l.right, y-0.5*s, l.t.Plain, tail)
	}
}
