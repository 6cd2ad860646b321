package page

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/length"
)

// mostCollars is how many diameters can be given on the page.
const mostCollars = 8

// afterBody is what After the cut shows.
type afterBody struct {
	Rows          []collar
	Pad           []padKey
	Way           []choice
	Places        string // where to measure
	HeldAt        string
	Day           string // on which it was first checked
	Wrong         []refuse.Refusal
	Check         *answer
	Added         bool
	Before, After *answer // of predict, where something was added
}

type collar struct{ Number, Position, Diameter string }

// measured is the file that a cut is handed over in. It is never written.
const measured = "the diameters given.csv"

func (s *Server) after(w http.ResponseWriter, r *http.Request) {
	v, p, ok := s.begin(w, r)
	if !ok {
		return
	}
	if !parsed(w, r) {
		return
	}
	way := r.PostForm.Get("way")
	if r.Method != http.MethodPost {
		way = v.Choices.plain(p.Unit).Held // as it was cut
	}
	b := &afterBody{Way: among(heldWays, way), HeldAt: short(r.PostForm.Get("held_at")),
		Pad: pad(p.Lathe.Ways.From < 0, "in", "mm")}
	v.Body = b
	b.rows(r.PostForm, v.Choices, p)
	if r.Method == http.MethodPost {
		s.checked(r, v, p, b)
	}
	s.show(w, http.StatusOK, "after", v)
}

// rows are the collars as they were typed, or places to turn some.
func (b *afterBody) rows(f url.Values, c choices, p *profile.Profile) {
	from, to, ok := c.ends(p.Unit)
	for i := range mostCollars {
		n := strconv.Itoa(i + 1)
		row := collar{n, short(f.Get("position" + n)), short(f.Get("diameter" + n))}
		const usual = 5
		if len(f) == 0 && ok && i < usual {
			row.Position = typed(p.Unit.From(from + (to-from)*float64(i)/(usual-1)))
		}
		b.Rows = append(b.Rows, row)
	}
	var at []string
	for _, row := range b.Rows {
		if len(f) == 0 && row.Position != "" {
			at = append(at, row.Position)
		}
	}
	b.Places = word.List(at)
}

// short is what was typed into a small field. What is longer than any number there is marked as broken off, so that it
// is not taken for a shorter one.
func short(s string) string {
	s = plainText(s)
	if r := []rune(s); len(r) > longestChoice {
		return string(r[:longestChoice-1]) + "…"
	}
	return s
}

// plainText is what was typed, as text.
func plainText(s string) string { return strings.ToValidUTF8(strings.TrimSpace(s), "?") }

// checked holds what was measured against the prediction, and adds it where that is asked for.
func (s *Server) checked(r *http.Request, v *view, p *profile.Profile, b *afterBody) {
	text := "position,diameter\n"
	for _, row := range b.Rows {
		if row.Position == "" && row.Diameter == "" {
			continue
		}
		var cells [2]string
		for i, t := range []string{row.Position, row.Diameter} {
			l, err := length.Parse(t)
			if err != nil {
				b.Wrong = append(b.Wrong, refuse.Refusal{Message: fmt.Sprintf("collar %s: %v", row.Number, err)})
				continue
			}
			cells[i] = typed(p.Unit.From(l.MM(p.Unit)))
		}
		text += cells[0] + "," + cells[1] + "\n"
	}
	if len(b.Wrong) > 0 {
		return
	}
	// A cut that is sent twice is the same on the next day too, or after the clock was set.
	add := r.PostForm.Get("add")
	if b.Day = s.Now().Format(time.DateOnly); add != "" {
		if _, err := time.Parse(time.DateOnly, add); err != nil {
			b.Wrong = append(b.Wrong, refuse.Refusal{Hint: "check it on this page first",
				Message: "it was not said when the cut was checked, so nothing is added"})
			return
		}
		b.Day = add
	}
	line := []string{"check", s.Profile, "--measured=" + measured, "--date=" + b.Day}
	way := r.PostForm.Get("way")
	if way != "" {
		line = append(line, "--held="+way)
	}
	if b.HeldAt != "" && way != "centres" {
		line = append(line, "--held-at="+b.HeldAt)
	}
	given := map[string][]byte{measured: []byte(text)}
	if add != "" && s.ReadOnly {
		b.Wrong = append(b.Wrong, refuse.Refusal{Message: "this page is read only: nothing is added"})
		add = ""
	}
	if add != "" {
		line = append(line, "--add")
		b.Before, _ = s.ask(r.Context(), nil, s.line("predict", v.Choices, p)...)
	}
	var err error
	if b.Check, err = s.ask(r.Context(), given, line...); err != nil {
		b.Wrong = append(b.Wrong, refuse.Refusal{Message: "too much to do at once"})
		return
	}
	if b.Added = add != "" && b.Check.Done(); b.Added {
		b.After, _ = s.ask(r.Context(), nil, s.line("predict", v.Choices, p)...)
	}
}

// parsed reads a form, or refuses it.
func parsed(w http.ResponseWriter, r *http.Request) bool {
	if err := r.ParseForm(); err != nil {
		http.Error(w, "This form cannot be read.", http.StatusBadRequest)
		return false
	}
	return true
}
