package page

import (
	"html/template"
	"math"
	"net/http"

	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/turning"
	"wornway/profile/length"
)

// whereBody is what Where shows.
type whereBody struct {
	Answer *answer
	Plan   *answer // of the job's whole part, where it was asked for
	Best   *start
	Starts []start
	Bed    template.HTML
}

// start is a place where the length can be taken to.
type start struct {
	From, Spread string
	Within       string // 19 times in 20; empty: it is not known
	Value        float64
	Query        template.URL
}

func (s *Server) where(w http.ResponseWriter, r *http.Request) {
	v, p, ok := s.begin(w, r)
	if !ok {
		return
	}
	b := &whereBody{}
	var err error
	if v.Job != nil && r.URL.Query().Has("plan") {
		if b.Plan, err = s.ask(r.Context(), nil, "plan", s.Job, s.Profile); err != nil {
			busy(w)
			return
		}
	}
	if b.Answer, err = s.ask(r.Context(), nil, s.line("place", v.Choices, p)...); err != nil {
		busy(w)
		return
	}
	b.Bed = s.bed(v, p, nil)
	if j, ok := b.Answer.Report.JSON.(turning.PlaceJSON); ok {
		small := func(x float64) string { return typedSmall(x, p.Unit) + " " + v.Small }
		at := func(from, spread float64, within *float64) start {
			from = byRule(from, j.Reach[0], j.Reach[1]-j.Length, p.Unit)
			out := start{From: length.Position(p.Unit.ToMM(from), p.Unit) + " " + v.Unit, Spread: small(spread),
				Value: from, Query: address(v.Choices.moved(from, p.Unit).query())}
			if within != nil { // by this they are judged
				out.Within = small(*within)
			}
			return out
		}
		best := at(j.Best.From, j.Best.Spread, nil)
		b.Best = &best
		for _, s := range j.Starts {
			b.Starts = append(b.Starts, at(s.From, s.Spread, s.Spread95))
		}
	}
	v.Body = b
	s.show(w, http.StatusOK, "where", v)
}

// byRule is a place no finer than a rule along the bed is read, as place tells it, between two others that it must not
// pass; all in the file's unit.
func byRule(from, least, most float64, u length.Unit) float64 {
	step := 0.1
	if u == length.Inch {
		step = 0.01
	}
	const slack = 1e-9
	for _, round := range []func(float64) float64{math.Round, math.Floor, math.Ceil} {
		if x := shop.Tidy(round(from/step) * step); x >= least-slack && x <= most+slack {
			return x
		}
	}
	return from
}
