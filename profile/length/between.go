package length

import (
	"regexp"
	"strings"
)

// parted is what people write between the two ends of a stretch; a hyphen counts only with blanks around it, as without
// them it may be the one of 6-1/2.
var parted = regexp.MustCompile(`\s+(?:to|and|-)\s+|\s*(?:\.\.+|…|–)\s*`)

// Between takes the two ends of a stretch apart: 8 to 40, 8-40, 8..40, from 8 to 40 in, between 8 and 40. A unit behind
// the second end alone holds for both. It is false for anything else, and for what could be read in two ways, as -8-4.
func Between(s string) (from, to string, ok bool) {
	const most = 60 // nobody types more
	s = strings.ToLower(strings.TrimSpace(s))
	if len(s) > most {
		return "", "", false
	}
	for _, word := range []string{"from ", "between "} {
		s = strings.TrimSpace(strings.TrimPrefix(s, word))
	}
	if at := parted.FindAllStringIndex(s, 2); len(at) == 1 {
		return ends(s[:at[0][0]], s[at[0][1]:])
	}
	if _, whole := one(s); whole || strings.HasPrefix(s, "-") {
		return "", "", false
	}
	for i := 1; i < len(s); i++ {
		if s[i] != '-' {
			continue
		}
		a, b, good := ends(s[:i], s[i+1:])
		if good && ok {
			return "", "", false
		}
		if good {
			from, to, ok = a, b, true
		}
	}
	return from, to, ok
}

// ends are the two ends of a stretch, the first with the unit of the second where it has none.
func ends(from, to string) (string, string, bool) {
	a, first := one(from)
	b, second := one(to)
	if first && second && a == "" && b != "" {
		from = strings.TrimSpace(from) + b
	}
	return from, to, first && second
}

// one says whether a text is one length, and its unit as it was written; empty where it has none.
func one(s string) (unit string, is bool) {
	_, num, rest, err := cutNumber(strings.TrimSpace(s))
	if err != nil || num == "" {
		return "", false
	}
	if rest = strings.TrimSpace(rest); rest != "" {
		if _, is = spokenUnit(rest); !is {
			return "", false
		}
	}
	return rest, true
}

// two says whether a text is two numbers, where one is wanted.
func two(s string) bool {
	if _, _, is := Between(s); is {
		return true
	}
	_, num, rest, err := cutNumber(strings.TrimSpace(s))
	if err != nil || num == "" || strings.TrimLeft(rest, " ") == rest {
		return false
	}
	_, is := one(rest)
	return is
}

// tooMany is what is wrong with two numbers where one is wanted.
const tooMany = "is two numbers, and only one is needed"
