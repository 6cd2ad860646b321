package page

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"html/template"
	"net/http"
	"regexp"
	"slices"

	"wornway/cmd/wornway/internal/lesson"
	"wornway/profile"
)

// bedBody is what The bed shows.
type bedBody struct {
	Wear, Verdict, Show *answer
	Bed                 template.HTML
	Needs               []need // of pages that cannot answer yet
	Blind               bool   // nothing is known of the bed yet
}

// need is what the file still needs for a page to answer.
type need struct{ Page, Missing string }

// needs are those of the pages, by what show says of the commands behind them.
func needs(shown *answer) (out []need) {
	for _, t := range shown.Report.Tables {
		if t.Name != "commands" {
			continue
		}
		for _, row := range t.Rows {
			n := need{pageOf(row[0].Text, ""), onPage(row[2].Text)}
			i := slices.IndexFunc(out, func(o need) bool { return o.Page == n.Page })
			switch {
			case n.Missing == "":
			case i >= 0:
				out[i].Missing = n.Missing // correct needs what predict needs, and more
			default:
				out = append(out, n)
			}
		}
	}
	return out
}

func (s *Server) bedPage(w http.ResponseWriter, r *http.Request) {
	v, p, ok := s.begin(w, r)
	if !ok {
		return
	}
	b := &bedBody{Bed: s.bed(v, p, nil), Blind: blind(p)}
	type question struct {
		to   **answer
		line []string
	}
	asked := []question{{&b.Wear, []string{"wear", s.Profile}}, {&b.Show, []string{"show", s.Profile}}}
	if r.URL.Query().Has("verdict") {
		asked = append(asked, question{&b.Verdict, []string{"wear", s.Profile, "--verdict"}})
	}
	for _, q := range asked {
		a, err := s.ask(r.Context(), nil, q.line...)
		if err != nil {
			busy(w)
			return
		}
		*q.to = a
	}
	b.Needs = needs(b.Show)
	v.Body = b
	s.show(w, http.StatusOK, "bed", v)
}

// blind says that nothing is known of the bed yet.
func blind(p *profile.Profile) bool { return p.Stated == nil && len(p.Surveys) == 0 }

// paper lists what can be printed.
func (s *Server) paper(w http.ResponseWriter, r *http.Request) {
	if v, p, ok := s.begin(w, r); ok {
		v.Body = v.Choices.plain(p.Unit)
		s.show(w, http.StatusOK, "paper", v)
	}
}

// print is one of the papers as a PDF.
func (s *Server) print(w http.ResponseWriter, r *http.Request) {
	v, p, ok := s.begin(w, r)
	if !ok {
		return
	}
	name := r.PathValue("name")
	var line []string
	switch name {
	case "card.pdf":
		line = append(s.line("chart", v.Choices, p), "--output=-")
	case "cards.pdf":
		line = []string{"chart", s.Profile, "--job=" + s.Job, "--output=-"}
	case "strip.pdf":
		line = append(s.line("chart", v.Choices, p), "--strip", "--output=-")
	case "sheets.pdf":
		line = []string{"blank", s.Profile, "--method=all", "--output=-"}
	default:
		http.NotFound(w, r)
		return
	}
	a, err := s.ask(r.Context(), nil, line...)
	if err != nil {
		busy(w)
		return
	}
	if !a.Done() || !bytes.HasPrefix(a.Out, []byte("%PDF")) {
		v.Faults, v.Title = a.Complaints, "This cannot be printed"
		s.show(w, http.StatusOK, "unprinted", v)
		return
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", "inline; filename="+name)
	_, _ = w.Write(a.Out)
}

// why is the lesson of this lathe. Its script and its style stand in it, and no others are let in.
func (s *Server) why(w http.ResponseWriter, r *http.Request) {
	v, p, ok := s.begin(w, r)
	if !ok {
		return
	}
	a, err := s.ask(r.Context(), nil, append(s.line("lesson", v.Choices, p), "--output=-")...)
	if err != nil {
		busy(w)
		return
	}
	var b bytes.Buffer
	told := func() error {
		l := *a.Lesson
		l.Back = "/" + string(v.Query)
		return lesson.Write(&b, l)
	}
	if !a.Done() || a.Lesson == nil || told() != nil {
		v.Faults = a.Complaints
		s.show(w, http.StatusOK, "untold", v)
		return
	}
	w.Header().Set("Content-Security-Policy", fmt.Sprintf("default-src 'none'; script-src%s; style-src%s; "+
		"img-src 'self' data:; frame-ancestors 'none'; base-uri 'none'",
		sums(b.Bytes(), "script"), sums(b.Bytes(), "style")))
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(b.Bytes())
}

// sums are the sums by which a policy knows what stands between the tags of a page.
func sums(page []byte, tag string) string {
	out := ""
	for _, m := range regexp.MustCompile(`(?s)<`+tag+`>(.*?)</`+tag+`>`).FindAllSubmatch(page, -1) {
		sum := sha256.Sum256(m[1])
		out += " 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
	}
	return out
}
