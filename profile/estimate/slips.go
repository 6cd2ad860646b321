package estimate

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/stat"

	"wornway/profile/survey"
)

// Slip is a usual slip with one survey that would reconcile it with the others.
type Slip struct {
	Survey   int // its index
	Name, If string
	// how far its readings are from what the others say, root mean square in times what is expected, as written and
	// with the slip undone; NaN where there are no others
	Before, After float64
	// that it is this one, among all that were tried, no slip at all and readings that are worse than stated
	Probability float64
}

// Datum is a stretch of the bed, mm, that was taken as unworn.
type Datum struct {
	From, To    float64
	Probability float64
}

// Sure says whether all else is improbable enough to say it without an "or".
func (w *Datum) Sure() bool { return w.Probability >= sureSlip }

// Diagnosis is what explains that surveys do not agree, or that ways would have grown.
type Diagnosis struct {
	// the stretch taken as unworn that the readings speak against most, and how probable it is that it is worn; nil for
	// none
	Worn  *Datum
	Slips []Slip // the most probable first; those under one in two hundred are left out
	Sure  bool   // the first is with at least 95 % the survey that went wrong
}

// WorthSaying is how probable it must be that something went wrong for it to be told; below it the readings fit well
// enough as they are.
const WorthSaying = 0.3

// Likely is how probable it is that there is a slip in any survey.
func (d *Diagnosis) Likely() float64 {
	sum := 0.0
	for _, s := range d.Slips {
		sum += s.Probability
	}
	return sum
}

// Which slip it was is judged by the evidence for all readings once it is undone: as densities of the readings as
// written, over the same strengths and reaches as the estimate itself, and with what is known of wear: metal is only
// lost, and it is taken to be smooth, as rough wear would explain any slip. A slip is taken to be made with one survey
// in ten. Readings that show next to nothing fit better still once they count tenfold, as nothing times ten is nothing:
// hence a bed that is as good as new, and readings that are better than their ± says, is an explanation without a
// slip.
const (
	slipOdds  = 1.0 / 10
	newOdds   = 1.0 / 20 // that a bed is as good as new
	wornOdds  = 1.0 / 10 // that a stretch that is taken as unworn is worn
	worthSlip = 5.0      // what a slip must gain, as a logarithm, before it is looked at closely
	sureSlip  = 0.95     // from which it is said without an "or"
	leastSlip = 0.005
	slipShare = 0.002 // of what changes over a short reach
	// how far, as a logarithm, an explanation lies behind the best before it adds nothing to what is told
	negligible = 16
	// likewise where the most probable strengths were looked for once, from the readings as written: looked for from
	// wear as usual too, and with readings that are not quite linear taken there, it gained 50 at the most in made-up
	// files
	hopeless = 100
)

// explanation is one thing that may have gone wrong.
type explanation struct {
	Slip
	score float64 // until it is tried, at first sight
	worn  *Datum
	try   *trial // nil once it was tried
}

// trial is what an explanation's score is made of.
type trial struct {
	in         Input // with it undone
	odds, gain float64
	from       point // near which the strengths are looked for first
	usual      bool  // wear as usual may lie far from what the readings as written make of it
}

// Amiss says whether a slip, or a worn stretch that was taken as unworn, is probable enough to be told.
func (d *Diagnosis) Amiss() bool {
	return d.Likely() > WorthSaying || d.Worn != nil && d.Worn.Probability > WorthSaying
}

// Slips tries the usual slips with each survey. Where a first look finds none that could be worth saying it tries none
// and tells of none. What it found is kept.
func (r *Result) Slips() (*Diagnosis, error) {
	if r.slips == nil { // of wear that was not estimated
		return &Diagnosis{}, nil
	}
	return r.slips()
}

