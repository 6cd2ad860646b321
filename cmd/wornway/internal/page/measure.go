package page

import (
	"context"
	"crypto/rand"
	"fmt"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"

	"wornway/cmd/wornway/internal/ask"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/entry"
	"wornway/profile/length"
	"wornway/profile/survey"
)

// measuring is the survey that is being taken, by whichever telephone: all of them see the same question. The file is
// locked meanwhile, as by record.
type measuring struct {
	lock   sync.Mutex
	record *ask.Recording
	turn   ask.Turn
	visit  string // of this conversation, and no other before or after a start of the program
	asked  int    // questions so far
	last   time.Time
}

// unanswered is how long a question waits before the file is given back; the survey goes on from it.
const unanswered = 20 * time.Minute

// token names a question. An answer that comes for another one, such as one that a telephone sends twice, is not taken.
func (m *measuring) token() string { return fmt.Sprintf("%s-%d", m.visit, m.asked) }

// over gives the file back where nobody has answered for long.
func (m *measuring) over(now time.Time) {
	if m.record != nil && now.Sub(m.last) > unanswered {
		m.end()
	}
}

func (m *measuring) end() {
	if m.record != nil {
		m.record.Close()
		m.record = nil
	}
}

// Close ends what is under way; what was answered is in the file.
func (s *Server) Close() {
	s.measuring.lock.Lock()
	defer s.measuring.lock.Unlock()
	s.measuring.end()
}

// measureBody is what Measure shows.
type measureBody struct {
	// before a survey
	Tools    []tool
	Says     string // which survey next
	Method   string // that one
	Begun    []begun
	Methods  []survey.Method
	Ahead    *answer
	Problems []refuse.Refusal
	// while one is taken
	Said     []said
	Asks     *ask.Prompt
	At       string
	Question string
	Hint     string // what its answer can be
	Ends     bool   // all is read
	Goes     string // an answer that leads to another station
	Token    string
	Taken    string // the method
	Done     bool
	Free     bool     // an answer can be typed
	Units    []string // that a reading may carry
	Pad      bool     // and is a number
}

type tool struct {
	Name string
	Has  bool
}

// begun is a survey that is not finished.
type begun struct {
	Method string
	Rows   int
}

type said struct{ Kind, Text string }

var kinds = map[ask.Kind]string{ask.Plain: "Plain", ask.Caution: "Caution", ask.About: "About", ask.Refused: "Refused",
	ask.Meaning: "Meaning", ask.Odd: "Odd", ask.Sure: "Sure", ask.Tells: "Tells"}

func (s *Server) measure(w http.ResponseWriter, r *http.Request) {
	v, p, ok := s.begin(w, r)
	if !ok {
		return
	}
	m := &s.measuring
	m.lock.Lock()
	defer m.lock.Unlock()
	m.over(s.Now())
	b := &measureBody{}
	v.Body = b
	if m.record != nil {
		b.turn(m, p)
		s.show(w, http.StatusOK, "measuring", v)
		return
	}
	if err := s.choose(r, v, p, b); err != nil {
		busy(w)
		return
	}
	s.show(w, http.StatusOK, "measure", v)
}

var proposed = regexp.MustCompile(`--method (\S+)`)

// choose shows which survey to take next.
func (s *Server) choose(r *http.Request, v *view, p *profile.Profile, b *measureBody) error {
	b.Methods = survey.Methods()
	var has []string
	for _, t := range shop.Tools() {
		b.Tools = append(b.Tools, tool{t, slices.Contains(r.URL.Query()["tool"], t)})
		if slices.Contains(r.URL.Query()["tool"], t) {
			has = append(has, t)
		}
	}
	line := append([]string{"record", s.Profile}, v.Choices.flags("ahead", p.Unit, s)...)
	if len(has) > 0 {
		line = append(line, "--with="+strings.Join(has, ","))
	}
	a, err := s.ask(r.Context(), nil, line...)
	if err != nil {
		return err
	}
	b.Problems = a.Complaints
	var says []string
	whole := strings.ReplaceAll(string(a.Out), "\\\n", "") // a command that is broken at the width of a screen
	for l := range strings.Lines(whole) {
		if l = strings.TrimSpace(l); strings.HasPrefix(l, "wornway record ") {
			if m := proposed.FindStringSubmatch(l); m != nil {
				b.Method = m[1]
			}
		} else if l != "" {
			says = append(says, l)
		}
	}
	b.Says = onPage(strings.Join(says, " "))
	read := &reading{files: map[string]sum{}}
	if data, ok := read.file(s.Profile); ok {
		for _, m := range b.Methods {
			if e, err := entry.Find(data, m); err == nil && e != nil {
				b.Begun = append(b.Begun, begun{m.Name, len(e.Rows)})
			}
		}
	}
	return nil
}

