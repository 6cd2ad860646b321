package blank

import (
	"math"

	"wornway/cmd/wornway/internal/sheet"
	"wornway/profile/bed"
	"wornway/profile/survey"
)

// What a drawing takes at its smallest, mm.
const pictureWidth, pictureHeight = 62.0, 36.0

// instrument draws how the instrument of a method stands, with an arrow toward plus: from the front, the headstock at
// the left, where it matters where along the bed it stands; from the tailstock, the operator at the left, where it
// matters how it stands across.
func (b *Sheets) instrument(m survey.Method, x, y, width float64) {
	switch m.Name {
	case "level-across", "saddle-level", "carriage-indicator", "tailstock-indicator", "bar-side", "bar-top":
		b.fromTailstock(m, x, y, width)
	default:
		b.fromFront(m, x, y, width)
	}
}

// arrow draws an arrow to its second point.
func (b *Sheets) arrow(x1, y1, x2, y2 float64) {
	const head, half = 2.2, 0.8
	d := math.Hypot(x2-x1, y2-y1)
	ux, uy := (x2-x1)/d, (y2-y1)/d
	b.Pen(0.5)
	b.Line(x1, y1, x2-ux*head*0.8, y2-uy*head*0.8)
	b.Pen(0.25)
	b.Shape(0, x2, y2, x2-ux*head-uy*half, y2-uy*head+ux*half, x2-ux*head+uy*half, y2-uy*head-ux*half)
}

// dial draws an indicator: its dial at one point, its tip at another.
func (b *Sheets) dial(x, y, tx, ty float64) {
	const radius = 2.6
	d := math.Hypot(tx-x, ty-y)
	b.Line(x+(tx-x)/d*radius, y+(ty-y)/d*radius, tx, ty)
	b.Circle(x, y, radius)
	b.Line(x, y, x+1.2, y-1.6)
	b.Circle(tx, ty, 0.35)
}

// bubble draws a level that lies on something.
func (b *Sheets) bubble(from, to, top float64) {
	b.Box(from, top-3, to-from, 3, 1)
	mid := (from + to) / 2
	b.Box(mid-3, top-2.3, 6, 1.6, 0.95)
	b.Circle(mid, top-1.5, 0.6)
}

