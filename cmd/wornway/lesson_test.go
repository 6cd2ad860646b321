package main

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"wornway/cmd/wornway/internal/chapters"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/invented"
	"wornway/cmd/wornway/internal/turning"
	"wornway/profile/length"
)

// Whatever is chosen, the page shows the numbers of predict: 80 combinations of what a profile can say and of
// positions, of which an ordinary run tries a third. Nothing leaves the page, and it complains of nothing.
func TestLessonShowsWhatPredictSays(t *testing.T) {
	alongside(t)
	ctx := browser(t)
	workshop(t)
	complaints := lessonPage(t, ctx, "lesson demo.toml --from 2in --to 22in")
	l := opened(t, string(invented.Lathe))
	teach := &chapters.Numbers{Bench: l, From: 2 * 25.4, To: 22 * 25.4}
	tried := 0
	for h, height := range teach.Heights() {
		for d, diameter := range teach.Diameters() {
			for n, tool := range teach.ToolHeights() {
				var p turning.PredictJSON
				line := fmt.Sprintf("predict demo.toml --from 2 --to 22 --every 0.5 --json --diameter %.6gin "+
					"--tool-height=%.6gin --centre-height %.6gin", length.Inch.From(diameter), length.Inch.From(tool),
					length.Inch.From(height))
				a := invoke(split(line)...)
				if err := json.Unmarshal([]byte(a.stdout), &p); err != nil {
					t.Fatalf("%s: %v %s", line, err, a.stderr)
				}
				for _, at := range []int{0, 7, 16, 29, 40} {
					if tried++; !*study && tried%3 > 0 { // every position of the five at some of the choices
						continue
					}
					got := shown(t, ctx, map[string]int{"wear": 0, "height": h, "diameter": d, "tool": n, "held": 0,
						"dial": 0}, at)
					s := p.Stations[at]
					addsUp(t, ctx, got["diameter error"])
					for name, want := range map[string]float64{"diameter error": s.DiameterError,
						"tool out": *s.ToolOut, "tool down": *s.ToolDrop, "±": 2 * *s.Uncertainty} {
						if text := length.Small(l.In.ToMM(want), l.In) + " thou"; got[name] != text {
							t.Errorf("%s at %v: the page shows %s %s, predict says %s", line, s.Position, name,
								got[name], text)
						}
					}
				}
			}
		}
	}
	if tried < 50 {
		t.Errorf("%d combinations tried", tried)
	}
	for _, c := range complaints() {
		t.Error(c)
	}
}

// With the dial turned as correct lists it, the page shows what is left: predict's error less what the settings in
// force take off the diameter, dial by dial, and with the aim at the zero. A dial that counts the diameter takes off
// what it reads, nearly: on thin work the tool does not stand quite level with the axis, a twentieth of the last digit.
func TestLessonShowsWhatCorrectLeaves(t *testing.T) {
	alongside(t)
	ctx := browser(t)
	workshop(t)
	lessonPage(t, ctx, "lesson demo.toml --from 2in --to 22in")
	tried := 0
	for d, diameter := range (&chapters.Numbers{Bench: opened(t, string(invented.Lathe))}).Diameters() {
		what := fmt.Sprintf("demo.toml --from 2 --to 22 --every 0.5 --json --diameter %.6gin",
			length.Inch.From(diameter))
		var p turning.PredictJSON
		var c turning.CorrectJSON
		for line, into := range map[string]any{"predict " + what: &p, "correct --feed headstock " + what: &c} {
			if a := invoke(split(line)...); json.Unmarshal([]byte(a.stdout), into) != nil {
				t.Fatalf("%s: %s %s", line, a.stdout, a.stderr)
			}
		}
		for at := 0; at <= 40; at += 3 {
			s, dialled, onMove := p.Stations[at], 0.0, false
			for _, m := range c.Moves {
				onMove = onMove || math.Abs(m.Position-s.Position) < 1e-3
				if m.Position > s.Position {
					dialled = m.Dial
				}
			}
			if onMove {
				continue // before the dial is turned, or after
			}
			tried++
			got := shown(t, ctx, map[string]int{"wear": 0, "height": 0, "diameter": d, "tool": 0, "held": 0,
				"dial": 1}, at)
			var shownIs float64
			fmt.Sscan(got["diameter error"], &shownIs)
			if want := 1000 * (s.DiameterError - dialled + *c.Aim - c.Diameter); math.Abs(shownIs-want) > 0.0055 {
				t.Errorf("%s at %v: the page shows %v thou left, correct's moves leave %.3f", what, s.Position, shownIs,
					want)
			}
		}
	}
	if tried < 30 {
		t.Errorf("%d places tried", tried)
	}
}

