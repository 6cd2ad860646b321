// Package page serves a lathe's page to a browser at the machine: the answers of the commands, from the commands
// themselves, with choices to be set by a thumb.
//
// [New] makes the handler. It runs command lines by the function that it is given, and shows what they answered;
// nothing of the work is calculated here or in the browser. Every page works without script, which only spares loading
// it anew. Who may see it is the matter of another package, door.
package page

import (
	"bytes"
	"context"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"html/template"
	"net/http"
	"net/url"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/safe"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate/jobfile"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/length"
)

// Options say what is served.
type Options struct {
	Profile, Job string // files; Job may be empty
	ReadOnly     bool   // takes no readings
	Run          Run
	Now          func() time.Time
}

// Server is the handler.
type Server struct {
	Options
	*asker
	mux       *http.ServeMux
	measuring liveSurvey
}

// New makes the handler of a lathe's page.
func New(o Options) *Server {
	s := &Server{Options: o, asker: newAsker(o.Run, o.Now, max(2, runtime.NumCPU())), mux: http.NewServeMux()}
	s.mux.HandleFunc("GET /{$}", s.cut)
	s.mux.HandleFunc("GET /machine", s.machine)
	s.mux.HandleFunc("GET /state", s.state)
	s.mux.HandleFunc("GET /where", s.where)
	s.mux.HandleFunc("GET /measure", s.measure)
	s.mux.HandleFunc("POST /measure/begin", s.measureBegin)
	s.mux.HandleFunc("POST /measure/answer", s.measureAnswer)
	s.mux.HandleFunc("GET /after", s.after)
	s.mux.HandleFunc("POST /after", s.after)
	s.mux.HandleFunc("GET /bed", s.bedPage)
	s.mux.HandleFunc("GET /paper", s.paper)
	s.mux.HandleFunc("GET /paper/{name}", s.print)
	s.mux.HandleFunc("GET /why", s.why)
	// of the lesson, which names none
	s.mux.HandleFunc("GET /favicon.ico", func(w http.ResponseWriter, r *http.Request) {
		http.ServeFileFS(w, r, files, "files/icon.svg")
	})
	for _, name := range []string{"page.css", "page.js", "icon.svg"} {
		s.mux.HandleFunc("GET /"+name, func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("Cache-Control", "max-age=3600, private")
			http.ServeFileFS(w, r, files, "files/"+name)
		})
	}
	return s
}

// ServeHTTP implements http.Handler.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.mux.ServeHTTP(w, r) }

// Prepare works out the page that is asked for first, so that whoever opens it need not wait. What cannot be worked out
// is told to whoever asks.
func (s *Server) Prepare(ctx context.Context) {
	defer func() { _ = recover() }()
	if r, err := http.NewRequestWithContext(ctx, http.MethodGet, "/", nil); err == nil {
		s.ServeHTTP(sink{}, r)
	}
}

// sink is an answer that nobody sees.
type sink struct{}

func (sink) Header() http.Header         { return http.Header{} }
func (sink) Write(b []byte) (int, error) { return len(b), nil }
func (sink) WriteHeader(int)             {}

// ByItself says whether a request is one that a page makes by itself. A page at the machine that is open keeps the
// server awake, another does not.
func ByItself(r *http.Request) bool {
	return r.URL.Path == "/state" && r.URL.Query().Get("at") != "machine"
}

//go:embed files
var files embed.FS

var templates = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("").Funcs(template.FuncMap{"sentence": sentence,
		"prior": func(n int) int { return n - 1 }, "after": func(n int) int { return n + 1 },
		"shown": func(c show.Column) bool { return !c.Data && c.Key != "feature" }, // there is one alone
		"trade": inTrade, "named": tradeNames, "doing": profile.Doing, "fold": fold}).ParseFS(files, "files/*.html"))
})

// sentence is a complaint as a sentence.
func sentence(s string) string {
	if s == "" {
		return ""
	}
	// a name stays as it is
	if first, _, _ := strings.Cut(s, " "); first != "wornway" && !strings.ContainsAny(first, ".:") {
		s = word.Upper(s)
	}
	if !strings.HasSuffix(s, ".") && !strings.HasSuffix(s, "?") {
		s += "."
	}
	return s
}

// fold is what is written on a table that is folded away.
func fold(t show.Table) string {
	if t.Title != "" {
		return strings.TrimSuffix(t.Title, ":")
	}
	if say, is := map[string]string{"stations": "Position by position", "lathe": "Its measures"}[t.Name]; is {
		return say
	}
	return strings.ToUpper(t.Name[:1]) + t.Name[1:]
}

