package main

import (
	"fmt"

	"wornway/cmd/wornway/internal/paper"
	"wornway/profile"
	"wornway/profile/survey"
)

// blankSheets are survey sheets being drawn.
type blankSheets struct {
	printing
	words
	profile *profile.Profile
	lathe   *lathe // nil: nothing is known of the wear
}

// rowHeight is what a hand needs to write in, mm.
const rowHeight = 7.5

// sheet prints the sheet of one method, on as many pages as its stations need.
func (b *blankSheets) sheet(m survey.Method, o *blankOptions) error {
	s, err := b.spreading(m, o)
	if err != nil {
		return err
	}
	rows := stations(s)
	expected := b.expected(m, rows, o)
	left, right := paper.Margin+4, b.Paper.Width-paper.Margin
	bottom := b.Paper.Height - paper.Margin - 4
	for first, page := 0, 1; first < len(rows) || page == 1; page++ {
		b.Page()
		y := b.heading(m, page, left, right)
		if page == 1 {
			y = b.intro(m, s, left, y, right)
		}
		y = b.tableHead(m, left, y, right)
		for ; first < len(rows) && y+rowHeight < bottom; first++ {
			b.row(m, rows[first], expected[first], left, y, right)
			y += rowHeight
		}
		b.Text(left, b.Paper.Height-paper.Margin, plain, "Positions count from the spindle nose. "+b.putIn(m))
	}
	return nil
}

// putIn says how the readings reach the profile.
func (b *blankSheets) putIn(m survey.Method) string {
	if m.Name == "test-cut" {
		return "Put it in by: wornway check PROFILE --measured FILE, or wornway record PROFILE --method test-cut."
	}
	return "Put it in by: wornway record PROFILE --method " + m.Name + "."
}

func (b *blankSheets) heading(m survey.Method, page int, left, right float64) float64 {
	title := "Survey: " + m.Name
	if page > 1 {
		title += fmt.Sprintf(" (page %d)", page)
	}
	b.Text(left, paper.Margin+5, paper.Style{Height: 4, Bold: true}, title)
	b.Right(right, paper.Margin+5, plain, "Date ______________   By ______________")
	y := b.Wrap(left, paper.Margin+10, right-left, plain, b.profile.Lathe.Name)
	b.Line(left, y-1.5, right, y-1.5)
	return y + 1.5
}

// intro says how the survey is taken, draws how the instrument stands, and leaves room for what is to be noted.
func (b *blankSheets) intro(m survey.Method, s spreading, left, y, right float64) float64 {
	const picture = 62.0 // mm wide
	text := right - left - picture - 4
	top := y
	y = b.Wrap(left, y+plain.Height, text, plain, m.Setup())
	y = b.Wrap(left, y+0.8, text, plain, upper(m.Unseen)+".")
	caution := "Spindle stopped, the machine isolated, chuck key out; no gloves, sleeves rolled tight, no loose hair."
	if m.Name == "test-cut" {
		caution = "Light cuts; measure with the spindle stopped. Chuck key out, no gloves, sleeves rolled tight. Unsupported stock: 3 diameters is usual, 5 the limit."
	}
	y = b.Wrap(left, y+0.8, text, strong, caution)
	b.instrument(m, right-picture, top, picture)
	if y < top+37 {
		y = top + 37
	}
	for _, q := range noted(m, b.profile) {
		label := askedAs(q)
		if q.Key == "contacts" {
			label += fmt.Sprintf(": stations below are for %s to %s", b.bare(s.contacts[0]), b.at(s.contacts[1]))
		}
		lines := b.Lines((right-left)*0.62, plain, label)
		for _, l := range lines {
			y += 3.6
			b.Text(left, y, plain, l)
		}
		b.Line(left+(right-left)*0.64, y+0.6, right, y+0.6)
		y += 1.2
	}
	return y + 4
}

// columns returns where the columns begin and end, mm.
func (b *blankSheets) columns(m survey.Method, left, right float64) []float64 {
	first := 32.0
	if m.Stretches() {
		first = 48
	}
	names := columnNames(m, b.words)
	x := []float64{left, left + first}
	note := 0.25 * (right - left)
	wide := (right - left - first - note) / float64(len(names))
	for i := range names {
		x = append(x, left+first+wide*float64(i+1))
	}
	return append(x, right)
}

func (b *blankSheets) tableHead(m survey.Method, left, y, right float64) float64 {
	x := b.columns(m, left, right)
	position := "position, " + b.inch()
	if m.Stretches() {
		position = "feet from – to, " + b.inch()
	}
	heads := append(append([]string{position}, columnNames(m, b.words)...), "note")
	y += strong.Height
	for i, h := range heads {
		b.Text(x[i]+1, y, strong, h)
	}
	b.Pen(0.4)
	b.Line(left, y+1.5, right, y+1.5)
	b.Pen(0.2)
	return y + 1.5
}

func (b *blankSheets) row(m survey.Method, at []float64, expected string, left, y, right float64) {
	x := b.columns(m, left, right)
	position := b.bare(b.unit.ToMM(at[0]))
	if len(at) == 2 {
		position += " – " + b.bare(b.unit.ToMM(at[1]))
	}
	b.Text(x[0]+1, y+rowHeight-2.2, paper.Style{Height: 3, Bold: true}, position)
	if expected != "" {
		b.Text(x[1]+1, y+rowHeight-2.2, plain, expected)
	}
	b.Line(left, y+rowHeight, right, y+rowHeight)
	for _, c := range x {
		b.Line(c, y, c, y+rowHeight)
	}
}

