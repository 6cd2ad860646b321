package show

import (
	"bytes"
	"strings"

	"wornway/cmd/wornway/internal/safe"
)

// writeMarkdown writes the report as Markdown, with the tables as GitHub's flavour has them (pipes, and a row of dashes
// under the headings).
func writeMarkdown(b *bytes.Buffer, r Report) error {
	p := paragraphs{b: b}
	each := func(sentences []string, mark string) {
		for _, s := range sentences {
			p.gap()
			p.lines([]string{mark + startOfLine(escapeMarkdown(s), mark)})
		}
	}
	each(r.Answer, "")
	each(r.Warnings, "**Warning:** ")
	for _, t := range r.Tables {
		if t.Title != "" {
			p.gap()
			p.lines([]string{"### " + escapeMarkdown(t.Title)})
		}
		p.gap()
		drawn, err := drawMarkdown(t)
		if err != nil {
			return err
		}
		b.WriteString(drawn)
	}
	each(r.Remarks, "")
	if len(r.Assumed) > 0 {
		p.gap()
		p.lines([]string{"Assumed:", ""})
		for _, s := range r.Assumed {
			p.lines([]string{"- " + startOfLine(escapeMarkdown(s), "")})
		}
	}
	each(r.Cautions, "**Caution:** ")
	each(oneLine(r.Next), "")
	return nil
}

// escapeMarkdown keeps a text a text: a name with asterisks or angle brackets in it is printed as it is, and never
// becomes markup.
func escapeMarkdown(s string) string {
	return markdownEscapes.Replace(safe.Line(s))
}

var markdownEscapes = strings.NewReplacer(`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "[", `\[`, "<", `\<`, "&", `\&`,
	"~", `\~`)

// startOfLine escapes what would make a heading, a quotation or a list of a sentence that stands at the start of a
// line.
func startOfLine(s, mark string) string {
	if mark != "" || s == "" {
		return s
	}
	digits := len(s) - len(strings.TrimLeft(s, "0123456789"))
	rest := s[digits:]
	if strings.ContainsAny(s[:1], "#>+-=|") || digits > 0 &&
		(strings.HasPrefix(rest, ". ") || strings.HasPrefix(rest, ") ")) {
		return s[:digits] + `\` + rest
	}
	return s
}
