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
	degrees := "degrees"
	if r.Freedom == 1 {
		degrees = "degree"
	}
	return fmt.Sprintf("chi-square %s with %d %s of freedom: chance makes as much in %s of cases",
		word.Fixed(r.ChiSquare, 1), r.Freedom, degrees, word.Percent(r.Probability))
}

// Holds says whether the cut's tolerance is held, in words, and whether that is so: with an uncertainty by its
// probability, else by the spread that was computed.
func Holds(l *shop.Bench, c *compensate.Curve, spread float64, sampled compensate.Sampled,
	stated bool) (sentence string,
	held bool) {
	tolerance := c.Tolerance
	if !stated {
		if spread <= tolerance {
			return fmt.Sprintf("The computed spread keeps within %s; how sure that is cannot be said, as the wear "+
				"has no ±.", l.Small(tolerance)), true
		}
		return fmt.Sprintf("The tolerance of %s is not held: the computed spread is %s.", l.Small(tolerance),
			l.Small(spread)), false
	}
	s := fmt.Sprintf("The probability that the spread keeps within %s is %s", l.Small(tolerance),
		word.Percent(sampled.Within))
	switch {
	case sampled.Within >= compensate.Promised:
		return s + ".", true
	case spread > tolerance:
		return s + ": it is not held.", false
	}
	s += ": the wear is not known well enough to promise it."
	if least := c.Promisable(); tolerance < least {
		s += fmt.Sprintf(" With this ±, nothing under about %s can be promised over this length, however the dial is "+
			"turned.", l.Small(least))
	}
	return s, false
}

// Spread says between what the spread lies.
func Spread(l *shop.Bench, what string, computed float64, s compensate.Sampled) string {
	out := fmt.Sprintf("With what is known of the wear, %s lies between %s and %s with 95 %% probability", what,
		l.Cell(s.Spread[0]), l.Small(s.Spread[1]))
	if s.Spread[0] > computed {
		out += ": more than computed, because what is not known of the wear can only add to a spread so small"
	}
	return out + "."
}
