//go:build unix

package main

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/env"
)

// fromSetback answers what new asks of a lathe from the axis on, but for the tools.
var fromSetback = conversation{
	{`axis_setback[\s\S]*: $`, "\n"},
	{`tool_post[\s\S]*: $`, "\n"},
	{`bed \(needed\): $`, "-200 1100\n"},
	{`jaws_front[\s\S]*: $`, "\n"},
	{`roof\)[\s\S]*\): $`, "n\n"},
	{`bearing_length \(needed\): $`, "280\n"},
	{`tool_offset \(empty: 0\): $`, "\n"},
	{`dial \(needed\): $`, "diameter\n"},
	{`division \(needed\): $`, "0.02\n"},
	{`backlash[\s\S]*: $`, "0.2\n"},
	{`compound[\s\S]*later\): $`, "no\n"},
	{`sunk\?[\s\S]*: $`, "no\n"},
}

// At a terminal new asks without being told to, no line is wider than the terminal, each answer stands on the screen
// once, and the command that it ends with is taken as it stands.
func TestNewAtTerminal(t *testing.T) {
	for _, columns := range []int{40, 80} {
		workshop(t)
		status, text := slices.Concat(conversation{
			{`in or mm: $`, "mm\n"},
			{`name \(empty: no name\): $`, "\n"},
			{`centre_height \(needed\): $`, "400\n"},
			{`way_span \(needed\): $`, "200\n"},
			{`swing[\s\S]*asked\s+again\): $`, "no\n"},
			{`centre_height \(needed\): $`, "150\n"},
		}, fromSetback, conversation{
			{`tools[\s\S]*: $`, "indicator, level\n"},
			{`wornway record`, ""},
		}).atTerminal(t, columns, "new", "bench.toml")
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

// A conversation that is broken off goes on where it was: the answers lie beside the file until it is written. Those
// to other questions are refused, and who begins anew is asked from the first question on.
func TestNewGoesOn(t *testing.T) {
	workshop(t)
	status, _ := conversation{
		{`in or mm: $`, "mm\n"},
		{`name \(empty: no name\): $`, "Old one\n"},
		{`centre_height \(needed\): $`, "nonsense\n"},
		{`centre_height \(needed\): $`, "150\n"},
		{`way_span \(needed\): $`, "no idea\n"},
		{`way_span \(needed\): $`, ctrlC},
	}.atTerminal(t, 80, "new", "bench.toml")
	if status == env.ExitDone {
		t.Error("broken off, and it says that all is done")
	}
	if _, err := os.Stat("bench.toml"); err == nil {
		t.Error("a file that is half answered was written")
	}
	kept, err := os.ReadFile("bench.toml.answers")
	if want := "# wornway new bench.toml\nmm\nOld one\n150\n"; err != nil || string(kept) != want {
		t.Fatalf("%v\n%s", err, kept)
	}
	if status, text := (conversation{{`go on with them`, ""}}).atTerminal(t, 80, "new", "--job", "bench.toml"); status !=
		env.ExitRefused {
		t.Errorf("answers to other questions: %d\n%s", status, text)
	}
	status, text := slices.Concat(conversation{
		{`3 answers[\s\S]*anew\): $`, "back\n"},
		{`3 answers[\s\S]*anew\): $`, "\n"},
		{`So far you had come[\s\S]*way_span \(needed\): $`, "200\n"},
	}, fromSetback, conversation{
		{`tools[\s\S]*: $`, "level\n"},
		{`wornway record`, ""},
	}).atTerminal(t, 80, "new", "bench.toml")
	if strings.Contains(text, "nonsense") || strings.Contains(text, "number is needed") {
		t.Errorf("an answer that was refused comes again:\n%s", text)
	}
	file, err := os.ReadFile("bench.toml")
	if status != env.ExitDone || err != nil || !regexp.MustCompile(`(?m)^name = "Old one"$`).Match(file) ||
		!regexp.MustCompile(`(?m)^centre_height = 150\.0$`).Match(file) {
		t.Errorf("%d, %v\n%s", status, err, text)
	}
	if _, err := os.Stat("bench.toml.answers"); err == nil {
		t.Error("the answers stay behind")
	}
}
