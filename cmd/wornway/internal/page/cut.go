package page

import (
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"wornway/cmd/wornway/internal/word"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/length"
)

// cutBody is what This cut shows.
type cutBody struct {
	Fields  []numberField
	Selects []selectField
	Blind   bool    // nothing is known of the bed yet
	Open    bool    // something is chosen that is folded away
	Lies    string  // of a job's feature: where
	Hidden  []field // choices that are kept, and not to be made here
	Bed     template.HTML
	Do      []string // what is to be done, in order and in few words; none where there is no answer
	Rest    []string // what correct answers beside it
	Predict *answer
	Correct *answer
}

// numberField is a number to be typed, with buttons and a slider.
type numberField struct {
	Name, Label, Value, Unit, Hint string
	Usual                          string  // what holds where it is left empty
	Least, Most, Step              float64 // of the slider; none where Most is 0
	Rare                           bool    // is folded away
}

// selectField is a choice among several.
type selectField struct {
	Name, Label string
	Choices     []choice
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
	b := &cutBody{Fields: s.cutFields(v, p), Blind: blind(p)}
	s.selects(v, p, b)
	c := v.Choices
	b.Open = c.Settings+c.Feed != "" || c.job == nil && c.Tolerance != "" ||
		c.job != nil && c.Turned+c.SetOver+c.Steady != ""
	var err error
	if b.Predict, err = s.ask(r.Context(), nil, s.line("predict", v.Choices, p)...); err != nil {
		busy(w)
		return
	}
	if b.Correct, err = s.ask(r.Context(), nil, s.line("correct", v.Choices, p)...); err != nil {
		busy(w)
		return
	}
	b.Bed, b.Do, b.Rest = s.bed(v, p, b.Correct), toDo(v.In, b.Correct), b.Correct.Report.Answer
	if b.Do != nil {
		b.Rest = withoutSteps(b.Rest)
	}
	v.Body = b
	s.show(w, http.StatusOK, "cut", v)
}

// toDo is what correct found, as one does it at the lathe.
func toDo(in length.Unit, k *answer) []string {
	j, ok := corrected(k)
	if !k.Done() || !ok || j.Aim == nil {
		return nil
	}
	u := word.Units{In: in}
	out := []string{fmt.Sprintf("At %s cut to %s %s, dial to 0", u.At(in.ToMM(j.SetAt)),
		length.Diameter(in.ToMM(*j.Aim), in), in), "Feed toward the " + j.Feed}
	all := moves(k)
	for _, m := range all {
		out = append(out, fmt.Sprintf("%s %s: %s %s div", m.at, in, m.turn, m.divisions))
	}
	if len(all) == 0 {
		out = append(out, "Leave the dial alone")
	}
	return out
}

// steps is what correct answers of where the dial is set, and which way is fed.
var steps = pattern(`(?:^| )[Aa]t \S+ (?:in|mm) (?:cut|bore) to \S+ (?:in|mm) (?:by micrometer|as measured), ` +
	`(?:set the dial to 0 there and )?feed toward the (?:headstock|tailstock)(?: and leave the dial alone)?\.`)

// withoutSteps leaves out of correct's answer what stands above it, step by step.
func withoutSteps(answer []string) []string {
	var out []string
	for _, s := range answer {
		if s = strings.TrimSpace(steps().ReplaceAllString(s, "")); s != "" && !strings.HasSuffix(s, ":") {
			out = append(out, s)
		}
	}
	return out
}

// line is the command line for the choices.
func (s *Server) line(command string, c choices, p *profile.Profile) []string {
	return append([]string{command, s.Profile}, c.flags(command, p.Unit, s)...)
}

