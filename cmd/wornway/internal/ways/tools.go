package ways

import (
	"fmt"
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
	"test bar": "bar", "bar between centres": "bar", "micrometer": "micrometer",
}

// Tools are the names of what one may have or not have, those first that most have.
func Tools() []string {
	return []string{"indicator", "micrometer", "level", "bar", "straightedge", "leaves", "bridge", "deep-micrometer"}
}

// ParseTools reads the names of tools with commas between, or blanks. An empty text is nil, for all of them; none is
// empty and not nil. It refuses a name that is not among them.
func ParseTools(text string) ([]string, error) {
	var out []string
	for _, t := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r == ',' || r == ' ' }) {
		switch {
		case t == "and":
		case t == "none":
			out = append([]string{}, out...)
		case slices.Contains(Tools(), t):
			out = append(out, t)
		default:
			return nil, refuse.With(word.Visible(t)+" is no tool known here",
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

// Best returns the survey that would leave least of the ± with such tools, and what it would leave, mm; false where
// none is left that would shrink it.
func (a *ahead) Best(tools []string) (c profile.Candidate, after float64, ok bool) {
	if a.Out == nil {
		return c, 0, false
	}
	const hardly = 0.98
	for _, i := range a.order() {
		if Can(a.Candidates[i], tools) && a.Out.After[i] < hardly*a.Out.Now {
			return a.Candidates[i], a.Out.After[i], true
		}
	}
	return c, 0, false
}

// Proposal says which survey to record next, as sentences, and the command for it; the command is empty where there is
// none.
func (a *ahead) Proposal(tools []string, file string) (says []string, command string) {
	over := fmt.Sprintf("the diameter from %s to %s", a.Bare(a.cut.From), a.At(a.cut.To))
	c, after, ok := a.Best(tools)
	if !ok {
		says = []string{fmt.Sprintf("No survey that is left for these tools would shrink the ± on %s.", over)}
		if best, _, ok := a.Best(nil); ok && tools != nil {
			says = append(says, fmt.Sprintf("%s would; it takes: %s.", Named(best), best.Tools))
		}
		return says, ""
	}
	now := a.PlusMinus(a.Out.Now, true) + " now"
	if a.blind {
		now = a.PlusMinus(a.Out.Now, true) + " with nothing read, on a bed that is worn as is usual"
	}
	says = []string{fmt.Sprintf("Next: %s. It would bring the ± on %s to %s; it is %s. It takes about %d minutes%s. "+
		"Tools: %s.", Named(c), over, a.PlusMinus(after, true), now, c.Minutes, powered(c), c.Tools)}
	command = fmt.Sprintf("wornway record %s --method %s --for %s,%s", file, c.Method, a.Bare(a.cut.From),
		a.Bare(a.cut.To))
	if t := a.cut.Tolerance; t > 0 {
		if *a.possible(a.Out.Now) && !a.blind {
			says[0] = fmt.Sprintf("The ± is narrow enough for %s already. ", a.Small(t)) + says[0]
		}
		command += " --tolerance " + word.Flag(a.Small(t))
	}
	return says, command
}
