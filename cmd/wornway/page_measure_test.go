package main

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/chromedp/chromedp"

	pages "wornway/cmd/wornway/internal/page"
	"wornway/profile/entry"
	"wornway/profile/survey"
)

// readRows are the readings of a survey under way, as they stand in the file.
func readRows(t *testing.T, file, method string) []string {
	t.Helper()
	m, _ := survey.Find(method)
	e, err := entry.Find([]byte(mustRead(t, file)), m)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	if e != nil {
		for _, r := range e.Rows {
			out = append(out, fmt.Sprint(r.At[0], ": ", r.Cells["reading"]))
		}
	}
	return out
}

// What was typed stays where the program has ended, or its answer is lost, and is offered again where it is asked for
// again. However often it is sent it is taken once, and a second tap gives no alarm.
func TestPageKeepsWhatWasTyped(t *testing.T) {
	alongside(t)
	workshop(t)
	var lose atomic.Bool // what was taken is not heard of
	through := func(h http.Handler) http.Handler {
		return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			if r.Method == http.MethodPost && lose.Load() {
				h.ServeHTTP(httptest.NewRecorder(), r)
				panic(http.ErrAbortHandler)
			}
			h.ServeHTTP(w, r)
		})
	}
	s, stop := serveAt(t, "127.0.0.1:0", pages.Options{}, through)
	f, _ := phone(t, s)
	rows := func(want ...string) {
		t.Helper()
		if got := readRows(t, "demo.toml", "bar-side"); fmt.Sprint(got) != fmt.Sprint(want) {
			t.Fatalf("in the file are %v, not %v", got, want)
		}
	}
	says := func(selector, want string) {
		t.Helper()
		eventually(t, f.ctx, "says "+want, fmt.Sprintf(`(document.querySelector(%q) || document.body).innerText.includes(%q)`,
			selector, want))
	}
	value := func(want string) {
		t.Helper()
		if got := evaluate[string](t, f.ctx, `document.querySelector("[name=answer]").value`); got != want {
			t.Fatalf("%q stands in the field, not %q", got, want)
		}
	}
	const take, goOn = ".pad .take", `main button.go[value="bar-side"]`
	open := func(path string) {
		t.Helper()
		if err := chromedp.Run(f.ctx, chromedp.Navigate(path), chromedp.WaitReady("main")); err != nil {
			t.Fatal(err)
		}
	}
	anew := func() {
		t.Helper()
		stop()
		s, stop = serveAt(t, strings.TrimPrefix(s.base, "http://"), pages.Options{}, through)
	}
	open(s.base + "/measure")
	f.tap(`.list button[value="bar-side"]`, true)
	for f.asks() != "stations" {
		f.tap(`#answering [name="usual"], #answering .words .go`, true)
	}
	f.types("4")
	f.tap(`[data-key=" "]`, false)
	f.types("8")
	f.tap(`[data-key=" "]`, false)
	f.types("12")
	f.tap(take, true)

	f.types("1.5") // the program has ended
	stop()
	f.tap(take, false)
	says("#kept", "Not connected. Your number is kept here")
	value("1.5")
	f.shot("kept")
	s, stop = serveAt(t, strings.TrimPrefix(s.base, "http://"), pages.Options{}, through)
	f.tap(take, false)
	says("#kept", "started anew")
	value("1.5")
	open(s.door.Address())
	open(s.base + "/measure")
	says("#link", "1.5 at 4 in is kept here")
	rows()
	f.tap(goOn, true)
	says("#kept", "not taken yet")
	value("1.5")
	f.tap(take, true)
	rows("4: 1.5")

	f.types("2.5") // it was taken, but nobody has heard of it before the program ended
	lose.Store(true)
	f.tap(take, false)
	says("#kept", "Not connected")
	lose.Store(false)
	rows("4: 1.5", "8: 2.5")
	anew()
	open(s.door.Address())
	open(s.base + "/measure")
	f.tap(goOn, true)
	says("#kept", "At 8 in the file has 2.5 already")
	value("")
	rows("4: 1.5", "8: 2.5")

	f.types("0.5") // nor here, where the program runs on
	lose.Store(true)
	f.tap(take, false)
	says("#kept", "Not connected")
	lose.Store(false)
	f.tap(take, true)
	says(".turnsaid", "Taken once: 0.5 at 12 in.")
	rows("4: 1.5", "8: 2.5", "12: 0.5")

	f.tap(`button[value="again"]`, true)
	if said := f.text(".panel"); !strings.Contains(said, "3 of 3") || !strings.Contains(said, "takes the place of 0.5") {
		t.Errorf("measured again: %s", said)
	}
	f.types("0.7")
	f.tap(`[data-key="±"]`, false)
	f.tap(take, false)
	f.tap(take, false)
	says("#question", "All stations are read")
	rows("4: 1.5", "8: 2.5", "12: -0.7")
	if said := f.text("main"); strings.Contains(said, "Not taken") {
		t.Errorf("a second tap: %s", said)
	}
	stop()
}

