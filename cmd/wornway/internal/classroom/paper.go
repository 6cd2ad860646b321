package classroom

import (
	"fmt"

	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/sheet"
)

// Pages are the sheet of an exercise being drawn, in the look of the survey sheets.
type Pages struct {
	sheet.Drawing
	Set *Assignment
}

// Print draws the sheet: what is known, the readings in two columns of tables, and the questions with room to answer.
func (p *Pages) Print() {
	left, right := paper.Margin+4, p.Paper.Width-paper.Margin
	bottom := p.Paper.Height - paper.Margin - 6
	y := p.top(left, right)
	for _, s := range append(p.Set.Opening()[1:], p.Set.BedWords(), p.Set.ReadWords()) {
		y = p.Wrap(left, y+sheet.Plain.Height, right-left, sheet.Plain, s) - 0.5
	}
	y += 3
	// Tables stand beside each other; a row of them begins below the longest of the one before.
	const gutter, line, least = 6.0, 4.6, 52.0
	across := max(2, int((right-left+gutter)/(least+gutter)))
	wide := (right - left - gutter*float64(across-1)) / float64(across)
	pages := p.Set.Pages()
	for i := 0; i < len(pages); i += across {
		row := pages[i:min(i+across, len(pages))]
		high := 0.0
		for _, t := range row {
			high = max(high, p.height(t, wide, line))
		}
		if y+high > bottom {
			y = p.top(left, right)
		}
		for k, t := range row {
			p.table(t, left+float64(k)*(wide+gutter), y, wide, line)
		}
		y += high + 4
	}
	for _, q := range p.Set.Task() {
		const room = 16.0 // mm to write in
		high := float64(len(p.Lines(right-left, sheet.Plain, q)))*sheet.Plain.Lead() + room
		if y+high > bottom {
			y = p.top(left, right)
		}
		y = p.Wrap(left, y+sheet.Plain.Height, right-left, sheet.Plain, q)
		p.Line(left, y+room/2-3, right, y+room/2-3)
		p.Line(left, y+room-5, right, y+room-5)
		y += room - 3
	}
	for _, c := range ExerciseCautions {
		high := float64(len(p.Lines(right-left, sheet.Plain, c))) * sheet.Plain.Lead()
		if y+high > bottom {
			y = p.top(left, right)
		}
		y = p.Wrap(left, y+sheet.Plain.Height, right-left, sheet.Plain, c) - 0.5
	}
}

// top begins a page and returns where it goes on.
func (p *Pages) top(left, right float64) float64 {
	p.Page()
	title := fmt.Sprintf("Exercise %s: which cause is in these cuts?", p.Set.Number)
	if p.Pages > 1 {
		title = fmt.Sprintf("Exercise %s, page %d", p.Set.Number, p.Pages)
	}
	p.Text(left, paper.Margin+5, paper.Style{Height: 4, Bold: true}, title)
	p.Right(right, paper.Margin+11, sheet.Plain, "Name ____________________   Date ____________")
	p.Line(left, paper.Margin+13, right, paper.Margin+13)
	return paper.Margin + 15
}

func (p *Pages) height(t pageOf, wide, line float64) float64 {
	return float64(len(p.Lines(wide, sheet.Strong, t.title)))*sheet.Strong.Lead() + line*float64(len(t.Rows)+1) + 3
}

// table draws one table of readings.
func (p *Pages) table(t pageOf, x, y, wide, line float64) {
	y = p.Wrap(x, y+sheet.Strong.Height, wide, sheet.Strong, t.title) + 1.5
	middle := x + wide*0.45
	p.Right(middle, y, sheet.Plain, t.heads[0])
	p.Right(x+wide-2, y, sheet.Plain, t.heads[1])
	p.Line(x, y+1.3, x+wide, y+1.3)
	y += 1
	for _, r := range t.Rows {
		y += line
		p.Right(middle, y, figure, r[0])
		p.Right(x+wide-2, y, figure, r[1])
	}
}

// figure is what readings stand in.
var figure = paper.Style{Height: 2.6}
