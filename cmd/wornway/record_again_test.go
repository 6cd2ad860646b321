package main

import (
	"os"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/env"
)

// Wherever a survey is broken off, and however often, the same command with the same flags goes on with it: answers
// that come in portions make the file that the same answers make in one go. In each story the empty answers are those
// that leave a key out; what is skipped stays so, and a station that stands in the list twice is read twice.
func TestRecordSameCommandGoesOn(t *testing.T) {
	alongside(t)
	for name, c := range map[string]struct{ command, answers string }{
		"stations in a list": {"record lathe.toml --method saddle-level --at 0,200,400,600,0",
			"2026-03-14|0.02 mm/m||0.5|skip|1|again|1.5|2|skip|done"},
		"an earlier one again": {"record lathe.toml --method saddle-level --at 0,200,400,600",
			"2026-03-14|0.02 mm/m||0.5|-1|1|again 200|-1.5|0.4|again 0|skip|again 400|at 100|3|return|-1|3|again 100|2|done"},
		"the first one again": {"record lathe.toml --method saddle-level --at 0,200,400,0",
			"2026-03-14|0.02 mm/m||0.5|-1|1|0.4|return|same|again|0.9|-1|skip|0.6|done"},
		"at even steps": {"record lathe.toml --method bar-side --every 3in --from 20 --to 330",
			"2026-03-14||||thou||0|0.1|skip|same|0.3|done"},
		"from somewhere on": {"record lathe.toml --method carriage-lock --from 2in --to 7in",
			"2026-03-14|700||free|drags|skip|tight|2|2|done"},
		"a foot before the other": {"record lathe.toml --method level-along --at 0,150,300,450,600",
			"2026-03-14|rear|0.02 mm/m||1|again|2|skip|3|return|4|same|done"},
		"with a second level": {"record lathe.toml --method saddle-level --at 0,200,400 --reference",
			"2026-03-14|0.02 mm/m|0.1|1 0|skip|2 0.1|done"},
	} {
		t.Run(name, func(t *testing.T) {
			alongside(t)
			lines := strings.Split(c.answers, "|")
			record := func(answers []string) {
				t.Helper()
				if a := tell(strings.Join(answers, "\n")+"\n", split(c.command)...); a.status != env.ExitDone ||
					a.stderr != "" || strings.Contains(a.stdout, "not understood") ||
					strings.Contains(a.stdout, "changes nothing") {
					t.Fatalf("%q: %+v", answers, a)
				}
			}
			holds := func() string {
				t.Helper()
				text, err := os.ReadFile("lathe.toml")
				if err != nil {
					t.Fatal(err)
				}
				return string(text)
			}
			begin := func() {
				t.Helper()
				if err := os.WriteFile("lathe.toml", []byte(killedLathe), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			workshop(t)
			begin()
			record(lines)
			want := holds()
			if strings.Contains(want, "unfinished") || !strings.HasPrefix(want, killedLathe+"\n[[survey]]") {
				t.Fatalf("in one go the answers make\n%s", strings.TrimPrefix(want, killedLathe))
			}
			for _, at := range []int{0, len(lines) / 3, 2 * len(lines) / 3} { // 0: after every answer
				begin()
				if at > 0 {
					record(lines[:at])
					record(lines[at:])
				} else {
					for _, line := range lines {
						record([]string{line})
					}
				}
				if got := holds(); got != want {
					t.Fatalf("broken off before answer %d the file ends in\n%s\nwant\n%s", at+1,
						strings.TrimPrefix(got, killedLathe), strings.TrimPrefix(want, killedLathe))
				}
			}
		})
	}
}

// Other stations take the place of those that are left. A station that has been read is not asked for again.
func TestRecordOtherStations(t *testing.T) {
	alongside(t)
	workshop(t)
	levelled(t, says("0.5"), says("1"), says("stop"))
	a := tell("2\n3\ndone\n", split("record demo.toml --method saddle-level --at 0,4,8,12")...)
	text, err := os.ReadFile("demo.toml")
	if err != nil || a.status != env.ExitDone || !strings.Contains(string(text),
		"rows = [\n  [0.0, 0.5],\n  [8.0, 1.0],\n  [4.0, 2.0],\n  [12.0, 3.0],\n]") {
		t.Errorf("%+v, %v\n%s", a, err, text)
	}
}