// turn shows what was said, and what is asked.
func (b *measureBody) turn(m *measuring, p *profile.Profile) {
	b.Token, b.Taken, b.Asks, b.Done = m.token(), m.record.Method.Name, m.turn.Asks, m.turn.Done
	b.say(m.turn)
	b.Goes = m.turn.Goes
	if b.Asks != nil {
		b.Free = len(b.Asks.Choices) == 0 && !(b.Asks.Kind == ask.AskReading && b.Asks.Station == nil)
		b.Pad = b.Free && b.Asks.Kind != ask.AskQuestion
		b.Question, b.Hint, _ = strings.Cut(strings.TrimSpace(b.Asks.Text), " (")
		b.Question = word.Upper(strings.ReplaceAll(b.Question, "_", " "))
		b.Hint, _, _ = strings.Cut(strings.TrimSuffix(b.Hint, ")"), "empty: ") // a button says that
		b.Hint = strings.TrimSuffix(b.Hint, "; ")
		if b.Asks.Choices != nil { // and several these
			b.Hint = ""
		}
		if b.Ends = b.Asks.Kind == ask.AskReading && b.Asks.Station == nil; b.Ends {
			all, _, _ := strings.Cut(b.Asks.Text, ":")
			b.Question, b.Hint = all+".", ""
		}
		if b.Asks.Unit != "" && b.Asks.Kind == ask.AskReading {
			b.Units = []string{"thou", "µm"}
		}
		for i, z := range b.Asks.Station {
			if i > 0 {
				b.At += " to "
			}
			b.At += typed(z)
		}
		if b.At != "" {
			b.At += " " + p.Unit.String()
		}
	}
}

func (b *measureBody) say(t ask.Turn) {
	for _, x := range t.Said {
		if x.Text != "" && x.Kind != ask.Command && x.Kind != ask.Typing {
			b.Said = append(b.Said, said{kinds[x.Kind], x.Text})
		}
	}
}

// measureBegin begins a survey, or goes on with it.
func (s *Server) measureBegin(w http.ResponseWriter, r *http.Request) {
	v, p, ok := s.begin(w, r)
	if !ok || !parsed(w, r) {
		return
	}
	m := &s.measuring
	m.lock.Lock()
	defer m.lock.Unlock()
	m.over(s.Now())
	if m.record == nil {
		if err := s.record(r, v, p); err != nil {
			b := &measureBody{Problems: complaints(s.asker, r.Context(), err), Methods: survey.Methods()}
			v.Title, v.Body = "Measure", b
			s.show(w, http.StatusOK, "measure", v)
			return
		}
	}
	http.Redirect(w, r, "/measure"+string(v.Query), http.StatusSeeOther)
}

func (s *Server) record(r *http.Request, v *view, p *profile.Profile) error {
	if s.ReadOnly {
		return refuse.With("this page is read only: no readings are taken", "start the program without --read-only")
	}
	method, ok := survey.Find(r.PostForm.Get("method"))
	if !ok {
		return refuse.With("there is no such method", "choose one of those on the page")
	}
	q := ask.Survey{Method: method, Reference: r.PostForm.Get("reference") != "" &&
		slices.Contains(method.Also, "reference")}
	c := v.Choices.plain(p.Unit)
	if from, to, ok := c.ends(p.Unit); ok {
		q.Work = []compensate.Cut{{Feature: work.Feature{From: from, To: to,
			Diameter:  millimetres(c.Diameter, p, shop.UsualDiameter(p.Unit)),
			Tolerance: millimetres(c.Tolerance, p, 0)}, SetAt: to}}
	}
	e := s.env(context.Background(), &reading{files: map[string]sum{}})
	e.Given, e.Kept = nil, nil // the disk alone counts
	rec, err := ask.Record(e, s.Profile, q)
	if err != nil {
		return err
	}
	m := &s.measuring
	m.record, m.turn, m.visit, m.asked, m.last = rec, rec.Turn(), rand.Text(), 0, s.Now()
	return nil
}

// measureAnswer takes an answer. It is on the disk before the next question is shown.
func (s *Server) measureAnswer(w http.ResponseWriter, r *http.Request) {
	v, p, ok := s.begin(w, r)
	if !ok || !parsed(w, r) {
		return
	}
	m := &s.measuring
	m.lock.Lock()
	defer m.lock.Unlock()
	m.over(s.Now())
	b := &measureBody{}
	v.Title, v.Body = "Measure", b
	switch {
	case s.ReadOnly || m.record == nil || r.PostForm.Get("token") != m.token():
		if m.record != nil {
			b.turn(m, p)
		} else if err := s.choose(r, v, p, b); err != nil {
			busy(w)
			return
		}
		// said first: what was sent has not been taken
		b.Said = slices.Insert(b.Said, 0, said{"Refused", "That answer was for another question, and was not taken now: it " +
			"came twice, or from another telephone, or the program was started anew. This is where the survey stands."})
		w.Header().Set("Wornway-Taken", "no")
		s.show(w, http.StatusConflict, map[bool]string{true: "measuring", false: "measure"}[m.record != nil], v)
		return
	}
	text := r.PostForm.Get("word")
	if text == "" && r.PostForm.Get("usual") == "" {
		text = plainText(r.PostForm.Get("answer")) // a list of stations may be long
	}
	turn, err := m.record.Answer(text)
	m.asked++
	m.last, m.turn = s.Now(), turn
	if err != nil {
		method := m.record.Method.Name
		m.end()
		b.say(turn)
		b.Problems, b.Taken = complaints(s.asker, r.Context(), err), method
		s.show(w, http.StatusOK, "measured", v)
		return
	}
	if turn.Asks == nil {
		b.turn(m, p)
		m.end()
		s.show(w, http.StatusOK, "measured", v)
		return
	}
	http.Redirect(w, r, "/measure"+string(v.Query), http.StatusSeeOther)
}

func millimetres(text string, p *profile.Profile, otherwise float64) float64 {
	if l, err := length.Parse(text); err == nil && text != "" {
		return l.MM(p.Unit)
	}
	return otherwise
}
