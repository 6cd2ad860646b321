package document

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"
)

// ParseNumber reads a decimal number strictly: digits, one decimal point, an exponent, a sign; white space around it is
// ignored and the typographic minus (U+2212) counts as a minus. With decimalComma a single comma may stand in place of
// the point.
//
// The result is always finite. Refused, with a hint where the meaning can be guessed: nan, inf, hexadecimal,
// underscores, fractions, a decimal comma where none may stand, a unit written behind the number, digits in groups. The
// error is a Fault without a position, so that its hint can be had with errors.As.
func ParseNumber(s string, decimalComma bool) (float64, error) {
	if v, ok := plainNumber(s); ok {
		return v, nil
	}
	s = strings.TrimSpace(s)
	if s == "" {
		return 0, Fault{Message: "no number given", Hint: plainHint}
	}
	plain := strings.ReplaceAll(s, "\u2212", "-")
	if v, ok := plainNumber(plain); ok {
		return v, nil
	}
	comma, hasComma := pointForComma(plain)
	if decimalComma && hasComma {
		if v, ok := plainNumber(comma); ok {
			return v, nil
		}
	}
	message, hint := notNumber(plain)
	return 0, Fault{Message: shorten(s) + " " + message, Hint: hint}
}

// plainNumber is the fast path: it takes what needs no explanation.
func plainNumber(s string) (float64, bool) {
	for i := 0; i < len(s); i++ {
		c := s[i]
		if (c < '0' || c > '9') && c != '.' && c != '-' && c != '+' && c != 'e' && c != 'E' {
			return 0, false
		}
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil
}

// pointForComma replaces a single comma by a point; not where a point stands too.
func pointForComma(s string) (string, bool) {
	if strings.Count(s, ",") != 1 || strings.Contains(s, ".") {
		return s, false
	}
	return strings.Replace(s, ",", ".", 1), true
}

// Hints for what is no number, and for one that no length is.
const (
	plainHint = "write a plain decimal number, such as 2.5"
	largeHint = "check the number: is a decimal point or a minus in the exponent missing?"
)

var (
	fractionPattern = pattern(`^([+-]?)(?:(\d+)(?:[ -]+))?(\d+)/(\d+)(?:in|mm|"|″)?$`)
	unitPattern     = pattern(`^([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?)\s*` +
		`(?:"|″|'|′|''|%|°|[\pL][\pL/]*)$`)
	groupPattern  = pattern(`^[+-]?\d{1,3}(?:[ \x{A0}\x{2009}\x{202F}_']\d{3})+(?:[.,]\d+)?$`)
	groupMarks    = strings.NewReplacer(" ", "", "\u00a0", "", "\u2009", "", "\u202f", "", "_", "", "'", "", ",", ".")
	hexPattern    = pattern(`^[+-]?0[xXoObB][0-9a-fA-F_]*$`)
	pointAndComma = pattern(`^[+-]?(?:\d+(?:\.\d+)+,\d+|\d+(?:,\d+)+\.\d+)$`)
)

// pattern returns an expression that is compiled when it is first asked for: most of them only tell what is wrong with
// a file, and all together take longer than a short answer.
func pattern(of string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(of) })
}

// notNumber says in words why s, with plain minus signs, is no number that can be used, and how it might be written.
func notNumber(s string) (message, hint string) {
	switch strings.ToLower(strings.TrimLeft(s, "+-")) {
	case "nan", "inf", "infinity":
		return "is not a number that can be used", plainHint
	}
	if hexPattern().MatchString(s) {
		if n, err := strconv.ParseInt(s, 0, 64); err == nil {
			return "is not a plain decimal number", "write " + strconv.FormatInt(n, 10)
		}
		return "is not a plain decimal number", plainHint
	}
	if v, ok := fraction(s); ok {
		return "is a fraction", "write " + v
	}
	if p, ok := pointForComma(s); ok {
		if _, ok := plainNumber(p); ok {
			return "has a decimal comma", "write a decimal point: " + p
		}
	}
	if pointAndComma().MatchString(s) {
		i := strings.LastIndexAny(s, ".,")
		whole := strings.NewReplacer(".", "", ",", "").Replace(s[:i])
		return "has both a point and a comma", "write it without marks between the thousands: " + whole + "." + s[i+1:]
	}
	if m := unitPattern().FindStringSubmatch(s); m != nil {
		if _, ok := plainNumber(strings.Replace(m[1], ",", ".", 1)); ok {
			return "is not a number alone", "write the number alone: " + strings.Replace(m[1], ",", ".", 1)
		}
	}
	if groupPattern().MatchString(s) {
		return "has marks between its digits", "write " + groupMarks.Replace(s)
	}
	if rest, ok := strings.CutPrefix(s, "\u2013"); ok { // an en dash
		if _, ok := plainNumber(rest); ok {
			return "begins with a dash, not a minus", "write -" + rest
		}
	}
	if _, err := strconv.ParseFloat(s, 64); err != nil && strings.HasSuffix(err.Error(), strconv.ErrRange.Error()) {
		return "is too large a number", largeHint
	}
	return "is not a number", plainHint
}

// fraction works out "3/8", "1 3/8" and "1-3/8" to seven figures.
func fraction(s string) (string, bool) {
	m := fractionPattern().FindStringSubmatch(s)
	if m == nil {
		return "", false
	}
	whole := 0.0
	if m[2] != "" {
		whole, _ = strconv.ParseFloat(m[2], 64)
	}
	top, err1 := strconv.ParseFloat(m[3], 64)
	bottom, err2 := strconv.ParseFloat(m[4], 64)
	v := whole + top/bottom
	if err1 != nil || err2 != nil || bottom == 0 || math.IsInf(v, 0) || math.IsNaN(v) {
		return "", false
	}
	if m[1] == "-" {
		v = -v
	}
	return strconv.FormatFloat(v, 'g', 7, 64), true
}
