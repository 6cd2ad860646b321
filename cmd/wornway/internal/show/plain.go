package show

import (
	"slices"
	"strings"
	"unicode"

	"wornway/cmd/wornway/internal/safe"
)

// spelled are the characters of answers that ASCII lacks, as it writes them. Parts of a bar of less than half a
// character are left out.
var spelled = strings.NewReplacer(
	"½", "1/2", "¼", "1/4", "¾", "3/4", "⅛", "1/8", "⅜", "3/8", "⅝", "5/8", "⅞", "7/8",
	"±", "+/-", "µ", "u", "Ø", "dia. ", "°", " deg", "×", "x", "·", "*", "≤", "<=", "≥", ">=",
	"−", "-", "–", "-", "—", "-", "─", "-", "…", "...", "“", "\"", "”", "\"", "‘", "'", "’", "'",
	"→", "->", "←", "<-", "↑", "^", "↓", "v", "√", "sqrt ", "²", "^2", "³", "^3",
	"█", "#", "▉", "#", "▊", "#", "▋", "#", "▌", "#", "▍", "", "▎", "", "▏", "",
	"Δ", "delta ", "α", "alpha", "β", "beta", "θ", "theta", "λ", "lambda", "χ", "chi", "σ", "sigma", "\u00a0", " ",
	"ä", "ae", "ö", "oe", "ü", "ue", "Ä", "Ae", "Ö", "Oe", "Ü", "Ue", "ß", "ss")

// ASCII writes a text in plain ASCII, for a terminal that shows no more; what has no spelling there becomes a question
// mark.
func ASCII(s string) string {
	return strings.Map(func(r rune) rune {
		if r > unicode.MaxASCII {
			return '?'
		}
		return r
	}, spelled.Replace(s))
}

// plain turns the texts of the report into ASCII.
func (r *Report) plain() {
	for _, part := range []*[]string{&r.Answer, &r.Remarks, &r.Assumed, &r.Warnings, &r.Cautions, &r.Next} {
		*part = slices.Clone(*part)
		for i, s := range *part {
			(*part)[i] = ASCII(s)
		}
	}
	for i := range r.Tables { // forPeople has made the list anew
		t := &r.Tables[i]
		t.Title, t.Columns = ASCII(t.Title), slices.Clone(t.Columns)
		for j := range t.Columns {
			t.Columns[j].Head = ASCII(t.Columns[j].Head)
		}
		rows := make([][]Cell, len(t.Rows))
		for j, row := range t.Rows {
			rows[j] = slices.Clone(row)
			for k := range rows[j] {
				rows[j][k].Text = ASCII(safe.Line(rows[j][k].Text))
			}
		}
		t.Rows = rows
	}
}
