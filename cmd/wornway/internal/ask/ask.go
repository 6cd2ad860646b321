package ask

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/safe"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile/document"
	"wornway/profile/entry"
	"wornway/profile/form"
	"wornway/profile/length"
)

// Interview is a conversation about a new file. At the end of the input every further question counts as left for
// later.
type Interview struct {
	in    *bufio.Scanner
	out   io.Writer
	width int
	echo  bool // answers that do not come from a terminal are written out
	ended bool
	Fault error             // why the input ended early
	kept  map[string]bool   // what was implausible and is so nevertheless
	typed map[string]string // the answers that stand, by key, as they were given
	next  string            // an answer that was given to another question, to be taken for the key under way
	anew  bool              // the answer under way is such a one
	unit  length.Unit
	file  draft

	given, before []string             // the answers, and those of a conversation that was broken off, to come
	keep          func([]string) error // puts the answers on the disk; nil: they are not kept
	muted         bool                 // answers given before are gone through
	counts        []answer             // those of them that count, so far
}

// draft is a file while it is filled in.
type draft struct {
	answers form.Answers
	// read returns what is wrong with the file as answered so far, and what is odd
	read func(form.Answers) (faults, odd []document.Fault)
}

// step is one question of a form: for a key, whether the keys of a group are to be asked for, or what does asks.
type step struct {
	key   form.Key
	group string     // what belongs to a group is asked for where its own question was answered yes
	asks  string     // the group's own question
	or    yesNoWords // its two answers
	opens bool       // once it is answered yes, the group counts as there even where its keys are left for later
	does  func() (done bool)
	// a group of which this one is a part: it comes only where that was answered yes
	within string
	unless string // the key beside which it is not asked; its own where it may be there before
}

// NewInterview returns a conversation on a program's input and an output.
func NewInterview(e *env.Env, out io.Writer) *Interview {
	return &Interview{in: bufio.NewScanner(e.Stdin), out: out, width: width(e), echo: !env.IsTerminal(e.Stdin),
		kept: map[string]bool{}, typed: map[string]string{}}
}

// say writes a paragraph; those after the first line of what belongs to a question are set in by two blanks.
func (a *Interview) say(format string, args ...any) {
	a.raw(strings.Join(fold(fmt.Sprintf(format, args...), a.width), "\n") + "\n")
}

func (a *Interview) raw(text string) {
	if !a.muted {
		fmt.Fprint(a.out, safe.Text(text))
	}
}

// answer asks and returns the answer without blanks around it.
func (a *Interview) answer(prompt string) string {
	if a.ended {
		return ""
	}
	const room = 8 // for the answer
	a.raw(strings.Join(fold(prompt+":", a.width-room), "\n") + " ")
	if s, ok := a.again(prompt); ok {
		return s
	}
	if !a.in.Scan() {
		a.ended, a.Fault = true, unanswered(a.in.Err())
		a.raw("\n")
		if a.Fault == nil && a.file.read != nil {
			a.say("The answers end here; the rest is left for later.")
		}
		return ""
	}
	s := strings.TrimSpace(a.in.Text())
	if a.echo {
		a.raw(s + "\n")
	}
	a.note(s)
	if strings.EqualFold(s, back) {
		s = back
	}
	return s
}

// Unit asks for the unit of the file.
func (a *Interview) Unit() string {
	for !a.ended {
		switch s := strings.ToLower(a.answer("Unit of every length in the file, in or mm")); s {
		case "in", "inch", "inches":
			return "in"
		case "mm", "millimetre", "millimetres":
			return "mm"
		default:
			a.say("  Please answer in or mm.")
		}
	}
	return ""
}

// back is the answer that returns to the question before.
const back = "back"

// begin says how the conversation goes.
func (a *Interview) begin(unit length.Unit, d draft) {
	a.unit, a.file = unit, d
	name, example := "millimetres", "3in"
	if unit == length.Inch {
		name, example = "inches", "75mm"
	}
	a.say("An empty answer leaves a value for later; %q returns to the question before.", back)
	a.say("Lengths are in %s; another unit may be written behind a number (%s).", name, example)
}