// Between centres that stand true, a spindle that leans matters no more: the page then shows what predict says of the
// same lathe without the lean.
func TestLessonBetweenCentres(t *testing.T) {
	alongside(t)
	ctx := browser(t)
	workshop(t)
	text := strings.Replace(string(invented.Lathe), "[wear]", "[lathe.spindle]\nlean_out = 0.0001\n\n[wear]", 1)
	if err := os.WriteFile("leans.toml", []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	lessonPage(t, ctx, "lesson leans.toml --from 2in --to 22in")
	for held, file := range []string{"leans.toml", "demo.toml"} {
		var p turning.PredictJSON
		line := "predict " + file + " --from 2 --to 22 --every 0.5 --json --diameter 1"
		if a := invoke(split(line)...); json.Unmarshal([]byte(a.stdout), &p) != nil {
			t.Fatalf("%s: %s", line, a.stderr)
		}
		for at := 0; at <= 40; at += 8 {
			got := shown(t, ctx, map[string]int{"wear": 0, "height": 0, "diameter": 2, "tool": 0, "held": held,
				"dial": 0}, at)
			var shownIs float64
			fmt.Sscan(got["diameter error"], &shownIs)
			if want := 1000 * p.Stations[at].DiameterError; math.Abs(shownIs-want) > 0.0055 {
				t.Errorf("%s at %d: the page shows %v, predict says %.3f", file, at, shownIs, want)
			}
		}
	}
}

// The page is worked by keyboard and by playing; every choice changes what is shown without a complaint.
func TestLessonIsWorked(t *testing.T) {
	alongside(t)
	ctx := browser(t)
	workshop(t)
	complaints := lessonPage(t, ctx, "lesson demo.toml --from 2in --to 22in")
	told := func() (s string) {
		t.Helper()
		if err := chromedp.Run(ctx, chromedp.Text("#told", &s, chromedp.ByQuery)); err != nil {
			t.Fatal(err)
		}
		return s
	}
	first := told()
	if err := chromedp.Run(ctx, chromedp.Focus("#at", chromedp.ByQuery), chromedp.KeyEvent(kb.ArrowRight),
		chromedp.KeyEvent(kb.ArrowRight)); err != nil {
		t.Fatal(err)
	}
	if told() == first {
		t.Error("the arrow keys do not move the carriage")
	}
	after := told()
	if err := chromedp.Run(ctx, chromedp.Click("#play", chromedp.ByQuery), chromedp.Sleep(700*time.Millisecond),
		chromedp.Click("#play", chromedp.ByQuery)); err != nil {
		t.Fatal(err)
	}
	if told() == after {
		t.Error("playing does not move the carriage")
	}
	seen := map[string]bool{}
	for wear := range 5 {
		for held := range 2 {
			for dial := range 3 {
				for d := range 4 {
					if !*study && (wear+held+dial+d)%4 > 0 { // any two choices meet
						continue
					}
					seen[shown(t, ctx, map[string]int{"wear": wear, "height": 1, "diameter": d, "tool": 1, "held": held,
						"dial": dial}, 12)["diameter error"]] = true
				}
			}
		}
	}
	if len(seen) < 15 {
		t.Errorf("the choices show %d different errors", len(seen))
	}
	for _, c := range complaints() {
		t.Error(c)
	}
}

// An accessibility checker finds nothing: names and roles of what can be worked, contrast, order of headings. axe-core,
// pinned in testdata.
func TestLessonIsAccessible(t *testing.T) {
	alongside(t)
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	axe, err := os.ReadFile(filepath.Join(here, "testdata", "axe", "axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	ctx := browser(t)
	workshop(t)
	lessonPage(t, ctx, "lesson demo.toml --from 2in --to 22in")
	if err := chromedp.Run(ctx, chromedp.Evaluate(string(axe)+";0", nil)); err != nil {
		t.Fatal(err)
	}
	for i, wide := range []int64{380, 1200, 380, 1200} {
		scheme := []string{"light", "dark", "dark", "light"}[i]
		if i > 1 { // before the guess, and after it
			shown(t, ctx, nil, 3)
		}
		prefer(t, ctx, scheme)
		var found []struct {
			ID, Help string
			Nodes    []struct{ HTML string }
		}
		if err := chromedp.Run(ctx, chromedp.EmulateViewport(wide, 900), chromedp.Evaluate(checked,
			&found, func(p *runtime.EvaluateParams) *runtime.EvaluateParams {
				return p.WithAwaitPromise(true)
			})); err != nil {
			t.Fatal(err)
		}
		for _, f := range found {
			t.Errorf("%d wide, %s: %s: %s: %+v", wide, scheme, f.ID, f.Help, f.Nodes)
		}
		var over bool
		if err := chromedp.Run(ctx, chromedp.Evaluate(`document.documentElement.scrollWidth > innerWidth`,
			&over)); err != nil {
			t.Fatal(err)
		}
		if over {
			t.Errorf("%d wide: the page is wider than that", wide)
		}
	}
}

// A lathe's name stays text whatever stands in it, the same lathe makes the same page, and the page is small.
func TestLessonPage(t *testing.T) {
	alongside(t)
	if testing.Short() {
		t.Skip("computes corrections")
	}
	workshop(t)
	text := strings.Replace(string(invented.Lathe), "Demonstration lathe (invented)",
		`</script><b onclick='x'>& "Ü" 旋盤`, 1)
	text = strings.Replace(text, `name = "</script>`, `name = '''</script>`, 1)
	text = strings.Replace(text, `旋盤"`, `旋盤'''`, 1)
	text = strings.Replace(text, `onclick='x'`, `onclick=x`, 1)
	if err := os.WriteFile("other.toml", []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	page := lessonOf(t, "lesson other.toml --to 8in")
	if strings.Contains(page, "<b onclick") || strings.Count(page, "</script>") != 1 {
		t.Error("the name is not text")
	}
	for _, file := range []string{"demo.toml", "second.toml"} {
		line := "lesson " + file + " --from 2in --to 22in"
		first := lessonOf(t, line) // of demo.toml it is the one that other tests open
		if a := invoke(split(line + " -o same.html --force")...); a.status != env.ExitDone {
			t.Fatal(a.stderr)
		}
		if mustRead(t, "same.html") != first {
			t.Errorf("%s: not the same again", file)
		}
		if len(first) > 150_000 {
			t.Errorf("%s: %d bytes", file, len(first))
		}
	}
}

// What the page looks like on a telephone before the guess, on a projector after it, and on a tablet with corrections
// dialled, in small pictures that were looked at.
func TestLessonPictures(t *testing.T) {
	alongside(t)
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	font, err := os.ReadFile("internal/paper/font/DejaVuSansCondensed.ttf")
	if err != nil {
		t.Fatal(err)
	}
	ctx := browser(t)
	workshop(t)
	lessonPage(t, ctx, "lesson demo.toml")
	prefer(t, ctx, "light")
	// Machines have different fonts, and lines break elsewhere in each: the pictures are set in one that goes with the
	// program.
	pinned := fmt.Sprintf(`(async () => { const f = new FontFace("pinned",
		Uint8Array.from(atob(%q), c => c.charCodeAt(0)));
		await f.load(); document.fonts.add(f);
		const s = document.createElement("style"); s.textContent = "* { font-family: pinned !important; }";
		document.head.append(s); await document.fonts.ready; return 0; })()`, base64.StdEncoding.EncodeToString(font))
	var zero int
	if err := chromedp.Run(ctx, chromedp.Evaluate(pinned, &zero,
		func(p *runtime.EvaluateParams) *runtime.EvaluateParams { return p.WithAwaitPromise(true) })); err != nil {
		t.Fatal(err)
	}
	for _, k := range []struct {
		name       string
		wide, high int64
		choices    map[string]int // after a guess; nil: before it
		at         int
	}{{"telephone", 380, 760, nil, 0}, {"projector", 1280, 900, map[string]int{}, 13}, {"tablet", 820, 1100,
		map[string]int{"dial": 1}, 20}} {
		name := k.name
		if k.choices != nil {
			shown(t, ctx, k.choices, k.at)
		}
		var b []byte
		if err := chromedp.Run(ctx, chromedp.EmulateViewport(k.wide, k.high, chromedp.EmulateScale(0.5)),
			chromedp.Sleep(200*time.Millisecond), chromedp.CaptureScreenshot(&b)); err != nil {
			t.Fatal(err)
		}
		got, err := png.Decode(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		alikePicture(t, filepath.Join(here, "..", "..", "testdata", "pictures", "lesson-"+name+".png"), got)
	}
}

// The page's sentences, its questions and the handout's key say the same last digit as predict and correct do of the
// same place.
func TestLessonTellsOneNumber(t *testing.T) {
	alongside(t)
	workshop(t)
	l := opened(t, string(invented.Lathe))
	teach := &chapters.Numbers{Bench: l, From: 0, To: 27 * 25.4}
	page, err := teach.Page()
	if err != nil {
		t.Fatal(err)
	}
	parts, err := teach.Parts(page)
	if err != nil {
		t.Fatal(err)
	}
	var p, there turning.PredictJSON
	var c turning.CorrectJSON
	for line, into := range map[string]any{"predict demo.toml --from 0 --to 27 --every 0.5 --json --diameter 1": &p,
		"predict demo.toml --from 0 --to 27 --every 0.5 --json --diameter 1 --set-at 0":                   &there,
		"correct demo.toml --from 0 --to 27 --every 0.5 --json --diameter 1 --feed headstock --set-at 27": &c} {
		if a := invoke(split(line)...); json.Unmarshal([]byte(a.stdout), into) != nil {
			t.Fatalf("%s: %s %s", line, a.stdout, a.stderr)
		}
	}
	small := func(x float64) string { return length.Small(l.In.ToMM(x), l.In) + " thou" }
	asked, last := p.Stations[page.Asked], len(p.Stations)-1
	said := func(texts ...string) string { return strings.Join(texts, " ") }
	for _, k := range []struct{ where, text, want string }{
		{"the first answer", said(page.Chapters[0].Answer...), "comes out " + small(asked.DiameterError) + " bigger"},
		{"its ±", said(page.Chapters[0].Answer...), "± " + small(2**asked.Uncertainty)},
		{"the dial's chapter", said(page.Chapters[4].Answer...), small(there.Stations[last].DiameterError) +
			" at 27 in"},
		{"what corrections leave", said(page.Chapters[4].Answer...), small(c.MovesSpreadLeft) + " is left, of " +
			small(c.SpreadBefore)},
		{"which end is bigger", said(page.More[0].Answer...), small(p.Taper.Ends) + " bigger at the headstock end"},
		{"the handout's key", said(parts[0].Tasks[1].Answer...), "off by " + small(asked.DiameterError)},
		{"the handout's story", said(parts[1].Tasks[1].Answer...), small(asked.DiameterError) + " bigger"},
	} {
		if !strings.Contains(k.text, k.want) {
			t.Errorf("%s says %q, not %q", k.where, k.text, k.want)
		}
	}
	for i, e := range page.Errors[page.At[page.Usual*len(page.Tools)*len(page.Held)]] {
		if got, want := length.Fixed(float64(e)/100, 2)+" thou", small(p.Stations[i].DiameterError); got != want {
			t.Errorf("at %s: %s, predict says %s", page.Places[i], got, want)
		}
	}
	// Nothing of it stands where a pupil reads it before he has answered.
	for _, part := range parts {
		text := said(part.Text...)
		for _, k := range part.Tasks {
			text += k.Question
		}
		if strings.Contains(text, small(asked.DiameterError)) {
			t.Errorf("the handout gives the answer away: %q", text)
		}
	}
}

// The handout prints every question with its lines, the key every answer, and the first page is whole by itself.
func TestHandout(t *testing.T) {
	alongside(t)
	tool(t, "pdftotext")
	workshop(t)
	if a := invoke(split("lesson demo.toml --handout -o handout.pdf")...); a.status != env.ExitDone {
		t.Fatal(a.stderr)
	}
	sheets, key := []byte(mustRead(t, "handout.pdf")), pdfText(t, []byte(mustRead(t, "handout-key.pdf")))
	text := pdfText(t, sheets)
	first, _, _ := strings.Cut(text, "\f")
	for _, want := range []string{"Predict the diameter at 9.5 in, then check", "bigger",
		"Sign it before you turn over",
		"Name"} {
		if !strings.Contains(first, want) {
			t.Errorf("the first page does not say %q: %s", want, first)
		}
	}
	for _, not := range []string{"4.05", "It is the difference of the two ways"} {
		if strings.Contains(text, not) {
			t.Errorf("the handout says %q", not)
		}
		if !strings.Contains(key, not) {
			t.Errorf("the key does not say %q", not)
		}
	}
	if !strings.Contains(key, "Key, for who teaches") {
		t.Error("the key does not say what it is")
	}
	questions := strings.Count(text, "?")
	if lines := len(pdfLines(sheets)); questions < 15 || lines < 40 {
		t.Errorf("%d questions, %d lines", questions, lines)
	}
	if !bytes.Equal(sheets, func() []byte {
		invoke(split("lesson demo.toml --handout -o again.pdf")...)
		return []byte(mustRead(t, "again.pdf"))
	}()) {
		t.Error("not the same again")
	}
}