// view is what every page shows.
type view struct {
	Title, Lathe string
	Unit, Small  string
	Places       []link
	In           length.Unit // that This cut is told in: the job's where there is one
	Choices      choices
	Query        template.URL // the choices as an address carries them, with its question mark
	ReadOnly     bool
	Job          *jobfile.File    // nil: none is served
	Faults       []refuse.Refusal // of a file that cannot be read
	State        string           // what this was made from
	Body         any
}

// link is a page that can be gone to.
type link struct {
	Path, Name string
	Here       bool
}

var places = []link{{Path: "/", Name: "This cut"}, {Path: "/machine", Name: "At the machine"},
	{Path: "/where", Name: "Where"}, {Path: "/measure", Name: "Measure"}, {Path: "/after", Name: "After the cut"},
	{Path: "/bed", Name: "The bed"}, {Path: "/paper", Name: "Paper"}, {Path: "/why", Name: "Why"}}

// begin reads the profile and the choices of a request. Where the profile cannot be read, the page that says so is
// written and ok is false.
func (s *Server) begin(w http.ResponseWriter, r *http.Request) (v *view, p *profile.Profile, ok bool) {
	v = &view{ReadOnly: s.ReadOnly}
	for _, l := range places {
		l.Here = l.Path == r.URL.Path
		if l.Here {
			v.Title = l.Name
		}
		v.Places = append(v.Places, l)
	}
	p, wrong, err := s.read(r, v)
	switch {
	case err != nil:
		busy(w)
		return v, nil, false
	case wrong != nil:
		v.Faults = complaints(s.asker, r.Context(), wrong)
		for i, f := range v.Faults {
			if strings.HasPrefix(f.Hint, "wornway new ") { // it was there when the page was begun
				v.Faults[i].Hint = "give the file its name again, or start the program with the name that it has now"
			}
		}
		if r.Method == http.MethodPost {
			notTaken(w)
			v.Faults = slices.Insert(v.Faults, 0, refuse.Refusal{Message: "what was sent was not taken: the file " +
				"cannot be read now", Hint: "send it again once it can"})
		}
		v.Title = "A file cannot be read"
		v.Choices = chosen(r.URL.Query(), nil)
		v.Query = address(v.Choices.query())
		s.show(w, http.StatusOK, "broken", v)
		return v, nil, false
	}
	return v, p, true
}

// notTaken marks an answer that was not taken, so that a page keeps what was typed.
func notTaken(w http.ResponseWriter) { w.Header().Set("Wornway-Taken", "no") }

// read reads the files as they are now, and the choices. wrong is why they cannot be read, err why nobody waits.
func (s *Server) read(r *http.Request, v *view) (p *profile.Profile, wrong, err error) {
	if p, wrong = s.profile(r.Context(), s.Profile); wrong != nil {
		return nil, wrong, nil
	}
	job, wrong := s.job(r.Context())
	if wrong != nil {
		return nil, wrong, nil
	}
	v.Lathe, v.Unit, v.Small = p.Lathe.Name, p.Unit.String(), p.Unit.Small().String()
	v.Choices = chosen(r.URL.Query(), p)
	if err := s.lay(r.Context(), &v.Choices, job, p); err != nil {
		return nil, nil, err
	}
	if v.Choices.job == nil && v.Choices.Held == "" && p.Lathe.Holding != nil {
		v.Choices.Held = string(work.ChuckAndCentre) // so long a length needs it
	}
	v.In = v.Choices.unit(p)
	v.Job = job
	v.Query = address(v.Choices.query())
	return p, nil, nil
}

func address(v url.Values) template.URL { return template.URL("?" + v.Encode()) }

// complaints says what an error is about as a command would.
func complaints(a *asker, ctx context.Context, err error) []refuse.Refusal {
	e := a.env(ctx, &reading{})
	e.Taken = &env.Capture{}
	e.Report(err)
	return e.Taken.Complaints
}

// show writes a page.
func (s *Server) show(w http.ResponseWriter, status int, name string, v *view) {
	var b bytes.Buffer
	if err := templates().ExecuteTemplate(&b, name, v); err != nil {
		http.Error(w, "This page cannot be shown.", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write([]byte(safe.Text(b.String())))
}

// text is a part of a page by itself.
func text(name string, v *view) string {
	var b bytes.Buffer
	_ = templates().ExecuteTemplate(&b, name, v) // it was written once
	return b.String()
}

// stateOf names what is shown, so that a page can tell whether it is still so.
func stateOf(shown string) string {
	sum := sha256.Sum256([]byte(shown))
	return hex.EncodeToString(sum[:8])
}

// busy answers where nobody waits any more.
func busy(w http.ResponseWriter) {
	http.Error(w, "Too much to do at once.", http.StatusServiceUnavailable)
}
