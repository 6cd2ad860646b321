package estimate

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/abreast"
	"wornway/profile/bed"
	"wornway/profile/survey"
)

// Ahead asks what surveys that nobody has made yet would leave of the ± of some aims. How sure a sum of curves will be
// hangs little on what the readings will say, and mostly on where and how surely they are read; so that it can be told
// beforehand.
type Ahead struct {
	Aims       [][]bed.Addend // each one weighted sum of curves, mm, whose ± is wanted
	Candidates []Candidate
}

// Candidate is a survey that could be made. The readings in its sets are not used, but for limits: how much one says
// depends on how much of what is thought possible it cuts away.
type Candidate struct {
	Sets []survey.Set
	// standard uncertainty of the spindle's lean, out and up, per mm, that counts once the survey is made, as it then
	// has to be found; the input's where less
	Lean [2]float64
}

// Outlook is the greatest standard uncertainty, mm, among the aims.
type Outlook struct {
	Now   float64   // with the readings there are
	After []float64 // with each candidate beside them, in their order
	First int       // the candidate that leaves least
	// with each candidate beside the first as well; the first's own place holds what the first leaves alone
	Then []float64
}

// Foresee returns what each candidate would leave, alone and beside the one that leaves least. Without any readings it
// is for wear as strong as is usual, averaged over how it may run along the bed.
//
// The mixture of [Estimate] is carried forward. For each of its points the covariance of the aims shrinks by the
// candidate's equations, whatever they will read. How the readings weigh the points anew does depend on them: they are
// drawn from the mixture a few dozen times, and what is left is averaged. Errors: the strengths are not looked for
// anew, so that the mixture of the readings there are has to hold them.
//
// Source: the expected posterior of a Bayesian design, D. V. Lindley (1956), from memory; derived here for a mixture of
// normal densities.
func Foresee(in Input, a Ahead) (*Outlook, error) {
	f, err := foresee(in, a)
	if err != nil {
		return nil, err
	}
	return f.outlook()
}

// foresee carries the mixture of the readings there are over to aims and candidates.
func foresee(in Input, a Ahead) (*foresight, error) {
	if len(a.Aims) == 0 || len(a.Candidates) == 0 {
		return nil, errors.New("nothing to foresee: an aim and a candidate are needed")
	}
	for _, c := range a.Candidates {
		in.ahead = append(in.ahead, c.Sets...)
	}
	rows := 0
	for _, s := range in.Surveys {
		rows += len(s.Equations)
	}
	if rows == 0 { // one that says nothing makes the estimate what was known before
		in.Surveys = []survey.Set{{Equations: []survey.Equation{{U: 1}}}}
	}
	p, err := newProblem(in)
	if err != nil {
		return nil, err
	}
	var points []point
	if rows == 0 {
		points, err = usualWear(p)
	} else {
		var all mixtures
		all, p, err = settle(p)
		points = all.edges
	}
	if err != nil {
		return nil, err
	}
	if p.sits() { // what is not known of the saddle's seating counts as far as the ways differ under its ends
		w, err := p.wear(points)
		if err != nil {
			return nil, err
		}
		p.about = w.WithAbout(w)
		if p.seated() { // as the estimate takes the readings
			mixtures{edges: points}.about(w)
		}
	}
	f := newForesight(p, a)
	for _, t := range points {
		if err := f.at(t); err != nil {
			return nil, err
		}
	}
	f.cut()
	return f, nil
}

// usualWear returns the points of what is known before anything is read, the strengths being the usual ones: how strong
// the wear of a bed is that nobody has looked at may be anything, and an average over that would be that of beds worn
// out.
func usualWear(p *problem) ([]point, error) {
	sys := newSystem(p)
	var points []point
	for _, reach := range reaches {
		m := manner{reach, edgeShare}
		points = append(points, point{space: newSpace(p, sys, m), at: priorCentre(), score: m.prior(), weight: 1})
	}
	return weigh(points)
}

// outlook puts the points together.
func (f *foresight) outlook() (*Outlook, error) {
	out := &Outlook{Now: f.now()}
	each := make([]float64, len(f.plans))
	errs := make([]error, len(f.plans))
	fill := func(of func(i int) (float64, error)) ([]float64, error) {
		abreast.Do(len(f.plans), func(i int) { each[i], errs[i] = of(i) })
		return append([]float64{}, each...), errors.Join(errs...)
	}
	var err error
	if out.After, err = fill(func(i int) (float64, error) { return f.left(f.plans[i]) }); err != nil {
		return nil, err
	}
	for i, u := range out.After {
		if u < out.After[out.First] {
			out.First = i
		}
	}
	first := f.plans[out.First]
	out.Then, err = fill(func(i int) (float64, error) {
		if i == out.First {
			return out.After[i], nil
		}
		u, err := f.left(first.with(f.plans[i]))
		if f.plans[i].leans(first) {
			return u, err
		}
		return math.Min(u, out.After[out.First]), err // what is read beside it takes nothing away
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// with returns both as one.
func (c design) with(d design) design {
	out := design{rows: append(append([]int{}, c.rows...), d.rows...),
		flat:  beside(c.flat, d.flat, len(c.rows), len(d.rows)),
		terms: beside(c.terms, d.terms, len(c.rows), len(d.rows))}
	for i := range out.lean {
		out.lean[i] = math.Max(c.lean[i], d.lean[i])
	}
	return out
}

// leans says whether a lean counts for it that does not for the other.
func (c design) leans(other design) bool {
	return c.lean[0] > other.lean[0] || c.lean[1] > other.lean[1]
}

// beside returns a matrix with two others on its diagonal, of so many rows each; nil for no columns.
func beside(a, b *mat.Dense, above, below int) *mat.Dense {
	left, right := 0, 0
	if a != nil {
		_, left = a.Dims()
	}
	if b != nil {
		_, right = b.Dims()
	}
	if left+right == 0 {
		return nil
	}
	out := mat.NewDense(above+below, left+right, nil)
	if a != nil {
		out.Slice(0, above, 0, left).(*mat.Dense).Copy(a)
	}
	if b != nil {
		out.Slice(above, above+below, left, left+right).(*mat.Dense).Copy(b)
	}
	return out
}