// instrument draws the lathe from the front, the headstock at the left, with the instrument of the method on it, and an arrow toward plus.
func (b *blankSheets) instrument(m survey.Method, x, y, width float64) {
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
	tailstock := func() {
		b.Box(at(0.8), ways-5, 0.18*width, 5, 0.9)
		b.Box(at(0.84), spindle-3, 0.1*width, ways-5-spindle+3, 0.9)
		b.Shape(0.9, at(0.84), spindle-1.5, at(0.84), spindle+1.5, at(0.79), spindle)
	}
	bar := func(to float64) { b.Box(at(0.19), spindle-1.4, at(to)-at(0.19), 2.8, 1) }
	// An indicator with its dial at x, y and its tip at tx, ty.
	indicator := func(ix, iy, tx, ty float64) {
		b.Line(ix, iy, tx, ty)
		b.Circle(ix, iy, 2.4)
		b.Line(ix, iy, ix+1.2, iy-1.5)
	}
	level := func(from, to, top float64) {
		b.Box(at(from), top-3, at(to)-at(from), 3, 1)
		mid := (at(from) + at(to)) / 2
		b.Box(mid-3, top-2.3, 6, 1.6, 0.95)
		b.Circle(mid, top-1.5, 0.6)
	}
	plus := func(px, py float64, text string) { b.Centred(px, py, plain, text) }
	switch m.Name {
	case "carriage-indicator":
		saddle(0.35)
		indicator(at(0.6), ways-9, at(0.6), ways)
		b.Line(at(0.55), ways-4, at(0.6), ways-9)
		plus(at(0.78), ways-10, "in is plus")
	case "tailstock-indicator":
		tailstock()
		indicator(at(0.7), ways-8, at(0.7), ways)
		b.Line(at(0.8), ways-5, at(0.7), ways-8)
		plus(at(0.55), ways-10, "in is plus")
	case "straightedge", "light-gap":
		b.Box(at(0.25), ways-5.5, 0.6*width, 4, 1)
		b.Box(at(0.25), ways-1.5, 1.5, 1.5, 0)
		b.Box(at(0.85)-1.5, ways-1.5, 1.5, 1.5, 0)
		plus(at(0.55), ways+3.6, map[bool]string{true: "leaf in the gap", false: "light through the gap"}[m.Name == "straightedge"])
	case "way-micrometer":
		b.Line(at(0.5), ways-1, at(0.5), ways-6)
		b.Line(at(0.5), ways+6, at(0.5), ways+10)
		b.Line(at(0.5), ways-6, at(0.42), ways-6)
		b.Line(at(0.42), ways-6, at(0.42), ways+10)
		b.Line(at(0.42), ways+10, at(0.5), ways+10)
		plus(at(0.72), ways-4, "top to underside")
	case "carriage-lock":
		saddle(0.35)
		b.Box(at(0.37), ways+5, 0.06*width, 3, 0)
		plus(at(0.68), ways+9.5, "lock under the bed")
	case "level-along":
		level(0.35, 0.6, ways-1)
		b.Box(at(0.36), ways-1, 1.2, 1, 0)
		b.Box(at(0.58), ways-1, 1.2, 1, 0)
		plus(at(0.55), ways-8, "tailstock's side high is plus")
	case "level-across", "saddle-level":
		if m.Name == "saddle-level" {
			saddle(0.35)
		}
		// Seen from the tailstock: the two ways, the level across them, the operator at the left.
		b.Box(at(0.62), ways-14, 3, 5, 0.85)
		b.Box(at(0.9), ways-14, 3, 5, 0.85)
		top := ways - 14
		if m.Name == "saddle-level" {
			b.Box(at(0.6), top-3, 0.36*width, 3, 0.9)
			top -= 3
		}
		level(0.6, 0.96, top)
		b.Centred(at(0.78), ways-5.5, plain, "operator | rear")
		plus(at(0.62), top-5.5, "operator's side high: plus")
	case "bar-side", "bar-top":
		bar(0.75)
		saddle(0.4)
		if m.Name == "bar-top" {
			indicator(at(0.62), spindle-6, at(0.5), spindle-1.4)
			b.Line(at(0.5), ways-7, at(0.62), spindle-6)
		} else {
			indicator(at(0.5), spindle+5, at(0.5), spindle+1.2)
			b.Line(at(0.5), ways-7, at(0.5), spindle+7.4)
		}
		plus(at(0.85), spindle-4, "in is plus")
	case "test-cut":
		bar(0.62)
		for _, s := range []float64{0.24, 0.36, 0.48, 0.58} {
			b.Box(at(s), spindle-2.4, 0.035*width, 4.8, 0.8)
		}
		saddle(0.62)
		b.Shape(0, at(0.63), spindle+2.6, at(0.61), spindle+7, at(0.65), spindle+7)
		b.Line(at(0.63), spindle+7, at(0.69), ways-7)
	}
}
