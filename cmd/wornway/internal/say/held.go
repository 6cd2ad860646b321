package say

import (
	"fmt"

	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/accord"
)

// ByChance says how likely chance makes so much.
func ByChance(r accord.Result) string {
	return fmt.Sprintf("chance alone does as much in %s of cases", word.Percent(r.Probability))
}

// ChiSquare says from what that was calculated.
func ChiSquare(what string, r accord.Result) string {
	degrees := "degrees"
	if r.Freedom == 1 {
		degrees = "degree"
	}
	return fmt.Sprintf("Chi-square%s: %s with %d %s of freedom.", what, word.Fixed(r.ChiSquare, 1), r.Freedom, degrees)
}

// Holds says whether the cut's tolerance is held, in words, and whether that is so: with an uncertainty by its
// probability, else by the spread that was computed. how says under what conditions, as in " with this setting"; it may
// be empty.
func Holds(l *shop.Bench, c *compensate.Curve, how string, spread float64, promise compensate.Promise,
	stated bool) (sentence string, held bool) {
	tolerance := c.Tolerance
	if !stated {
		if spread <= tolerance {
			return fmt.Sprintf("As computed it keeps within %s%s; how sure that is cannot be said, as the wear has "+
				"no ±.", l.Small(tolerance), how), true
		}
		return fmt.Sprintf("The tolerance of %s is not held%s: as computed it varies by %s.", l.Small(tolerance), how,
			l.Small(spread)), false
	}
	s := Chance(l, tolerance, promise) + how
	switch more := besides(l, c, promise); {
	case more != "":
		return s + more + ": not promised.", false
	case promise.Within >= compensate.Promised:
		return s + ".", true
	case spread > tolerance:
		return s + ": not held.", false
	}
	return s + ": not promised" + unsure(l, c), false
}

// besides goes on with what no probability counts and could break a tolerance that is kept without it; empty for
// nothing.
func besides(l *shop.Bench, c *compensate.Curve, promise compensate.Promise) string {
	const hardly = 0.02 // of a tolerance: what takes no more of it does not matter
	give := gives(l, c)
	if promise.Within < compensate.Promised || give <= hardly*c.Tolerance || promise.Limit+give <= c.Tolerance {
		return ""
	}
	return fmt.Sprintf(", and up to %s of give under the cut may come on top", l.Small(give))
}

// Chance says how probable it is that a tolerance is kept, without a full stop.
func Chance(l *shop.Bench, tolerance float64, promise compensate.Promise) string {
	return fmt.Sprintf("The chance of keeping within %s is %s", l.Small(tolerance), word.Percent(promise.Within))
}

// unsure goes on with why a length is not promised that would be held as computed.
func unsure(l *shop.Bench, c *compensate.Curve) string {
	if least := c.Promisable(); c.Tolerance < least {
		return fmt.Sprintf(". With this ±, nothing under about %s can be promised over this length, however the dial "+
			"is turned.", l.Small(least))
	}
	return ", as the wear is not known well enough."
}

// Unpromised says why a length that was asked for is not promised, beside words which say that it is not.
func Unpromised(l *shop.Bench, c *compensate.Curve, spread float64, promise compensate.Promise, stated bool) string {
	if more := besides(l, c, promise); stated && more != "" {
		return Chance(l, c.Tolerance, promise) + more + "."
	}
	if !stated || spread > c.Tolerance {
		s, _ := Holds(l, c, "", spread, promise, stated)
		return s
	}
	return Chance(l, c.Tolerance, promise) + unsure(l, c)
}

// Spread says how much the diameter varies along a length, as computed and as it is known.
func Spread(l *shop.Bench, computed float64, s compensate.Prospect, stated bool) string {
	out := "Variation along it " + l.Small(computed)
	if !stated {
		return out + "."
	}
	out += fmt.Sprintf(", 19 times in 20 between %s and %s", l.Cell(s.Spread[0]), l.Small(s.Spread[1]))
	if s.Spread[0] > computed {
		out += ": what is not known of the wear can only make it more"
	}
	return out + "."
}
