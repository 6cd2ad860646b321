package page

import (
	"html/template"
	"net/http"

	"wornway/cmd/wornway/internal/turning"
	"wornway/profile"
)

// cutBody is what This cut shows.
type cutBody struct {
	Fields  []numberField
	Held    []choice
	Feeds   []choice
	Bed     template.HTML
	Predict *answer
	Correct *answer
}

// numberField is a number to be typed, with buttons and a slider.
type numberField struct {
	Name, Label, Value, Unit, Hint string
	Least, Most, Step              float64 // of the slider; none where Most is 0
}

type choice struct {
	Value, Name string
	Chosen      bool
}

var heldWays = []choice{{"chuck", "chuck", false}, {"chuck-and-centre", "chuck and tailstock's centre", false},
	{"centres", "between centres", false}}

var feeds = []choice{{"", "whichever is better", false}, {"headstock", "toward the headstock", false},
	{"tailstock", "toward the tailstock", false}}

func among(all []choice, value string) []choice {
	var out []choice
	for _, c := range all {
		c.Chosen = c.Value == value
		out = append(out, c)
	}
	return out
}

// cut is This cut. A button beside a number leads to the page with that number changed.
func (s *Server) cut(w http.ResponseWriter, r *http.Request) {
	v, p, ok := s.begin(w, r)
	if !ok {
		return
	}
	if what := r.URL.Query().Get("step"); what != "" {
		v.Choices.step(what, p)
		http.Redirect(w, r, "/?"+v.Choices.query().Encode(), http.StatusSeeOther)
		return
	}
	b := &cutBody{Fields: s.cutFields(v, p), Held: among(heldWays, v.Choices.Held), Feeds: among(feeds, v.Choices.Feed)}
	var err error
	if b.Predict, err = s.ask(r.Context(), nil, s.line("predict", v.Choices, p)...); err != nil {
		busy(w)
		return
	}
	if b.Correct, err = s.ask(r.Context(), nil, s.line("correct", v.Choices, p)...); err != nil {
		busy(w)
		return
	}
	b.Bed = s.bed(v, p, b.Correct)
	v.Body = b
	v.State = stateOf(text("cut-answer", v))
	s.show(w, http.StatusOK, "cut", v)
}

// line is the command line for the choices.
func (s *Server) line(command string, c choices, p *profile.Profile) []string {
	return append([]string{command, s.Profile}, c.flags(command, p.Unit)...)
}

func (s *Server) cutFields(v *view, p *profile.Profile) []numberField {
	in, u := p.Unit.From, v.Unit
	from, to := in(p.Lathe.Ways.From), in(p.Lathe.Ways.To)
	thick := in(2 * p.Lathe.Bed.CentreHeight)
	step := func(name string) float64 { return stepOf(name, p.Unit) }
	return []numberField{
		{"from", "From", v.Choices.From, u, "headstock end, from the spindle nose", max(0, from), to, step("from") / 4},
		{"to", "To", v.Choices.To, u, "tailstock end", max(0, from), to, step("to") / 4},
		{"diameter", "Diameter", v.Choices.Diameter, u, "that is turned", step("diameter"), thick / 2, step("diameter") / 2},
		{"tolerance", "May vary by", v.Choices.Tolerance, u, "on diameter; empty: not asked", 0, 0, 0},
		{"settings", "Settings", v.Choices.Settings, "", "at most; empty: as many as are worth it", 0, 0, 0},
	}
}

// bed draws the bed with the part, and the stops of a correction.
func (s *Server) bed(v *view, p *profile.Profile, k *answer) template.HTML {
	in := p.Unit.From
	b := bedPicture{From: in(p.Lathe.Ways.From), To: in(p.Lathe.Ways.To), Now: -1}
	if from, to, ok := v.Choices.ends(p.Unit); ok {
		b.Start, b.End, b.At = in(from), in(to), in(to)
	}
	if k != nil {
		if j, ok := k.Report.JSON.(turning.CorrectJSON); ok {
			for _, m := range j.Moves {
				b.Stops = append(b.Stops, stopMark{At: m.Position})
			}
		}
	}
	return b.SVG(p)
}
