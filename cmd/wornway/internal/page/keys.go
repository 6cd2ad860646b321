package page

import (
	"regexp"
	"slices"
	"strings"
	"sync"

	"wornway/cmd/wornway/internal/word"
	"wornway/profile/survey"
)

// key stands on the page for what is typed in its place.
type key struct{ Word, Label string }

// keys are those of Measure. Sentences that name a word are told with the key's label, by the same list.
var keys = []key{{"same", "Same as before"}, {"again", "Measure the last again"}, {"skip", "Leave this out"},
	{"return", "Start the way back"}, {"zero", "The zero has moved"}, {"undo", "Undo"}, {"done", "Done"},
	{"stop", "Stop for now"}, {"at", "Other place…"}, {"every", "Every…"}}

// keyFor is the label of a word's key, in quotes.
func keyFor(word string) string {
	return "“" + keys[keyed(word)].Label + "”"
}

// keyed is which of the keys stands for a word that has one.
func keyed(word string) int {
	return slices.IndexFunc(keys, func(k key) bool { return k.Word == word })
}

// anew is the label of the key that measures a station anew, by which it is offered where a reading there does not fit.
func anew(station string) string { return "Measure " + station + " again" }

// labelled are words that can be answered, as keys; one that has no key, such as help, is left out.
func labelled(words []string) []key {
	var out []key
	for _, k := range keys {
		if slices.Contains(words, k.Word) {
			out = append(out, k)
		}
	}
	return out
}

const (
	keyWord = `(same|again|skip|return|undo|zero|done|stop)`
	numbers = `([-+0-9./, ]*[0-9])`
)

// asTyped are the ways in which sentences of record name what is typed, and what is said for it here. In the second the
// word that was found stands as its key.
var asTyped = sync.OnceValue(func() []rewording {
	var out []rewording
	for _, t := range [][2]string{
		{`\bAnswer again ` + numbers, "Tap “" + anew("$1") + "”"},
		{`\b(?:answer|type:) again ` + numbers, "tap “" + anew("$1") + "”"},
		{`\bor again ` + numbers, "or “" + anew("$1") + "”"},
		{`,? or one of (?:(?:` + keyWord[1:len(keyWord)-1] + `|help)(?:, | or )?)+`, ""},
		{`\btype: at ` + numbers, "tap “Go to $1”"},
		{`\bType at ` + numbers, "Give $1 under at!"},
		{`\b(?:the answer ` + keyWord + `)\b`, "$1!"},
		{`\b(?:answer|type|say) ` + keyWord + `\b`, "tap $1!"},
		{`\b(?:Answer|Type|Say) ` + keyWord + `\b`, "Tap $1!"},
		{`\b(or|After|after) ` + keyWord + `( if\b|,)`, "$1 $2!$3"},
		{`(^|[.:,;] )` + keyWord + `( ends| leaves| measures)\b`, "$1$2!$3"},
		{`This goes on there:`, "“Measure” goes on there."},
		{`\bthe same command goes on`, "“Measure” goes on"},
	} {
		out = append(out, rewording{regexp.MustCompile(t[0]), t[1]})
	}
	return out
})

type rewording struct {
	found *regexp.Regexp
	said  string
}

var marked = pattern(`\b` + keyWord[:len(keyWord)-1] + `|at)!`)

// onKeys writes a sentence of record as the keys of the page are called.
func onKeys(s string) string {
	for _, t := range asTyped() {
		if !t.found.MatchString(s) {
			continue
		}
		s = t.found.ReplaceAllString(s, t.said)
		s = marked().ReplaceAllStringFunc(s, func(w string) string { return keyFor(strings.TrimSuffix(w, "!")) })
	}
	return onPage(s)
}

// trade is what surveys are called in the shop, by the names that files have for them.
var trade = map[string]string{
	"stated":              "stated wear",
	"carriage-lock":       "feel of the carriage lock",
	"light-gap":           "straightedge and lamp",
	"straightedge":        "straightedge and feelers",
	"carriage-indicator":  "tailstock ways from the saddle",
	"tailstock-indicator": "carriage ways from the tailstock",
	"way-micrometer":      "micrometer over a way",
	"level-along":         "level along the ways",
	"level-across":        "level across the ways",
	"saddle-level":        "level on the saddle",
	"saddle-rock":         "rocking the saddle",
	"bar-side":            "test bar, its side",
	"bar-top":             "test bar, its top",
	"test-cut":            "collars turned and measured",
}

// inTrade is a survey's name as the head of something.
func inTrade(name string) string {
	if t := trade[name]; t != "" {
		return word.Upper(t)
	}
	return name
}

// named are the names in a text that are no words by themselves.
var named = sync.OnceValue(func() *regexp.Regexp {
	var all []string
	for _, m := range survey.Methods() {
		if strings.Contains(m.Name, "-") {
			all = append(all, m.Name)
		}
	}
	return regexp.MustCompile(`\b(` + strings.Join(all, "|") + `)\b`)
})

// tradeNames writes a text with surveys as they are called in the shop.
func tradeNames(s string) string {
	if !strings.Contains(s, "-") {
		return s
	}
	return named().ReplaceAllStringFunc(s, func(n string) string { return trade[n] })
}

// choices of record that are no words of the shop, and what is said for them.
var choiceWords = map[string]string{"um": "µm", "chuck-and-centre": "chuck and tailstock's centre",
	"centres": "between centres", "tail-front": "tailstock's front way", "tail-rear": "tailstock's rear way",
	"front": "front way", "rear": "rear way", "outer": "outer flank", "inner": "inner flank",
	"square": "square to the flank"}

func choiceWord(w string) string {
	if say := choiceWords[w]; say != "" {
		return say
	}
	return w
}
