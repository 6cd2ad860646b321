package main

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"regexp"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"wornway/cmd/wornway/internal/env"
	pages "wornway/cmd/wornway/internal/page"
	"wornway/cmd/wornway/internal/turning"
	"wornway/profile/entry"
	"wornway/profile/survey"
)

// What the pages show is what the commands answer: the numbers of their JSON, and their sentences.
func TestPageSaysWhatCommandsAnswer(t *testing.T) {
	alongside(t)
	workshop(t)
	s := serve(t, pages.Options{})
	const query = "?from=4&to=12&diameter=1&held=chuck-and-centre&tolerance=1thou"
	const line = " demo.toml --from 4 --to 12 --diameter 1 --held chuck-and-centre --tolerance 1thou"
	var j turning.CorrectJSON
	if err := json.Unmarshal([]byte(invoke(split("correct"+line+" --json")...).stdout), &j); err != nil {
		t.Fatal(err)
	}
	if len(j.Moves) == 0 || j.Aim == nil {
		t.Fatal("nothing is dialled: this test sees no list")
	}
	_, cut := s.get("/" + query)
	for _, command := range []string{"correct", "predict"} {
		first := firstSentence(invoke(split(command + line)...))
		if !strings.Contains(words(cut), step(first)) {
			t.Errorf("This cut does not say %q of %s", first, command)
		}
	}
	answer, _, _ := strings.Cut(invoke(split("correct"+line)...).stdout, "\n\n")
	_, rest, _ := strings.Cut(strings.Join(strings.Fields(answer), " "), ". ")
	rest, _, _ = strings.Cut(rest, " Finer: ") // names flags
	if !strings.Contains(words(cut), rest) || strings.Count(words(cut), "cut to ") != 1 ||
		!strings.Contains(words(cut), "Feed toward the "+j.Feed) {
		t.Errorf("beside its steps This cut does not say %q once: %s", rest, words(cut))
	}
	_, list := s.get("/machine" + query)
	said := words(list)
	if !strings.Contains(said, fmt.Sprintf("cut to %v in as measured", *j.Aim)) &&
		!strings.Contains(said, fmt.Sprintf("cut to %.4f in as measured", *j.Aim)) {
		t.Errorf("the aim is %v, in %q", *j.Aim, said)
	}
	for i, m := range j.Moves {
		dial := strings.TrimPrefix(fmt.Sprintf("%.4f", m.Dial), "-")
		i := strings.Index(said, fmt.Sprintf("Stop %d of %d", i+1, len(j.Moves)))
		if i < 0 || !strings.Contains(said[i:], strings.ToUpper(m.Direction)) || !strings.Contains(said[i:], dial) {
			t.Errorf("move %+v is not told of in %q", m, said)
		}
	}
	if !strings.Contains(said, "feed toward the "+j.Feed) || !strings.Contains(said, "Read the list before the cut") ||
		!strings.Contains(said, "Never reach over turning work") {
		t.Errorf("feed or caution is missing in %q", said)
	}
	_, where := s.get("/where" + query)
	place := invoke(split("place demo.toml --length 8 --diameter 1 --tolerance 1thou --held chuck-and-centre")...)
	if first := firstSentence(place); !strings.Contains(words(where), first) {
		t.Errorf("Where does not say %q", first)
	}
	for path, begins := range map[string]string{"/paper/card.pdf": "%PDF", "/paper/strip.pdf": "%PDF"} {
		if status, body := s.get(path + query); status != 200 || !strings.HasPrefix(body, begins) {
			t.Errorf("%s: %d %.60q", path, status, body)
		}
	}
}

// A profile that an editor has changed shows at the next request, a broken one with its faults; an open list is told of
// the change, and not of another line.
func TestPageFollowsTheFile(t *testing.T) {
	alongside(t)
	workshop(t)
	s := serve(t, pages.Options{})
	state := func() string { _, body := s.get("/state?from=4&to=12&diameter=1"); return body }
	was := state()
	text := mustRead(t, "demo.toml")
	put(t, "demo.toml", text+"\n# a remark\n")
	if state() != was {
		t.Error("a remark in the profile changes the list")
	}
	put(t, "demo.toml", regexp.MustCompile(`centre_height = [\d.]+`).ReplaceAllString(text, "centre_height = 0.0"))
	status, broken := s.get("/?from=4&to=12&diameter=1")
	if status != 200 || !strings.Contains(words(broken), "lathe.centre_height") ||
		!strings.Contains(words(broken), "must be greater than zero") {
		t.Errorf("a broken profile: %d %s", status, words(broken))
	}
	if err := os.Rename("demo.toml", "other.toml"); err != nil {
		t.Fatal(err)
	}
	if _, gone := s.get("/"); !strings.Contains(words(gone), "Give the file its name again") ||
		strings.Contains(words(gone), "wornway new") {
		t.Errorf("a profile that was renamed: %s", words(gone))
	}
	put(t, "demo.toml", strings.Replace(text, "[lathe]", "[lathe]\n", 1))
	if _, again := s.get("/?from=4&to=12&diameter=1"); !strings.Contains(words(again), "With nothing dialled") {
		t.Errorf("a mended profile: %s", words(again))
	}
}

