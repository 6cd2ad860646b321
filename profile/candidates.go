package profile

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/profile/bed"
	"wornway/profile/document"
	"wornway/profile/estimate"
	"wornway/profile/survey"
	"wornway/profile/wear"
)

// Candidate is a survey that could be made for a length of work, with what it takes. How long it takes and what it
// needs is common practice, no source.
type Candidate struct {
	Method  string
	What    string       // is done, in words
	Touches string       // which ways or flanks, in words; may be empty
	At      []float64    // positions to read at, mm, ascending
	Rests   [][2]float64 // contacts of a straightedge, mm, as it is laid one time after the other
	Tools   string       // in words
	Power   bool         // the machine turns; otherwise it stands isolated
	Minutes int          // with its setting up
	// its [[survey]] tables with the positions filled in and the readings left open; a reader refuses them until they
	// are written
	Block string
	Sets  []survey.Set // as equations
}

// Candidates returns the surveys that could be made for work between two positions, mm, and that the profile does not
// hold yet: each method in the order in which a turner would come to them, with stations on this bed. Diameter, mm, is
// the work's. Of limits, such as a gap between two leaves, it depends on the wear which will be found: so far as it is
// known it is w, and where w is nil some that is usual.
func (p *Profile) Candidates(w *wear.Wear, from, to, diameter float64) ([]Candidate, error) {
	d := newDesigner(p, w, from, to, diameter)
	var out []Candidate
	for _, c := range d.all() {
		if len(c.parts) == 0 {
			continue
		}
		made, err := d.make(c)
		if err != nil {
			return nil, err
		}
		if !p.has(made.Sets, from, to) {
			out = append(out, made)
		}
	}
	return out, nil
}

// Quick returns what can be done in ten minutes with the carriage lock, a level and a straightedge, few stations each.
func (p *Profile) Quick(w *wear.Wear, from, to, diameter float64) ([]Candidate, error) {
	d := newDesigner(p, w, from, to, diameter)
	var out []Candidate
	for _, c := range d.quick() {
		made, err := d.make(c)
		if err != nil {
			return nil, err
		}
		out = append(out, made)
	}
	return out, nil
}

// Together returns candidates as one, to be foreseen together.
func Together(cs []Candidate) Candidate {
	var out Candidate
	for _, c := range cs {
		out.Sets = append(out.Sets, c.Sets...)
		out.Block += c.Block
	}
	return out
}

// Foresee returns what each candidate would leave of the ± of the aims. lean is the standard uncertainty, per mm, that
// the spindle's lean counts with where neither the profile nor a reading knows it; at 0 it counts only once a candidate
// reads it.
func (p *Profile) Foresee(aims [][]bed.Addend, candidates []Candidate, lean float64) (*estimate.Outlook, error) {
	a := estimate.Ahead{Aims: aims}
	for _, c := range candidates {
		a.Candidates = append(a.Candidates, ahead(c.Sets))
	}
	in, err := p.known(lean)
	if err != nil {
		return nil, err
	}
	return estimate.Foresee(in, a)
}

// ahead is a survey to be made.
func ahead(sets []survey.Set) estimate.Candidate {
	e := estimate.Candidate{Sets: sets}
	for i, k := range []bed.Scalar{bed.LeanOut, bed.LeanUp} {
		if sees(sets, k) {
			e.Lean[i] = UsualLean
		}
	}
	return e
}

// known is what is known before a survey to be made. lean is the standard uncertainty, per mm, that the spindle's lean
// counts with where nothing knows it.
func (p *Profile) known(lean float64) (estimate.Input, error) {
	in := p.input()
	for i, u := range in.LeanU {
		if u == 0 {
			in.LeanU[i] = lean
		}
	}
	if len(p.Surveys) == 0 && p.Stated != nil {
		s, err := p.Stated.survey(p)
		if err != nil {
			return in, err
		}
		in.Surveys = []survey.Set{s}
	}
	return in, nil
}

