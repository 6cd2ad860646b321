package main

import (
	"encoding/json"
	"fmt"
	"net/url"
	"strings"
	"testing"

	pages "wornway/cmd/wornway/internal/page"
	"wornway/cmd/wornway/internal/turning"
	"wornway/profile/length"
)

// longJob is an invented part with a length that is worth a setting, in millimetres for a lathe in inches.
const longJob = `format = 1
unit = "mm"
[job]
name = "Long spindle (invented)"
length = 320
stock_diameter = 32
stock_length = 390
held = ["chuck-and-centre"]
grip = 40
material = "steel-low-carbon"
[job.cut]
depth = 0.25
feed = 0.1
[[feature]]
name = "nose"
from = 2
to = 30
diameter = 20
spread = 0.03
[[feature]]
name = "long seat"
from = 60
to = 300
diameter = 25
spread = 0.02
`

// A job's length is chosen on the page, and every page then answers what the commands answer of it.
func TestPageTakesAJob(t *testing.T) {
	alongside(t)
	workshop(t)
	put(t, "long.toml", longJob)
	s := serve(t, pages.Options{Job: "long.toml"})
	const line = " demo.toml --job long.toml --at 110"
	one := append(split("correct"+line), "--feature", "long seat")
	var all, j turning.CorrectJobJSON
	for to, a := range map[*turning.CorrectJobJSON]outcome{&j: invoke(append(one, "--json")...),
		&all: invoke(split("correct" + line + " --json")...)} {
		if err := json.Unmarshal([]byte(a.stdout), to); err != nil {
			t.Fatal(err)
		}
	}
	// one feature is told of as it is among all
	if len(j.Features) != 1 || fmt.Sprint(j.Features[0].Moves) != fmt.Sprint(all.Features[1].Moves) {
		t.Fatalf("--feature: %+v, among all: %+v", j.Features, all.Features)
	}
	f := j.Features[0]
	if len(f.Moves) == 0 || f.Aim == nil {
		t.Fatal("nothing is dialled: this test sees no list")
	}
	// The length of one's own from before is kept, and not asked.
	const query = "?feature=2&at=110&from=4&to=12&held=centres"
	_, cut := s.get("/" + query)
	said := words(cut)
	for _, a := range []outcome{invoke(one...), invoke(append(split("predict"+line), "--feature", "long seat")...)} {
		for l := range strings.SplitSeq(strings.Join(strings.Fields(a.stdout), " "), ". ") {
			if strings.HasPrefix(l, "long seat: ") && !strings.Contains(said, step(l)) {
				t.Errorf("This cut does not say %q", l)
			}
		}
	}
	_, list := s.get("/machine" + query)
	said = words(list)
	if !strings.Contains(said, "cut to "+length.Diameter(*f.Aim, length.Millimetre)+" mm as measured") {
		t.Errorf("the aim is %v, in %q", *f.Aim, said)
	}
	for i, m := range f.Moves {
		at := strings.Index(said, fmt.Sprintf("Stop %d of %d", i+1, len(f.Moves)))
		if at < 0 || !strings.Contains(said[at:], fmt.Sprintf("%v mm %s", m.Position, strings.ToUpper(m.Direction))) {
			t.Errorf("move %+v is not told of in %q", m, said)
		}
	}
	// The other pages are asked for that length, in the lathe's unit.
	_, where := s.get("/where" + query)
	place := firstSentence(invoke(split("place demo.toml --length 240mm --diameter 25mm --tolerance 0.02mm --held " +
		"chuck-and-centre")...))
	if !strings.Contains(words(where), place) {
		t.Errorf("Where does not say %q: %s", place, words(where))
	}
	if !strings.Contains(where, "feature=2") || !strings.Contains(where, "at=") {
		t.Error("a place leads away from the job")
	}
	_, ahead := s.get("/measure" + query)
	for _, l := range strings.Split(invoke(split("record demo.toml --for "+fmt.Sprintf("%v,%v", f.From/25.4, f.To/25.4)+
		" --diameter 25mm --tolerance 0.02mm")...).stdout, "\n")[:1] {
		_, l, _ = strings.Cut(l, "). ")
		if !strings.Contains(words(ahead), l) {
			t.Errorf("Measure does not say %q: %s", l, words(ahead))
		}
	}
	for _, path := range []string{"/paper/card.pdf", "/paper/cards.pdf", "/paper/strip.pdf"} {
		if status, body := s.get(path + query); status != 200 || !strings.HasPrefix(body, "%PDF") {
			t.Errorf("%s: %d %.300q", path, status, words(body))
		}
	}
	// Another length is one that is typed, and a job that is broken is told of with its places.
	if _, own := s.get("/?feature=0&from=4&to=12&diameter=1"); !strings.Contains(own, `id="from"`) ||
		strings.Contains(own, `id="at"`) {
		t.Error("a length of one's own cannot be typed")
	}
	put(t, "long.toml", strings.Replace(longJob, "diameter = 25", "diameter = -25", 1))
	if _, broken := s.get("/" + query); !strings.Contains(words(broken), "long.toml:") ||
		!strings.Contains(words(broken), "must be greater than zero") {
		t.Errorf("a broken job: %s", words(broken))
	}
}

// The lesson tells of the work that was chosen.
func TestPageTellsOfTheChoice(t *testing.T) {
	alongside(t)
	workshop(t)
	s := serve(t, pages.Options{})
	_, why := s.get("/why?" + url.Values{"from": {"5"}, "to": {"15"}, "diameter": {"2"}, "held": {"centres"},
		"tolerance": {"1thou"}}.Encode())
	for _, want := range []string{"Work of 2 in is measured at 15 in", `"First":1`, `"Positions":[5,`,
		`id="back" href="/?diameter=2&amp;from=5`} {
		if !strings.Contains(why, want) {
			t.Errorf("the lesson does not say %q", want)
		}
	}
}
