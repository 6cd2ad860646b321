package ask

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"

	"wornway/cmd/wornway/internal/safe"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/document"
	"wornway/profile/entry"
	"wornway/profile/length"
)

// Asking is a conversation about a new profile. At the end of the input every further question counts as left for
// later.
type Asking struct {
	in    *bufio.Scanner
	out   io.Writer
	ended bool
	Fault error           // why the input ended early
	kept  map[string]bool // what was implausible and is so nevertheless
}

func NewAsking(in io.Reader, out io.Writer) *Asking {
	return &Asking{in: bufio.NewScanner(in), out: out, kept: map[string]bool{}}
}

func (a *Asking) say(format string, args ...any) {
	fmt.Fprint(a.out, safe.Text(fmt.Sprintf(format, args...)))
}

// answer asks and returns the answer without blanks around it.
func (a *Asking) answer(prompt string) string {
	if a.ended {
		return ""
	}
	a.say("%s: ", prompt)
	if !a.in.Scan() {
		a.ended, a.Fault = true, unanswered(a.in.Err())
		a.say("\n")
		return ""
	}
	return strings.TrimSpace(a.in.Text())
}

func (a *Asking) Unit() string {
	for !a.ended {
		switch s := a.answer("Unit of every length in the file, in or mm"); s {
		case "in", "mm":
			return s
		default:
			a.say("  Please answer in or mm.\n")
		}
	}
	return ""
}

// back is the answer that returns to the question before.
const back = "back"

// All asks for every key and for the rows of wear.
func (a *Asking) All(unit length.Unit, answers profile.Answers) {
	a.say("An empty answer leaves a value for later; %q returns to the question before.\nLengths are in %s; another "+
		"unit may be written behind a number (75mm, 3in).\n", back, a.plain(unit))
	keys := []profile.Key{}
	for _, k := range profile.Keys() {
		table := k.Path[:strings.LastIndexByte(k.Path, '.')]
		if table == "lathe.spindle" || table == "lathe.compound" || table == "lathe.tailstock" ||
			table == "lathe.holding" || k.Path == "lathe.twist_uncertainty" || k.Path == "lathe.unworn" ||
			k.Path == "lathe.saddle.seating" {
			continue // rarely known when a profile is begun; the file explains them
		}
		keys = append(keys, k)
	}
	const vee = "lathe.front_way."
	flat := false
	for i := 0; i < len(keys) && !a.ended; {
		if keys[i].Path == vee+"outer_angle" {
			s := a.yesOrNo("\nIs the front way a V? (yes or no)")
			if s == back {
				i--
				continue
			}
			flat = s != "yes"
		}
		if flat && strings.HasPrefix(keys[i].Path, vee) {
			delete(answers, keys[i].Path)
			i++
			continue
		}
		if a.key(keys[i], unit, answers) {
			i++
			continue
		}
		for i = max(i-1, 0); flat && strings.HasPrefix(keys[i].Path, vee) && keys[i].Path != vee+"outer_angle"; i-- {
			// behind the flanks of a flat way lies the question whether it is a V
		}
	}
	if !a.ended {
		a.rows(unit, answers)
	}
}

// yesOrNo asks until the answer is yes or no, in full or by its first letter, or back, or empty. At the end of the
// input it is empty.
func (a *Asking) yesOrNo(prompt string) string {
	for !a.ended {
		switch s := strings.ToLower(a.answer(prompt)); {
		case s == "y" || s == "yes":
			return "yes"
		case s == "n" || s == "no":
			return "no"
		case s == back || s == "":
			return s
		}
		a.say("  Please answer yes or no.\n")
	}
	return ""
}

func (a *Asking) plain(u length.Unit) string {
	return map[length.Unit]string{length.Inch: "inches", length.Millimetre: "millimetres"}[u]
}

// key asks for one key until the answer can be used. It returns false where the question before is wanted again.
func (a *Asking) key(k profile.Key, unit length.Unit, answers profile.Answers) bool {
	otherwise := "needed"
	if !k.Required {
		otherwise = "empty: " + k.Default
	}
	a.say("\n%s:\n  %s.\n", word.Upper(k.What), k.How)
	for !a.ended {
		s := a.answer(fmt.Sprintf("  %s (%s)", k.Path[strings.LastIndexByte(k.Path, '.')+1:], otherwise))
		switch s {
		case "":
			return true
		case back:
			return false
		}
		value, err := tomlValue(k, s, unit)
		if err != nil {
			a.say("  %v\n", err)
			continue
		}
		if echo := entry.Echo(s, value); echo != "" && !k.Text && k.Path != "lathe.bed" {
			a.say("  Read as %s.\n", echo)
		}
		answers[k.Path] = value
		switch a.judge(k.Path, unit, answers) {
		case taken:
			return true
		case goBack:
			delete(answers, k.Path)
			return false
		}
		delete(answers, k.Path)
	}
	return true
}

