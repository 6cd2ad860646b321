package estimate

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"wornway/profile/survey"
)

// Not every reading is as good as it is said to be. A reading that is much further from what all others say than chance
// explains is set aside: it is named, and the wear is estimated without it. A survey of which that goes for more than a
// few readings is not mended by leaving some out; all of it counts with a greater uncertainty. Both are decided with
// the readings as good as stated, before the common noise is averaged over.
//
// Sources: the studentized residual of a reading left out, solve.go and sides.go; the ratio of what residuals are to
// what they should be is R. T. Birge's (Phys. Rev. 40 (1932) 207-227, from memory), taken survey by survey with each
// one's own share of the degrees of freedom as geodesists estimate components of variance (W. Förstner, Allg.
// Vermess.-Nachr. 86 (1979) 446-453, from memory). That few degrees of freedom leave the factor itself unsure is not
// counted: on made-up beds with a survey two to four times worse than stated it changed neither how often the truth
// lies within the ± nor the ± by a hundredth.
type trust struct {
	factor []float64 // by survey: its readings count with so many times their uncertainty; at least 1
	// by survey: how probable it is that good readings are as far off as those that it is widened for; 1 where it is
	// not
	chance []float64
	aside  []bool  // by row
	named  float64 // the number of standard deviations from which a reading is set aside
	rivals []rivals
}

const (
	falseNaming  = 0.02 // probability that on a page of good readings any is named
	falseWidened = 0.05 // probability that a survey with good readings is widened
	mostAside    = 0.12 // of a survey's readings
	// of the wear changes over a short reach where readings are doubted: neither so smooth that an edge looks like a
	// slip, nor so rough that a slip passes for one
	doubtShare = 0.1
	// from which a single reading does not matter, and the estimate with it serves as well as the one without
	manyRows = 400
	// more surveys than that are not doubted one by one
	manySurveys = 12
)

// believe makes the problem's readings as sure as stated.
func (p *problem) believe() {
	n := len(p.in.Surveys)
	p.trust = trust{factor: make([]float64, n), chance: make([]float64, n),
		aside: make([]bool, len(p.rows)), named: naming(len(p.rows))}
	for k := range p.factor {
		p.factor[k], p.chance[k] = 1, 1
	}
	p.weigh()
}

// naming returns the number of standard deviations beyond which the worst of n good readings seldom lies.
func naming(n int) float64 {
	return -distuv.UnitNormal.Quantile(falseNaming / 2 / float64(max(n, 1)))
}

// weigh gives every reading with a value the uncertainty that it counts with. Those that stand in for limits are chosen
// elsewhere, see sides.go.
func (p *problem) weigh() {
	const asideU = 1e3
	for i := range p.rows {
		r := &p.rows[i]
		e := p.in.Surveys[r.survey].Equations[r.equation]
		if e.Side != survey.Value {
			if p.aside[i] {
				r.rescale(silent, 0)
			}
			continue
		}
		u := e.U * p.factor[r.survey]
		if p.aside[i] {
			u *= asideU
		}
		if u != r.u {
			r.rescale(u, r.y*r.u)
		}
	}
}

// yardstick is the point at which readings are doubted, and how far each is off there.
type yardstick struct {
	at  point
	off *residuals
}

// doubt decides which readings to set aside, at the wear that is most probable and with no survey widened. It returns
// the surveys that do not agree with the others as a whole: those of which many readings would have to go, and those
// whose readings are further off than chance explains. by is what they were judged by, where all readings count as they
// did then; nil elsewhere.
func (p *problem) doubt(at point) (suspects []int, by *yardstick, err error) {
	p.believe()
	at = p.doubting(at)
	r, err := p.residuals(at)
	if err != nil {
		return nil, nil, err
	}
	whole := make([]bool, len(p.in.Surveys))
	for of := p.setAside(r, whole); len(of) > 0; of = p.setAside(r, whole) {
		for _, k := range of {
			whole[k] = true
		}
		clear(p.aside)
		p.rivals = nil
		if r, err = p.residuals(at); err != nil {
			return nil, nil, err
		}
	}
	if slices.Contains(whole, true) || slices.Contains(p.aside, true) {
		if slices.Contains(whole, true) {
			clear(p.aside) // what contradicts a survey that is itself in doubt is not wrong for that
			p.rivals = nil
		}
		p.weigh()
		if r, err = p.residuals(at); err != nil {
			return nil, nil, err
		}
	}
	if !slices.Contains(p.aside, true) {
		by = &yardstick{at, r}
	}
	for k := range whole {
		if whole[k] || r.significant(k) {
			suspects = append(suspects, k)
		}
	}
	return suspects, by, nil
}

