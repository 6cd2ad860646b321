// Package guide is what the program tells beyond its answers: a page for each topic, written in Markdown, that the
// README links to and that wornway help TOPIC shows in the terminal.
//
// Use Topics for what there is and Page for one of them. The tests run every command that a page shows. What is said in
// an answer is no matter of this package.
package guide

import (
	"embed"
	"regexp"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/show"
)

//go:embed *.md
var pages embed.FS

// Topic is what a page of the guide is about.
type Topic struct {
	Name  string // of its page, and how it is asked for
	About string // in a few words
}

// topics in the order in which they are read.
var topics = []Topic{
	{"profile", "every key of a profile, and what a profile holds"},
	{"signs", "positions, signs and units, drawn"},
	{"readings", "surveys: how they are taken and written down"},
	{"wear", "how worn the bed is, what to measure, what the lathe will turn"},
	{"work", "one length: what comes out, why, what to dial, where to turn it"},
	{"job", "a part with several features, and how it is best made"},
	{"check", "a cut held against the prediction"},
	{"cause", "which of many causes a taper has"},
	{"disagreement", "when readings contradict each other"},
	{"honesty", "what a ± means, whether it holds, and what is left out"},
	{"page", "the page for a phone at the machine, and who is let in"},
	{"paper", "cards, strips and pictures"},
	{"learning", "lessons and exercises"},
	{"json", "answers for other programs, and exit statuses"},
}

// Topics lists the pages in the order in which they are read.
func Topics() []Topic { return slices.Clone(topics) }

// Find returns the topic of a name.
func Find(name string) (Topic, bool) {
	i := slices.IndexFunc(topics, func(t Topic) bool { return t.Name == name })
	if i < 0 {
		return Topic{}, false
	}
	return topics[i], true
}

// Source is the page as Markdown.
func (t Topic) Source() string {
	text, err := pages.ReadFile(t.Name + ".md")
	if err != nil {
		panic("guide: " + err.Error()) // the pages are part of the program
	}
	return string(text)
}

// Text is the page for a terminal: paragraphs and lists are wrapped at so many characters, and so is what is
// fenced where it is wider; pictures and comments are left out. shown writes a text as the terminal can show it.
func (t Topic) Text(width int, shown func(string) string) string {
	r := reader{width: width}
	for line := range strings.Lines(shown(t.Source())) {
		r.line(strings.TrimSuffix(line, "\n"))
	}
	r.flush()
	return strings.TrimRight(strings.Join(r.out, "\n"), "\n") + "\n"
}

// reader turns Markdown into lines of text. It knows what the pages are written in: headings, paragraphs, lists of one
// level, fences, comments, and pictures that stand alone on a line.
type reader struct {
	width  int
	fenced bool
	block  []string // what is fenced
	words  []string // of the paragraph or the item that is being read, line by line
	out    []string
}

func (r *reader) line(l string) {
	switch {
	case strings.HasPrefix(l, "```"):
		r.flush()
		r.fenced = !r.fenced
		r.unfence()
	case r.fenced:
		r.block = append(r.block, strings.TrimRight(l, " "))
	case l == "":
		r.flush()
		if n := len(r.out); n > 0 && r.out[n-1] != "" {
			r.out = append(r.out, "")
		}
	case strings.HasPrefix(l, "<!--"), strings.HasPrefix(l, "!["):
		r.flush()
	case strings.HasPrefix(l, "#"):
		r.flush()
		heading := plain(strings.TrimLeft(l, "# "))
		under := "-"
		if strings.HasPrefix(l, "# ") {
			under = "="
		}
		r.out = append(r.out, heading, strings.Repeat(under, len([]rune(heading))))
	case strings.HasPrefix(l, "- "):
		r.flush()
		r.words = append(r.words, l)
	default:
		r.words = append(r.words, strings.TrimSpace(l))
	}
}

// unfence ends what is fenced. It is indented where there is room for that.
func (r *reader) unfence() {
	indent := "  "
	for _, l := range r.block {
		if n := len([]rune(l)); n <= r.width && n+len(indent) > r.width {
			indent = ""
		}
	}
	for _, l := range r.block {
		r.out = append(r.out, strings.TrimRight(show.Fold(indent+l, r.width), " "))
	}
	r.block = nil
}

// flush ends a paragraph or an item.
func (r *reader) flush() {
	if len(r.words) == 0 {
		return
	}
	text, indent := plain(strings.Join(r.words, " ")), ""
	if strings.HasPrefix(text, "- ") {
		indent = "  "
	}
	r.out = append(r.out, show.Fill(text, r.width, indent)...)
	r.words = nil
}

var link = regexp.MustCompile(`\[([^]]*)\]\([^)]*\)`)

// plain leaves out the marks of emphasis, code and links.
func plain(s string) string {
	return strings.NewReplacer("`", "", "**", "", "*", "").Replace(link.ReplaceAllString(s, "$1"))
}
