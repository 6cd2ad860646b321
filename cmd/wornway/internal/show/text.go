package show

import (
	"bytes"
	"strings"
)

// writeText writes the report for a terminal of a width, 0 where it is not known.
func writeText(b *bytes.Buffer, r Report, f Format) error {
	terminal := f.Width
	limit := textWidth(terminal)
	if r.Widest > 0 {
		limit = min(limit, r.Widest)
	}
	room := terminal
	if room <= 0 {
		room = unknownText
	}
	p := paragraphs{b: b}
	p.sentences(r.Answer, "", limit)
	if r.Sketch != nil && terminal > 0 {
		if lines := r.Sketch(limit, f.ASCII); len(lines) > 0 {
			p.gap()
			p.lines(lines)
		}
	}
	p.sentences(r.Warnings, "Warning: ", limit)
	for _, t := range r.Tables {
		p.gap()
		if t.Title != "" {
			p.lines(wrap(t.Title, limit))
		}
		if len(t.Rows) == 0 {
			p.lines([]string{"(no rows)"})
			continue
		}
		drawn, err := drawText(t, room)
		if err != nil {
			return err
		}
		if f.ASCII {
			drawn = ASCII(drawn) // the rule
		}
		b.WriteString(drawn)
	}
	p.sentences(r.Remarks, "", limit)
	if len(r.Assumed) > 0 {
		p.gap()
		p.lines([]string{"Assumed:"})
		for _, s := range r.Assumed {
			p.lines(wrap("- "+s, limit))
		}
	}
	p.sentences(r.Cautions, "Caution: ", limit)
	for _, s := range oneLine(r.Next) {
		p.lines(wrap(s, limit))
	}
	return nil
}

// paragraphs keeps one empty line between the parts of a report.
type paragraphs struct{ b *bytes.Buffer }

func (p paragraphs) gap() {
	if p.b.Len() > 0 {
		p.b.WriteByte('\n')
	}
}

func (p paragraphs) lines(lines []string) {
	for _, l := range lines {
		p.b.WriteString(strings.TrimRight(l, " "))
		p.b.WriteByte('\n')
	}
}

// sentences writes one part of the report, each sentence on a line of its own; an empty one is an empty line.
func (p paragraphs) sentences(sentences []string, mark string, limit int) {
	if len(sentences) == 0 {
		return
	}
	p.gap()
	for _, s := range sentences {
		if s == "" {
			p.gap()
			continue
		}
		p.lines(wrap(mark+s, limit))
	}
}

// oneLine puts short sentences into one paragraph.
func oneLine(sentences []string) []string {
	if len(sentences) == 0 {
		return nil
	}
	return []string{strings.Join(sentences, " ")}
}
