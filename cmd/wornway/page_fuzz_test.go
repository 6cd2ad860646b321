package main

import (
	"flag"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	pages "wornway/cmd/wornway/internal/page"
)

// Whoever comes with whatever requests, in whatever order, to a lathe and a job of whatever name: the pages answer
// without a fault, let no name become a part of their text, and write nothing but the profile.
//
// The first line is the name. Each further one is a request: a path and, behind a tab, the form that is sent. TOKEN
// stands for the mark of the question that the last page asked. What was answered before of the same files is not
// worked out anew: the pages go on from one input to the next.
func FuzzPage(f *testing.F) {
	const measure, answer = "/measure/begin\tmethod=", "\n/measure/answer\ttoken=TOKEN&"
	said := func(words ...string) string { return answer + "answer=" + strings.Join(words, answer+"answer=") }
	tapped := func(words ...string) string { return answer + "word=" + strings.Join(words, answer+"word=") }
	const cut = "?from=100&to=300&diameter=25&held=chuck-and-centre"
	level := measure + "saddle-level" + said("2026-03-14", "0.02 mm/m", "")
	bar := measure + "bar-side" + said("", "", "", "")
	for _, requests := range []string{
		"/" + cut + "\n/machine" + cut + "\n/state" + cut + "\n/where" + cut + "\n/bed\n/paper" + cut,
		"/?feature=1&at=20&turned=yes\n/machine?feature=2\n/where?plan=1\n/?feature=99&set-over=1&steady=x&at=1e99",
		"/bed?verdict=1\n/why" + cut + "\n/why?from=6 1/2&to=x\n/why?feature=2\n/paper/sheets.pdf\n/bed?verdict",
		"/why\n/bed?verdict=1\n/paper/sheets.pdf" + level + said("100", "1.5") + tapped("stop") + "\n/why\n/bed",
		"/paper/card.pdf" + cut + "\n/paper/strip.pdf" + cut + "\n/paper/cards.pdf\n/paper/%2e%2e\n/paper/x.pdf",
		"/?step=from%2B&from=6 1/2\n/?step=diameter-&diameter=0\n/?step=%2B\n/machine?from=-1e9\n/where?held=centres",
		"/after" + cut + "\n/after" + cut + "\tposition1=100&diameter1=25&position2=200&diameter2=24.99&way=chuck\n" +
			"/after\tposition1=100&diameter1=25&position2=200&diameter2=24.99&way=centres&held_at=50&add=2026-03-14\n" +
			"/bed\n/",
		"/after\tposition1=4&diameter1=1&add=1\n/after\tposition1=x&diameter1=9e999&way=%00",
		level + said("0 100 200") + tapped("skip", "skip", "skip", "done", "undo", "stop") + "\n/measure",
		level + said("0 100 200") + tapped("skip", "skip", "skip") + answer + "elsewhere=at&place=50" + said("1.5"),
		level + said("100", "1.5") + tapped("done") + "\n/measure",
		level + said("100") + tapped("return", "done", "again", "same", "undo", "undo", "undo", "undo", "undo", "undo"),
		level + said("0 100", "1.5", "2", "again 0", "2.5") + tapped("return", "zero") + said("1", "2.5") +
			tapped("done"),
		level + said("0 100", "1.5") + tapped("stop") + "\n" + bar + said("", "100 200", "1") + tapped("stop") +
			"\n/measure",
		level + answer + "elsewhere=every&place=200" + said("1", "at 300", "2", "at 300", "at 300", "same"),
		measure + "level-along" + said("", "0.02 mm/m", "100", "0 100", "1", "skip") + tapped("undo", "done"),
		measure + "test-cut" + said("", "", "", "", "0 200 400", "25", "25.01") + tapped("done"),
		"/measure/answer\ttoken=%00&answer=9e999\n/measure/begin\tmethod=../x&reference=1\n" +
			"/measure?tool=dial+indicator",
		"/page.js\n/page.css\n/icon.svg\n/favicon.ico\n/../small.toml\n/state\ta\n/bed\tb",
	} {
		f.Add(usualName + "\n" + requests)
	}
	f.Add(`<script>alert(1)</script>"'&` + "\x1b[31m\u202e\n/" + cut + "\n/machine" + cut + "\n/paper/card.pdf" + cut +
		"\n/where?plan=1\n/bed\n/measure\n/?feature=1\n/after\n/why\n/paper/sheets.pdf")
	known := map[string]*pages.Server{} // by the lathe that they serve, and the job
	serving := func(lathe, job string) *pages.Server {
		s := known[job+lathe]
		if s == nil {
			s = pages.New(pages.Options{Profile: "small.toml", Job: job, Run: execute, Now: onTestDay})
		}
		if strings.Contains(lathe, usualName) {
			known[job+lathe] = s
		}
		return s
	}
	// An input that takes ten seconds is taken for a hang, and processors are slow while they watch what is run.
	const longest = 3 * time.Second
	watched := flag.Lookup("test.fuzzworker").Value.String() == "true"
	if watched {
		f.Chdir(f.TempDir())
		lathe := fuzzedLathe(strconv.Quote(usualName), true)
		put(f, "small.toml", lathe)
		asked(serving(lathe, ""), &url.URL{Path: "/bed", RawQuery: "verdict=1"}, "", false)
	}
	f.Fuzz(func(t *testing.T, input string) {
		name, requests, _ := strings.Cut(input, "\n")
		if len(name) > 60 || strings.Count(requests, "\n") > 24 {
			t.Skip() // lengths are tried elsewhere, and time is short
		}
		t.Chdir(t.TempDir())
		named := strconv.QuoteToASCII(strings.ToValidUTF8(name, "?"))
		named = regexp.MustCompile(`\\[xav]`).ReplaceAllString(named, "_") // escapes that TOML has not
		lathe, job := fuzzedLathe(named, !strings.Contains(requests, "/measure/")), ""
		put(t, "small.toml", lathe)
		if strings.Contains(requests, "feature=") || strings.Contains(requests, "plan=") {
			put(t, "long.toml", strings.Replace(longJob, `"long seat"`, named, 1))
			job = "long.toml"
		}
		inside := serving(lathe, job)
		defer inside.Close()
		last, begun := "", time.Now()
		for line := range strings.SplitSeq(requests, "\n") {
			path, form, sent := strings.Cut(line, "\t")
			u, err := url.ParseRequestURI(path)
			if err != nil {
				continue
			}
			if watched && (time.Since(begun) > longest || u.Query().Has("verdict") && name != usualName) {
				continue // a verdict is not another by another name
			}
			if m := tokens.FindStringSubmatch(last); m != nil {
				form = strings.ReplaceAll(form, "TOKEN", m[1])
			}
			w := asked(inside, u, form, sent)
			if w.Code == http.StatusSeeOther {
				if u, err = url.ParseRequestURI(w.Header().Get("Location")); err != nil {
					t.Fatalf("%s: leads to %q", line, w.Header().Get("Location"))
				}
				w = asked(inside, u, "", false)
			}
			last = w.Body.String()
			if w.Code >= 500 {
				t.Fatalf("%s: %d %s", line, w.Code, words(last))
			}
			if !strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") {
				continue
			}
			for _, slip := range []string{"strconv", "%!", "runtime error", "slice bounds", "error of the program"} {
				if strings.Contains(last, slip) && !strings.Contains(named+requests, slip) {
					t.Fatalf("%s: %q stands in %s", line, slip, words(last))
				}
			}
			if strings.Count(last, "<script") > 1 || strings.ContainsAny(last, "\x1b\u202e") {
				t.Fatalf("%s: a name has become a part of the page: %s", line, last)
			}
		}
		inside.Close()
		files, err := os.ReadDir(".")
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range files {
			if n := file.Name(); n != "long.toml" && !strings.HasPrefix(strings.TrimPrefix(n, "."), "small.toml") {
				t.Fatalf("%q was written", n)
			}
		}
	})
}