// typedWords are what is typed at a terminal and stands on no key of the page.
var typedWords = regexp.MustCompile(`(?i)\b(answer|type|say)s? (same|again|skip|return|undo|zero|done|stop|at|every)\b|` +
	`\b(done|stop|again) (ends|leaves|measures)\b|empty answer|--[a-z]|wornway [a-z]`)

// Whatever is said, the question and the keys that answer it are in sight on a small telephone, at both ends of the page
// and where it was left; nothing that is said names what no key bears, no survey goes by its name in files, and where a
// reading has a sign, the page says which way it counts.
func TestPageMeasuresInSight(t *testing.T) {
	alongside(t)
	folder := workshop(t)
	lathe, _, _ := strings.Cut(mustRead(t, "demo.toml"), "[[damage]]")
	s := serve(t, pages.Options{})
	all := window(t)
	_, complaints := phoneIn(t, all, s)
	if err := chromedp.Run(all, chromedp.EmulateViewport(360, 640, chromedp.EmulateMobile)); err != nil {
		t.Fatal(err)
	}
	codes := regexp.MustCompile(`\b(carriage-lock|light-gap|way-micrometer|level-al|level-ac|saddle-|bar-|test-cut|-indicator)`)
	for _, m := range survey.Methods() {
		some := []string{"light-gap", "straightedge", "saddle-level", "bar-side", "test-cut"}
		if m.Name == "stated" || !*study && !slices.Contains(some, m.Name) {
			continue // stated: beside the [wear] of this lathe it is refused
		}
		t.Run(m.Name, func(t *testing.T) {
			within(t, folder)
			f := &finger{T: t, ctx: limited(t, all)}
			put(t, "demo.toml", lathe)
			body := s.begin(m.Name)
			given := map[string][]string{"per_division": {"0.02 mm/m"}, "contacts": {"2 26"}, "tightened_at": {"4"},
				"on": {"front"}, "touch": {"tail-front"}, "stations": {"2 6 10"}, "end": {"done"}}
			if m.Name == "tailstock-indicator" {
				given["touch"] = []string{"front"}
			}
			if m.Name == "way-micrometer" {
				given["on"] = []string{"rear"}
			}
			readings := []string{"nonsense", "2.1", "-40", "9"}
			switch {
			case len(m.Words) > 0:
				readings = []string{"nonsense", "none", "wide", "some"}
			case m.Name == "carriage-lock":
				readings = []string{"9", "1", "3", "0"}
			case m.Name == "straightedge":
				readings = []string{"0", "0 0.002", "0.002 0.003", "0 0.0015"}
			case m.Name == "test-cut":
				readings = []string{"x", "1.0", "1.01", "1.002"}
			}
			for range 20 {
				ask := asksFor(body)
				if ask == "" {
					break
				}
				if err := chromedp.Run(f.ctx, chromedp.Navigate(s.base+"/measure"), chromedp.WaitReady("#answering")); err != nil {
					t.Fatal(err)
				}
				for _, from := range []string{"0", "document.body.scrollHeight", `document.querySelector("#said").offsetTop`} {
					for _, out := range evaluate[[]string](t, f.ctx, fmt.Sprintf(`(() => { scrollTo(0, %s);
						return [...document.querySelectorAll("#question, .panel button, .panel .sign, .panel input:not([type=hidden])")]
						.filter(e => { const b = e.getBoundingClientRect(); return e.offsetParent && (b.top < -1 || b.bottom > innerHeight + 1); })
						.map(e => e.outerHTML.slice(0, 60)); })()`, from)) {
						t.Errorf("%s, %s: out of sight: %s", m.Name, ask, out)
					}
				}
				shown := f.text("main")
				if bad := typedWords.FindString(shown); bad != "" {
					t.Errorf("%s, %s: %q stands in %s", m.Name, ask, bad, shown)
				}
				if bad := codes.FindString(shown); bad != "" {
					t.Errorf("%s, %s: %q stands in %s", m.Name, ask, bad, shown)
				}
				if _, plus, signed := strings.Cut(m.Setup(), "Plus: "); ask == "reading" {
					if got := f.text(".panel .sign"); signed != (got != "") || !strings.Contains(got, strings.TrimSuffix(plus, ".")) {
						t.Errorf("%s: of the sign it says %q", m.Name, got)
					}
				}
				f.shot(m.Name)
				answer := ""
				if a := given[ask]; len(a) > 0 {
					answer = a[0]
				}
				if ask == "reading" && len(readings) > 0 {
					answer, readings = readings[0], readings[1:]
				} else if ask == "reading" {
					answer = "stop"
				}
				body = s.on(body, answer)
			}
			if bad := typedWords.FindString(words(body)); bad != "" {
				t.Errorf("%s, at its end: %q stands in %s", m.Name, bad, words(body))
			}
		})
	}
	for _, c := range complaints() {
		t.Error(c)
	}
}

