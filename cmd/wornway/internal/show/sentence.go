package show

import (
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