func (r *Result) diagnose() (*Diagnosis, error) {
	in := r.believed()
	in.kernels = r.solved.in.kernels
	from := r.best.with(slipShare)
	suspects := r.suspects()
	if quiet, err := in.quiet(suspects, from); err != nil || quiet {
		return &Diagnosis{}, err
	}
	none, err := in.explained(from)
	if err != nil {
		return nil, err
	}
	all := []explanation{{Slip: Slip{Survey: -1}, score: none}}
	b := baseline{none, from, none, sync.OnceValues(func() (float64, error) {
		return in.explained(from.with(edgeShare))
	})}
	if r.widened() {
		worse, err := b.roomy(r.worse(slipShare), func() (float64, error) { return r.worse(edgeShare), nil })
		if err != nil {
			return nil, err
		}
		all = append(all, explanation{Slip: Slip{Survey: -1}, score: worse})
	}
	all = append(all, in.wornOf(none, from)...)
	for _, k := range suspects {
		found, err := in.slipsOf(k, from)
		if err != nil {
			return nil, err
		}
		all = append(all, found...)
	}
	if err := b.tryAll(all); err != nil {
		return nil, err
	}
	best := slices.MaxFunc(all, func(a, b explanation) int { return cmp.Compare(a.score, b.score) }).score
	sum := 0.0
	for _, e := range all {
		sum += math.Exp(e.score - best)
	}
	d := &Diagnosis{}
	bySurvey := map[int]float64{}
	for _, e := range all {
		e.Probability = math.Exp(e.score-best) / sum
		bySurvey[e.Survey] += e.Probability
		if e.worn != nil && (d.Worn == nil || e.Probability > d.Worn.Probability) {
			d.Worn = e.worn
			d.Worn.Probability = e.Probability
		}
		if e.Survey >= 0 && e.Probability >= leastSlip {
			d.Slips = append(d.Slips, e.Slip)
		}
	}
	slices.SortStableFunc(d.Slips, func(a, b Slip) int { return cmp.Compare(b.Probability, a.Probability) })
	d.Sure = len(d.Slips) > 0 && bySurvey[d.Slips[0].Survey] >= sureSlip
	return d, nil
}

// baseline is the score of nothing that is wrong, beside which all else is held.
type baseline struct {
	none  float64
	from  point                   // near which the most probable strengths are looked for
	best  float64                 // score so far
	still func() (float64, error) // of nothing that is wrong where wear has room for an edge
}

// roomy returns an explanation's score that is no more beside that of nothing wrong than it is where wear has room for
// an edge: an edge fits smooth wear badly, and is neither a slip nor a worn datum. edged is the explanation's score
// there.
func (b *baseline) roomy(score float64, edged func() (float64, error)) (float64, error) {
	if score >= b.none+math.Log(leastSlip) && score >= b.best-negligible {
		still, err := b.still()
		if err != nil {
			return 0, err
		}
		with, err := edged()
		if err != nil {
			return 0, err
		}
		score = math.Min(score, b.none+with-still)
	}
	b.best = math.Max(b.best, score)
	return score, nil
}

// tryAll scores all explanations that were not tried yet. It begins with what fits best at first sight: beside a good
// one the others are soon seen to be hopeless.
func (b *baseline) tryAll(all []explanation) error {
	var order []*explanation
	for i := range all {
		if all[i].try != nil {
			order = append(order, &all[i])
		} else {
			b.best = math.Max(b.best, all[i].score)
		}
	}
	slices.SortStableFunc(order, func(x, y *explanation) int { return cmp.Compare(y.score, x.score) })
	for _, e := range order {
		var err error
		if e.score, err = b.likely(e.try); err != nil {
			return err
		}
		e.try = nil
	}
	return nil
}

// likely scores all readings with something undone, with its odds, near the baseline's strengths.
func (b *baseline) likely(t *trial) (float64, error) {
	score, err := t.explained(t.from, b.best)
	if err != nil {
		return 0, err
	}
	return b.roomy(score, func() (float64, error) { return t.explained(b.from.with(edgeShare), math.Inf(-1)) })
}