// fromTailstock draws the bed's cross section, seen from the tailstock.
func (b *Sheets) fromTailstock(m survey.Method, x, y, width float64) {
	at := func(share float64) float64 { return x + share*width }
	front, tailFront, tailRear, rear := at(0.33), at(0.45), at(0.66), at(0.78)
	ways, axis := y+27, y+9
	middle := (tailFront + tailRear) / 2
	b.Pen(0.25)
	b.Box(front-4, ways+2, rear-front+8, 4, 0.85)
	v := b.Profile.Lathe.Bed.V
	b.vee(front, ways, v)
	b.flat(rear, ways)
	tail := m.Name == "carriage-indicator" || m.Name == "tailstock-indicator"
	if tail {
		b.flat(tailFront, ways)
		b.flat(tailRear, ways)
	}
	b.Text(at(0), ways+5.6, sheet.Plain, "operator")
	b.Right(at(1), ways+5.6, sheet.Plain, "rear")
	saddle := func() { b.Box(front-5, ways-5, rear-front+9, 4, 0.92) }
	const up = 6.0 // mm of an arrow
	switch m.Name {
	case "level-across":
		if v != nil {
			b.block(front, ways)
			b.Box(rear-2, ways-3, 4, 3, 1) // packing
			b.bubble(front-4, rear+4, ways-3)
			b.Centred(at(0.5), ways+8.8, sheet.Plain, "riding block on both flanks")
		} else {
			b.bubble(front-3, rear+3, ways)
		}
		b.arrow(front-1, ways-7, front-1, ways-7-up)
		b.Text(front+1.5, ways-9, sheet.Plain, "this side high: plus")
	case "saddle-level":
		saddle()
		b.bubble(front+2, rear-2, ways-5)
		b.arrow(front-1, ways-9.5, front-1, ways-9.5-up)
		b.Text(front+1.5, ways-11.5, sheet.Plain, "this side high: plus")
	case "carriage-indicator":
		saddle()
		b.dial(tailFront, ways-11, tailFront, ways)
		b.Line(front+2, ways-5, front+2, ways-11)
		b.Line(front+2, ways-11, tailFront-2.6, ways-11)
		b.arrow(tailFront+5, ways-7, tailFront+5, ways-7-up)
		b.Text(tailFront+7, ways-9, sheet.Plain, "plunger in: plus")
		b.Centred(at(0.5), y+2.5, sheet.Plain, "tip on a tailstock way")
	case "tailstock-indicator":
		b.Box(tailFront-2, ways-4, tailRear-tailFront+4, 4, 0.92)
		b.Box(middle-3, axis, 6, ways-4-axis, 0.92)
		tip, top := front, ways
		if v != nil { // square to the outer flank
			tip, top = front-1.2, ways+0.6
		}
		b.dial(tip-3, top-9, tip, top)
		b.Line(tailFront, ways-4, tailFront, ways-13)
		b.Line(tailFront, ways-13, tip-1, top-11)
		b.arrow(at(0.05), ways-5, at(0.05), ways-5-up)
		b.Text(at(0), ways-13, sheet.Plain, "in: plus")
		b.Centred(at(0.5), y+2.5, sheet.Plain, map[bool]string{true: "tip on a flank, or on the rear way",
			false: "tip on a carriage way"}[v != nil])
	case "bar-side", "bar-top":
		saddle()
		const radius = 3.2
		b.Circle(middle, axis, radius)
		b.Line(middle-1, axis, middle+1, axis)
		b.Line(middle, axis-1, middle, axis+1)
		b.Line(front+4, ways-5, front+4, axis+map[bool]float64{true: 2.6, false: -8}[m.Name == "bar-side"])
		if m.Name == "bar-side" {
			b.dial(front+4, axis, middle-radius, axis)
			b.Dashed(middle+radius, axis, at(0.94), axis)
			b.Text(middle+radius+1.5, axis-1, sheet.Plain, "centre height")
			b.arrow(front+4+2*up, axis+5, front+4+up, axis+5)
			b.Text(front+7, axis+9.2, sheet.Plain, "plunger in: plus")
			return
		}
		b.Line(front+4, axis-8, middle-2.6, axis-8)
		b.dial(middle, axis-8, middle, axis-radius)
		b.arrow(middle+6, axis-4, middle+6, axis-4-up)
		b.Text(middle+8, axis-6, sheet.Plain, "in: plus")
	}
}

// vee draws the front way: a V where the lathe has one.
func (b *Sheets) vee(x, top float64, v *bed.V) {
	if v == nil {
		b.flat(x, top)
		return
	}
	b.Shape(0.7, x-3, top+2, x, top-1, x+3, top+2)
}

// block draws a riding block on the V: it bears on both flanks and clears the crest.
func (b *Sheets) block(x, top float64) {
	b.Shape(1, x-4, top-3, x+4, top-3, x+4, top+1, x+2.4, top+1.6, x, top-1.4, x-2.4, top+1.6, x-4, top+1)
}

func (b *Sheets) flat(x, top float64) { b.Box(x-2, top, 4, 2, 0.7) }

