package main

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// readmeBlock is one fenced block of the README.
type readmeBlock struct {
	language    string
	file        string // named by the comment before it, <!-- file: NAME -->
	answers     string // given on standard input, by the comment before it, <!-- answers: ONE | TWO -->
	first, last int    // its lines, counted from 0, without the fences; last is exclusive
}

// readmeBlocks finds the fenced blocks.
func readmeBlocks(lines []string) ([]readmeBlock, error) {
	var out []readmeBlock
	const open, given, end = "<!-- file: ", "<!-- answers: ", " -->"
	file, answers, inside := "", "", false
	for i, l := range lines {
		switch {
		case inside:
			if l == "```" {
				out[len(out)-1].last = i
				inside = false
			}
		case strings.HasPrefix(l, "```"):
			out = append(out, readmeBlock{language: l[3:], file: file, answers: answers, first: i + 1})
			inside, file, answers = true, "", ""
		case strings.HasPrefix(l, open) && strings.HasSuffix(l, end):
			file = l[len(open) : len(l)-len(end)]
		case strings.HasPrefix(l, given) && strings.HasSuffix(l, end):
			for _, a := range strings.Split(l[len(given):len(l)-len(end)], "|") {
				answers += strings.TrimSpace(a) + "\n"
			}
		case l != "":
			file, answers = "", ""
		}
	}
	if inside {
		return nil, fmt.Errorf("line %d: the block has no end", out[len(out)-1].first)
	}
	return out, nil
}

// readmeCommand splits a console block into the arguments of its command and the answer shown. A command goes on after
// a line that ends in a backslash.
func readmeCommand(block []string) (args, answer []string, err error) {
	command := ""
	for i, l := range block {
		line, more := strings.CutSuffix(l, " \\")
		command += line + " "
		if !more {
			answer = block[i+1:]
			break
		}
	}
	if strings.ContainsAny(command, "\"'|<>&*;\\") {
		return nil, nil, fmt.Errorf("%s: only plain arguments can be tried", command)
	}
	args = strings.Fields(strings.TrimPrefix(command, "$ wornway "))
	return args, answer, nil
}

// longNumber is a number as JSON and CSV have it, whose last digits differ between processors.
var longNumber = regexp.MustCompile(`\d+\.\d{11,}(?:e[-+]\d+)?`)

// sameLines compares lines, long numbers in them to ten digits.
func sameLines(a, b []string) bool {
	short := func(s string) string {
		return longNumber.ReplaceAllStringFunc(s, func(n string) string {
			v, err := strconv.ParseFloat(n, 64)
			if err != nil {
				return n
			}
			return strconv.FormatFloat(v, 'g', 10, 64)
		})
	}
	return slices.EqualFunc(a, b, func(x, y string) bool { return x == y || short(x) == short(y) })
}

// answerMatches says whether an answer is what is shown, with what is elided there standing for anything.
func answerMatches(shown, answer []string) bool {
	i := slices.Index(shown, elided)
	if i < 0 {
		return sameLines(shown, answer)
	}
	if len(answer) < i || !sameLines(shown[:i], answer[:i]) {
		return false
	}
	rest := shown[i+1:]
	for skip := i; skip <= len(answer); skip++ {
		if answerMatches(rest, answer[skip:]) {
			return true
		}
	}
	return false
}

// renewAnswer puts a new answer into the shape of the one shown before: whole where nothing was elided, else the same
// number of lines at both ends and, between two elisions, as many lines as before from the first line on that is
// unchanged.
func renewAnswer(shown, answer []string) ([]string, error) {
	if answerMatches(shown, answer) {
		return shown, nil
	}
	var parts [][]string
	for rest := shown; ; {
		i := slices.Index(rest, elided)
		if i < 0 {
			parts = append(parts, rest)
			break
		}
		parts, rest = append(parts, rest[:i]), rest[i+1:]
	}
	if len(parts) == 1 {
		return answer, nil
	}
	head, tail := parts[0], parts[len(parts)-1]
	if len(head)+len(tail) > len(answer) {
		return nil, fmt.Errorf("the answer is shorter than what is shown of it")
	}
	out := slices.Clone(answer[:len(head)])
	at, end := len(head), len(answer)-len(tail)
	for _, p := range parts[1 : len(parts)-1] {
		from := -1
		for k, l := range p {
			if i := slices.Index(answer[at:end], l); i >= k && l != "" {
				from = at + i - k
				break
			}
		}
		if from < 0 || from+len(p) > end {
			return nil, fmt.Errorf("no line of what is shown between two elisions is in the answer any more")
		}
		out = append(append(out, elided), answer[from:from+len(p)]...)
		at = from + len(p)
	}
	return append(append(out, elided), answer[end:]...), nil
}

func TestReadmeElision(t *testing.T) {
	lines := strings.Fields
	for _, c := range []struct {
		shown, answer string
		matches       bool
		renewed       string // where it does not match; empty: it cannot be renewed
	}{
		{"a b", "a b", true, ""},
		{"a b", "a c", false, "a c"},
		{"a b", "a b c", false, "a b c"},
		{"a … d", "a b c d", true, ""},
		{"a … d", "a d", true, ""},
		{"a … d", "a b c", false, "a … c"},
		{"a … d", "a b c d e", false, "a … e"},
		{"… d", "a b d", true, ""},
		{"a …", "b c", false, "b …"},
		{"a … c … e", "a b c d e", true, ""},
		{"a … c … e", "a b x d e", false, ""},
		{"a … c x … e", "a b c y d e", false, "a … c y … e"},
		{"a … x c … e", "a b y c d e", false, "a … y c … e"},
		{"a … b", "a", false, ""},
		{"0.00212776205769359,a", "0.00212776205769361,a", true, ""},
		{"0.00212776205769359,a", "0.00212776215769361,a", false, "0.00212776215769361,a"},
		{"0.0021", "0.0022", false, "0.0022"},
	} {
		shown, answer := lines(c.shown), lines(c.answer)
		if got := answerMatches(shown, answer); got != c.matches {
			t.Errorf("%q against %q: %v", c.shown, c.answer, got)
			continue
		}
		if c.matches {
			continue
		}
		got, err := renewAnswer(shown, answer)
		if (err != nil) != (c.renewed == "") || strings.Join(got, " ") != c.renewed {
			t.Errorf("%q renewed by %q: %q, %v; want %q", c.shown, c.answer, got, err, c.renewed)
		}
	}
}