// While an editor saves the profile, by another file's name, in place, or half of it, every page shows the fault with its
// place, keeps the choices, and answers again once the file is whole; a reading that is under way is asked for still.
func TestPageWhileAnEditorSaves(t *testing.T) {
	alongside(t)
	workshop(t)
	s := serve(t, pages.Options{})
	whole := mustRead(t, "demo.toml")
	body := s.begin("bar-side")
	for asksFor(body) != "stations" {
		body = s.on(body, "")
	}
	if body = s.on(body, "4 8 12", "1.5"); asksFor(body) != "reading" {
		t.Fatalf("%s", words(body))
	}
	under := mustRead(t, "demo.toml")
	saves := map[string]func(text string){
		"in place": func(text string) { put(t, "demo.toml", text) },
		"by its name": func(text string) {
			put(t, "demo.toml~", text)
			if err := os.Rename("demo.toml~", "demo.toml"); err != nil {
				t.Fatal(err)
			}
		}}
	for how, save := range saves {
		for what, broken := range map[string]string{"emptied": "", "half": under[:len(whole)/2],
			"a fault": strings.Replace(under, "centre_height = ", "centre_height = -", 1)} {
			for _, path := range []string{"/", "/machine", "/where", "/measure", "/after", "/bed", "/paper", "/why"} {
				save(broken)
				_, page := s.get(path + "?from=5&to=11&diameter=1.25")
				if said := words(page); !strings.Contains(said, "A file cannot be read") ||
					!regexp.MustCompile(`demo\.toml`).MatchString(said) || !strings.Contains(page, "diameter=1.25&amp;from=5") {
					t.Errorf("%s, %s, %s: %s", how, what, path, said)
				}
				save(under)
				if _, page = s.get(path + "?from=5&to=11&diameter=1.25"); strings.Contains(page, "A file cannot be read") {
					t.Errorf("%s, %s, %s, mended: %s", how, what, path, words(page))
				}
			}
			save(broken)
			if _, page := s.answer(body, "2.5"); !strings.Contains(words(page), "What was sent was not taken") {
				t.Errorf("%s, %s: %s", how, what, words(page))
			}
			save(under)
		}
	}
	if body = s.on(body, "2.5"); !strings.Contains(mustRead(t, "demo.toml"), "[8.0, 2.5]") {
		t.Errorf("the reading is not taken: %s\n%s", words(body), mustRead(t, "demo.toml"))
	}
}

// The bed's picture shows damage with a word where This cut, Where and The bed have it, and The bed tells somebody with
// no terminal what he can do.
func TestPageShowsDamage(t *testing.T) {
	alongside(t)
	workshop(t)
	s := serve(t, pages.Options{})
	for _, path := range []string{"/", "/machine", "/where", "/bed"} {
		if _, page := s.get(path + "?from=4&to=12&diameter=1"); !strings.Contains(page, ">damage</text>") ||
			!strings.Contains(page, "damage from 6 to 6.5 in") {
			t.Errorf("%s shows no damage", path)
		}
	}
	commands := regexp.MustCompile(`\b(predict|place|correct|check|record)\b,|wornway [a-z]+`)
	_, page := s.get("/bed")
	if bad := commands.FindString(words(page)); bad != "" || !strings.Contains(words(page), "all that the pages here need") {
		t.Errorf("The bed says %q in %s", bad, words(page))
	}
	put(t, "demo.toml", killedLathe)
	_, page = s.get("/bed")
	if said := words(page); commands.MatchString(said) || strings.Contains(page, ">damage</text>") ||
		!strings.Contains(said, "“This cut”: readings (“Measure”), or [wear]; [lathe.cross_slide]") ||
		!strings.Contains(said, "Measure the bed first") {
		t.Errorf("with nothing known The bed says %s", said)
	}
}

