package cause

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/survey"
	"wornway/profile/wear"
)

// Question is what is asked.
type Question struct {
	Bed
	Readings []survey.Set // test cuts, and what else was read since: surveys with a zero of their own
	Mistaken []Misreading // how else the profile might read
}

// Misreading is the wear as it would be if a level of the profile had been read the wrong way round.
type Misreading struct {
	Survey int // its number, as the caller counts
	Wear   *wear.Wear
	Odds   float64 // beside the profile as it is, by all that it holds; 0: nothing is known of that
}

// Explanation is one cause or two together, or that none is needed or known.
type Explanation struct {
	Causes      []Kind
	Probability float64
	// of each cause and its standard uncertainty, in the unit that [Kind] names; NaN for what has none
	Size, U   []float64
	ChiSquare float64 // what is left of the readings
	// for Radius which survey it is, counted from 0, −1 for all cuts together; for LevelSign the number in the profile
	Survey int

	state state
}

// Found is one cause, whatever comes beside it.
type Found struct {
	Kind        Kind
	Probability float64 // that it is there, alone or with another
	Alone       float64 // that it is the only one
	Size, U     float64 // in the most probable explanation that has it
	// how much of its usual size these readings would show, in standard deviations of what they leave open
	Seen      float64
	ChiSquare float64
	Survey    int
}

// Result says how probable each cause is.
type Result struct {
	Explanations []Explanation // the most probable first
	Causes       []Found       // the most probable first, AsSurveyed and Other among them
	Freedom      int           // how many differences there are
	Decided      bool          // the first cause is as good as sure: alone, or with another
	Alike        [][2]Kind     // causes that these readings cannot tell apart

	question Question
}

// Enough is the probability from which a cause counts as found.
const Enough = 0.90

// widths are factors by which the uncertainty of the wear may be too small or too great on a bed, with their
// probabilities: where a bed is of a usual form its estimate is better than it says, and where it is not, it is off by
// much. They are by profile/study: of errors there, some 97 in a hundred lie within 1.96 times their uncertainty, and
// they scatter by 0.85 times it.
var widths = []struct{ factor, probability float64 }{{0.5, 0.3}, {1, 0.55}, {2, 0.15}}

// balance gathers explanations with the logarithm of how they weigh.
type balance struct {
	g       *readings
	columns map[Kind][]float64 // for one standard size
	all     []Explanation
	before  []float64 // how probable each is beforehand, up to a factor
	logs    []float64
}

// fit returns the evidence for causes in a state, averaged over how wide the uncertainty of the wear may be. The sizes
// are those of the width that fits best.
func (w *balance) fit(s state, causes ...Kind) (evidence, error) {
	var p pool
	for _, width := range widths {
		s.wider, s.worn = width.factor, 0
		f, err := w.fitAt(s, causes)
		if err != nil {
			return f, err
		}
		p.add(f, width.probability)
	}
	return p.all(), nil
}

// fitAt is fit for one width. Where the bed has worn on, what is not known of its wear has grown with it: by as much as
// fits, found in a few steps.
func (w *balance) fitAt(s state, causes []Kind) (evidence, error) {
	steps := 1
	if slices.Contains(causes, WornOn) {
		steps = 4
	}
	var f evidence
	for range steps {
		v, err := w.g.world(s).white()
		if err != nil {
			return f, err
		}
		var of []share
		for _, k := range causes {
			of = append(of, share{v.of(w.columns[k]), priors[k].one})
		}
		f = v.stretched(of)
		for i, k := range causes {
			if k == WornOn {
				s.worn = f.size[i] * priors[k].u
			}
		}
	}
	return f, nil
}

func (w *balance) add(e Explanation, before float64, f evidence) {
	e.ChiSquare = f.chi
	e.Size, e.U = make([]float64, len(e.Causes)), make([]float64, len(e.Causes))
	for i, k := range e.Causes {
		e.Size[i], e.U[i] = math.NaN(), math.NaN()
		if _, ok := w.columns[k]; ok {
			e.Size[i], e.U[i] = f.size[i]*priors[k].u, f.u[i]*priors[k].u
		}
	}
	w.all, w.before, w.logs = append(w.all, e), append(w.before, before), append(w.logs, math.Log(before)+f.log)
}

// several weighs states that are wholly other than was taken. Of them the most probable is told, with the probability
// of all.
func (w *balance) several(kind Kind, before float64, of []Explanation, shares []float64) error {
	best := -1
	var p pool
	for i := range of {
		f, err := w.fit(of[i].state)
		if err != nil {
			return err
		}
		if p.add(f, shares[i]) {
			best = i
		}
	}
	if best < 0 {
		return nil
	}
	e := of[best]
	e.Causes = []Kind{kind}
	w.add(e, before, p.all())
	return nil
}

