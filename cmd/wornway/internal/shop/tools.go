package shop

import (
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
)

// needs is what a shop must have for each tool that a survey names; nothing for what every shop has.
var needs = map[string]string{
	"none": "", "lamp": "", "bar in the chuck": "", "straightedge": "straightedge", "leaves": "leaves",
	"indicator": "indicator", "deep micrometer": "deep-micrometer", "precision level": "level", "bridge": "bridge",
	"test bar": "bar", "bar between centres": "bar", "micrometer": "micrometer", "bar on the centre": "",
}

// Tools are the names of what one may have or not have, those first that most have.
func Tools() []string {
	return []string{"indicator", "micrometer", "level", "bar", "straightedge", "leaves", "bridge", "deep-micrometer"}
}

// called are other names of tools, each of one word or more, the longer ones of a beginning first.
var called = strings.NewReplacer("deep micrometers", "deep-micrometer", "deep micrometer", "deep-micrometer",
	"dial test indicator", "indicator", "dial indicator", "indicator", "dial gauge", "indicator", "dti", "indicator",
	"clock gauge", "indicator", "clock", "indicator",
	"feeler gauges", "leaves", "feeler gauge", "leaves", "feelers", "leaves", "straight edge", "straightedge",
	"machinist's level", "level", "machinists level", "level", "machinist level", "level",
	"precision level", "level", "spirit level", "level", "test bar", "bar", "mike", "micrometer")

// ParseTools reads the names of tools with commas between, or blanks. An empty text is nil, for all of them; none is
// empty and not nil. It refuses a name that is not among them.
func ParseTools(text string) ([]string, error) {
	var out []string
	if strings.EqualFold(strings.TrimSpace(text), "no") { // by itself: "no level" is refused
		text = "none"
	}
	for _, t := range strings.FieldsFunc(called.Replace(strings.ToLower(text)), func(r rune) bool {
		return r == ',' || r == ';' || r == ' '
	}) {
		if one, several := strings.CutSuffix(t, "s"); several && (one == "mic" || slices.Contains(Tools(), one)) {
			t = one
		}
		if t == "mic" {
			t = "micrometer"
		}
		switch {
		case t == "and", t == "a", t == "an", slices.Contains(out, t):
		case t == "none":
			out = append([]string{}, out...)
		case slices.Contains(Tools(), t):
			out = append(out, t)
		default:
			return nil, refuse.With(word.Visible(t)+" is not one of the tools",
				"the tools are "+strings.Join(Tools(), ", ")+"; bar is a test bar")
		}
	}
	return out, nil
}

// Can says whether a survey can be made with such tools; nil: with any.
func Can(c profile.Candidate, tools []string) bool {
	if tools == nil {
		return true
	}
	for _, t := range strings.Split(c.Tools, ", ") {
		if n, known := needs[t]; !known || n != "" && !slices.Contains(tools, n) {
			return false
		}
	}
	return true
}