// A survey is taken by the page: each reading is in the file before the next is asked, an answer that comes twice is
// taken once, another program is kept out meanwhile, and another telephone goes on.
func TestPageMeasures(t *testing.T) {
	alongside(t)
	workshop(t)
	put(t, "small.toml", killedLathe)
	s := serve(t, pages.Options{Profile: "small.toml"})
	method, _ := survey.Find("saddle-level")
	rows := func() int {
		e, err := entry.Find([]byte(mustRead(t, "small.toml")), method)
		if err != nil || e == nil {
			return 0
		}
		return len(e.Rows)
	}
	body := s.begin("saddle-level", "2026-03-14", "0.02 mm/m", "", "0 100 200 300")
	if a := invoke("record", "small.toml", "--method", "saddle-level"); a.status == 0 ||
		!strings.Contains(a.stderr, "small.toml") {
		t.Errorf("another program may write: %+v", a)
	}
	asked := body
	if body = s.on(body, "1.5"); rows() != 1 {
		t.Fatalf("%d readings after the first: %s", rows(), words(body))
	}
	// the same answer once more, as from a telephone that has not heard that it was taken
	next := body
	if status, twice := s.answer(asked, "1.5"); status != http.StatusConflict || rows() != 1 ||
		!strings.Contains(twice, tokens.FindStringSubmatch(next)[1]) {
		t.Errorf("sent twice: %d, %d readings", status, rows())
	}
	// another telephone sees the same question
	other := s
	other.Client = browserless(t)
	other.get("/?" + strings.Split(s.door.Address(), "?")[1])
	_, body = other.get("/measure")
	if tokens.FindStringSubmatch(body)[1] != tokens.FindStringSubmatch(next)[1] ||
		!strings.Contains(words(body), "100 mm") {
		t.Errorf("another telephone sees %s", words(body))
	}
	if body = s.on(body, "nonsense", "2", "2.5"); rows() != 3 {
		t.Errorf("%d readings", rows())
	}
	if _, body = s.post("/measure/answer", url.Values{"token": {tokens.FindStringSubmatch(body)[1]},
		"word": {"stop"}}); !strings.Contains(words(body), "Stopped, with 3 readings") {
		t.Errorf("stopped: %s", words(body))
	}
	if a := tell("stop\n", "record", "small.toml", "--method", "saddle-level"); a.status != 0 {
		t.Errorf("the file is not given back: %+v", a)
	}
	if _, body = s.get("/measure"); !strings.Contains(words(body), "Go on with Level on the saddle, 3 read") {
		t.Errorf("does not offer to go on: %s", words(body))
	}
}

// A list of stations may be longer than any number; a number that is longer than any there is is none.
func TestPageTakesLongLists(t *testing.T) {
	alongside(t)
	workshop(t)
	put(t, "small.toml", killedLathe)
	s := serve(t, pages.Options{Profile: "small.toml"})
	var want []string
	for i := range 20 {
		want = append(want, fmt.Sprint(50*i))
	}
	body := s.begin("saddle-level", "", "0.02 mm/m", "", strings.Join(want, ", "), strings.Repeat("1", 41), "1.5")
	method, _ := survey.Find("saddle-level")
	e, err := entry.Find([]byte(mustRead(t, "small.toml")), method)
	if err != nil || e == nil || len(e.Rows) != 1 || len(e.Left) != 19 || e.Left[18][0] != 950 {
		t.Errorf("%v, %s\n%s", err, words(body), mustRead(t, "small.toml"))
	}
	long := "0." + strings.Repeat("0", 60) + "1"
	if _, body := s.get("/?to=200&diameter=25&from=" + long); strings.Contains(words(body), "With nothing dialled") {
		t.Errorf("takes a part of a number: %s", words(body))
	}
}

// A page that is read only takes no reading and adds nothing.
func TestPageReadOnly(t *testing.T) {
	alongside(t)
	workshop(t)
	s := serve(t, pages.Options{ReadOnly: true})
	was := mustRead(t, "demo.toml")
	s.post("/measure/begin", url.Values{"method": {"saddle-level"}})
	s.post("/measure/answer", url.Values{"token": {"x"}, "answer": {"1"}})
	_, body := s.post("/after", url.Values{"position1": {"4"}, "diameter1": {"1.000"}, "position2": {"8"},
		"diameter2": {"0.9995"}, "position3": {"12"}, "diameter3": {"0.9999"}, "add": {"2026-06-01"}})
	if !strings.Contains(words(body), "read only") || mustRead(t, "demo.toml") != was {
		t.Errorf("%s", words(body))
	}
}