// ForeseeRun prepares what the stations of a survey under way would leave of the ± of the aims. place is the survey's
// among those of the profile, and block its [[survey]] with readings that stand in at the stations that are left.
func (p *Profile) ForeseeRun(place int, block string, aims [][]bed.Addend) (*estimate.Run, error) {
	sets, err := p.sets(block)
	if err != nil {
		return nil, err
	}
	in, err := p.Without(place).known(0)
	if err != nil {
		return nil, err
	}
	return estimate.ForeseeRun(in, aims, ahead(sets))
}

// Planned returns the stations, mm, that a survey of a method would have for work between two positions; nil where a
// method needs more than positions.
func (p *Profile) Planned(method string, from, to, diameter float64) []float64 {
	d := newDesigner(p, nil, from, to, diameter)
	for _, c := range d.all() {
		if c.method != method || len(c.parts) == 0 || c.parts[0].rests != [2]float64{} || c.parts[0].rows[0].to != 0 {
			continue
		}
		var out []float64
		for _, r := range c.parts[0].rows {
			out = append(out, r.at)
		}
		return out
	}
	return nil
}

// survey returns stated drops as a survey, which they are once another stands beside them.
func (s *Stated) survey(p *Profile) (survey.Set, error) {
	text := ""
	if s.Uncertainty != nil {
		const exact = 1e-4 // mm: no less is believed beside readings
		text = fmt.Sprintf("uncertainty = %.12f\n", p.Unit.From(math.Max(*s.Uncertainty, exact)))
	}
	doc, err := document.Parse("the stated wear", []byte(text))
	if err != nil {
		return survey.Set{}, err
	}
	r := newReader(doc, nil, p.Unit, &Profile{Unit: p.Unit, Lathe: p.Lathe})
	m, _ := survey.Find("stated")
	set := survey.Read(m, r.keys(doc.Root()), s.Rows, doc.Add)
	return set, doc.Faults()
}

// Spindle says whether the candidate reads the work's axis too, and so finds how far the spindle leans.
func (c Candidate) Spindle() bool { return sees(c.Sets, bed.LeanOut) }

// has says whether the profile holds readings of the same method on the same curves for all of the sets already, over
// most of the length. A straightedge is laid several times along a long one.
func (p *Profile) has(sets []survey.Set, from, to float64) bool {
	for _, s := range sets {
		var made, planned []survey.Set
		for _, o := range p.Surveys {
			if o.Set.Method.Name == s.Method.Name && sameReading(o.Set, s) {
				made = append(made, o.Set)
			}
		}
		for _, o := range sets {
			if sameReading(o, s) {
				planned = append(planned, o)
			}
		}
		if !covers(made, planned, from, to) {
			return false
		}
	}
	return true
}

// sameReading says whether two sets read the same weighted curves.
func sameReading(a, b survey.Set) bool {
	kind := func(s survey.Set) (out [bed.Curves]float64) {
		if len(s.Equations) == 0 {
			return out
		}
		q := s.Equations[0].Parts[0]
		most := 0.0
		for _, t := range q.Sum.Terms {
			out[t.Curve] += t.Mean
		}
		for _, v := range out {
			most = math.Max(most, math.Abs(v))
		}
		for i := range out {
			if most > 0 {
				out[i] /= most
			}
		}
		return out
	}
	x, y := kind(a), kind(b)
	for i := range x {
		if math.Abs(x[i]-y[i]) > 0.2 {
			return false
		}
	}
	return true
}

// covers says whether readings lie over most of what is planned of a length.
func covers(made, planned []survey.Set, from, to float64) bool {
	const most = 0.7
	first, last := reach(made)
	a, b := reach(planned)
	a, b = math.Max(a, from), math.Min(b, to)
	return math.Min(last, b)-math.Max(first, a) >= most*(b-a)
}

// reach returns the first and the last position that is read.
func reach(sets []survey.Set) (first, last float64) {
	first, last = math.Inf(1), math.Inf(-1)
	for _, s := range sets {
		for _, e := range s.Equations {
			for _, q := range e.Parts {
				first, last = math.Min(first, q.At), math.Max(last, q.At)
			}
		}
	}
	return first, last
}

// Doing says what is done for a method, as a clause; empty where there is nothing to be said.
func Doing(method string) string { return done[method] }

