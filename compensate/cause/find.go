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
	Mistaken []Mistaken   // how else the profile might read
}

// Mistaken is the wear as it would be if a level of the profile had been read the wrong way round.
type Mistaken struct {
	Survey int // its number, as the caller counts
	Wear   *wear.Wear
	Odds   float64 // beside the profile as it is, by all that it holds; 0: nothing is known of that
}

// Explanation is one cause or two together, or that none is needed or known.
type Explanation struct {
	Causes      []Kind
	Probability float64
	Size, U     []float64 // of each cause and its standard uncertainty, in the unit that [Kind] names; NaN for what has none
	ChiSquare   float64   // what is left of the readings
	Survey      int       // for Radius which survey it is, counted from 0, −1 for all cuts together; for LevelSign the number in the profile

	g *readings
	w world
	x []share
	s []float64 // the standard size of each x
}

// Found is one cause, whatever comes beside it.
type Found struct {
	Kind        Kind
	Probability float64 // that it is there, alone or with another
	Alone       float64 // that it is the only one
	Size, U     float64 // in the most probable explanation that has it
	Seen        float64 // how much of its usual size these readings would show, in standard deviations of what they leave open
	ChiSquare   float64
	Survey      int
}

// Result says how probable each cause is.
type Result struct {
	Explanations []Explanation // the most probable first
	Causes       []Found       // the most probable first, AsSurveyed and Other among them
	Freedom      int           // how many differences there are
	Decided      bool          // the first explanation is probable enough to be acted upon
	Alike        [][2]Kind     // causes that these readings cannot tell apart

	question Question
}

// Enough is the probability from which an explanation counts as decided.
const Enough = 0.80

// Find weighs the causes by what the readings say.
func Find(q Question) (*Result, error) {
	if !q.Wear.Stated() {
		return nil, ErrNotStated
	}
	g, err := gather(q.Bed, q.Readings, len(q.Readings))
	if err != nil {
		return nil, err
	}
	if _, m := g.basis.Dims(); m < 2 {
		return nil, ErrFew
	}
	base := g.world(q.Wear, nil, nil)
	w, err := base.white()
	if err != nil {
		return nil, err
	}
	r := &Result{question: q, Freedom: len(base.off)}
	var all []Explanation
	var logs []float64
	add := func(e Explanation, before float64, f fitted) {
		e.g, e.ChiSquare = g, f.chi
		e.Size, e.U = make([]float64, len(e.Causes)), make([]float64, len(e.Causes))
		for i := range e.Causes {
			e.Size[i], e.U[i] = math.NaN(), math.NaN()
			if i < len(e.s) {
				e.Size[i], e.U[i] = f.size[i]*e.s[i], f.u[i]*e.s[i]
			}
		}
		all, logs = append(all, e), append(logs, math.Log(before)+f.log)
	}
	columns := map[Kind]share{}
	odds, pairs := 0.0, 0.0
	for i, k := range columned {
		p := priors[k]
		odds += p.odds
		x := g.reduced(g.column(k))
		for i := range x {
			x[i] *= p.u
		}
		columns[k] = share{w.of(x), p.one}
		for _, l := range columned[:i] {
			if p.pair && priors[l].pair {
				pairs += p.odds * priors[l].odds
			}
		}
	}
	odds += priors[Radius].odds
	if len(q.Mistaken) > 0 {
		odds += priors[LevelSign].odds
	}
	add(Explanation{Causes: []Kind{AsSurveyed}, w: base}, priorNone, w.fit())
	for i, k := range columned {
		p := priors[k]
		a := columns[k]
		add(Explanation{Causes: []Kind{k}, w: base, x: []share{a}, s: []float64{p.u}}, priorOne*p.odds/odds, w.fit(a))
		for _, l := range columned[:i] {
			if o := priors[l]; p.pair && o.pair {
				b := columns[l]
				add(Explanation{Causes: []Kind{l, k}, w: base, x: []share{b, a}, s: []float64{o.u, p.u}}, priorTwo*p.odds*o.odds/pairs, w.fit(b, a))
			}
		}
	}
	// Whole worlds that are other than was taken: of each kind only the most probable is told, with the probability of all.
	several := func(kind Kind, before float64, of []Explanation, shares []float64) error {
		best, sum, most := -1, 0.0, math.Inf(-1)
		fits := make([]fitted, len(of))
		for i := range of {
			v, err := of[i].w.white()
			if err != nil {
				return err
			}
			fits[i] = v.fit()
			if s := fits[i].log + math.Log(shares[i]); s > most {
				best, most = i, s
			}
		}
		if best < 0 {
			return nil
		}
		for i := range of {
			sum += math.Exp(fits[i].log + math.Log(shares[i]) - most)
		}
		f := fits[best]
		f.log = most + math.Log(sum)
		e := of[best]
		e.Causes = []Kind{kind}
		add(e, before, f)
		return nil
	}
	var noted []Explanation
	for _, k := range append(slices.Clone(g.cuts), -1) {
		if k < 0 && len(g.cuts) < 2 {
			continue
		}
		noted = append(noted, Explanation{Survey: k, w: g.world(q.Wear, func(of int) float64 {
			if of == k || k < 0 && slices.Contains(g.cuts, of) {
				return 0.5
			}
			return 1
		}, nil)})
	}
	if err := several(Radius, priorOne*priors[Radius].odds/odds, noted, even(len(noted))); err != nil {
		return nil, err
	}
	var mistaken []Explanation
	var shares []float64
	for _, m := range q.Mistaken {
		mistaken = append(mistaken, Explanation{Survey: m.Survey, w: g.world(m.Wear, nil, nil)})
		s := 1 / float64(len(q.Mistaken))
		if m.Odds > 0 { // the profile's own readings have spoken
			s = m.Odds * priorNone / (priorOne * priors[LevelSign].odds / odds)
		}
		shares = append(shares, s)
	}
	if err := several(LevelSign, priorOne*priors[LevelSign].odds/odds, mistaken, shares); err != nil {
		return nil, err
	}
	others := g.others(q.Wear)
	if err := several(Other, priorOther, others, even(len(others))); err != nil {
		return nil, err
	}
	most := slices.Max(logs)
	sum := 0.0
	for i := range all {
		all[i].Probability = math.Exp(logs[i] - most)
		sum += all[i].Probability
	}
	for i := range all {
		all[i].Probability /= sum
	}
	slices.SortStableFunc(all, func(a, b Explanation) int { return cmp.Compare(b.Probability, a.Probability) })
	r.Explanations = all
	r.Decided = all[0].Probability >= Enough
	r.gatherCauses(columns)
	r.alike(columns)
	return r, nil
}

