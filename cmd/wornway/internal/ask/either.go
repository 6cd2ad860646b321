package ask

import "strings"

// yesNoWords is what a question takes for yes and for no.
type yesNoWords struct{ yes, no string }

var yesOrNo = yesNoWords{"yes", "no"}

// yesOrNo is either with yes and no.
func (a *Interview) yesOrNo(prompt string) string { return a.either(prompt, yesOrNo) }

// either asks until the answer is yes or no, in full or by its first letter, or what the question takes for them, or
// back. An empty answer will do for yes or no, which can wait, and not for one of two things. At the end of the input
// it is empty.
func (a *Interview) either(prompt string, or yesNoWords) string {
	for !a.ended {
		s := a.answer(prompt)
		if said := or.said(s); said != "" || s == "" && (a.ended || or == yesOrNo) {
			return said
		}
		a.refused(false)
		a.say("  Please answer %s or %s.", or.yes, or.no)
	}
	return ""
}

// said is yes, no or back, in whatever way one of them was said; otherwise it is empty.
func (e yesNoWords) said(s string) string {
	words := strings.FieldsFunc(strings.TrimPrefix(strings.ToLower(s), "a "),
		func(r rune) bool { return r == ' ' || r == '-' }) // a V-way, flat way
	first := append(words, "")[0]
	if first == "vee" {
		first = "v"
	}
	switch {
	case e != yesOrNo && strings.EqualFold(first, e.yes):
		return "yes"
	case e != yesOrNo && strings.EqualFold(first, e.no):
		return "no"
	}
	return yesNoBack(s)
}

// yesNoBack is yes, no or back, in whatever way one of them was said; otherwise it is empty.
func yesNoBack(s string) string {
	switch s = strings.ToLower(s); s {
	case "y":
		return "yes"
	case "n":
		return "no"
	case "yes", "no", back:
		return s
	}
	return ""
}

// keepIt asks whether what is implausible is meant. Where own, it is the key under way, and a number is its new answer,
// as one types it on seeing what was mistyped.
func (a *Interview) keepIt(own bool) string {
	for !a.ended {
		s := a.answer(keepIt)
		if own && strings.ContainsAny(s, "0123456789") {
			a.next = s
			return "no"
		}
		if said := yesNoBack(s); said != "" || s == "" {
			return said
		}
		a.refused(false)
		a.say("  Please answer yes or no.")
	}
	return ""
}
