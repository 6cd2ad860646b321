//go:build unix

package main

import (
	"strings"
	"testing"
)

// A small picture of the curve stands after the answer on a terminal, in ASCII where the locale is C; a pipe and a file
// have none.
func TestSketchOnATerminalAlone(t *testing.T) {
	alongside(t)
	workshop(t)
	for _, line := range []string{"predict demo.toml --from 4 --to 12 --diameter 1", "wear demo.toml",
		"place demo.toml --length 6 --diameter 1 --reach 4,14"} {
		if out := invoke(split(line)...).stdout; strings.ContainsAny(out, "▀┼") || strings.Contains(out, "+---") {
			t.Errorf("%s: a picture without a terminal:\n%s", line, out)
		}
		for locale, want := range map[string]string{"C.UTF-8": "┼", "C": "+---"} {
			for _, columns := range []int{40, 72} {
				_, text := conversation{}.inLocale(t, locale, columns, split(line)...)
				if !strings.Contains(text, want) || strings.Contains(text, "┼") != (locale != "C") {
					t.Errorf("%s in %s:\n%s", line, locale, text)
				}
			}
		}
	}
}
