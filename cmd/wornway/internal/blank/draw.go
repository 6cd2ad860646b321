package blank

import (
	"fmt"
	"math"

	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/sheet"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/survey"
)

// Sheets are survey sheets being drawn.
type Sheets struct {
	sheet.Drawing
	word.Units
	Profile *profile.Profile
	Lathe   *shop.Bench // nil: nothing is known of the wear

	way string // that the sheet is for; empty: the method asks for none
}

// What a hand writes in with ease, and what it can still write in where a row or two more would need another page, mm.
const rowHeight, leastHeight = 7.5, 5.6

// Sheet prints the sheets of one method, one for each way or flank that it is taken on.
func (b *Sheets) Sheet(m survey.Method, o *Options) error {
	for _, b.way = range ways(m, b.Profile) {
		if err := b.one(m, o); err != nil {
			return err
		}
	}
	return nil
}

// one prints one sheet, on as many pages as its stations need.
func (b *Sheets) one(m survey.Method, o *Options) error {
	s, err := b.Spreading(m, o)
	if err != nil {
		return err
	}
	rows := Stations(s)
	expected := b.expected(m, rows, o)
	left, right := paper.Margin+4, b.Paper.Width-paper.Margin
	foot := b.Lines(right-left, sheet.Plain, "Positions count from the spindle nose. "+b.putIn(m))
	bottom := b.Paper.Height - paper.Margin - float64(len(foot))*sheet.Plain.Lead()
	high := rowHeight
	for first, page := 0, 1; first < len(rows) || page == 1; page++ {
		b.Page()
		b.Floor(bottom)
		y := b.heading(m, page, left, right)
		if page == 1 {
			y = b.intro(m, s, o, left, y, right)
		}
		y = b.tableHead(m, left, y, right)
		if all := (bottom - y - 0.1) / float64(len(rows)); page == 1 && all >= leastHeight {
			high = math.Min(high, all)
		}
		begun := first
		for ; first < len(rows) && y+high < bottom; first++ {
			b.row(m, rows[first], expected[first], left, y, right, high)
			y += high
		}
		if page > 1 && first == begun {
			b.NoRoom(b.Profile.Lathe.Name)
			return nil
		}
		b.Floor(b.Paper.Height)
		for i, l := range foot {
			b.Text(left, b.Paper.Height-paper.Margin-float64(len(foot)-1-i)*sheet.Plain.Lead(), sheet.Plain, l)
		}
	}
	return nil
}

// putIn says how the readings reach the profile.
func (b *Sheets) putIn(m survey.Method) string {
	if m.Name == "test-cut" {
		return "Put it in by: wornway check PROFILE --measured FILE, or wornway record PROFILE --method test-cut."
	}
	return "Put it in by: wornway record PROFILE --method " + m.Name + "."
}

func (b *Sheets) heading(m survey.Method, page int, left, right float64) float64 {
	const signed = "Date ______________   By ______________"
	title, big := "Survey: "+m.Name, paper.Style{Height: 4, Bold: true}
	if b.way != "" {
		title += ", " + wayWords(b.way)
	}
	if page > 1 {
		title += fmt.Sprintf(" (page %d)", page)
	}
	y := paper.Margin + 5
	lines := b.Lines(right-left, big, title)
	for i, line := range lines {
		b.Text(left, y+6*float64(i), big, line)
	}
	y += 6 * float64(len(lines)-1)
	if b.Width(big, lines[len(lines)-1])+b.Width(sheet.Plain, signed)+5 > right-left {
		y += 6
	}
	b.Right(right, y, sheet.Plain, signed)
	y = b.Wrap(left, y+5, right-left, sheet.Plain, b.Profile.Lathe.Name)
	b.Line(left, y-1.5, right, y-1.5)
	return y + 1.5
}

