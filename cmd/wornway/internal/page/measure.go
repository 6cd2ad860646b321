package page

import (
	"context"
	"crypto/rand"
	"fmt"
	"net/http"
	"net/url"
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

// liveSurvey is the survey that is being taken, by whichever telephone: all of them see the same question. The file is
// locked meanwhile, as by record.
type liveSurvey struct {
	lock   sync.Mutex
	record *ask.Recording
	turn   ask.Turn
	visit  string // of this conversation, and no other before or after a start of the program
	count  int    // questions so far
	last   time.Time
	// the answer that was taken last: one that a telephone sends twice is known by it
	was struct{ token, text, at string }
}

// unanswered is how long a question waits before the file is given back; the survey goes on from it.
const unanswered = 20 * time.Minute

// token names a question. An answer that comes for another one, such as one that a telephone sends twice, is not taken.
func (m *liveSurvey) token() string { return fmt.Sprintf("%s-%d", m.visit, m.count) }

// over gives the file back where nobody has answered for long.
func (m *liveSurvey) over(now time.Time) {
	if m.record != nil && now.Sub(m.last) > unanswered {
		m.end()
	}
}

func (m *liveSurvey) end() {
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
	Begun    []openSurvey
	Methods  []survey.Method
	Ahead    *answer
	Problems []refuse.Refusal
	// while one is taken
	Said  []remark
	Asks  *question
	Taken string // the method
}

type tool struct {
	Name string
	Has  bool
}

// openSurvey is a survey that is not finished.
type openSurvey struct {
	Method string
	Rows   int
}

type remark struct{ Kind, Text string }

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

var proposed = pattern(`--method (\S+)`)

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
			if m := proposed().FindStringSubmatch(l); m != nil {
				b.Method = m[1]
			}
		} else if l != "" {
			says = append(says, l)
		}
	}
	b.Says = onPage(strings.Join(says, " "))
	// what is next stands above it, larger
	if what, found := strings.CutPrefix(b.Says, "Next: "+trade[b.Method]+" ("); found && b.Method != "" {
		b.Says = word.Upper(strings.Replace(what, ").", ".", 1))
	}
	read := &reading{files: map[string]checksum{}}
	if data, ok := read.file(s.Profile); ok {
		for _, m := range b.Methods {
			if e, err := entry.Find(data, m); err == nil && e != nil {
				b.Begun = append(b.Begun, openSurvey{m.Name, len(e.Rows)})
			}
		}
	}
	return nil
}

// turn shows what was said, and what is asked.
func (b *measureBody) turn(m *liveSurvey, p *profile.Profile) {
	b.Taken = m.record.Method.Name
	b.say(m.turn, m.record.Method)
	if m.turn.Asks != nil {
		b.Asks = m.asked(p)
	}
}

// usually begins what record says of stations that need not be typed.
const usually = ": an empty answer takes "

// say is what was said, with the page's keys and pages in place of what would be typed.
func (b *measureBody) say(t ask.Turn, of survey.Method) {
	for i, x := range t.Said {
		switch {
		case x.Text == "" || x.Kind == ask.Command || x.Kind == ask.Typing:
			continue
		case x.Kind == ask.About && t.Asks != nil && t.Asks.What != "" && strings.HasPrefix(x.Text, t.Asks.What):
			continue // it is asked below in the same words
		case x.Kind == ask.About && strings.Contains(x.Text, usually):
			// it stands on a key, and what is asked for beside it
			if !of.Stretches() {
				continue
			}
			what, _, _ := strings.Cut(x.Text, usually)
			x.Text = what + "."
		case x.Kind == ask.About && x.Text == of.Setup():
			do, rest, _ := strings.Cut(x.Text, ". ")
			b.Said = append(b.Said, remark{"Do", strings.TrimSuffix(do, ".") + "."})
			x.Text = rest
		case strings.HasSuffix(x.Text, ":") && i+1 < len(t.Said) && t.Said[i+1].Kind == ask.Command:
			if at := onPage(t.Said[i+1].Text); strings.HasPrefix(at, "“") && x.Kind != ask.Plain {
				x.Text += " " + at + "."
			}
		}
		if text := onKeys(x.Text); text != "" {
			if strings.HasSuffix(text, "”") { // a command ended it
				text += "."
			}
			b.Said = append(b.Said, remark{kinds[x.Kind], text})
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
			b := &measureBody{Problems: onKeysAll(complaints(s.asker, r.Context(), err)), Methods: survey.Methods()}
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
	e := s.env(context.Background(), &reading{files: map[string]checksum{}})
	e.Given, e.Kept = nil, nil // the disk alone counts
	rec, err := ask.Record(e, s.Profile, q)
	if err != nil {
		return err
	}
	m := &s.measuring
	m.record, m.turn, m.visit, m.count, m.last = rec, rec.Turn(), rand.Text(), 0, s.Now()
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
		b.Said = slices.Insert(b.Said, 0, m.unwanted(r.PostForm))
		notTaken(w)
		s.show(w, http.StatusConflict, map[bool]string{true: "measuring", false: "measure"}[m.record != nil], v)
		return
	}
	text, ok := answered(r.PostForm)
	if !ok {
		b.turn(m, p)
		b.Said = slices.Insert(b.Said, 0, remark{kinds[ask.Refused], "Nothing was typed there yet."})
		notTaken(w)
		s.show(w, http.StatusOK, "measuring", v)
		return
	}
	m.was.token, m.was.text, m.was.at = m.token(), text, ""
	if a := m.turn.Asks; a.Kind == ask.AskReading {
		m.was.at = typedAll(a.Station, p)
	}
	turn, err := m.record.Answer(text)
	m.count++
	m.last, m.turn = s.Now(), turn
	if err != nil {
		of := m.record.Method
		m.end()
		b.say(turn, of)
		notTaken(w)
		b.Problems, b.Taken = onKeysAll(complaints(s.asker, r.Context(), err)), of.Name
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

// unwanted says in a few words why an answer was not taken.
func (m *liveSurvey) unwanted(f url.Values) remark {
	text, _ := answered(f)
	switch {
	case m.was.token != "" && f.Get("token") == m.was.token && text == m.was.text:
		if slices.ContainsFunc(m.turn.Said, func(x ask.Remark) bool { return x.Kind == ask.Refused }) {
			return remark{kinds[ask.Meaning], "It came twice."}
		}
		if m.was.at == "" || text == "" {
			return remark{kinds[ask.Meaning], "Taken once."}
		}
		return remark{kinds[ask.Meaning], fmt.Sprintf("Taken once: %s at %s.", text, m.was.at)}
	case m.record == nil:
		return remark{kinds[ask.Refused], "Not taken: no survey is under way. What was read before is in the file; " +
			"go on with it below."}
	}
	return remark{kinds[ask.Refused], "Not taken: that was for another question. This is where the survey stands."}
}

// onKeysAll writes complaints as the page names things.
func onKeysAll(all []refuse.Refusal) []refuse.Refusal {
	for i, c := range all {
		all[i].Message, all[i].Hint = onKeys(c.Message), onKeys(c.Hint)
	}
	return all
}

func millimetres(text string, p *profile.Profile, otherwise float64) float64 {
	if l, err := length.Parse(text); err == nil && text != "" {
		return l.MM(p.Unit)
	}
	return otherwise
}