// A cut is held against the prediction as check does it, and added at the second tap alone; once, also where a
// telephone sends it again on the next day, or after the clock was set.
func TestPageAfterTheCut(t *testing.T) {
	alongside(t)
	workshop(t)
	var days atomic.Int64
	s := serve(t, pages.Options{Now: func() time.Time { return onTestDay().AddDate(0, 0, int(days.Load())) }})
	was := mustRead(t, "demo.toml")
	form := url.Values{"position1": {"4"}, "diameter1": {"1.0002"}, "position2": {"8"}, "diameter2": {"0.9995"},
		"position3": {"12"}, "diameter3": {"0.9999"}, "way": {"spindle"}}
	_, body := s.post("/after?from=4&to=12&diameter=1", form)
	put(t, "same.csv", "position,diameter\n4,1.0002\n8,0.9995\n12,0.9999\n")
	first := firstSentence(invoke(split("check demo.toml --measured same.csv --date 2026-06-01")...))
	if !strings.Contains(words(body), first) {
		t.Errorf("check says %q, the page %s", first, words(body))
	}
	if mustRead(t, "demo.toml") != was {
		t.Fatal("added at the first tap")
	}
	form.Set("add", "1")
	if _, body := s.post("/after?from=4&to=12&diameter=1", form); mustRead(t, "demo.toml") != was {
		t.Fatalf("added without a day: %s", words(body))
	}
	form.Set("add", regexp.MustCompile(`name="add" value="([^"]*)"`).FindStringSubmatch(body)[1])
	for _, day := range []int64{0, 0, 1, -400, 900} {
		days.Store(day)
		_, body = s.post("/after?from=4&to=12&diameter=1", form)
	}
	if n := strings.Count(mustRead(t, "demo.toml"), "[[survey]]"); n != 1 {
		t.Errorf("%d surveys: %s", n, words(body))
	}
	form.Set("diameter2", "one")
	if _, body = s.post("/after", form); !strings.Contains(words(body), "Collar 2:") {
		t.Errorf("a diameter that is none: %s", words(body))
	}
}

// Paths that lead elsewhere lead nowhere, and flags hidden in choices are no flags.
func TestPageOddRequests(t *testing.T) {
	alongside(t)
	workshop(t)
	put(t, "secret.txt", "a secret")
	s := serve(t, pages.Options{})
	for _, path := range []string{"/../secret.txt", "/%2e%2e/secret.txt", "/secret.txt", "/page.css/../../secret.txt",
		"/paper/..%2fsecret.txt", "/paper/secret.txt", "//evil.example/", "/demo.toml", "/files/page.css"} {
		if status, body := s.get(path); status < 300 || strings.Contains(body, "a secret") {
			t.Errorf("%s: %d %.80q", path, status, body)
		}
	}
	for _, choice := range []string{"--help", "4 --output=x.txt", "4\x00", "../secret.txt", strings.Repeat("9", 5000)} {
		status, body := s.get("/?to=12&diameter=1&from=" + url.QueryEscape(choice))
		if status != 200 || strings.Contains(body, "a secret") || strings.Contains(body, "Usage:") {
			t.Errorf("%.20q: %d %.200q", choice, status, words(body))
		}
	}
	if _, err := os.Stat("x.txt"); err == nil {
		t.Error("a choice has written a file")
	}
}

// BenchmarkPage: a cut that was not asked for before, from stated wear.
//
//	go test ./cmd/wornway -run '^$' -bench Page -benchtime 100x
func BenchmarkPage(b *testing.B) {
	workshop(b)
	s := serve(b, pages.Options{})
	i := 0
	for b.Loop() {
		i++
		if status, body := s.get(fmt.Sprintf("/?from=%.3f&to=12&diameter=1", 4+float64(i)*0.001)); status != 200 {
			b.Fatal(body)
		}
	}
}

// What several telephones ask at once is answered once, and the first page is worked out before anybody opens it.
func TestPageAnswersOnce(t *testing.T) {
	alongside(t)
	folder := workshop(t)
	var runs atomic.Int64
	s := pages.New(pages.Options{Profile: "demo.toml", Now: onTestDay, Run: func(e *env.Env, args []string) int {
		runs.Add(1)
		return execute(e, args)
	}})
	defer s.Close()
	const commands = 2 // predict and correct
	open := func(path string) {
		w := httptest.NewRecorder()
		if s.ServeHTTP(w, httptest.NewRequest("GET", path, nil)); !strings.Contains(words(w.Body.String()), "dial") {
			t.Errorf("%s: %d %.300s", path, w.Code, words(w.Body.String()))
		}
	}
	s.Prepare(t.Context())
	if open("/"); runs.Load() != commands {
		t.Errorf("the first page: %d command lines, want %d", runs.Load(), commands)
	}
	var all sync.WaitGroup
	for range 6 {
		all.Go(func() {
			standIn(folder)
			open("/?from=5&to=12&diameter=1")
		})
	}
	if all.Wait(); runs.Load() != 2*commands {
		t.Errorf("six telephones: %d command lines, want %d", runs.Load(), 2*commands)
	}
}