// intro says how the survey is taken, draws how the instrument stands, and leaves room for what is to be noted.
func (b *Sheets) intro(m survey.Method, s shop.Spread, o *Options, left, y, right float64) float64 {
	by := math.Max(1, math.Min(1.5, 0.45*(right-left)/pictureWidth)) // as large as the page lets it
	picture := by * pictureWidth
	text := right - left - picture - 4
	top := y
	y = b.Wrap(left, y+sheet.Plain.Height, text, sheet.Plain, m.Setup())
	y = b.Wrap(left, y+0.8, text, sheet.Plain, word.Upper(m.Unseen)+".")
	for _, words := range b.said(m) {
		y = b.Wrap(left, y+0.8, text, sheet.Plain, words)
	}
	if m.Name == profile.TestCut {
		d := b.collar(o)
		expects := fmt.Sprintf("Collars of %s.", b.Diameter(d))
		if b.Lathe != nil {
			expects = fmt.Sprintf("Collars of %s. Expected is what each measures where the last one, nearest to the "+
				"tailstock, measures exactly that; if it measures more or less, all do, and only the differences to "+
				"the last one count.", b.Diameter(d))
		}
		y = b.Wrap(left, y+0.8, text, sheet.Plain, expects)
	}
	caution := "Spindle stopped, the machine isolated, chuck key out; no gloves, sleeves rolled tight, no loose hair."
	if m.Name == "test-cut" {
		caution = "Light cuts; measure with the spindle stopped. Chuck key out, no gloves, sleeves rolled tight. " +
			"Unsupported stock: 3 diameters is usual, 5 the limit."
	}
	y = b.Wrap(left, y+0.8, text, sheet.Strong, caution)
	b.Scaled(right-picture, top, by, func() { b.instrument(m, right-picture, top, pictureWidth) })
	y = math.Max(y, top+by*pictureHeight+1)
	for _, q := range b.noted(m) {
		label := askedAs(q)
		if q.Key == "contacts" {
			label += fmt.Sprintf(": stations below are for %s to %s", b.Bare(s.Contacts[0]), b.At(s.Contacts[1]))
		}
		lines := b.Lines((right-left)*0.62, sheet.Plain, label)
		for _, l := range lines {
			y += 3.6
			b.Text(left, y, sheet.Plain, l)
		}
		b.Line(left+(right-left)*0.64, y+0.6, right, y+0.6)
		y += 1.2
	}
	return y + 4
}

// columns returns where the columns begin and end, mm.
func (b *Sheets) columns(m survey.Method, left, right float64) []float64 {
	first := 26.0
	if m.Stretches() {
		first = 34
	}
	names := columnNames(m, b.Units)
	x := []float64{left, left + first}
	note := 0.2 * (right - left)
	wide := (right - left - first - note) / float64(len(names))
	for i := range names {
		x = append(x, left+first+wide*float64(i+1))
	}
	return append(x, right)
}

// tableHead prints the headings, each over as many lines as its column needs.
func (b *Sheets) tableHead(m survey.Method, left, y, right float64) float64 {
	x := b.columns(m, left, right)
	position := "position, " + b.UnitName()
	if m.Stretches() {
		position = "feet from – to, " + b.UnitName()
	}
	heads := append(append([]string{position}, columnNames(m, b.Units)...), "note")
	lines, most := make([][]string, len(heads)), 0
	for i, h := range heads {
		lines[i] = b.Lines(x[i+1]-x[i]-2, sheet.Strong, h)
		most = max(most, len(lines[i]))
	}
	y += sheet.Strong.Height
	for i := range heads {
		for k, l := range lines[i] {
			b.Text(x[i]+1, y+float64(most-len(lines[i])+k)*sheet.Strong.Lead(), sheet.Strong, l)
		}
	}
	y += float64(most-1) * sheet.Strong.Lead()
	b.Pen(0.4)
	b.Line(left, y+1.5, right, y+1.5)
	b.Pen(0.2)
	return y + 1.5
}

func (b *Sheets) row(m survey.Method, at []float64, expected string, left, y, right, high float64) {
	x := b.columns(m, left, right)
	position := b.Bare(b.In.ToMM(at[0]))
	if len(at) == 2 {
		position += " – " + b.Bare(b.In.ToMM(at[1]))
	}
	b.Text(x[0]+1, y+high-(high-3)/2, paper.Style{Height: 3, Bold: true}, position)
	if expected != "" {
		b.Text(x[1]+1, y+high-(high-3)/2, sheet.Plain, expected)
	}
	b.Line(left, y+high, right, y+high)
	for _, c := range x {
		b.Line(c, y, c, y+high)
	}
}