func even(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = 1 / float64(n)
	}
	return out
}

// gatherCauses puts together what the explanations say of each cause.
func (r *Result) gatherCauses(columns map[Kind]share) {
	at := map[Kind]int{}
	for _, e := range r.Explanations {
		for i, k := range e.Causes {
			n, known := at[k]
			if !known {
				n = len(r.Causes)
				at[k] = n
				r.Causes = append(r.Causes, Found{Kind: k, Size: e.Size[i], U: e.U[i], ChiSquare: e.ChiSquare, Survey: e.Survey, Seen: math.NaN()})
				if c, ok := columns[k]; ok {
					r.Causes[n].Seen = math.Sqrt(dot(c.x, c.x))
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

// Unseen is how much of a cause's usual size the readings must show, in standard deviations, for them to say anything of it.
const Unseen = 0.7

// alike finds causes whose columns point the same way, as far as the readings can see.
func (r *Result) alike(columns map[Kind]share) {
	const same = 0.985
	for i, k := range columned {
		for _, l := range columned[:i] {
			a, b := columns[k].x, columns[l].x
			na, nb := math.Sqrt(dot(a, a)), math.Sqrt(dot(b, b))
			if na > Unseen && nb > Unseen && math.Abs(dot(a, b)) > same*na*nb {
				r.Alike = append(r.Alike, [2]Kind{l, k})
			}
		}
	}
}

// others are worlds of a smooth error over the bed that all cuts share, and of one that each has for itself, small and great; and one in which all readings are far worse than stated. A level sees such an error as a roll that would move the tool by half as much.
func (g *readings) others(w *wear.Wear) []Explanation {
	var out []Explanation
	n := len(g.rows)
	add := func(between func(a, b row) float64) {
		c := mat.NewSymDense(n, nil)
		for i := range n {
			for j := i; j < n; j++ {
				c.SetSym(i, j, between(g.rows[i], g.rows[j]))
			}
		}
		out = append(out, Explanation{w: g.world(w, nil, c)})
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
	const worse = 4
	c := mat.NewSymDense(n, nil)
	for i, r := range g.rows {
		c.SetSym(i, i, (worse*worse-1)*r.e.U*r.e.U)
	}
	return append(out, Explanation{w: g.world(w, nil, c)})
}