// lurking looks for a reading that hides: while it counts, wear is thought to change as quickly as it takes to pass
// near it, and then it does not stand out. The readings that come next to standing out are tried one by one, the
// strengths looked for anew without each. It sets aside the first that then stands out and returns the point it was
// judged by. by is what [problem.doubt] has judged readings by last; nil where they count otherwise now.
func (p *problem) lurking(at point, by *yardstick) (point, bool, error) {
	const (
		next  = 2.3 // standard deviations: of good readings one in fifty is as far off
		tried = 3
	)
	if len(p.rows) > manyRows {
		return at, false, nil
	}
	if by == nil {
		by = &yardstick{at: p.doubting(at)}
		var err error
		if by.off, err = p.residuals(by.at); err != nil {
			return at, false, err
		}
	}
	start, r := by.at, by.off
	spare := p.spare()
	var order []int
	for i, q := range p.rows {
		if !p.aside[i] && spare[q.survey] > 0 && math.Abs(r.sigma(i)) > next {
			order = append(order, i)
		}
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(math.Abs(r.sigma(b)), math.Abs(r.sigma(a))) })
	for _, i := range order[:min(tried, len(order))] {
		p.aside[i] = true
		p.weigh()
		without := p.doubting(start)
		alone, err := p.residuals(without)
		if err != nil {
			return at, false, err
		}
		if math.Abs(alone.sigma(i)) > p.named {
			return without, true, nil
		}
		p.aside[i] = false
		p.weigh()
	}
	return at, false, nil
}

// doubting returns the most probable point near another with as much roughness as readings are doubted with, readings
// as good as stated.
func (p *problem) doubting(at point) point {
	at = nearby(p, at.with(doubtShare))
	at.at = at.at.asStated()
	return at
}

// suspect widens surveys, most often one, until they agree with the others, as if they were the only ones that are not
// as good as stated, and afterwards any that still does not agree. The readings count as stated before, and at is where
// they are doubted.
func (p *problem) suspect(at point, surveys []int) error {
	if _, err := p.widen(at, surveys, nil); err != nil {
		return err
	}
	at = p.doubting(at) // what is left has strengths of its own
	r, err := p.residuals(at)
	if err != nil {
		return err
	}
	whole := make([]bool, len(p.in.Surveys))
	for _, k := range surveys {
		whole[k] = true
	}
	now := r // as readings count now
	for of := p.setAside(r, whole); len(of) > 0; of = p.setAside(r, whole) {
		now = nil
		for _, j := range of {
			whole[j] = true
			for i, q := range p.rows {
				p.aside[i] = p.aside[i] && q.survey != j
			}
			p.reconcile(j)
			if _, err := p.widen(at, []int{j}, nil); err != nil {
				return err
			}
		}
		if r, err = p.residuals(at); err != nil {
			return err
		}
	}
	if slices.Contains(p.aside, true) {
		now = nil
	}
	p.weigh()
	all := make([]int, len(whole))
	for j := range all {
		all[j] = j
	}
	for _, of := range inTurn(all) {
		if now, err = p.widen(at, of, now); err != nil {
			return err
		}
	}
	return nil
}

// belief is the logarithm of how likely it is beforehand that so much is wrong: one survey in twenty, the less, as the
// square, the more it is wrong by, and one reading in a hundred. What is wrong with a survey is seldom chance, but one
// slip in all of it. How many readings it has, and how well they lie on a curve by themselves, therefore does not count
// for it.
func (p *problem) belief() float64 {
	const survey, reading = 1.0 / 20, 1.0 / 100
	sum := 0.0
	for _, f := range p.factor {
		if f > 1 {
			sum += math.Log(survey / (f * f))
		}
	}
	for _, a := range p.aside {
		if a {
			sum += math.Log(reading)
		}
	}
	return sum
}

// setAside sets readings aside, the furthest first, until none is too far from what the others say. Where a reading and
// one of another survey are only compared with each other either may be wrong: it sets one aside and notes both as
// rivals. Where a survey would lose more than a few, or there are many rivals, it stops and returns the surveys.
func (p *problem) setAside(r *residuals, whole []bool) []int {
	spare := p.spare()
	for {
		worst, far := -1, p.named
		for i, q := range p.rows {
			if z := math.Abs(r.sigma(i)); z > far && !p.aside[i] && !whole[q.survey] {
				worst, far = i, z
			}
		}
		if worst < 0 {
			return nil
		}
		k := p.rows[worst].survey
		in := []int{k}
		if j := p.rival(r, worst); j >= 0 {
			in = append(in, p.rows[j].survey)
			if len(p.rivals) == mostRivals || !p.isValue(worst) || !p.isValue(j) {
				return in
			}
			p.rivals = append(p.rivals, rivals{p.rated(r, worst), p.rated(r, j)})
		}
		for _, k := range in {
			if spare[k]--; spare[k] < 0 {
				return in
			}
		}
		p.aside[worst] = true
		r.without(worst)
	}
}

// spare returns how many more of each survey's readings may be set aside before the survey itself is in doubt. Of fewer
// than five none: what is left would be no survey.
func (p *problem) spare() []int {
	const fewest = 5
	have, lost := make([]int, len(p.in.Surveys)), make([]int, len(p.in.Surveys))
	for i, q := range p.rows {
		have[q.survey]++
		if p.aside[i] {
			lost[q.survey]++
		}
	}
	for k, n := range have {
		have[k] = 0
		if n >= fewest {
			have[k] = max(1, int(mostAside*float64(n))) - lost[k]
		}
	}
	return have
}