// all asks for every step, in order; those of a group that is not wanted are left out.
func (a *Interview) all(steps []step) {
	wanted := map[string]bool{}
	answered := func(path string) bool { _, ok := a.file.answers[path]; return ok }
	skipped := func(s step) bool {
		return s.within != "" && !wanted[s.within] || s.unless != "" && answered(s.unless) ||
			s.asks == "" && (s.group != "" && !wanted[s.group] || slices.ContainsFunc(s.key.Instead, answered))
	}
	for i := 0; i < len(steps) && !a.ended; {
		s, before := steps[i], i
		again := ""
		switch {
		case skipped(s):
			if s.unless != s.key.Path {
				delete(a.file.answers, s.key.Path)
			}
			if s.asks != "" {
				wanted[s.group] = false
			}
			i++
			continue
		case s.does != nil:
			if s.does() {
				i++
			}
		case s.asks != "":
			a.raw("\n")
			if said := a.either(s.asks, s.or); said != back {
				if wanted[s.group] = said == "yes"; wanted[s.group] && s.opens {
					a.file.answers[s.group+"."] = "" // its header stands in the file, whatever is left for later
				} else {
					delete(a.file.answers, s.group+".")
				}
				i++
			}
		default:
			var done bool
			if done, again = a.key(s.key); done {
				i++
			}
		}
		if j := slices.IndexFunc(steps, func(o step) bool { return again != "" && o.key.Path == again }); j >= 0 {
			a.mend(steps[j].key)
			continue
		}
		if i == before { // the question before is wanted again
			for i = max(i-1, 0); i > 0 && skipped(steps[i]); {
				i--
			}
		}
	}
}

// mend asks anew for a key that another answer has shown to be wrong.
func (a *Interview) mend(k form.Key) {
	delete(a.file.answers, k.Path)
	for done, again := a.key(k); !done && again == k.Path && !a.ended; {
		delete(a.file.answers, k.Path)
		done, again = a.key(k)
	}
}

// key asks for one key until the answer can be used. Where it is not done, the question before is wanted again, or the
// key whose path is returned: that is the one that is wrong.
func (a *Interview) key(k form.Key) (done bool, again string) {
	otherwise, how := "needed", k.How
	if !k.Required {
		otherwise = "empty: " + k.Default
	}
	if _, given := a.file.answers[k.Path]; given { // it is come back to
		otherwise = "empty keeps " + a.typed[k.Path]
	}
	if yesNo(k) {
		otherwise, how = spoken.Replace(otherwise), spoken.Replace(how)
	}
	a.raw("\n")
	a.say("%s:", word.Upper(k.What))
	if such := k.Example(a.unit); strings.HasPrefix(such, "[") && !k.Text {
		how += ", such as " + stretchOf(such)
	}
	a.say("  %s.", how)
	for told := false; !a.ended; {
		s := a.next
		if a.next, a.anew = "", s != ""; !a.anew {
			s = a.answer(fmt.Sprintf("  %s (%s)", k.Name(), otherwise))
		}
		switch s {
		case "":
			if _, given := a.file.answers[k.Path]; !k.Required || given || told || a.ended {
				return true, ""
			}
			told = true
			a.say("  Needed: the file cannot be used without it. Enter again leaves it for later.")
			continue
		case back:
			return false, ""
		}
		value, err := tomlValue(k, s, a.unit)
		if err != nil {
			a.say("  %s.", wanted(k, s, a.unit, err))
			a.refused(a.anew)
			continue
		}
		a.file.answers[k.Path], a.typed[k.Path] = value, s
		echo := entry.Echo(s, value)
		if a.anew && echo == "" {
			echo = s // it was typed at another question: he sees that it is taken
		}
		switch {
		case len(k.Of) > 0 && value != document.Quote(strings.Trim(s, `"`)):
			a.typed[k.Path] = strings.Trim(value, `"`)
			a.say("  Read as %s.", a.typed[k.Path])
		case echo != "" && !k.Text && !k.Plain:
			a.say("  Read as %s %s.", echo, a.unit)
		case echo != "" && !k.Text:
			a.say("  Read as %s.", echo)
		}
		switch verdict, path := a.judge(k.Path); {
		case verdict == taken:
			return true, ""
		case verdict == goBack:
			delete(a.file.answers, k.Path)
			return false, ""
		case path != k.Path:
			return true, path
		}
		delete(a.file.answers, k.Path)
	}
	return true, ""
}

// wanted says what is wrong with an answer; where a word was given for a number, what may be answered.
func wanted(k form.Key, s string, unit length.Unit, err error) string {
	var l *length.Error
	if errors.As(err, &l) && strings.HasPrefix(l.What, "has an unknown unit") {
		if _, rest, found := strings.Cut(s, " "); found && len(rest) > 2 { // 13 swing, and no unit mistyped
			return "Only the number and its unit are needed, such as " + k.Example(unit) + " " + unit.String()
		}
	}
	if k.Text || yesNo(k) || strings.ContainsAny(s, "0123456789") {
		return word.Upper(plainError(err))
	}
	what, empty := "A number is", "to leave it for later"
	if strings.HasPrefix(k.Example(unit), "[") {
		what = "Two positions are"
	}
	if !k.Required {
		empty = "for: " + k.Default
	}
	return what + " needed here, or an empty answer " + empty
}

// verdict is what becomes of an answer.
type verdict int

const (
	taken verdict = iota
	askAgain
	goBack // to the question before
)

// keepIt asks about what is implausible.
const keepIt = "  Keep it? (yes, or no to be asked again)"

