package length

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"
)

// ParseNumber reads a number as people write it: 3, -0.5, .5, 1.2e-3, 1/2, 6 1/2, 6-1/2 or 6½. It refuses what strconv
// would let through, namely NaN, infinities, hexadecimal numbers and underscores, and decimal commas, with a hint what
// to write; [Decimal] takes the comma out where there is only one number. Blanks around the number are ignored. The
// result is finite and never a negative zero. Errors are of type [*Error].
func ParseNumber(s string) (float64, error) {
	t := strings.TrimSpace(s)
	x, num, rest, err := cutNumber(t)
	if err != nil {
		return 0, fault(s, "is not a number", err.Error())
	}
	if hint := commaHint(num, rest); hint != "" {
		return 0, fault(s, "has a decimal comma", hint)
	}
	if num != "" && rest != "" && two(t) {
		return 0, fault(s, tooMany, "")
	}
	if num == "" || rest != "" {
		return 0, fault(s, "is not a number", numberHint(t))
	}
	if math.IsInf(x, 0) {
		return 0, fault(s, "is too large a number", "")
	}
	return x + 0, nil
}

// Decimal turns the comma of a text that is one number, such as 6,5 or 0,02 mm, into a point. With three digits behind
// it a comma may part thousands: that is an error, of type [*Error]. A text without a comma comes back as it is.
func Decimal(s string) (string, error) {
	before, after, found := strings.Cut(s, ",")
	if !found {
		return s, nil
	}
	digits := skipDigits(after, 0)
	last := before != "" && before[len(before)-1] >= '0' && before[len(before)-1] <= '9'
	switch {
	case digits == 0 || strings.ContainsAny(before, "./") || strings.ContainsAny(after, ",."):
		return "", fault(s, "is not one number", numberHint(strings.TrimSpace(s)))
	case last && digits == 3 && !strings.HasPrefix(strings.TrimLeft(before, "+- "), "0"):
		return "", fault(s, "may be either side of a thousand",
			"write "+before+"."+after+" or "+before+after)
	}
	return before + "." + after, nil
}

// signs are the fractions that keyboards have as one character; a telephone may put one in place of 1/2.
var signs = strings.NewReplacer("½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8",
	"⅝", " 5/8", "⅞", " 7/8")

// fraction is 1/2, 6 1/2 or 6-1/2, with a sign before it and anything behind it.
var fraction = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^([+-]?)\s*(?:(\d+)(?:\s+|-))?(\d+)\s*/\s*(\d+)(.*)$`)
})

// cutNumber cuts a decimal number or a fraction off the front of s. An empty num means that there is none; what is too
// large is infinite. The error is a hint how to mend a fraction.
func cutNumber(s string) (x float64, num, rest string, err error) {
	s = strings.TrimSpace(signs.Replace(s))
	var m []string
	if strings.Contains(s, "/") {
		m = fraction().FindStringSubmatch(s)
	}
	if m != nil {
		whole, _ := strconv.ParseFloat("0"+m[2], 64) // an error is an infinity here
		top, _ := strconv.ParseFloat(m[3], 64)
		bottom, _ := strconv.ParseFloat(m[4], 64)
		if bottom == 0 || math.IsInf(bottom, 0) || m[2] != "" && top >= bottom {
			return 0, "", s, errors.New("write a fraction as in 6 1/2, or a decimal number as in 6.5")
		}
		if w, t, ok := runTogether(m[2], m[3], m[4]); ok {
			return 0, "", s, fmt.Errorf("write %s %s/%s, or %s for the fraction", w, t, m[4], formatNumber(top/bottom))
		}
		if x = clean(whole + top/bottom); m[1] == "-" {
			x = -x
		}
		return x, strings.TrimSuffix(s, m[5]), m[5], nil
	}
	num, rest = splitNumber(s)
	if num == "" {
		return 0, "", s, nil
	}
	x, _ = strconv.ParseFloat(num, 64)
	return x, num, rest, nil
}

// runTogether says whether a fraction looks like a whole number and a part of an inch with the blank between them left
// out, as 81/4 for 8 1/4, and which. Below two it is taken as it stands: drills and stock are called 33/32 and 17/16
// (common practice, no source).
func runTogether(whole, top, bottom string) (w, t string, is bool) {
	of, _ := strconv.Atoi(bottom)
	if n, _ := strconv.Atoi(top); whole != "" || of < 2 || of > 64 || of&(of-1) != 0 || n < 2*of {
		return "", "", false
	}
	for i := 1; i < len(top); i++ {
		if n, _ := strconv.Atoi(top[i:]); top[i] != '0' && n < of && n%2 == 1 {
			return top[:i], top[i:], true
		}
	}
	return "", "", false
}

// splitNumber cuts a decimal number off the front of s: sign, digits with at most one point, exponent. An empty num
// means that there is none.
func splitNumber(s string) (num, rest string) {
	i := 0
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	digits := i
	i = skipDigits(s, i)
	n := i - digits
	if i < len(s) && s[i] == '.' {
		j := skipDigits(s, i+1)
		n += j - i - 1
		i = j
	}
	if n == 0 {
		return "", s
	}
	if i < len(s) && (s[i] == 'e' || s[i] == 'E') {
		j := i + 1
		if j < len(s) && (s[j] == '+' || s[j] == '-') {
			j++
		}
		if k := skipDigits(s, j); k > j {
			i = k
		}
	}
	return s[:i], s[i:]
}

func skipDigits(s string, i int) int {
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	return i
}

// numberHint explains a text that does not start with a number, or does not go on as one.
func numberHint(t string) string {
	switch {
	case t == "":
		return "nothing was given"
	case strings.HasPrefix(t, "−") || strings.HasPrefix(t, "–"):
		return "write the minus as an ordinary hyphen"
	case strings.Contains(t, "_"):
		return "write the digits without underscores"
	case strings.HasPrefix(strings.TrimLeft(t, "+-"), ","):
		return "write a decimal point, as in 0.5"
	}
	return "write a decimal number, as in 0.5"
}

// commaHint recognises 0,5 and 0,5 mm and says how to write it; it is empty where there is no decimal comma.
func commaHint(num, rest string) string {
	if num == "" || !strings.HasPrefix(rest, ",") {
		return ""
	}
	const general = "write a decimal point, as in 0.5, and nothing between thousands"
	j := skipDigits(rest, 1)
	// Three digits behind the comma may as well be thousands: no guess there.
	if j == 1 || j == 4 || strings.ContainsAny(num, ".eE") || len(num)+j > 30 {
		return general
	}
	unit := strings.TrimSpace(rest[j:])
	if _, err := ParseUnit(unit); unit != "" && err != nil {
		return general
	}
	return "write " + num + "." + rest[1:j] + unit
}

// formatNumber writes x in full and so that it reads back as the same double; very large and very small ones get an
// exponent.
func formatNumber(x float64) string {
	x += 0
	if a := math.Abs(x); a != 0 && (a < 1e-9 || a >= 1e15) {
		return strconv.FormatFloat(x, 'e', -1, 64)
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}