// Find weighs the causes by what the readings say.
func Find(q Question) (*Result, error) {
	if !q.Wear.Stated() {
		return nil, ErrNotStated
	}
	g, err := gather(q.Bed, q.Readings, len(q.Readings))
	if err != nil {
		return nil, err
	}
	_, freedom := g.basis.Dims()
	if freedom < 2 {
		return nil, ErrFew
	}
	base := state{prediction: g.known(q.Wear), wider: 1}
	w := &balance{g: g, columns: map[Kind][]float64{}}
	odds, pairs := priors[Radius].odds, 0.0
	if len(q.Mistaken) > 0 {
		odds += priors[LevelSign].odds
	}
	for i, k := range columned {
		odds += priors[k].odds
		x := g.reduced(g.column(k))
		for i := range x {
			x[i] *= priors[k].u
		}
		w.columns[k] = x
		for _, l := range columned[:i] {
			pairs += pairOdds(l, k)
		}
	}
	f, err := w.fit(base)
	if err != nil {
		return nil, err
	}
	w.add(Explanation{Causes: []Kind{AsSurveyed}, state: base}, priorNone, f)
	for i, k := range columned {
		if f, err = w.fit(base, k); err != nil {
			return nil, err
		}
		w.add(Explanation{Causes: []Kind{k}, state: base}, priorOne*priors[k].odds/odds, f)
		for _, l := range columned[:i] {
			if o := pairOdds(l, k); o > 0 {
				if f, err = w.fit(base, l, k); err != nil {
					return nil, err
				}
				w.add(Explanation{Causes: []Kind{l, k}, state: base}, priorTwo*o/pairs, f)
			}
		}
	}
	if err := w.mistakes(q, base, odds); err != nil {
		return nil, err
	}
	if err := w.somethingElse(base); err != nil {
		return nil, err
	}
	r := &Result{question: q, Freedom: freedom, Explanations: w.all}
	w.normalize()
	slices.SortStableFunc(w.all, func(a, b Explanation) int { return cmp.Compare(b.Probability, a.Probability) })
	v, err := g.world(base).white()
	if err != nil {
		return nil, err
	}
	seen := map[Kind][]float64{}
	for k, x := range w.columns {
		seen[k] = v.of(x)
	}
	r.gatherCauses(seen)
	r.alike(seen)
	r.Decided = r.Causes[0].Probability >= Enough
	return r, nil
}

// unmodelled is how probable it is that the readings came about in a way that none of the explanations allows for,
// and that looks like one of them all the same. They then say nothing, and what was known beforehand stands. It is by
// profile/study: of causes that were all but sure without it, 95 in a hundred were there.
const unmodelled = 0.03

// normalize makes probabilities of how the explanations weigh.
func (w *balance) normalize() {
	most := slices.Max(w.logs)
	sum, before := 0.0, 0.0
	for i := range w.all {
		sum += math.Exp(w.logs[i] - most)
		before += w.before[i]
	}
	for i := range w.all {
		w.all[i].Probability = (1-unmodelled)*math.Exp(w.logs[i]-most)/sum + unmodelled*w.before[i]/before
	}
}

// pairOdds says how usual it is that two causes come together; 0: not considered.
func pairOdds(a, b Kind) float64 {
	if !priors[a].pair || !priors[b].pair {
		return 0
	}
	return priors[a].odds * priors[b].odds
}

// mistakes weighs what may have been noted or read wrongly.
func (w *balance) mistakes(q Question, base state, odds float64) error {
	var noted []Explanation
	for _, k := range append(slices.Clone(w.g.cuts), -1) {
		if k >= 0 || len(w.g.cuts) > 1 {
			s := base
			s.factor = halved(w.g.cuts, k)
			noted = append(noted, Explanation{Survey: k, state: s})
		}
	}
	if err := w.several(Radius, priorOne*priors[Radius].odds/odds, noted, even(len(noted))); err != nil {
		return err
	}
	before := priorOne * priors[LevelSign].odds / odds
	var mistaken []Explanation
	var shares []float64
	for _, m := range q.Mistaken {
		mistaken = append(mistaken, Explanation{Survey: m.Survey, state: state{prediction: w.g.known(m.Wear)}})
		s := 1 / float64(len(q.Mistaken))
		if m.Odds > 0 { // the profile's own readings have spoken
			s = m.Odds * priorNone / before
		}
		shares = append(shares, s)
	}
	return w.several(LevelSign, before, mistaken, shares)
}

// halved is the factor by which a cut's differences count that were noted on radius; −1: those of all cuts.
func halved(cuts []int, which int) func(int) float64 {
	return func(of int) float64 {
		if of == which || which < 0 && slices.Contains(cuts, of) {
			return 0.5
		}
		return 1
	}
}

func even(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = 1 / float64(n)
	}
	return out
}

// gatherCauses puts together what the explanations say of each cause.
func (r *Result) gatherCauses(columns map[Kind][]float64) {
	at := map[Kind]int{}
	for _, e := range r.Explanations {
		for i, k := range e.Causes {
			n, known := at[k]
			if !known {
				n = len(r.Causes)
				at[k] = n
				r.Causes = append(r.Causes, Found{Kind: k, Size: e.Size[i], U: e.U[i], ChiSquare: e.ChiSquare,
					Survey: e.Survey, Seen: math.NaN()})
				if c, ok := columns[k]; ok {
					r.Causes[n].Seen = math.Sqrt(dot(c, c))
				}
			}
			r.Causes[n].Probability += e.Probability
			if len(e.Causes) == 1 {
				r.Causes[n].Alone = e.Probability
			}
		}
	}
	slices.SortStableFunc(r.Causes, func(a, b Found) int { return cmp.Compare(b.Probability, a.Probability) })
}

