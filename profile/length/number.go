package length

import (
	"math"
	"strconv"
	"strings"
)

// ParseNumber reads a plain decimal number, such as 3, -0.5, .5 or 1.2e-3. It refuses what strconv would let through,
// namely NaN, infinities, hexadecimal numbers and underscores, and also decimal commas and fractions, with a hint what
// to write. Blanks around the number are ignored. The result is finite and never a negative zero. Errors are of type
// [*Error].
func ParseNumber(s string) (float64, error) {
	t := strings.TrimSpace(s)
	num, rest := splitNumber(t)
	if hint := fractionHint(num, strings.TrimSpace(rest)); hint != "" {
		return 0, fault(s, "is a fraction", hint)
	}
	if hint := commaHint(num, rest); hint != "" {
		return 0, fault(s, "has a decimal comma", hint)
	}
	if num == "" || rest != "" {
		return 0, fault(s, "is not a number", numberHint(t))
	}
	x, err := strconv.ParseFloat(num, 64)
	if err != nil || math.IsInf(x, 0) {
		return 0, fault(s, "is too large a number", "")
	}
	return x + 0, nil
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

// fractionHint recognises 1/2, 3/8in, 1 1/2 and 1-1/2 and says how to write them; it is empty where the text is no
// fraction.
func fractionHint(num, rest string) string {
	if num == "" {
		return ""
	}
	whole, top := 0.0, num
	if !strings.HasPrefix(rest, "/") {
		n, r := splitNumber(strings.TrimPrefix(rest, "-"))
		r = strings.TrimSpace(r)
		if n == "" || !strings.HasPrefix(r, "/") {
			return ""
		}
		whole, _ = strconv.ParseFloat(num, 64)
		top, rest = n, r
	}
	const general = "write it as a decimal number, as in 0.5"
	bottom, unit := splitNumber(strings.TrimSpace(rest[1:]))
	a, errA := strconv.ParseFloat(top, 64)
	b, errB := strconv.ParseFloat(bottom, 64)
	if errA != nil || errB != nil || b == 0 {
		return general
	}
	if whole < 0 {
		a = -a
	}
	x := clean(whole + a/b)
	if unit = strings.TrimSpace(unit); unit == `"` {
		unit = "in"
	}
	if _, err := ParseUnit(unit); unit != "" && err != nil || math.Abs(x) < 1e-6 || math.Abs(x) > 1e6 {
		return general
	}
	return "write " + trimZeros(Fixed(x, 6)) + unit
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
