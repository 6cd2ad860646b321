//go:build unix

package main

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/env"
)

// At a terminal new asks without being told to, no line is wider than the terminal, each answer stands on the screen
// once, and the command that it ends with is taken as it stands.
func TestNewAtTerminal(t *testing.T) {
	for _, columns := range []int{40, 80} {
		workshop(t)
		status, text := conversation{
			{`in or mm: $`, "mm\n"},
			{`name \(empty: no name\): $`, "\n"},
			{`centre_height \(needed\): $`, "400\n"},
			{`way_span \(needed\): $`, "200\n"},
			{`swing[\s\S]*asked\s+again\): $`, "no\n"},
			{`centre_height \(needed\): $`, "150\n"},
			{`axis_setback[\s\S]*: $`, "\n"},
			{`tool_post[\s\S]*: $`, "\n"},
			{`bed \(needed\): $`, "-200 1100\n"},
			{`a V\?[\s\S]*: $`, "n\n"},
			{`bearing_length \(needed\): $`, "280\n"},
			{`tool_offset \(empty: 0\): $`, "\n"},
			{`dial \(needed\): $`, "diameter\n"},
			{`division \(needed\): $`, "0.02\n"},
			{`backlash[\s\S]*: $`, "0.2\n"},
			{`compound[\s\S]*later\): $`, "no\n"},
			{`sunk\?[\s\S]*: $`, "no\n"},
			{`tools[\s\S]*: $`, "indicator, level\n"},
			{`wornway record`, ""},
		}.atTerminal(t, columns, "new", "bench.toml")
		if status != env.ExitDone {
			t.Errorf("exit status %d", status)
		}
		narrow(t, text, columns)
		if strings.Count(text, "-200 1100\n") != 1 {
			t.Errorf("an answer does not stand on the screen once:\n%s", text)
		}
		file, err := os.ReadFile("bench.toml")
		if err != nil || !regexp.MustCompile(`(?m)^centre_height = 150\.0$`).Match(file) {
			t.Errorf("%v\n%s", err, file)
		}
		text = regexp.MustCompile(`\\\r?\n\s*`).ReplaceAllString(text, "") // a command line broken at the terminal's width
		lines := strings.Split(strings.TrimSpace(text), "\n")
		last := strings.Fields(lines[len(lines)-1])
		if status, text := (conversation{{`in\s+or mm|date[\s\S]*: $`, ctrlC}}).atTerminal(t, columns,
			last[1:]...); status != env.ExitDone || !strings.Contains(text, "Nothing was begun") {
			t.Errorf("%q: %d\n%s", last, status, text)
		}
	}
}