// judge reads the file as answered so far and says what is wrong, or implausible, with the key. What is implausible may
// be confirmed; where it is not, the key that is to be asked for again is returned.
func (a *Interview) judge(path string) (verdict, string) {
	faults, odd := a.file.read(a.file.answers)
	// What is left for later is no fault yet.
	for _, f := range faults {
		key := f.Key
		if path == wearRows && !strings.HasPrefix(f.Message, "row ") || f.Message == "missing" {
			continue // as long as rows are added, their number is no fault
		}
		if key == path || strings.HasPrefix(key, path+".") {
			key = path
		} else if _, answered := a.file.answers[key]; !answered || a.kept[f.Message] {
			continue
		} else {
			a.kept[f.Message] = true // told once: it is asked for again, and may be left as it is
		}
		if key == path {
			a.refused(a.anew)
		}
		if key != path {
			a.say("  %s: %s.", key[strings.LastIndexByte(key, '.')+1:], f.Message)
		} else {
			a.say("  %s.", said(f.Message))
		}
		if f.Hint != "" {
			a.say("  %s.", word.Upper(f.Hint))
		}
		return askAgain, key
	}
	for _, w := range odd {
		key := w.Key
		if key == "wear.rows" {
			key = wearRows
		}
		if _, answered := a.file.answers[key]; a.kept[w.Message] || !answered && key != path {
			continue
		}
		a.say("  Note: %s", ended(w.Message))
		if w.Hint != "" {
			a.say("  %s.", word.Upper(w.Hint))
		}
		switch s := a.keepIt(key == path); {
		case s == back:
			return goBack, ""
		case s != "yes" && !a.ended:
			return askAgain, key
		}
		a.kept[w.Message] = true
	}
	return taken, ""
}

// ended ends a sentence that has no end yet.
func ended(s string) string {
	if strings.HasSuffix(s, "?") || strings.HasSuffix(s, ".") {
		return s
	}
	return s + "."
}

// said makes a sentence of what is wrong with an answer.
func said(fault string) string {
	if strings.HasPrefix(fault, "row ") {
		return word.Upper(fault)
	}
	return "That " + fault
}

// yesNo says whether a key is answered by yes or no.
func yesNo(k form.Key) bool { return k.Inch == "true" || k.Inch == "false" }

// spoken is a key's text in a conversation, where true and false are yes and no.
var spoken = strings.NewReplacer("true or false", "yes or no", "true for", "yes for", "false", "no")

// tomlValue turns an answer into the text that stands in the file.
func tomlValue(k form.Key, s string, unit length.Unit) (string, error) {
	switch example := k.Example(unit); {
	case k.Text && strings.HasPrefix(example, "["):
		var names []string
		for _, n := range strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune(" ,;[]\"", r) }) {
			if n != "or" && n != "and" {
				names = append(names, document.Quote(n))
			}
		}
		return "[" + strings.Join(names, ", ") + "]", nil
	case k.Text:
		return document.Quote(meant(strings.Trim(s, `"`), k.Of)), nil
	case yesNo(k):
		switch strings.ToLower(s) {
		case "y", "yes", "true":
			return "true", nil
		case "n", "no", "false":
			return "false", nil
		}
		return "", errors.New("please answer yes or no")
	case k.Plain:
		if strings.HasSuffix(k.Path, "_angle") && strings.Contains(s, "/") {
			return "", errors.New(s + " is both flanks: give the angle of this one alone, such as " + example)
		}
		for _, unit := range []string{"°", "degrees", "degree", "deg.", "deg"} {
			if number, ok := strings.CutSuffix(strings.ToLower(s), unit); ok {
				return entry.Bare(number)
			}
		}
		return entry.Bare(s)
	case strings.HasPrefix(example, "["):
		return entry.Stretch(s, stretchOf(example), unit)
	case k.Along:
		return entry.Distance(s, unit)
	}
	return entry.Number(s, unit)
}

// stretchOf writes an example's two positions as they are typed.
func stretchOf(example string) string {
	return strings.NewReplacer("[", "", "]", "", ",", "", ".0", "").Replace(example)
}

// meant is which of a few texts an answer begins or says among other words, as dia and "on diameter" say diameter; the
// answer as it is where that is none of them, or several.
func meant(s string, of []string) string {
	found := ""
	words := strings.Fields(strings.ToLower(s))
	for _, o := range of {
		if slices.ContainsFunc(words, func(w string) bool { return strings.HasPrefix(o, w) }) {
			if found != "" {
				return s
			}
			found = o
		}
	}
	if found == "" {
		return s
	}
	return found
}

// Choice says what is asked about, and asks until the answer can be taken; take says what is wrong with it. It is not
// done where the question before is wanted again.
func (a *Interview) Choice(about, prompt string, take func(string) error) (done bool) {
	a.raw("\n")
	for a.say("%s", about); !a.ended; {
		s := a.answer("  " + prompt)
		if s == back {
			return false
		}
		err := take(s)
		if err == nil {
			return true
		}
		a.refused(false)
		a.say("  %s.", word.Upper(err.Error()))
	}
	return true
}
