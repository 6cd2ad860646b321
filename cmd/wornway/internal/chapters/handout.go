package chapters

import (
	"fmt"

	"wornway/cmd/wornway/internal/lesson"
	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/sheet"
)

// Task is a question on paper, with the room to answer it, and the answer that stands in the key.
type Task struct {
	Question string
	Options  []string // to be ticked
	Lines    int      // to write on
	Answer   []string // in paragraphs, for the key
}

// Block is what stands together in a handout.
type Block struct {
	Title string
	Text  []string
	Bed   bool // the bed is drawn
	Tasks []Task
}

// Handout is a lesson on paper, for pupils or, as the key, for who teaches them.
type Handout struct {
	sheet.Drawing
	Page  *lesson.Page
	Parts []Block
	Key   bool

	left, right, y float64
	styles         sheet.Styles
	title          string
	number         int // of the last question
}

// Print draws it. Each part of the pupils' handout begins a page: the first is to be handed in before the next is seen.
func (h *Handout) Print() {
	h.left, h.right = paper.Margin+4, h.Paper.Width-paper.Margin
	h.styles = h.Styles()
	for i, p := range h.Parts {
		h.title = p.Title
		if i == 0 || !h.Key {
			h.top()
		} else {
			h.room(5 * h.styles.Heading.Lead())
			h.y = h.Wrap(h.left, h.y+h.styles.Heading.Height+3, h.right-h.left, h.styles.Heading, p.Title)
		}
		if !h.Key {
			for _, s := range p.Text {
				h.say(h.styles.Plain, s)
			}
			if p.Bed {
				h.bed()
			}
		}
		for _, t := range p.Tasks {
			h.task(t)
		}
	}
	h.room(4 * h.styles.Plain.Lead())
	h.y += 2
	h.say(h.styles.Plain, lesson.Cautions)
}

// top begins a page.
func (h *Handout) top() {
	h.Drawing.Page()
	title := h.title
	if h.Key {
		title = "Key, for who teaches: " + title
	}
	h.y = h.Wrap(h.left, paper.Margin+5, h.right-h.left, paper.Style{Height: 4, Bold: true}, title)
	h.y = h.Wrap(h.left, h.y, h.right-h.left, h.styles.Plain, fmt.Sprintf("%s, page %d", h.Page.Lathe, h.Pages))
	if !h.Key {
		h.Right(h.right, h.y, h.styles.Plain, "Name ____________________   Date ____________")
	}
	h.y += 2
	h.Line(h.left, h.y, h.right, h.y)
	h.y += 1
}

// room begins a page where less than so much is left, mm.
func (h *Handout) room(high float64) {
	if h.y+high > h.Paper.Height-paper.Margin-4 {
		h.top()
	}
}

// say writes a paragraph.
func (h *Handout) say(s paper.Style, text string) {
	h.room(float64(len(h.Lines(h.right-h.left, s, text))) * s.Lead())
	h.y = h.Wrap(h.left, h.y+s.Height+1.2, h.right-h.left, s, text) - s.Lead() + s.Height + 0.8
}

const written = 8.5 // mm from one line to write on to the next

func (h *Handout) task(t Task) {
	h.number++
	plain, strong := h.styles.Plain, h.styles.Strong
	question := fmt.Sprintf("%d. %s", h.number, t.Question)
	if h.Key {
		h.room(float64(len(h.Lines(h.right-h.left, strong, question))+2) * plain.Lead())
		h.say(strong, question)
		for _, a := range t.Answer {
			h.say(plain, a)
		}
		return
	}
	high := float64(len(h.Lines(h.right-h.left, plain, question)))*plain.Lead() + float64(t.Lines)*written + 4
	if len(t.Options) > 0 {
		high += plain.Lead() + 3
	}
	h.room(high)
	h.say(plain, question)
	if len(t.Options) > 0 {
		x := h.left + 2
		h.y += plain.Lead()
		for _, o := range t.Options {
			h.Box(x, h.y-plain.Height-0.4, plain.Height+0.8, plain.Height+0.8, 1)
			x += plain.Height + 2.5
			h.Text(x, h.y, plain, o)
			x += h.Width(plain, o) + 7
		}
		h.y += 1.5
	}
	for range t.Lines {
		h.y += written
		h.Line(h.left, h.y, h.right, h.y)
	}
	h.y += 2
}

// bed draws how far the two ways have sunk, much larger than it is, over a ruler from the spindle nose.
func (h *Handout) bed() {
	const high, under = 26.0, 9.0
	h.room(high + under + 12)
	p, w := h.Page, h.Page.Wears[asFound]
	from, to := p.Positions[0], p.Positions[len(p.Positions)-1]
	x := func(z float64) float64 { return h.left + 14 + (z-from)/(to-from)*(h.right-h.left-24) }
	top := h.y + 7
	deepest := 1
	for i := range w.Front {
		deepest = max(deepest, w.Front[i], w.Rear[i])
	}
	y := func(v int) float64 { return top + high*float64(v)/float64(deepest) }
	small := paper.Style{Height: 2.4}
	h.Text(h.left, top-2.5, small, "The ways from the front, drawn down much larger than they are. The headstock "+
		"is at the left.")
	h.Dashed(x(from), top, x(to), top)
	h.Right(x(from)-2, top+1, small, "as new")
	for i := 1; i < len(p.Positions); i++ {
		a, b := p.Positions[i-1], p.Positions[i]
		h.Pen(0.6)
		h.Line(x(a), y(w.Front[i-1]), x(b), y(w.Front[i]))
		h.Pen(0.2)
		h.Dashed(x(a), y(w.Rear[i-1]), x(b), y(w.Rear[i]))
	}
	h.Pen(0.6)
	h.Line(h.left+14, top+high+4, h.left+24, top+high+4)
	h.Pen(0.2)
	h.Text(h.left+25, top+high+5, small, "front way")
	h.Dashed(h.left+45, top+high+4, h.left+55, top+high+4)
	h.Text(h.left+56, top+high+5, small, "rear way")
	ruler := top + high + under
	h.Line(x(from), ruler, x(to), ruler)
	end := h.left
	for i, z := range p.Positions {
		h.Line(x(z), ruler, x(z), ruler+1.5)
		if wide := h.Width(small, p.Places[i]); x(z)-wide/2 > end+3 && i != p.Asked {
			h.Centred(x(z), ruler+4.6, small, p.Places[i])
			end = x(z) + wide/2
		}
	}
	h.Dashed(x(p.Positions[p.Asked]), top-1, x(p.Positions[p.Asked]), ruler)
	h.Text(x(p.Positions[p.Asked])+1, top-0.8+3, small, "here")
	h.y = ruler + 7
}