// Unseen is how much of a cause's usual size the readings must show, in standard deviations, for them to say anything
// of it.
const Unseen = 0.7

// alike finds causes whose columns point the same way, as far as the readings can see.
func (r *Result) alike(columns map[Kind][]float64) {
	const same = 0.985
	for i, k := range columned {
		for _, l := range columned[:i] {
			a, b := columns[k], columns[l]
			na, nb := math.Sqrt(dot(a, a)), math.Sqrt(dot(b, b))
			if na > Unseen && nb > Unseen && math.Abs(dot(a, b)) > same*na*nb {
				r.Alike = append(r.Alike, [2]Kind{l, k})
			}
		}
	}
}

// somethingElse weighs that it is none of the causes: above all one bump or hollow somewhere in what the cuts come out
// like, which no reading but a cut sees, from a tool that wears, heat, a gib that is loose there, or a place that the
// survey missed.
func (w *balance) somethingElse(base state) error {
	const local = 0.7 // of the probability that it is something else
	var p pool
	humps := w.g.humps()
	for _, width := range widths {
		s := base
		s.wider = width.factor
		v, err := w.g.world(s).white()
		if err != nil {
			return err
		}
		for _, x := range humps {
			p.add(v.stretched([]share{{v.of(w.g.reduced(x)), false}}), width.probability/float64(len(humps)))
		}
	}
	others := w.g.others(base)
	if err := w.several(Other, (1-local)*priorOther, others, even(len(others))); err != nil {
		return err
	}
	if len(humps) == 0 {
		return nil
	}
	// Both are one explanation: what is told is the more probable.
	at := len(w.all) - 1
	rest := w.logs[at]
	w.before[at] = priorOther
	bump := p.all()
	all := math.Log(local*priorOther) + bump.log
	if all > rest {
		w.all[at].ChiSquare = bump.chi
	}
	top := math.Max(all, rest)
	w.logs[at] = top + math.Log(math.Exp(all-top)+math.Exp(rest-top))
	return nil
}

// humps are columns of one bump on diameter, of usual height, at places all along the cuts and of several widths.
func (g *readings) humps() [][]float64 {
	const usual = 0.02 // mm on diameter, standard
	first, last := math.Inf(1), math.Inf(-1)
	for _, r := range g.rows {
		if r.cut {
			first, last = math.Min(first, r.e.Position), math.Max(last, r.e.Position)
		}
	}
	if !(last > first) {
		return nil
	}
	var out [][]float64
	const places = 8
	for i := range places {
		at := first + (last-first)*float64(i)/(places-1)
		for _, wide := range []float64{25, 45, 80} { // mm, the standard deviation of its shape
			x := make([]float64, len(g.rows))
			for k, r := range g.rows {
				if d := (r.e.Position - at) / wide; r.cut {
					x[k] = usual * math.Exp(-d*d/2)
				}
			}
			out = append(out, x)
		}
	}
	return out
}

// others are worlds of a smooth error over the bed that all cuts share, and of one that each has for itself, small and
// great; one in which the wear is far less sure than the profile says, and one in which all readings are far worse than
// stated. A level sees such an error as a roll that would move the tool by half as much.
func (g *readings) others(base state) []Explanation {
	var out []Explanation
	n := len(g.rows)
	add := func(between func(a, b row) float64) {
		c := mat.NewSymDense(n, nil)
		for i := range n {
			for j := i; j < n; j++ {
				c.SetSym(i, j, between(g.rows[i], g.rows[j]))
			}
		}
		s := base
		s.more = c
		out = append(out, Explanation{state: s})
	}
	const reach = 120.0 // mm over which it changes
	unit := func(r row) float64 {
		if r.cut {
			return 1
		}
		return 1 / (2 * g.bed.Lathe.GuideHeight())
	}
	for _, amount := range []float64{0.005, 0.015, 0.045} { // mm on diameter
		smooth := func(a, b row) float64 { // Matérn, 3/2
			d := math.Sqrt(3) * math.Abs(a.e.Position-b.e.Position) / reach
			return amount * amount * unit(a) * unit(b) * (1 + d) * math.Exp(-d)
		}
		add(smooth)
		add(func(a, b row) float64 {
			if a.of != b.of {
				return 0
			}
			return smooth(a, b)
		})
	}
	// The survey missed what is there: the wear is far less sure than the profile says.
	const missed = 4
	far := mat.NewSymDense(n, nil)
	far.ScaleSym(missed*missed-1, base.curves)
	astray := base
	astray.more = far
	out = append(out, Explanation{state: astray})
	const worse = 4
	c := mat.NewSymDense(n, nil)
	for i, r := range g.rows {
		c.SetSym(i, i, (worse*worse-1)*r.e.U*r.e.U)
	}
	base.more = c
	return append(out, Explanation{state: base})
}