func (s *Server) cutFields(v *view, p *profile.Profile) []numberField {
	in, u, c := v.In.From, v.In.String(), v.Choices
	from, to := in(p.Lathe.Ways.From), in(p.Lathe.Ways.To)
	thick := in(2 * p.Lathe.Bed.CentreHeight)
	step := func(name string) float64 { return stepOf(name, v.In) }
	settings := numberField{Rare: true, Name: "settings", Label: labels["settings"], Value: c.Settings,
		Hint: "at most; empty: as many as are worth it"}
	l := c.job
	if l == nil {
		return []numberField{
			{Name: "from", Label: labels["from"], Value: c.From, Unit: u, Least: max(0, from), Most: to,
				Step: step("from") / 4, Hint: "end at the chuck, from the spindle nose"},
			{Name: "to", Label: labels["to"], Value: c.To, Unit: u, Least: max(0, from), Most: to,
				Step: step("to") / 4, Hint: "end at the tailstock"},
			{Name: "diameter", Label: labels["diameter"], Value: c.Diameter, Unit: u, Hint: "that is turned",
				Least: step("diameter"), Most: thick / 2, Step: step("diameter") / 2},
			{Rare: true, Name: "tolerance", Label: labels["tolerance"], Value: c.Tolerance, Unit: u,
				Hint: "on diameter; empty: not asked"},
			settings,
		}
	}
	at := numberField{Name: "at", Label: labels["at"], Value: c.At, Unit: u, Least: max(0, from), Most: to,
		Step: step("at") / 4, Hint: "from the spindle nose; empty: as near to it as can be"}
	if l.known {
		at.Usual = typed(in(l.at))
	}
	out := []numberField{at, settings}
	h := p.Lathe.Holding
	if h != nil && h.GreatestSetOver > 0 && slices.Contains(l.file.Job.Part.Held, work.Centres) {
		out = append(out, numberField{Rare: true, Name: "set-over", Label: labels["set-over"], Value: c.SetOver,
			Unit: u, Hint: "plus toward you"})
	}
	if h != nil && h.Steady {
		out = append(out, numberField{Rare: true, Name: "steady", Label: labels["steady"], Value: c.Steady, Unit: u,
			Hint: "from the spindle nose; empty: none"})
	}
	return out
}

// selects are the choices among several, and what is chosen for a length of one's own or for a job's.
func (s *Server) selects(v *view, p *profile.Profile, b *cutBody) {
	c, held := v.Choices, heldWays
	if v.Job != nil {
		var all []choice
		for i, f := range v.Job.Job.Features {
			all = append(all, choice{Value: strconv.Itoa(i + 1), Name: f.Name})
		}
		all = append(all, choice{Value: ownLength, Name: "another length"})
		b.Selects = append(b.Selects, selectField{"feature", labels["feature"], among(all, c.Feature)})
	}
	kept := []string{"at", "turned", "set-over", "steady"}
	if l := c.job; l != nil {
		kept = []string{"from", "to", "diameter", "tolerance"}
		held = []choice{{"", "as the job likes best", false}}
		for _, w := range l.file.Job.Part.Held {
			i := slices.IndexFunc(heldWays, func(c choice) bool { return c.Value == string(w) })
			held = append(held, heldWays[i])
		}
		if l.file.Job.Part.EndForEnd {
			ends := []choice{{"", "as drawn", false}, {"yes", "end for end", false}}
			b.Selects = append(b.Selects, selectField{"turned", labels["turned"], among(ends, c.Turned)})
		}
		if l.known {
			u := word.Units{In: v.In}
			b.Lies = fmt.Sprintf("From %s to %s, %s.", u.Bare(l.from), u.At(l.to), u.Diameter(l.feature.Diameter))
		}
	}
	b.Selects = append(b.Selects, selectField{"held", labels["held"], among(held, c.Held)},
		selectField{"feed", labels["feed"], among(feeds, c.Feed)})
	for _, f := range v.Choices.fields() {
		if slices.Contains(kept, f.Name) && *f.value != "" {
			b.Hidden = append(b.Hidden, f)
		}
	}
}

// lies is the bed with what stands on it where the choices have it, in the unit that they are told in.
func lies(v *view, p *profile.Profile) bedPicture {
	in := v.In.From
	b := bedPicture{From: in(p.Lathe.Ways.From), To: in(p.Lathe.Ways.To), Now: -1}
	if from, to, ok := v.Choices.ends(p.Unit); ok {
		b.Start, b.End, b.At = in(from), in(to), in(to)
		b.Part = [2]float64{b.Start, b.End}
	}
	if l := v.Choices.job; l != nil && l.known {
		b.Part = [2]float64{in(l.at), in(l.at + l.file.Job.Part.Length)}
	}
	return b
}

// bed draws the bed with the part, and the stops of a correction.
func (s *Server) bed(v *view, p *profile.Profile, k *answer) template.HTML {
	b := lies(v, p)
	if k != nil {
		if j, ok := corrected(k); ok {
			for _, m := range j.Moves {
				b.Stops = append(b.Stops, stopMark{At: m.Position})
			}
		}
	}
	return b.SVG(p, v.In)
}