// widen brings surveys' residuals to what they should be, by the uncertainty that each counts with, where they are more
// than chance explains. r is what they are now, where that is known, and it returns what they are then; nil elsewhere.
func (p *problem) widen(at point, surveys []int, r *residuals) (*residuals, error) {
	const rounds, close = 8, 0.02
	for range rounds {
		if r == nil {
			var err error
			if r, err = p.residuals(at); err != nil {
				return nil, err
			}
		}
		widened, most := false, 0.0
		for _, k := range surveys {
			before := p.factor[k]
			if before == 1 && !r.significant(k) {
				continue
			}
			ratio, freedom := r.ratio(k)
			if before == 1 {
				p.chance[k] = distuv.ChiSquared{K: math.Max(1, freedom)}.Survival(freedom * ratio)
			}
			p.factor[k] = math.Max(1, before*math.Sqrt(ratio))
			widened, most = true, math.Max(most, math.Abs(p.factor[k]/before-1))
		}
		if !widened {
			return r, nil
		}
		p.weigh()
		if r = nil; most < close {
			break
		}
	}
	return nil, nil
}

// inTurn returns the surveys one by one, in the order in which they are to be widened, or all at once where they are
// many: which of so many comes first tells nothing, and to go through them takes as many solutions as there are.
func inTurn(surveys []int) [][]int {
	if len(surveys) > manySurveys {
		return [][]int{surveys}
	}
	return slices.Collect(slices.Chunk(surveys, 1))
}

// significant says whether a survey's residuals are more than chance explains.
func (r *residuals) significant(k int) bool {
	ratio, freedom := r.ratio(k)
	return freedom >= 1 && freedom*ratio > distuv.ChiSquared{K: freedom}.Quantile(1-falseWidened)
}

// residuals is how far each reading is from what the estimate, or the others, say of it.
type residuals struct {
	p  *problem
	in *mat.SymDense // P, in units of the readings' uncertainties; nil for very many readings
	py []float64     // P times the readings; for very many the readings less the estimate
}

// residuals returns them at a point, readings as sure as they count.
func (p *problem) residuals(at point) (*residuals, error) {
	r := &residuals{p: p, py: make([]float64, len(p.rows))}
	if len(p.rows) > manyRows {
		fit, err := p.fitted(at)
		if err != nil {
			return nil, err
		}
		for i, q := range p.rows {
			r.py[i] = q.y - fit[i].mean
		}
		return r, nil
	}
	all := p.all()
	m, white, err := projected(p, system{digest: all}.made(p), at)
	if err != nil {
		return nil, err
	}
	n := len(all.y)
	r.in = mat.NewSymDense(n, nil)
	blas64.Syrk(blas.Trans, 1, m.RawMatrix(), 0, r.in.RawSymmetric())
	blas64.Gemv(blas.Trans, 1, m.RawMatrix(), blas64.Vector{N: n, Inc: 1, Data: white}, 0,
		blas64.Vector{N: n, Inc: 1, Data: r.py})
	return r, nil
}

// left returns what the others say of a reading.
func (r *residuals) left(i int) expectation {
	if r.in == nil {
		return expectation{r.p.rows[i].y - r.py[i], 1}
	}
	return leftBy(r.p.rows[i].y, r.in.At(i, i), r.py[i])
}

// sigma returns how many standard deviations a reading is from what the others say, with its sign; 0 where they say
// nothing.
func (r *residuals) sigma(i int) float64 {
	off, variance, ok := r.p.off(i, r.left(i))
	if !ok {
		return 0
	}
	return off / math.Sqrt(variance)
}

// without takes a reading out: what the others say is then without it.
func (r *residuals) without(i int) {
	if r.in == nil {
		return
	}
	n := r.in.SymmetricDim()
	pii := r.in.At(i, i)
	if pii <= 0 {
		return
	}
	column := make([]float64, n)
	for j := range n {
		column[j] = r.in.At(i, j)
	}
	axpy(-r.py[i]/pii, column, r.py)
	r.in.SymRankOne(r.in, -1/pii, mat.NewVecDense(n, column))
}

// ratio returns the mean square of a survey's residuals against what it should be, and its degrees of freedom: its
// share of all that the readings have beyond what they determine.
func (r *residuals) ratio(k int) (ratio, freedom float64) {
	squares := 0.0
	for i, q := range r.p.rows {
		if q.survey != k || r.p.aside[i] || r.p.in.Surveys[k].Equations[q.equation].Side != survey.Value {
			continue
		}
		squares += r.py[i] * r.py[i]
		if r.in == nil {
			freedom++
		} else {
			freedom += r.in.At(i, i)
		}
	}
	return squares / math.Max(freedom, 1e-9), freedom
}