// Another place and a distance between places are given by keys of their own, with script by the pad, and without.
func TestPageGoesElsewhere(t *testing.T) {
	alongside(t)
	workshop(t)
	s := serve(t, pages.Options{})
	body := s.begin("bar-side")
	for asksFor(body) != "stations" {
		if asksFor(body) == "uncertainty" && !strings.Contains(words(body), "As usual: 0.12 thou") { // what bar-side has
			t.Errorf("how sure a reading is, is asked in no unit: %s", words(body))
		}
		body = s.on(body, "")
	}
	if strings.Count(words(body), "s usual") != 1 {
		t.Errorf("what is usual is not told once: %s", words(body))
	}
	send := func(way, place string) {
		t.Helper()
		_, body = s.post("/measure/answer", url.Values{"token": {tokens.FindStringSubmatch(body)[1]}, "answer": {""},
			"elsewhere": {way}, "place": {place}})
	}
	if send("every", " "); !strings.Contains(words(body), "Nothing was typed there yet") || asksFor(body) != "stations" {
		t.Errorf("nothing was typed: %s", words(body))
	}
	if send("every", "2"); !strings.Contains(words(body), "1 of 6") || asksFor(body) != "reading" {
		t.Errorf("every 2: %s", words(body))
	}
	if send("at", "6 1/2"); !strings.Contains(words(body), "6.5 in") {
		t.Errorf("at 6 1/2: %s", words(body))
	}
	f, _ := phone(t, s)
	if err := chromedp.Run(f.ctx, chromedp.Navigate(s.base+"/measure"), chromedp.WaitReady("#answering")); err != nil {
		t.Fatal(err)
	}
	f.tap(`label[for="elsewhere"]`, false)
	f.types("12")
	f.shot("elsewhere")
	f.tap(".pad .take", true)
	if at := f.text("#question"); at != "12 in" {
		t.Errorf("led to %q", at)
	}
	f.tap(`label[for="elsewhere"]`, false)
	f.tap(`label[for="elsewhere"]`, false)
	f.types("1.5")
	f.tap(".pad .take", true)
	if got := readRows(t, "demo.toml", "bar-side"); fmt.Sprint(got) != "[12: 1.5]" {
		t.Errorf("in the file: %v", got)
	}
	f.types("0.7")
	f.tap(".pad .take", true)
	f.tap(`label[for="elsewhere"]`, false)
	f.types("12")
	f.tap(".pad .take", true)
	f.shot("anew")
	// As it stands, and below brought to the middle of the screen, where the pad would lie over it.
	if on := evaluate[bool](t, f.ctx, `(() => { const b = document.querySelector('button[value="again 12"]');
		const r = b.getBoundingClientRect();
		const seen = document.elementFromPoint(r.left + r.width / 2, r.top + r.height / 2) === b;
		b.scrollIntoView({block: "center"}); const mid = b.getBoundingClientRect();
		const clear = document.elementFromPoint(mid.left + mid.width / 2, mid.top + mid.height / 2) === b;
		document.querySelector("main").seen = true; b.click(); return seen && clear; })()`); !on {
		t.Error("the key that measures 12 again is not in sight")
	}
	eventually(t, f.ctx, "measures 12 again", `!!document.querySelector("main") && !document.querySelector("main").seen`)
	if said := f.text(".panel"); !strings.Contains(said, "takes the place of 1.5") {
		t.Errorf("measures 12 again: %s", said)
	}
	f.types("1.6")
	f.tap(".pad .take", true)
	if got := readRows(t, "demo.toml", "bar-side"); fmt.Sprint(got) != "[12: 1.6 6.5: 0.7]" {
		t.Errorf("written: %v", got)
	}
}

// Where every station of a survey was left out, one at another place is read, or the last step is taken back; on every
// telephone, and after the program was started anew.
func TestPageGoesOnWhereAllIsLeftOut(t *testing.T) {
	alongside(t)
	workshop(t)
	put(t, "small.toml", killedLathe)
	s := serve(t, pages.Options{Profile: "small.toml"})
	body := s.begin("saddle-level", "", "0.02 mm/m", "", "100 200", "skip", "skip")
	for _, body := range []string{body, func() string { _, b := s.get("/measure"); return b }()} {
		if said := words(body); !strings.Contains(said, "Every station was left out.") || strings.Contains(said, "Done") ||
			!strings.Contains(said, "Other place…") || !strings.Contains(said, "Undo") ||
			!strings.Contains(said, "Stop for now") {
			t.Errorf("%s", said)
		}
	}
	if _, body = s.post("/measure/answer", url.Values{"token": {tokens.FindStringSubmatch(body)[1]}, "elsewhere": {"at"},
		"place": {"150"}}); asksFor(body) != "reading" || !strings.Contains(words(body), "150 mm") {
		t.Errorf("another place: %s", words(body))
	}
	body = s.on(body, "1.5", "done")
	if file := mustRead(t, "small.toml"); !strings.Contains(file, "[150.0, 1.5]") ||
		!strings.Contains(words(body), "Done") {
		t.Errorf("%s\n%s", words(body), file)
	}
}
