package sheet

import (
	"math"

	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
)

// A run sheet's measures, mm.
const (
	runGap  = 3.0 // between columns
	runRow  = 2.6 // what a row has beyond its text
	runText = 2.9 // height of what is read at the machine
)

// Run prints an answer whose first table is what is done step by step, on as many pages as it needs: what it is of, the
// steps with room to tick, then what belongs to them. The cautions stand on the first page, over the steps.
func Run(p *Drawing, r show.Report) {
	r = r.Whole()
	left, right := paper.Margin+4, p.Paper.Width-paper.Margin-4
	bottom := p.Paper.Height - paper.Margin - 2*Plain.Lead()
	steps, title := paper.Style{Height: runText}, paper.Style{Height: 3.6, Bold: true}
	t := r.Tables[0]
	y := 0.0
	page := func() {
		p.Page()
		y = paper.Margin + title.Height
		if p.Pages == 1 {
			y = p.Wrap(left, y, right-left, title, r.Answer[0])
			for _, s := range r.Answer[1:] {
				y = p.Wrap(left, y, right-left, steps, s)
			}
			y++
			for _, s := range r.Cautions {
				y = p.Wrap(left, y, right-left, Strong, s)
			}
		} else {
			y = p.Wrap(left, y, right-left, Heading, r.Answer[0])
		}
		p.Right(right, p.Paper.Height-paper.Margin, Plain, word.Upper("page "+word.Fixed(float64(p.Pages), 0)))
	}
	page()
	wide := runColumns(p, t, steps, right-left)
	heads := func() {
		x := left
		for j, c := range t.Columns {
			if c.Left {
				p.Text(x, y+Strong.Height, Strong, c.Head)
			} else {
				p.Right(x+wide[j], y+Strong.Height, Strong, c.Head)
			}
			x += wide[j] + runGap
		}
		y += Strong.Height + 1.5
		p.Pen(0.4)
		p.Line(left, y, right, y)
		p.Pen(0.15)
	}
	heads()
	for _, row := range t.Rows {
		cells, most := make([][]string, len(row)), 1
		for j, c := range row {
			cells[j] = p.Lines(wide[j]+0.01, steps, c.Text)
			most = max(most, len(cells[j]))
		}
		high := float64(most)*steps.Lead() + runRow
		if y+high > bottom {
			page()
			heads()
		}
		x := left
		for j, lines := range cells {
			for n, line := range lines {
				at := y + (high-float64(len(lines)-1)*steps.Lead()+steps.Height)/2 + float64(n)*steps.Lead()
				if t.Columns[j].Left {
					p.Text(x, at, steps, line)
				} else {
					p.Right(x+wide[j], at, steps, line)
				}
			}
			x += wide[j] + runGap
		}
		y += high
		p.Line(left, y, right, y)
	}
	y += 2
	for _, part := range [][]string{r.Warnings, r.Remarks, r.Assumed} {
		for _, s := range part {
			if high := float64(len(p.Lines(right-left, Plain, s))) * Plain.Lead(); y+high > bottom {
				page()
			}
			y = p.Wrap(left, y+Plain.Lead(), right-left, Plain, s) - Plain.Lead() + 0.8
		}
		y += 1.2
	}
}

// runColumns returns how wide each column is; the one that would be widest gives way to the others.
func runColumns(p *Drawing, t show.Table, s paper.Style, width float64) []float64 {
	words := 0
	wide := make([]float64, len(t.Columns))
	for j, c := range t.Columns {
		wide[j] = p.Width(Strong, c.Head)
		for _, row := range t.Rows {
			wide[j] = math.Max(wide[j], p.Width(s, row[j].Text))
		}
		if wide[j] > wide[words] {
			words = j
		}
	}
	rest := width
	for j, w := range wide {
		if j != words {
			wide[j] = math.Min(w, width/4)
			rest -= wide[j]
		}
	}
	wide[words] = rest - runGap*float64(len(wide)-1)
	return wide
}
