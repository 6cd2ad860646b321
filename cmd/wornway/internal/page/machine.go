package page

import (
	"encoding/json"
	"fmt"
	"html/template"
	"net/http"
	"slices"

	"wornway/cmd/wornway/internal/turning"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/length"
)

// machineBody is what At the machine shows: one card after the other.
type machineBody struct {
	Correct *answer
	Cards   []card
	Left    string
}

// card is one stop of the list: what is read from two metres away, and what comes after it.
type card struct {
	Number    int
	Kind      string // before, zero, stop, end
	Head      string
	Where     string
	Turn      string // IN or OUT
	Divisions string
	Feed      string
	Reads     string
	TakeUp    string // how to turn back; empty: it goes on
	Next      string
	Minded    []string // of this cut, such as damage that the saddle crosses
	Cautions  []string
	Bed       template.HTML
}

func (s *Server) machine(w http.ResponseWriter, r *http.Request) {
	v, p, ok := s.begin(w, r)
	if !ok {
		return
	}
	b, err := s.machineBody(r, v, p)
	if err != nil {
		busy(w)
		return
	}
	v.Body = b
	v.State = stateOf(text("machine-cards", v))
	s.show(w, http.StatusOK, "machine", v)
}

// state says whether what a page shows is still so.
func (s *Server) state(w http.ResponseWriter, r *http.Request) {
	now := struct {
		State string `json:"state"`
	}{}
	v := &view{ReadOnly: s.ReadOnly}
	if p, wrong, err := s.read(r, v); wrong == nil && err == nil {
		if b, err := s.machineBody(r, v, p); err == nil {
			v.Body = b
			now.State = stateOf(text("machine-cards", v))
		}
	}
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(now)
}

func (s *Server) machineBody(r *http.Request, v *view, p *profile.Profile) (*machineBody, error) {
	k, err := s.ask(r.Context(), nil, s.line("correct", v.Choices, p)...)
	if err != nil {
		return nil, err
	}
	b := &machineBody{Correct: k}
	j, ok := corrected(k)
	if !k.Done() || !ok || j.Aim == nil {
		return b, nil
	}
	u := word.Units{In: v.In}
	at := func(z float64) string { return u.At(v.In.ToMM(z)) }
	rows := moves(k)
	stops := []stopMark{{At: j.SetAt}}
	for _, m := range j.Moves {
		stops = append(stops, stopMark{At: m.Position})
	}
	end := j.From
	if j.Feed == "tailstock" {
		end = j.To
	}
	stops = append(stops, stopMark{At: end})
	bed := func(now int) template.HTML {
		b := lies(v, p)
		b.At, b.Stops, b.Now = stops[now].At, stops, now
		return b.SVG(p, v.In)
	}
	then := func(i int) string {
		if i < len(rows) {
			return fmt.Sprintf("%s %s: %s %s", rows[i].at, v.In, rows[i].turn, rows[i].divisions)
		}
		return "run to " + at(end) + ", stop, measure"
	}
	b.Cards = append(b.Cards,
		card{Kind: "before", Head: "Before the cut", Minded: slices.Concat(k.Report.Warnings, k.Report.Limits),
			Cautions: append(slices.Clone(k.Report.Cautions), reachCaution),
			Next:     "set the zero at " + at(j.SetAt), Bed: bed(0)},
		card{Kind: "zero", Head: "Zero", Where: at(j.SetAt), Reads: length.Diameter(v.In.ToMM(*j.Aim), v.In) + " " +
			v.In.String(), Feed: j.Feed, Next: then(0), Bed: bed(0)})
	for i, m := range j.Moves {
		back := ""
		if m.TakeUp {
			back = word.Upper(turning.TakeOut(u, p.Lathe.CrossSlide.Backlash, j.Bore))
		}
		b.Cards = append(b.Cards, card{Kind: "stop", Head: fmt.Sprintf("Stop %d of %d", i+1, len(j.Moves)),
			Where: rows[i].at + " " + v.In.String(), Turn: rows[i].turn, Divisions: rows[i].divisions,
			Reads: rows[i].total, TakeUp: back, Next: then(i + 1), Bed: bed(i + 1)})
	}
	b.Cards = append(b.Cards, card{Kind: "end", Head: "The end", Where: at(end), Bed: bed(len(stops) - 1),
		Next: "stop the spindle, let it stand still, and measure"})
	for i := range b.Cards {
		b.Cards[i].Number = i
	}
	return b, nil
}

// reachCaution goes with a list that is read from a telephone.
const reachCaution = "Never reach over turning work for the telephone. Mount it where no chips fly."

// move is a row of the list as the command writes it.
type move struct{ at, turn, divisions, total string }

// moves are the rows of the list.
func moves(k *answer) []move {
	var out []move
	for _, t := range k.Report.Tables {
		if t.Name != "moves" {
			continue
		}
		for _, row := range t.Rows {
			var m move
			for i, c := range t.Columns {
				switch c.Key {
				case "position":
					m.at = row[i].Text
				case "direction":
					m.turn = row[i].Text
				case "divisions":
					m.divisions = row[i].Text
				case "dial":
					m.total = row[i].Text
				}
			}
			out = append(out, m)
		}
	}
	return out
}