// verdict is what becomes of an answer.
type verdict int

const (
	taken verdict = iota
	askAgain
	goBack // to the question before
)

// judge reads the profile as answered so far and says what is wrong, or implausible, with the key. What is implausible
// may be confirmed.
func (a *Asking) judge(path string, unit length.Unit, answers profile.Answers) verdict {
	// Only the key's own faults count: the rest of the file is still to be filled in.
	text := []byte(profile.Template(unit, answers))
	p, err := profile.Draft(nil, "profile", text)
	var faults document.Faults
	if errors.As(err, &faults) {
		for _, f := range faults {
			if path == "wear" && !strings.HasPrefix(f.Message, "row ") {
				continue // as long as rows are added, their number is no fault
			}
			if (f.Key == path || strings.HasPrefix(f.Key, path+".")) && f.Message != "missing" {
				a.say("  %s.\n", said(f.Message))
				if f.Hint != "" {
					a.say("  %s.\n", f.Hint)
				}
				return askAgain
			}
		}
	}
	if p == nil {
		return taken
	}
	for _, w := range p.Warnings {
		if a.kept[w.Message] {
			continue
		}
		if w.Key != path && w.Key != path+".rows" && !(path == "lathe.way_span" && w.Key == "lathe.centre_height") &&
			!(path == "lathe.centre_height" && w.Key == "lathe.way_span") {
			continue
		}
		a.say("  Note: %s\n  %s.\n", w.Message, w.Hint)
		switch s := a.yesOrNo("  Keep it? (yes, or no to be asked again)"); {
		case s == back:
			return goBack
		case s != "yes" && !a.ended:
			return askAgain
		}
		a.kept[w.Message] = true
	}
	return taken
}

// said makes a sentence of what is wrong with an answer.
func said(fault string) string {
	if strings.HasPrefix(fault, "row ") {
		return word.Upper(fault)
	}
	return "That " + fault
}

// tomlValue turns an answer into the text that stands in the file.
func tomlValue(k profile.Key, s string, unit length.Unit) (string, error) {
	if k.Text {
		return document.Quote(strings.Trim(s, `"`)), nil
	}
	if strings.HasSuffix(k.Path, "_angle") || strings.HasSuffix(k.Path, ".finest") {
		return entry.Bare(strings.TrimSuffix(s, "°"))
	}
	if k.Path == "lathe.bed" {
		return entry.Stretch(s, "-8 44", unit)
	}
	return entry.Number(s, unit)
}

// rows asks for the rows of wear.
func (a *Asking) rows(unit length.Unit, answers profile.Answers) {
	a.say("\nWear that you know already, a row for each position, headstock end first:\n  position, drop of the "+
		"front way, drop of the rear way, sideways shift (plus toward the operator).\n  An empty line ends the rows; "+
		"%q takes the last one away.\n", back)
	var rows []string
	for !a.ended {
		s := a.answer(fmt.Sprintf("  row %d", len(rows)+1))
		if s == "" {
			break
		}
		if s == back {
			rows = rows[:max(len(rows)-1, 0)]
			continue
		}
		parts := entry.Split(s)
		if len(parts) == 3 {
			parts = append(parts, "0")
		}
		if len(parts) != 4 {
			a.say("  Four numbers are needed, or three where there is no shift.\n")
			continue
		}
		ok := true
		for i, p := range parts {
			text, err := entry.Member(p, unit)
			if err != nil {
				a.say("  %v\n", err)
				ok = false
				break
			}
			parts[i] = text
		}
		if !ok {
			continue
		}
		rows = append(rows, "  ["+strings.Join(parts, ", ")+"],")
		answers["wear.rows"] = "[\n" + strings.Join(rows, "\n") + "\n]"
		if a.judge("wear", unit, answers) != taken {
			rows = rows[:len(rows)-1]
		}
	}
	delete(answers, "wear.rows")
	if len(rows) < 2 {
		if len(rows) == 1 {
			a.say("  Wear needs two rows at the least: the one is left out.\n")
		}
		return
	}
	answers["wear.rows"] = "[\n" + strings.Join(rows, "\n") + "\n]"
	s := a.answer("  How sure is each entry, as a standard uncertainty (empty: not stated)")
	for s != "" {
		text, err := entry.Number(s, unit)
		if err == nil {
			answers["wear.uncertainty"] = text
			if a.judge("wear.uncertainty", unit, answers) == taken {
				return
			}
			delete(answers, "wear.uncertainty")
		} else {
			a.say("  %v\n", err)
		}
		s = a.answer("  How sure is each entry (empty: not stated)")
	}
}
