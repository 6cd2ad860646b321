package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/blank"
	"wornway/cmd/wornway/internal/invented"
	"wornway/cmd/wornway/internal/sheet"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/survey"
)

// The rows of a sheet are the stations that record offers, in its order, for every method; and all of them are on the
// paper.
func TestBlankHasTheStationsOfRecord(t *testing.T) {
	alongside(t)
	workshop(t)
	const tailstock = "\n[lathe.tailstock]\nfront_way_setback = 2.5\nrear_way_setback = 6.5\nbase_length = 6.0\n"
	lathe := append(slices.Clone(invented.Lathe), tailstock...)
	const day, empty = "2026-05-01\n", "\n\n\n\n\n\n\n\n"
	answers := map[string]string{
		"carriage-lock": "10\n", "light-gap": "front\n2 26\n", "straightedge": "front\n2 26\n",
		"way-micrometer": "rear\n", "level-across": "0.0005 in/ft\n", "level-along": "front\n0.0005 in/ft\n",
		"saddle-level": "0.0005 in/ft\n", "carriage-indicator": "tail-front\n", "tailstock-indicator": "front\n",
		"bar-side": "", "bar-top": "", "test-cut": "", "saddle-rock": "",
	}
	if len(answers) != len(sheet.InOrderOfSurvey()) {
		t.Errorf("%d methods are tried, and %d have sheets", len(answers), len(sheet.InOrderOfSurvey()))
	}
	offered := regexp.MustCompile(`an empty answer takes ([\d. -]+)\.`)
	for method, first := range answers {
		if err := os.WriteFile("demo.toml", lathe, 0o600); err != nil { // as it was before the answers
			t.Fatal(err)
		}
		a := tell(day+first+empty, split("record demo.toml --method "+method)...)
		m := offered.FindStringSubmatch(strings.Join(strings.Fields(a.stdout), " "))
		if m == nil {
			t.Errorf("%s: record offers no stations: %s%s", method, a.stdout, a.stderr)
			continue
		}
		if err := os.WriteFile("demo.toml", lathe, 0o600); err != nil {
			t.Fatal(err)
		}
		line, contacts := "blank demo.toml --method "+method, ""
		if method == "straightedge" || method == "light-gap" {
			contacts = "2in,26in"
			line += " --contacts " + contacts
		}
		p := mustParse(t, "demo.toml")
		b := blank.Sheets{Units: word.Units{In: p.Unit}, Profile: p}
		s, err := b.Spreading(methodOf(t, method), &blank.Options{Contacts: contacts})
		if err != nil {
			t.Fatal(err)
		}
		var feet, onPaper []string
		rows := blank.Stations(s)
		for i, r := range rows {
			at := func(k int) string { return b.Bare(b.In.ToMM(r[k])) }
			feet = append(feet, at(0))
			row := at(0)
			if len(r) == 2 {
				row += " – " + at(1)
				if i == len(rows)-1 {
					feet = append(feet, at(1))
				}
			}
			onPaper = append(onPaper, row)
		}
		if got := strings.Join(feet, " "); got != strings.TrimSpace(m[1]) {
			t.Errorf("%s: the sheet has %s, record offers %s", method, got, m[1])
		}
		from := 0
		text := pdfText(t, printed(t, line))
		text = text[strings.Index(text, "note"):]
		for _, row := range onPaper {
			i := regexp.MustCompile(`\n` + regexp.QuoteMeta(row) + `[\n ]`).FindStringIndex(text[from:])
			if i == nil {
				t.Errorf("%s: %s is not on the sheet, or not in its order", method, row)
				break
			}
			from += i[1] - 1
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

// Every method has a sheet, on beds of 300 mm and 8 m, with and without wear; no text is under 2 mm, and the same input
// gives the same bytes.
func TestBlankForEveryMethodAndBed(t *testing.T) {
	alongside(t)
	workshop(t)
	if n := len(sheet.InOrderOfSurvey()); n != len(survey.Methods())-1 { // drops that somebody knows are no readings
		t.Errorf("%d of %d methods have a sheet", n, len(survey.Methods()))
	}
	size := regexp.MustCompile(`/F\S+ ([\d.]+) Tf`)
	for _, length := range []float64{300, 8000} {
		text := fmt.Sprintf("format = 1\nunit = \"mm\"\n[lathe]\nname = \"Długa łoże, Größe 8 "+
			"(erfunden)\"\ncentre_height = 150\nway_span = 200\nbed = [0, %g]\n[lathe.saddle]\nbearing_length = 100\n",
			length)
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

// pdfWord is a word on a page, mm from its upper left corner.
type pdfWord struct {
	text                   string
	left, top, right, base float64
}

// wordsOf returns the words of each page, with the page's size.
func wordsOf(t *testing.T, pdf []byte) (pages [][]pdfWord, width, height float64) {
	t.Helper()
	c := exec.Command(tool(t, "pdftotext"), "-bbox", "-", "-")
	c.Stdin = bytes.NewReader(pdf)
	out, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	const point = 25.4 / 72
	number := func(b []byte) float64 {
		v, err := strconv.ParseFloat(string(b), 64)
		if err != nil {
			t.Fatal(err)
		}
		return v * point
	}
	for _, m := range regexp.MustCompile(
		`<page width="([\d.]+)" height="([\d.]+)"|`+
			`<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>`).FindAllSubmatch(out, -1) {
		if len(m[1]) > 0 {
			width, height = number(m[1]), number(m[2])
			pages = append(pages, nil)
			continue
		}
		last := &pages[len(pages)-1]
		*last = append(*last, pdfWord{string(m[7]), number(m[3]), number(m[4]), number(m[5]), number(m[6])})
	}
	return pages, width, height
}

// apart complains of words that lie outside the margins or on each other. A word's box is that of the font: of its
// height, by the font's own measures, capitals take what lies between 0.17 and 0.80.
func apart(t *testing.T, what string, pdf []byte) {
	t.Helper()
	pages, width, height := wordsOf(t, pdf)
	if len(pages) == 0 || len(pages[0]) == 0 {
		t.Fatalf("%s: no words", what)
	}
	const margin, touch, top, base = 5.0, 0.2, 0.17, 0.80
	for p, all := range pages {
		for i := range all {
			high := all[i].base - all[i].top
			all[i].top, all[i].base = all[i].top+top*high, all[i].top+base*high
		}
		for i, a := range all {
			if a.left < margin-touch || a.right > width-margin+touch || a.top < margin-touch ||
				a.base > height-margin+touch {
				t.Errorf("%s, page %d: %q lies at %.1f to %.1f and %.1f to %.1f mm of %.0f × %.0f", what, p+1, a.text,
					a.left, a.right, a.top, a.base, width, height)
			}
			for _, b := range all[:i] {
				across := math.Min(a.right, b.right) - math.Max(a.left, b.left)
				down := math.Min(a.base, b.base) - math.Max(a.top, b.top)
				if across > touch && down > touch {
					t.Errorf("%s, page %d: %q and %q lie on each other, at %.1f and %.1f mm", what, p+1, a.text, b.text,
						a.left, a.top)
				}
			}
		}
	}
}

// No word of any sheet stands on another or beside the paper, on any paper, for a V and a flat way, in inches and in
// millimetres, on short and long beds.
func TestBlankWordsAreApart(t *testing.T) {
	alongside(t)
	workshop(t)
	flat := "format = 1\nunit = \"mm\"\n[lathe]\nname = \"Bench lathe by the north wall, with a name that is long " +
		"enough to need more than one line on a small sheet\"\ncentre_height = 150\nway_span = 200\nbed = [0, " +
		"%g]\n[lathe.saddle]\nbearing_length = 100\n" +
		"[wear]\ncolumns = [\"position\", \"front\", \"rear\", \"shift\"]\nuncertainty = 0.005\nrows = [[0, 0, 0, " +
		"0], [150, 0.12, 0.04, 0.01], [%g, 0, 0, 0]]\n"
	for _, bed := range []float64{300, 8000} {
		if err := os.WriteFile(fmt.Sprintf("bed%g.toml", bed), fmt.Appendf(nil, flat, bed, bed), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	papers := []string{"a4", "letter", "a5", "half-letter"}
	if testing.Short() {
		papers = papers[2:]
	}
	for _, paper := range papers {
		for _, file := range []string{"demo.toml", "bed300.toml", "bed8000.toml"} {
			line := "blank " + file + " --method all --paper " + paper
			apart(t, line, printed(t, line))
		}
	}
	for _, line := range []string{"exercise --seed 417-3", "exercise --seed 5-1 --paper a5",
		"exercise --seed 12-2 --paper half-letter"} {
		apart(t, line, printed(t, line))
	}
}

// The sheet of the test cut has every collar's diameter as predict --json foretells it: the nominal one and the error
// against the last collar.
func TestBlankExpectsWhatPredictSays(t *testing.T) {
	alongside(t)
	workshop(t)
	text := pdfText(t, printed(t, "blank demo.toml --method test-cut --diameter 1in"))
	if !strings.Contains(text, "Collars of 1 in.") {
		t.Errorf("the nominal diameter is not on the sheet:\n%s", text)
	}
	var said struct {
		Stations []struct {
			Position, Uncertainty float64
			Error                 float64 `json:"diameter_error"`
		}
	}
	a := invoke(split("predict demo.toml --from 4 --to 6 --diameter 1 --every 1 --json")...)
	if err := json.Unmarshal([]byte(a.stdout), &said); err != nil {
		t.Fatal(err)
	}
	for _, s := range said.Stations {
		want := fmt.Sprintf("%.5f", 1+s.Error)
		if s.Uncertainty > 0 {
			digits := 2 // two that count
			if 2000*s.Uncertainty >= 0.995 {
				digits = 1
			}
			want += fmt.Sprintf(" ± %.*f thou", digits, 2000*s.Uncertainty)
		}
		if !regexp.MustCompile(fmt.Sprintf(`(?m)^%g\s+%s$`, s.Position, regexp.QuoteMeta(want))).MatchString(text) {
			t.Errorf("at %g the sheet does not expect %s:\n%s", s.Position, want, text)
		}
	}
	if rows := regexp.MustCompile(`(?m)[\s^]\d\.\d{5}( ±|$)`).FindAllString(text,
		-1); len(rows) != len(said.Stations) || len(rows) < 3 {
		t.Errorf("%d collars on the sheet, %d by predict", len(rows), len(said.Stations))
	}
}