// done says what is done for each method.
var done = map[string]string{
	"stated":              "drops of the ways that are known from elsewhere",
	"carriage-lock":       "feel how the carriage lock drags",
	"light-gap":           "a straightedge before a lamp",
	"straightedge":        "feeler leaves under a straightedge",
	"carriage-indicator":  "an indicator on the saddle, its tip on each tailstock way",
	"tailstock-indicator": "an indicator on the tailstock, its tip on each carriage way",
	"way-micrometer":      "the thickness of a flat way",
	"level-along":         "a level set foot to foot along each way",
	"level-across":        "a level on a bridge across both ways",
	"saddle-level":        "a level across the saddle",
	"saddle-rock":         "press on one rear corner of the saddle and then on the other",
	"bar-side":            "an indicator on the saddle, its tip on the side of a bar",
	"bar-top":             "an indicator on the saddle, its tip on top of a bar",
	"test-cut":            "collars turned at one setting of the dial and measured",
}

// make turns the text of a candidate into equations, by the reader of profiles itself.
func (d *designer) make(c design) (Candidate, error) {
	out := Candidate{Method: c.method, What: done[c.method] + c.how, Touches: c.touches, Tools: c.tools, Power: c.power,
		Minutes: c.minutes}
	for _, q := range c.parts {
		sets, err := d.Profile.sets(d.text(c.method, q, true))
		if err == nil && d.expect(c.method, &q, sets) {
			sets, err = d.Profile.sets(d.text(c.method, q, true))
		}
		if err != nil {
			return out, err
		}
		out.Sets = append(out.Sets, sets...)
		out.Block += d.text(c.method, q, false)
		for _, r := range q.rows {
			out.At = append(out.At, r.at)
		}
		if q.rests != [2]float64{} && !slices.Contains(out.Rests, q.rests) {
			out.Rests = append(out.Rests, q.rests)
		}
	}
	slices.Sort(out.At)
	out.At = slices.Compact(out.At)
	out.Minutes += int(math.Ceil(c.each * float64(rowsOf(c))))
	return out, nil
}

func rowsOf(c design) int {
	n := 0
	for _, q := range c.parts {
		n += len(q.rows)
	}
	return n
}

// sets reads [[survey]] tables that are not in the profile's file.
func (p *Profile) sets(text string) ([]survey.Set, error) {
	doc, err := document.Parse("a survey to be made", []byte(text))
	if err != nil {
		return nil, err
	}
	r := newReader(doc, nil, p.Unit, &Profile{Unit: p.Unit, Lathe: p.Lathe})
	tables, _ := doc.Root().Tables("survey", mostSurveys)
	for i, t := range tables {
		r.survey(t, i+1)
	}
	if err := doc.Faults(); err != nil {
		return nil, err
	}
	var out []survey.Set
	for _, s := range r.profile.Surveys {
		out = append(out, s.Set)
	}
	return out, nil
}

// text writes one [[survey]]; without readings their places stay empty.
func (d *designer) text(method string, q block, readings bool) string {
	var b strings.Builder
	fmt.Fprintf(&b, "[[survey]]\nmethod = %q\n%s", method, q.keys)
	columns := []string{"position"}
	if method == "level-along" {
		columns = []string{"from", "to"}
	}
	names := make([]string, 0, 4)
	for _, n := range append(columns, q.reads...) {
		names = append(names, fmt.Sprintf("%q", n))
	}
	fmt.Fprintf(&b, "columns = [%s]\nrows = [\n", strings.Join(names, ", "))
	for _, r := range q.rows {
		cells := []string{d.number(r.at)}
		if method == "level-along" {
			cells = append(cells, d.number(r.to))
		}
		switch {
		case readings:
			cells = append(cells, r.readings...)
			fmt.Fprintf(&b, "  [%s],\n", strings.Join(cells, ", "))
		default:
			fmt.Fprintf(&b, "  [%s, ],\n", strings.Join(cells, ", "))
		}
	}
	b.WriteString("]\n")
	return b.String()
}

// number writes a length in the file's unit.
func (d *designer) number(mm float64) string {
	s := strings.TrimRight(fmt.Sprintf("%.*f", d.decimals(), d.Unit.From(mm)), "0")
	s = strings.TrimRight(s, ".")
	if s == "-0" {
		return "0"
	}
	return s
}
