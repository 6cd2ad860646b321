package show

import (
	"strings"

	"wornway/cmd/wornway/internal/safe"
)

// mostHeadLines is how many lines a heading may take to make its column narrower.
const mostHeadLines = 3

// heads lays the headings of a table out. They stay as they were written where the table fits into limit cells (0: no
// limit), and are broken over two lines or three where it does not. cells holds the width of the widest entry of each
// column, gap the blanks between two columns. Every result has the same number of lines, filled up from the top so that
// a heading stands close to its column.
func heads(columns []Column, cells []int, gap, limit int) [][]string {
	out := make([][]string, len(columns))
	for most := 1; most <= mostHeadLines; most++ {
		total := gap * (len(columns) - 1)
		for i, c := range columns {
			out[i] = breakHead(c.Head, cells[i], most)
			total += max(cells[i], widest(out[i]))
		}
		if limit <= 0 || total <= limit {
			break
		}
	}
	tall := 0
	for _, h := range out {
		tall = max(tall, len(h))
	}
	for i, h := range out {
		out[i] = append(make([]string, tall-len(h)), h...)
	}
	return out
}

// breakHead breaks one heading into at most the given number of lines (more only where it holds more explicit breaks)
// so that it is as narrow as can be, but no narrower than its column needs to be for its entries.
func breakHead(head string, column, most int) []string {
	var parts [][]string
	for _, line := range strings.Split(head, "\n") {
		parts = append(parts, headWords(safe.Line(line)))
	}
	fill := func(limit int) []string {
		var lines []string
		for _, words := range parts {
			lines = append(lines, fillHead(words, limit)...)
		}
		return lines
	}
	best := fill(1 << 20)
	for limit := widest(best) - 1; limit >= column && limit > 0; limit-- {
		lines := fill(limit)
		if len(lines) > max(most, len(parts)) {
			break
		}
		if widest(lines) < widest(best) {
			best = lines
		}
	}
	return best
}

// headWords cuts a line after blanks and commas. A word begins with the blank that parts it from the one before, if
// there is one.
func headWords(line string) []string {
	var words []string
	start := 0
	for i := 1; i < len(line); i++ {
		if line[i] == ' ' && line[i-1] != ' ' || line[i-1] == ',' && line[i] != ' ' {
			words = append(words, line[start:i])
			start = i
		}
	}
	return append(words, line[start:])
}

// fillHead puts as many words on each line as fit into limit cells.
func fillHead(words []string, limit int) []string {
	var lines []string
	line := strings.TrimSpace(words[0])
	for _, word := range words[1:] {
		if width(line+word) <= limit {
			line += word
			continue
		}
		lines = append(lines, line)
		line = strings.TrimSpace(word)
	}
	return append(lines, line)
}

func widest(lines []string) int {
	w := 0
	for _, l := range lines {
		w = max(w, width(l))
	}
	return w
}