// fromFront draws the lathe as the operator sees it.
func (b *Sheets) fromFront(m survey.Method, x, y, width float64) {
	b.Pen(0.25)
	ways, spindle := y+26, y+11
	at := func(share float64) float64 { return x + share*width }
	b.Box(at(0), y+4, 0.16*width, ways-y-4, 0.85) // headstock
	b.Box(at(0.16), spindle-4, 0.03*width, 8, 0.7)
	b.Pen(0.5)
	b.Line(at(0), ways, at(1), ways)
	b.Pen(0.25)
	b.Line(at(0.02), ways+5, at(1), ways+5)
	saddle := func(share float64) {
		b.Box(at(share), ways-4, 0.2*width, 4, 0.9)
		b.Box(at(share+0.07), ways-7, 0.06*width, 3, 0.9)
	}
	edge := func(note string) {
		b.Box(at(0.25), ways-5.5, 0.6*width, 4, 1)
		b.Box(at(0.25), ways-1.5, 1.5, 1.5, 0)
		b.Box(at(0.85)-1.5, ways-1.5, 1.5, 1.5, 0)
		b.arrow(at(0.55), ways-10, at(0.55), ways-5.7)
		b.arrow(at(0.55), ways+4.6, at(0.55), ways+0.3)
		b.Centred(at(0.55), ways+8.4, sheet.Plain, note)
		b.Text(at(0.25), ways-8, sheet.Plain, "a")
		b.Text(at(0.85)-1.5, ways-8, sheet.Plain, "b")
	}
	switch m.Name {
	case "straightedge":
		edge("the leaf goes in here; a wide gap: worn")
	case "light-gap":
		edge("look for light here; light: worn")
	case "way-micrometer":
		b.Line(at(0.5), ways-1, at(0.5), ways-6)
		b.Line(at(0.5), ways+5, at(0.5), ways+9.5)
		b.Line(at(0.5), ways-6, at(0.42), ways-6)
		b.Line(at(0.42), ways-6, at(0.42), ways+9.5)
		b.Line(at(0.42), ways+9.5, at(0.5), ways+9.5)
		b.arrow(at(0.56), ways+2.5, at(0.56), ways+0.2)
		b.arrow(at(0.56), ways+2.5, at(0.56), ways+4.8)
		b.Text(at(0.56)+2, ways+8.6, sheet.Plain, "where thin: worn")
	case "carriage-lock":
		saddle(0.35)
		b.Box(at(0.37), ways+5, 0.06*width, 3, 0)
		b.arrow(at(0.6), ways-2, at(0.75), ways-2)
		b.arrow(at(0.3), ways-2, at(0.22), ways-2)
		b.Text(at(0.46), ways+9.4, sheet.Plain, "lock; tight: saddle high")
	case "saddle-rock":
		saddle(0.45)
		b.dial(at(0.4), ways-13, at(0.46), ways-4)
		b.Line(at(0.38), ways, at(0.4), ways-10.4)
		b.arrow(at(0.5), ways-14, at(0.5), ways-8)
		b.arrow(at(0.63), ways-14, at(0.63), ways-8)
		b.Text(at(0.66), ways-12, sheet.Plain, "press here,")
		b.Text(at(0.66), ways-8.4, sheet.Plain, "then there")
		b.Text(at(0.3), ways+4.4, sheet.Plain, "the saddle's two rear corners")
	case "level-along":
		b.bubble(at(0.35), at(0.6), ways-2.4)
		if riding := b.way == "front" && b.Profile.Lathe.Bed.V != nil; riding {
			b.Box(at(0.36), ways-2.4, 3.6, 4, 1)
			b.Box(at(0.6)-4.2, ways-2.4, 3.6, 4, 1)
			b.Centred(at(0.5), ways+8.8, sheet.Plain, "riding blocks on both flanks")
		} else {
			b.Box(at(0.36), ways-2.4, 1.2, 2.4, 0)
			b.Box(at(0.58), ways-2.4, 1.2, 2.4, 0)
		}
		b.arrow(at(0.66), ways-1.5, at(0.66), ways-7.5)
		b.Text(at(0.68), ways-9, sheet.Plain, "this side")
		b.Text(at(0.68), ways-5.4, sheet.Plain, "high: plus")
		b.Text(at(0.33), ways+4, sheet.Plain, "from")
		b.Text(at(0.575), ways+4, sheet.Plain, "to")
	case "test-cut":
		b.Box(at(0.19), spindle-1.4, 0.43*width, 2.8, 1)
		for _, s := range []float64{0.24, 0.36, 0.48, 0.58} {
			b.Box(at(s), spindle-2.4, 0.035*width, 4.8, 0.8)
		}
		saddle(0.62)
		if b.Profile.Lathe.Bed.RearPost { // beyond the work: its point shows above it
			b.Shape(0, at(0.63), spindle-2.6, at(0.61), spindle-7, at(0.65), spindle-7)
			b.Text(at(0.2), spindle+8, sheet.Plain, "tool beyond the work")
		} else {
			b.Shape(0, at(0.63), spindle+2.6, at(0.61), spindle+7, at(0.65), spindle+7)
			b.Line(at(0.63), spindle+7, at(0.69), ways-7)
		}
		b.arrow(at(0.8), spindle-5, at(0.68), spindle-5)
		b.Text(at(0.645), spindle-7, sheet.Plain, "feed, one setting")
	}
}
