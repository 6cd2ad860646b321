package ways

import (
	"fmt"

	"wornway/cmd/wornway/internal/shop"
	"wornway/profile"
)

// Best returns the survey that would leave least of the ± with such tools, and what it would leave, mm; false where
// none is left that would shrink it.
func (a *outlook) Best(tools []string) (c profile.Candidate, after float64, ok bool) {
	if a.Out == nil {
		return c, 0, false
	}
	const hardly = 0.98
	for _, i := range a.order() {
		if shop.Can(a.Candidates[i], tools) && a.Out.After[i] < hardly*a.Out.Now {
			return a.Candidates[i], a.Out.After[i], true
		}
	}
	return c, 0, false
}

// Proposal says which survey to record next, as sentences, and the command for it; the command is empty where there is
// none. given is said again in the command.
func (a *outlook) Proposal(tools []string, file string, given shop.Particulars) (says []string, command string) {
	over := fmt.Sprintf("the diameter from %s to %s", a.Bare(a.cut.From), a.At(a.cut.To))
	c, after, ok := a.Best(tools)
	best, least, any := a.Best(nil)
	if !ok {
		says = []string{fmt.Sprintf("No survey that is left for these tools would shrink the ± on %s.", over)}
		if any && tools != nil {
			says = append(says, fmt.Sprintf("%s would; it takes: %s.", Named(best), best.Tools))
		}
		return says, ""
	}
	says = []string{fmt.Sprintf("Next: %s. It would bring the ± on %s down to about %s; %s. It takes about %d "+
		"minutes%s. Tools: %s.", Named(c), over, a.bare(after), a.before(), c.Minutes, powered(c), c.Tools)}
	const worth = 0.9 // of the ±: a survey that leaves more hardly pays
	if after > worth*a.Out.Now {
		says = append(says, fmt.Sprintf("That is little for %d minutes: no survey that is left for these tools would "+
			"shrink the ± by a tenth.", c.Minutes))
	}
	if any && least < worth*after {
		says = append(says, fmt.Sprintf("With other tools %s would leave about %s; it takes: %s.", Named(best),
			a.bare(least), best.Tools))
	}
	if t := a.cut.Tolerance; t > 0 && *a.possible(a.Out.Now) && !a.blind {
		says[0] = fmt.Sprintf("The ± is narrow enough for %s already. ", a.Small(t)) + says[0]
	}
	return says, fmt.Sprintf("wornway record %s --method %s", file, c.Method) + given.Ask(a.Units, a.cut)
}
