package word

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"wornway/profile"
	"wornway/profile/length"
)

// Share writes by how much a ± shrinks.
func Share(x float64) string {
	const nothing = 0.005
	switch {
	case x < -nothing:
		return "grows"
	case x < nothing:
		return "0 %"
	}
	return fmt.Sprintf("%.0f %%", 100*x)
}

// Note puts a remark into brackets behind what it belongs to.
func Note(text string) string {
	if text == "" {
		return ""
	}
	return " (" + text + ")"
}

// Fixed writes a plain number.
func Fixed(x float64, decimals int) string { return length.Fixed(x, decimals) }

// Lower lets a sentence go on after a colon: it makes a capital first letter small.
func Lower(s string) string {
	if s == "" || s[0] < 'A' || s[0] > 'Z' {
		return s
	}
	return string(s[0]-'A'+'a') + s[1:]
}

// Upper begins a sentence: it makes a small first letter a capital.
func Upper(s string) string {
	if s == "" || s[0] < 'a' || s[0] > 'z' {
		return s
	}
	return string(s[0]-'a'+'A') + s[1:]
}

// Degrees writes an angle in degrees.
func Degrees(rad float64) string {
	return strconv.FormatFloat(math.Round(rad*180/math.Pi*100)/100, 'f', -1, 64) + "°"
}

// Visible writes a value so that nothing in it is overlooked.
func Visible(s string) string {
	if s == "" || strings.TrimSpace(s) != s || strconv.Quote(s) != `"`+strings.ReplaceAll(s, `"`, `\"`)+`"` {
		return strconv.Quote(s)
	}
	return s
}

// List puts words into one: "a", "a and b", "a, b and c".
func List(words []string) string {
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
	return strings.Join(words, "")
}

// Day writes a day as a profile has it.
func Day(t time.Time) string { return t.Format(time.DateOnly) }

// Times shows a factor with two figures.
func Times(f float64) string {
	if f < 9.95 {
		return fmt.Sprintf("%.1f", f)
	}
	return fmt.Sprintf("%.0f", f)
}

// Divisions writes a number of divisions: "½ division", "2 divisions".
func Divisions(n float64) string {
	name := "divisions"
	if n <= 1 {
		name = "division"
	}
	return Fraction(n) + " " + name
}

// Fraction writes a number with halves and quarters as a turner reads them.
func Fraction(n float64) string {
	whole, part := math.Modf(math.Abs(n) + 1e-9)
	sign := map[float64]string{0.25: "¼", 0.5: "½", 0.75: "¾"}[math.Round(part*1000)/1000]
	switch {
	case part < 1e-6:
		return length.Fixed(whole, 0)
	case sign == "":
		return strings.TrimRight(length.Fixed(math.Abs(n), 3), "0")
	case whole == 0:
		return sign
	}
	return length.Fixed(whole, 0) + sign
}

// Percent writes a probability without promising more than was computed: never 100 % or 0 %.
func Percent(p float64) string {
	switch {
	case p > 0.99:
		return "over 99 %"
	case p < 0.01:
		return "under 1 %"
	case p >= 0.945 && p < 0.95: // from 95 % on something counts as promised: not so by rounding
		return "94 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

// Count writes a number of things: "no moves", "1 move", "3 moves".
func Count(n int, thing string) string {
	switch n {
	case 0:
		return "no " + thing + "s"
	case 1:
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// Event is what was done, as the profile has it.
func Event(e profile.Event) string { return strings.TrimSuffix(strings.TrimSpace(e.Note), ".") }

// Said returns the sentences that say something.
func Said(sentences ...string) []string {
	var out []string
	for _, s := range sentences {
		if s != "" {
			out = append(out, s)
		}
	}
	return out
}

// flagged is what a sentence says in brackets of how to ask for something on the command line.
var flagged = regexp.MustCompile(`,? \([^()]*--[a-z][^()]*\)`)

// WithoutFlags leaves out of a sentence what it says in brackets of flags: for readers who have no command line.
func WithoutFlags(sentence string) string { return flagged.ReplaceAllString(sentence, "") }
