package page

import (
	"regexp"
	"slices"
	"strings"
	"sync"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/word"
)

// Answers name what else can be asked for as it is typed behind the program's name: flags and commands. Here is what
// stands for them on the page, and nothing else knows it: the labels of its fields, and the names of its pages.

// labels are those of the fields, by the names of the choices.
var labels = map[string]string{"from": "From", "to": "To", "diameter": "Diameter", "tolerance": "May vary by",
	"held": "Held", "feed": "Feed", "settings": "Turns of the dial", "feature": "Length of the job",
	"at": "Part's end at the chuck", "turned": "The part lies", "set-over": "Tailstock set over", "steady": "Steady at"}

// fieldOf is the field that stands for a flag, in its quotes; empty where there is none.
func fieldOf(flag string) string {
	switch flag {
	case "length", "for":
		return "“" + labels["from"] + "” to “" + labels["to"] + "”"
	case "end-for-end":
		flag = "turned"
	}
	if l := labels[flag]; l != "" {
		return "“" + l + "”"
	}
	return ""
}

// pageOf is the page that answers in place of a command, by its name and the flags behind it; empty where none does.
func pageOf(command, behind string) string {
	at := map[string]string{"predict": "/", "correct": "/", "place": "/where", "plan": "/where",
		"record": "/measure", "check": "/after", "chart": "/paper", "blank": "/paper", "lesson": "/why",
		"wear": "/bed", "show": "/bed"}[command]
	if command == "wear" && strings.Contains(behind, "--for") {
		at = "/measure"
	}
	if i := slices.IndexFunc(places, func(p link) bool { return p.Path == at }); i >= 0 {
		return "“" + places[i].Name + "”"
	}
	return ""
}

const (
	flagPart    = `--([a-z][a-z-]*)`
	wordPart    = `chuck-and-centre|chuck|centres|headstock|tailstock`
	valuePart   = `(?:[ =]((?:[-+]?[.0-9]|…)[^\s:;)”]*[^\s.,:;)”]|[0-9]|` + wordPart + `))?`
	commandPart = `wornway ([a-z]+)((?: (?:--method [a-z-]+|` + flagPart + valuePart + `|\S+\.(?:toml|csv)))*)`
)

var (
	flagged   = pattern(flagPart + valuePart)
	commanded = pattern(commandPart)
	accepted  = pattern(` --accept-slip \S+ shows the result with it\.`)
)

// pattern returns an expression that is compiled when it is first asked for: other commands are spared it.
func pattern(of string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(of) })
}

// onPage writes a sentence as the page names things.
func onPage(s string) string {
	return tradeNames(withoutCommands(complete().ReplaceAllString(noWear.Replace(s), allHere)))
}

// noWear takes out what is for whoever writes the file.
var noWear = strings.NewReplacer("no readings and no [wear], so", "no readings, so",
	"; drops that are known go into [wear]", "")

// complete is what show says where no command needs anything more.
var complete = pattern(`^It has what wear, predict, [a-z, ]+ need\.$`)

const allHere = "It has all that the pages here need."

func withoutCommands(s string) string {
	if !strings.Contains(s, "--") && !strings.Contains(s, "wornway ") {
		return s
	}
	s = commanded().ReplaceAllStringFunc(s, func(whole string) string {
		m := commanded().FindStringSubmatch(whole)
		if p := pageOf(m[1], m[2]); p != "" {
			if m := proposed().FindStringSubmatch(m[2]); m != nil {
				p += ": " + inTrade(m[1])
			}
			return p
		}
		return whole
	})
	s = flagged().ReplaceAllStringFunc(s, func(whole string) string {
		m := flagged().FindStringSubmatch(whole)
		f, value := fieldOf(m[1]), m[2]
		if f == "" {
			return whole
		}
		for _, c := range slices.Concat(heldWays, feeds) {
			if c.Value == value && value != "" {
				return f + ": " + c.Name
			}
		}
		return strings.TrimSpace(f + " " + value)
	})
	return word.WithoutFlags(accepted().ReplaceAllString(s, "")) // what the page has no field for
}

// worded puts an answer into the page's words.
func worded(t *env.Capture) {
	r := &t.Report
	for _, part := range []*[]string{&r.Answer, &r.Limits, &r.Remarks, &r.Assumed, &r.Warnings, &r.Cautions} {
		*part = slices.Clone(*part)
		for i, s := range *part {
			(*part)[i] = onPage(s)
		}
	}
	for i, c := range t.Complaints {
		t.Complaints[i].Message, t.Complaints[i].Hint = onPage(c.Message), onPage(c.Hint)
	}
}