// slips returns the usual slips with a survey that would change its readings by enough to be seen.
func (in Input) slips(k int) []survey.Slip {
	all := in.Surveys[k].Slips()
	for i := range all {
		all[i].Set = kept(all[i].Set, in.Surveys[k])
	}
	return slices.DeleteFunc(all, func(s survey.Slip) bool {
		return s.Gain != 0 && changes(s.Set, in.Surveys[k]) < shown
	})
}

// worn returns the input with one of the stretches that are taken as unworn taken as any other.
func (in Input) worn(i int) Input {
	in.Unworn = slices.Concat(in.Unworn[:i], in.Unworn[i+1:])
	return in
}

// wornOf returns for each stretch that is taken as unworn that it is not. At first sight it is as good as nothing
// wrong.
func (in Input) wornOf(none float64, from point) []explanation {
	var out []explanation
	for i, u := range in.Unworn {
		out = append(out, explanation{Slip: Slip{Survey: -1}, score: none, worn: &Datum{From: u[0], To: u[1]},
			try: &trial{in: in.worn(i), odds: math.Log(wornOdds), from: from}})
	}
	return out
}

// believed returns the input without the readings that were set aside.
func (r *Result) believed() Input {
	in := r.in
	in.Surveys = slices.Clone(in.Surveys)
	for k := range in.Surveys {
		in.Surveys[k].Equations = nil
	}
	for i, q := range r.solved.rows {
		if !r.solved.aside[i] {
			in.Surveys[q.survey].Equations = append(in.Surveys[q.survey].Equations,
				r.in.Surveys[q.survey].Equations[q.equation])
		}
	}
	return in
}

// widened says whether the estimate takes the readings of a survey as worse than stated.
func (r *Result) widened() bool {
	return slices.ContainsFunc(r.best.space.p.factor, func(f float64) bool { return f > 1 })
}

// worse scores that nothing went wrong but readings that are worse than stated, as the estimate takes them, with a
// share of the wear's changes over a short reach as it is for a slip: with more of it wear lies nearer to any readings.
func (r *Result) worse(share float64) float64 {
	p := r.best.space.p.clone()
	p.steep = nil
	best := nearby(p, r.best.with(share))
	score := best.space.whole(best.at) + p.belief()
	for i, q := range p.rows {
		if p.in.Surveys[q.survey].Equations[q.equation].Side == survey.Value && !p.aside[i] {
			score -= math.Log(p.factor[q.survey])
		}
	}
	return score
}

// slipsOf returns the slips with one survey that are worth looking at.
func (in Input) slipsOf(k int, from point) ([]explanation, error) {
	others := in
	others.Surveys = slices.Concat(in.Surveys[:k], in.Surveys[k+1:])
	p, err := others.ready()
	if err != nil {
		return nil, err
	}
	var rest *glance // nil: nothing else was read
	all := math.Inf(-1)
	if len(p.rows) > 0 {
		from = nearby(p, from)
		g, _, err := p.glance(from, all, nil)
		if err != nil {
			return nil, err
		}
		rest = &g
	}
	before, _, err := in.glance(from, all, nil)
	if err != nil {
		return nil, err
	}
	score := before.score()
	written, err := in.written(from)
	if err != nil {
		return nil, err
	}
	var out []explanation
	for _, s := range in.slips(k) {
		least := score + worthSlip - s.Gain
		// Nothing speaks against a sign but how usual the wear would be, and that is seen at strengths of its own.
		if rest == nil && s.Name == "sign" && changes(s.Set, in.Surveys[k]) > 3*shown {
			least = all
		}
		after, use, err := in.with(k, s.Set).glance(from, least, written)
		if err != nil {
			return nil, err
		}
		if !use {
			continue
		}
		undone := after.score()
		if undone < least {
			continue
		}
		odds := math.Log(slipOdds * s.Odds)
		out = append(out, explanation{Slip: Slip{Survey: k, Name: s.Name, If: s.If,
			Before: before.against(in.Surveys[k], rest), After: after.against(s.Set, rest)},
			score: undone + s.Gain + odds, try: &trial{in.with(k, s.Set), odds, s.Gain, from, true}})
		if s.Gain > 0 {
			fresh, err := in.with(k, sharper(in.Surveys[k], s.Gain)).unworn(from)
			if err != nil {
				return nil, err
			}
			out = append(out, explanation{Slip: Slip{Survey: -1}, score: fresh + s.Gain})
		}
	}
	return out, nil
}

