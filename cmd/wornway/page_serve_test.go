package main

import (
	"bytes"
	"context"
	"html"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"
	"time"

	"wornway/cmd/wornway/internal/door"
	pages "wornway/cmd/wornway/internal/page"
)

// served is a lathe's page behind its door, and a browser that was let in.
type served struct {
	testing.TB
	door *door.Door
	base string
	*http.Client
}

// serve serves the page of demo.toml in a workshop.
func serve(t testing.TB, o pages.Options) served {
	t.Helper()
	s, stop := serveAt(t, "127.0.0.1:0", o, func(h http.Handler) http.Handler { return h })
	t.Cleanup(stop)
	if status, body := s.get("/?" + strings.Split(s.door.Address(), "?")[1]); status != http.StatusOK {
		t.Fatalf("%d %s", status, body)
	}
	return s
}

// serveAt serves it at an address until it is stopped, through something that stands before the page. Nobody was let in.
func serveAt(t testing.TB, address string, o pages.Options, through func(http.Handler) http.Handler) (served, func()) {
	t.Helper()
	if o.Run = execute; o.Now == nil {
		o.Now = onTestDay
	}
	if o.Profile == "" {
		o.Profile = "demo.toml"
	}
	folder, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	inside := pages.New(o)
	here := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		standIn(folder)
		inside.ServeHTTP(w, r)
	})
	l, err := net.Listen("tcp", address)
	if err != nil {
		t.Fatal(err)
	}
	d := door.New(door.Options{Host: l.Addr().String(), Now: time.Now, Idle: pages.ByItself}, through(here))
	ctx, end := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- d.Serve(ctx, l, time.Hour) }()
	return served{t, d, "http://" + l.Addr().String(), browserless(t)}, func() {
		end()
		if err := <-ended; err != nil {
			t.Error(err)
		}
		inside.Close()
	}
}

func browserless(t testing.TB) *http.Client {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return &http.Client{Jar: jar, Timeout: 2 * time.Minute}
}

// send sends a request, and returns the status and the page that came.
func (s served) send(r *http.Request) (int, string, error) {
	a, err := s.Do(r)
	if err != nil {
		return 0, "", err
	}
	defer a.Body.Close()
	b, err := io.ReadAll(a.Body)
	return a.StatusCode, string(b), err
}

func (s served) get(path string) (int, string) {
	s.Helper()
	r, err := http.NewRequest("GET", s.base+path, nil)
	if err != nil {
		s.Fatal(err)
	}
	status, body, err := s.send(r)
	if err != nil {
		s.Fatal(err)
	}
	return status, body
}

// try sends a form as a browser does from a page of this place; the program may end meanwhile.
func (s served) try(path string, form url.Values) (int, string, error) {
	r, err := http.NewRequest("POST", s.base+path, strings.NewReader(form.Encode()))
	if err != nil {
		return 0, "", err
	}
	r.Header.Set("Origin", s.base)
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return s.send(r)
}

// post is try where nothing ends.
func (s served) post(path string, form url.Values) (int, string) {
	s.Helper()
	status, body, err := s.try(path, form)
	if err != nil {
		s.Fatal(err)
	}
	return status, body
}

// tokens is the mark of a question of Measure.
var tokens = regexp.MustCompile(`name="token" value="([^"]+)"`)

// asksFor is what a page of Measure asks for: a key of the survey, stations, reading, or end where all is read.
func asksFor(page string) string {
	if m := regexp.MustCompile(`data-asks="([^"]+)"`).FindStringSubmatch(page); m != nil {
		return m[1]
	}
	return ""
}

// answer answers what a page of Measure asks.
func (s served) answer(page, text string) (int, string) {
	s.Helper()
	m := tokens.FindStringSubmatch(page)
	if m == nil {
		s.Fatalf("nothing is asked: %s", words(page))
	}
	return s.post("/measure/answer", url.Values{"token": {m[1]}, "answer": {text}})
}

// begin begins a survey, or goes on with it, and answers what is asked. It returns the page that comes then.
func (s served) begin(method string, texts ...string) string {
	s.Helper()
	_, body := s.post("/measure/begin", url.Values{"method": {method}})
	return s.on(body, texts...)
}

// on answers what a page asks, and what is asked then.
func (s served) on(body string, texts ...string) string {
	s.Helper()
	for _, text := range texts {
		_, body = s.answer(body, text)
	}
	return body
}

// words are what a page says, without its tags.
func words(page string) string {
	text := html.UnescapeString(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(page, " "))
	return strings.Join(strings.Fields(text), " ")
}

// firstSentence is that of an answer.
func firstSentence(a outcome) string {
	return strings.Split(strings.Join(strings.Fields(a.stdout), " "), ". ")[0]
}

// step is a sentence of an answer as This cut has it: where correct sets the dial stands there as a step by itself.
func step(sentence string) string {
	set := regexp.MustCompile(`^.*?[Aa]t (\S+ \w+ cut to \S+ \w+) by micrometer,.*$`)
	return set.ReplaceAllString(sentence, "At $1, dial to 0")
}

// startPage starts the program, whose command serves a page, and lets a client in.
func startPage(t *testing.T, c *exec.Cmd) served {
	t.Helper()
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	var said []byte
	b := make([]byte, 4096)
	for !bytes.Contains(said, []byte("Ctrl-C")) {
		n, err := out.Read(b)
		if said = append(said, b[:n]...); err != nil {
			t.Fatalf("%v %s", err, said)
		}
	}
	go func() { _, _ = io.Copy(io.Discard, out) }()
	address := regexp.MustCompile(`http\S+`).FindString(string(said))
	s := served{TB: t, base: strings.Split(address, "/?")[0], Client: browserless(t)}
	a, err := s.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	a.Body.Close()
	return s
}
