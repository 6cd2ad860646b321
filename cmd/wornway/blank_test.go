package main

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"wornway/profile"
	"wornway/profile/survey"
)

// The rows of a sheet are the stations that record offers, in its order; and all of them are on the paper.
func TestBlankHasTheStationsOfRecord(t *testing.T) {
	workshop(t)
	offered := regexp.MustCompile(`an empty answer takes ([\d. -]+)\.`)
	for method, answers := range map[string]string{
		"carriage-lock":  "2026-05-01\n10\n",
		"saddle-level":   "2026-05-01\n0.0005 in/ft\n\n",
		"way-micrometer": "2026-05-01\nrear\n\n\n",
		"bar-side":       "2026-05-01\n\n\n\n\n\n",
		"straightedge":   "2026-05-01\nfront\n2 26\n\n\n\n",
	} {
		a := tell(answers, split("record demo.toml --method "+method)...)
		m := offered.FindStringSubmatch(strings.Join(strings.Fields(a.stdout), " "))
		if m == nil {
			t.Errorf("%s: record offers no stations: %s%s", method, a.stdout, a.stderr)
			continue
		}
		if err := os.WriteFile("demo.toml", demoLathe, 0o600); err != nil { // as it was before the answers
			t.Fatal(err)
		}
		line := "blank demo.toml --method " + method
		if method == "straightedge" {
			line += " --contacts 2in,26in"
		}
		p := mustParse(t, "demo.toml")
		b := blankSheets{words: words{p.Unit}, profile: p}
		s, err := b.spreading(methodOf(t, method), &blankOptions{contacts: map[bool]string{true: "2in,26in"}[method == "straightedge"]})
		if err != nil {
			t.Fatal(err)
		}
		var rows []string
		for _, r := range stations(s) {
			rows = append(rows, b.bare(b.unit.ToMM(r[0])))
		}
		if got := strings.Join(rows, " "); got != strings.TrimSpace(m[1]) {
			t.Errorf("%s: the sheet has %s, record offers %s", method, got, m[1])
		}
		from := 0
		text := pdfText(t, printed(t, line))
		text = text[strings.Index(text, "note"):]
		for _, z := range rows {
			i := strings.Index(text[from:], "\n"+z+"\n")
			if i < 0 {
				t.Errorf("%s: %s is not on the sheet, or not in its order", method, z)
				break
			}
			from += i + len(z)
		}
	}
}

func methodOf(t *testing.T, name string) survey.Method {
	t.Helper()
	m, ok := survey.Find(name)
	if !ok {
		t.Fatal(name)
	}
	return m
}

func mustParse(t *testing.T, file string) *profile.Profile {
	t.Helper()
	p, err := profile.Read(os.DirFS("."), file)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Every method has a sheet, on beds of 300 mm and 8 m, with and without wear; no text is under 2 mm, and the same input gives the same bytes.
func TestBlankForEveryMethodAndBed(t *testing.T) {
	workshop(t)
	if n := len(inOrderOfSurvey()); n != len(survey.Methods())-1 { // drops that somebody knows are no readings
		t.Errorf("%d of %d methods have a sheet", n, len(survey.Methods()))
	}
	size := regexp.MustCompile(`/F\S+ ([\d.]+) Tf`)
	for _, length := range []float64{300, 8000} {
		text := fmt.Sprintf("format = 1\nunit = \"mm\"\n[lathe]\nname = \"Długa łoże, Größe 8 (erfunden)\"\ncentre_height = 150\nway_span = 200\nbed = [0, %g]\n[lathe.saddle]\nbearing_length = 100\n", length)
		if err := os.WriteFile("bed.toml", []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		papers := []string{"a4", "a5"}
		if testing.Short() {
			papers = papers[1:]
		}
		for _, paper := range papers {
			line := "blank bed.toml --method all --paper " + paper
			pdf := printed(t, line)
			if string(pdf) != string(printed(t, line)) {
				t.Errorf("%s: not the same again", line)
			}
			for _, m := range size.FindAllSubmatch(pdf, -1) {
				if v, _ := strconv.ParseFloat(string(m[1]), 64); v*25.4/72*0.729 < 2 {
					t.Errorf("%s: text of %.2f mm", line, v*25.4/72*0.729)
				}
			}
			// Nothing is drawn beside the paper.
			wide := map[string]float64{"a4": 210, "a5": 148}[paper]
			for _, l := range pdfLines(pdf) {
				if math.Max(l[0], l[2]) > wide-5 || math.Min(l[0], l[2]) < 5 {
					t.Errorf("%s: a line from %.1f to %.1f mm", line, l[0], l[2])
				}
			}
		}
	}
}

// The sheet of the test cut says what predict says of its collars.
func TestBlankExpectsWhatPredictSays(t *testing.T) {
	workshop(t)
	text := pdfText(t, printed(t, "blank demo.toml --method test-cut --diameter 1in"))
	a := ask(split("predict demo.toml --from 4 --to 10 --diameter 1 --every 2")...)
	for _, m := range regexp.MustCompile(`(?m)^ +(\d+) +\S+ +\S+ +(\S+) +(\S+)$`).FindAllStringSubmatch(a.stdout, -1) {
		if !strings.Contains(text, m[2]+" ± "+m[3]) {
			t.Errorf("at %s predict says %s ± %s: the sheet does not:\n%s", m[1], m[2], m[3], text)
		}
	}
}
