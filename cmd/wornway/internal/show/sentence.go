package show

import (
	"regexp"
	"strings"

	"github.com/olekukonko/tablewriter/pkg/twwidth"

	"wornway/cmd/wornway/internal/safe"
)

// Sentences are wrapped at the terminal's width, but lines of more than 100 characters tire the eye.
const (
	widestText  = 100
	unknownText = 80
)

// width returns how many cells of a terminal s takes. µ, ±, Ø and block elements take one, whatever the locale.
func width(s string) int { return twwidth.WidthWithOptions(s, twwidth.Options{}) }

// wrap is Fill with the lines after the first indented by two.
func wrap(s string, limit int) []string { return Fill(s, limit, "  ") }

// Fill breaks s at blanks into lines of at most limit cells where its words allow; the lines after the first are
// indented. A number stays with its unit, and a ± with its number.
func Fill(s string, limit int, indent string) []string {
	var lines []string
	line, cells := "", 0
	for _, word := range joined(strings.FieldsFunc(safe.Line(s), func(r rune) bool { return r == ' ' })) {
		w := width(word)
		switch {
		case cells == 0:
			line, cells = word, w
		case cells+1+w <= limit:
			line, cells = line+" "+word, cells+1+w
		default:
			lines = append(lines, line)
			line, cells = indent+word, len(indent)+w
		}
	}
	if cells == 0 {
		return lines
	}
	return append(lines, line)
}

// column is what stands before the second column of a line: blanks, words, and two blanks at least.
var column = regexp.MustCompile(`^ *\S+(?: \S+)*  +`)

// Fold breaks those lines of a text that are wider than limit; what follows in them is indented, or stands under the
// second column of a line that has one. A command line is broken as a shell takes it, so that it can be taken over in
// one piece.
func Fold(text string, limit int) string {
	var b strings.Builder
	for line := range strings.Lines(text) {
		l := strings.TrimRight(line, "\n")
		end := line[len(l):]
		start := strings.TrimLeft(l, " ")
		if width(l) <= limit {
			b.WriteString(line)
			continue
		}
		if strings.Trim(l, " ─-") == "" { // the rule of a table
			b.WriteString(string([]rune(l)[:limit]) + end)
			continue
		}
		head := l[:len(l)-len(start)]
		indent, mark := head+"  ", ""
		command := strings.HasPrefix(strings.TrimPrefix(start, "$ "), "wornway ")
		if command && !strings.ContainsAny(l, "[{|") { // which only stand for something
			mark = " \\"
		}
		if c := column.FindString(l); c != "" && width(c) <= limit/2 && !command {
			head, indent = c, strings.Repeat(" ", width(c))
		}
		for i, part := range Fill(l[len(head):], limit-len(indent)-len(mark), "") {
			if i > 0 {
				head = mark + "\n" + indent
			}
			b.WriteString(head + part)
		}
		b.WriteString(end)
	}
	return b.String()
}

// joined glues words that must not be parted by the end of a line.
func joined(words []string) []string {
	var out []string
	for i, word := range words {
		if i > 0 && (words[i-1] == "±" || words[i-1] == "+/-" || startsAsNumber(words[i-1]) && isUnit(word)) {
			out[len(out)-1] += " " + word
			continue
		}
		out = append(out, word)
	}
	return out
}

func startsAsNumber(word string) bool {
	word = strings.TrimLeft(word, "+-−±/(")
	return word != "" && word[0] >= '0' && word[0] <= '9'
}

func isUnit(word string) bool {
	switch strings.TrimRight(word, ".,;:)") {
	case "in", "mm", "thou", "%", "\u00b5m", "thou/ft", "\u00b5m/100", "in/ft", "mm/m":
		return true
	}
	return false
}

// textWidth is where sentences are wrapped on a terminal of the given width.
func textWidth(terminal int) int {
	if terminal <= 0 {
		return unknownText
	}
	return min(terminal, widestText)
}