const usualName = "Bench"

// fuzzedLathe is a lathe of a name, as TOML has it in quotes; with stated wear there is an answer.
func fuzzedLathe(named string, wear bool) string {
	lathe := strings.Replace(killedLathe, "[lathe]\n", "[lathe]\nname = "+named+"\n", 1) +
		"[lathe.cross_slide]\ndial = \"diameter\"\ndivision = 0.02\nbacklash = 0.1\n"
	if wear {
		lathe += "[wear]\ncolumns = [\"position\", \"front\", \"rear\"]\nuncertainty = 0.002\nrows = [[-200, 0, 0], " +
			"[150, 0.1, 0.03], [400, 0.03, 0.01], [1100, 0, 0]]\n"
	}
	return lathe
}

// asked asks a page for something without a browser.
func asked(inside http.Handler, u *url.URL, form string, sent bool) *httptest.ResponseRecorder {
	r := &http.Request{Method: http.MethodGet, URL: u, Host: "x", Header: http.Header{}, Proto: "HTTP/1.1",
		ProtoMajor: 1, ProtoMinor: 1, Body: io.NopCloser(strings.NewReader(form))}
	if sent {
		r.Method = http.MethodPost
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	w := httptest.NewRecorder()
	inside.ServeHTTP(w, r)
	return w
}