// shown is by how many times their uncertainty a slip must have changed readings before it is one: nothing times ten is
// nothing, and so is what a bubble does at rest.
const shown = 2

// changes returns by how much a survey's readings differ from another's, in times their uncertainty: root mean square
// about the mean, which a free zero takes.
func changes(s, from survey.Set) float64 {
	var off []float64
	for i, e := range from.Equations {
		if e.Side == survey.Value && i < len(s.Equations) {
			off = append(off, (s.Equations[i].Reading-e.Reading)/e.U)
		}
	}
	if len(off) == 0 {
		return 0
	}
	return stat.PopStdDev(off, nil)
}

// kept leaves out of a changed survey the rows that are not in the other.
func kept(s, as survey.Set) survey.Set {
	rows := map[int]bool{}
	for _, e := range as.Equations {
		rows[e.Row] = true
	}
	s.Equations = slices.DeleteFunc(slices.Clone(s.Equations), func(e survey.Equation) bool { return !rows[e.Row] })
	return s
}

// unworn scores that the bed is as good as new: that there is less wear than the readings could show.
func (in Input) unworn(from point) (float64, error) {
	const nothing = 1e-4 // mm
	p, err := in.ready()
	if err != nil {
		return 0, err
	}
	from.at = priorCentre()
	from.at[0] = math.Log(nothing)
	g, _, err := p.glance(from, math.Inf(-1), nil)
	if err != nil {
		return 0, err
	}
	return g.evidence() + g.space.manner.prior() + math.Log(newOdds), nil
}

// sharper returns a survey whose readings are better than stated by as much as a slip would have them denser; gain is
// the logarithm of that for all of them.
func sharper(s survey.Set, gain float64) survey.Set {
	values := 0.0
	for _, e := range s.Equations {
		if e.Side == survey.Value {
			values++
		}
	}
	f := math.Exp(-gain / math.Max(values, 1))
	s.Equations = slices.Clone(s.Equations)
	for i := range s.Equations {
		if s.Equations[i].Side == survey.Value {
			s.Equations[i].U *= f
		}
	}
	return s
}

// ready returns the problem with limits as rectangles.
func (in Input) ready() (*problem, error) {
	p, err := newProblem(in)
	if err != nil {
		return nil, err
	}
	newSides(p)
	return p, nil
}

// with returns the input with another set for a survey.
func (in Input) with(k int, s survey.Set) Input {
	in.Surveys = slices.Clone(in.Surveys)
	in.Surveys[k] = s
	return in
}

// explained scores all readings at the strengths and the reach that are most probable, from a start.
func (in Input) explained(from point) (float64, error) {
	t := trial{in: in}
	return t.explained(from, math.Inf(-1))
}

// explained scores all readings with something undone, with its odds, at the strengths and the reach that are then most
// probable. It looks for them no further where it is hopeless beside the best.
func (t *trial) explained(from point, best float64) (float64, error) {
	p, err := t.in.ready()
	if err != nil {
		return 0, err
	}
	score := unlikely
	starts := []strengths{from.at}
	if t.usual {
		starts = append(starts, priorCentre())
	}
	for _, at := range starts {
		from.at = at
		near := nearby(p, from)
		if s := near.space.whole(near.at) + t.gain + t.odds; s < best-hopeless {
			return math.Max(score, s), nil
		}
		if p.nonlinear() {
			w, err := p.lone(near)
			if err != nil {
				return 0, err
			}
			p.relinearize(w)
			near = nearby(p, near)
		}
		score = math.Max(score, near.space.whole(near.at)+t.gain+t.odds)
	}
	return score, nil
}
