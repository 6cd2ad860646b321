package estimate

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/bed"
	"wornway/profile/survey"
	"wornway/profile/wear"
)

// Input is what an estimate is made from. Lengths mm.
type Input struct {
	Bed     [2]float64   // the stretch of ways
	Unworn  [][2]float64 // stretches without wear
	Surveys []survey.Set
	TwistU  float64    // standard uncertainty of the twist, per mm
	Lean    [2]float64 // out and up: what the profile says
	LeanU   [2]float64 // standard
	// how the saddle sits, by what the profile says, and its standard uncertainty: bed.Seating
	Seating, SeatingU float64
	// Follows is how far the front way's guide point shifts for each mm that it sinks where both flanks wear alike,
	// plus toward the operator: bed.V.Follows.
	Follows float64
	// OnlyLost says that metal is only lost: no carriage way lies higher than when it was new.
	OnlyLost bool
	// Single takes the most probable strengths and reach as if they were known. Every ± is then too small; it is there
	// to show by how much.
	Single bool

	ahead   []survey.Set // not made yet: the knots and curves serve them too
	kernels *kernels     // made so far; nil: none
}

// unknowns is the order of what is solved for: the curves at the knots, the scalars, and each survey's terms of which
// something is known beforehand.
type unknowns struct {
	knots  []float64
	curves []bed.Curve          // those that anything sees
	about  *wear.Wear           // on the knots: what is not linear is taken so about it; at first without wear
	terms  []float64            // standard uncertainties of the surveys' terms
	flats  int                  // how many terms of which nothing is known
	scalar [bed.Scalars]float64 // standard uncertainties
	mean   [bed.Scalars]float64
}

func (u *unknowns) curveAt(c bed.Curve) int {
	return slices.Index(u.curves, c) * len(u.knots)
}
func (u *unknowns) scalarAt() int { return len(u.curves) * len(u.knots) }
func (u *unknowns) termAt() int   { return u.scalarAt() + int(bed.Scalars) }
func (u *unknowns) count() int    { return u.termAt() + len(u.terms) }

// column returns the place of an unknown of the wear.
func (u *unknowns) column(k wear.Unknown) int {
	if k.Knot < 0 {
		return u.scalarAt() + int(k.Scalar)
	}
	return u.curveAt(k.Curve) + k.Knot
}

// entry is one weight in a row.
type entry struct {
	column int
	weight float64
}

// row is one reading, divided by its uncertainty.
type row struct {
	survey   int
	equation int // index within the survey
	known    []entry
	flat     []entry
	y        float64
	u        float64 // what it was divided by
}

// problem is all readings as rows of one linear system.
type problem struct {
	unknowns
	in     Input
	rows   []row
	offset []float64 // by survey: taken off its readings, where its zero is free
	term   [][]int   // by survey and term: the column, or −1 − its place among the flats
	trust
	steep []float64 // at the knots; nil until it is looked for
}

const (
	finest    = 12.7 // mm between knots: half an inch
	mostKnots = 100
)

func newProblem(in Input) (*problem, error) {
	if in.kernels == nil {
		in.kernels = new(kernels)
	}
	p := &problem{in: in}
	p.knots = knots(in)
	p.curves = []bed.Curve{bed.Front, bed.Shift, bed.Rear}
	for _, c := range []bed.Curve{bed.TailFront, bed.TailRear} {
		if in.touches(c) {
			p.curves = append(p.curves, c)
		}
	}
	values := map[bed.Curve][]float64{}
	for _, c := range p.curves {
		values[c] = make([]float64, len(p.knots))
	}
	w, err := wear.New(p.knots, values)
	if err != nil {
		return nil, err
	}
	p.about = w
	p.offset = offsets(in.Surveys)
	p.scalar = [bed.Scalars]float64{in.TwistU, in.LeanU[0], in.LeanU[1], tailSlope, tailSlope, in.SeatingU}
	p.mean = [bed.Scalars]float64{0, in.Lean[0], in.Lean[1], 0, 0, in.Seating}
	for _, s := range in.Surveys {
		var columns []int
		for _, t := range s.Terms {
			if t.Flat {
				columns = append(columns, -1-p.flats)
				p.flats++
			} else {
				columns = append(columns, len(p.terms))
				p.terms = append(p.terms, t.U)
			}
		}
		p.term = append(p.term, columns)
	}
	for i, s := range in.Surveys {
		for j, e := range s.Equations {
			p.rows = append(p.rows, p.row(i, j, e))
		}
	}
	p.believe()
	return p, nil
}

// clone returns a copy whose readings can be given other uncertainties.
func (p *problem) clone() *problem {
	out := *p
	out.rows = slices.Clone(p.rows)
	for i := range out.rows {
		r := &out.rows[i]
		r.known, r.flat = slices.Clone(r.known), slices.Clone(r.flat)
	}
	out.trust = trust{slices.Clone(p.factor), slices.Clone(p.chance), slices.Clone(p.aside),
		p.named, slices.Clone(p.rivals)}
	return &out
}

// same says whether two copies believe their readings alike.
func (p *problem) same(q *problem) bool {
	for k := range p.factor {
		const near = 0.05
		if math.Abs(p.factor[k]/q.factor[k]-1) > near {
			return false
		}
	}
	return slices.Equal(p.aside, q.aside)
}

// offsets returns the mean reading of each survey whose zero is free. It goes into the zero, where nobody looks for it,
// and does not eat the digits of what is left.
func offsets(surveys []survey.Set) []float64 {
	out := make([]float64, len(surveys))
	for i, s := range surveys {
		free := slices.IndexFunc(s.Terms, func(t survey.Term) bool { return t.Flat && t.Name == survey.ZeroName })
		if free < 0 {
			continue
		}
		for j, e := range s.Equations {
			out[i] += (e.Reading - out[i]) / float64(j+1)
		}
	}
	return out
}

// touches says whether any reading sees the curve.
func (in Input) touches(c bed.Curve) bool {
	for _, s := range slices.Concat(in.Surveys, in.ahead) {
		for _, e := range s.Equations {
			for _, q := range e.Parts {
				if slices.ContainsFunc(q.Sum.Terms, func(t bed.Term) bool { return t.Curve == c }) {
					return true
				}
			}
		}
	}
	return false
}

// knots spreads the knots: half an inch apart where the whole bed allows it, otherwise fine over the surveyed stretch
// and coarse beyond.
func knots(in Input) []float64 {
	// mm: of a bed, and of a stretch beyond the surveyed one, so that knots ascend whatever the positions are
	const shortest = 1.0
	from := in.Bed[0]
	to := math.Max(in.Bed[1], from+shortest)
	if n := int(math.Ceil((to-from)/finest)) + 1; n <= mostKnots {
		return even(from, to, max(n, 8))
	}
	a, b := to, from
	for _, s := range slices.Concat(in.Surveys, in.ahead) {
		for _, e := range s.Equations {
			for _, q := range e.Parts {
				a, b = math.Min(a, q.At), math.Max(b, q.At)
				for _, t := range q.Sum.Terms {
					a, b = math.Min(a, q.At+t.From), math.Max(b, q.At+t.To)
				}
			}
		}
	}
	if a < from+shortest {
		a = from
	}
	if b > to-shortest {
		b = to
	}
	if b-a < shortest {
		return even(from, to, mostKnots)
	}
	const fine = 80
	out := even(a, b, min(fine, int(math.Ceil((b-a)/finest))+1))
	beyond := (to - from) - (b - a)
	step := beyond / float64(mostKnots-fine-2)
	if n := int(math.Ceil((a - from) / step)); a > from {
		left := even(from, a, n+1)
		out = append(left[:len(left)-1], out...)
	}
	if n := int(math.Ceil((to - b) / step)); b < to {
		out = append(out, even(b, to, n+1)[1:]...)
	}
	return out
}

func even(from, to float64, n int) []float64 {
	n = max(n, 2)
	out := make([]float64, n)
	for i := range out {
		out[i] = from + (to-from)*float64(i)/float64(n-1)
	}
	return out
}

// row turns an equation into a row. What is not linear in it is taken so about p.about.
func (p *problem) row(surveyed, index int, e survey.Equation) row {
	var w wear.Weights
	bent := 0.0 // what the reading is beyond its linear part
	for _, q := range e.Parts {
		p.about.Weigh(&w, q.Sum, q.At, q.Factor)
		bent += q.Factor * p.about.Bent(q.Sum, q.At)
	}
	if e.Exact != nil {
		bent += e.Exact(p.about)
		for _, q := range e.Parts {
			bent -= q.Factor * p.about.Value(q.Sum, q.At)
		}
	}
	r := row{survey: surveyed, equation: index, y: (e.Reading - p.offset[surveyed] - bent) / e.U, u: e.U}
	w.Each(func(k wear.Unknown, weight float64) {
		if k.Knot < 0 {
			r.y -= weight * p.mean[k.Scalar] / e.U
		}
		r.known = append(r.known, entry{p.column(k), weight / e.U})
	})
	for _, s := range e.Shares {
		if c := p.term[surveyed][s.Term]; c < 0 {
			r.flat = append(r.flat, entry{-1 - c, s.Factor / e.U})
		} else {
			r.known = append(r.known, entry{p.termAt() + c, s.Factor / e.U})
		}
	}
	return r
}

// relinearize takes each reading that is not quite linear about the given wear.
func (p *problem) relinearize(w *wear.Wear) {
	p.about = w.WithAbout(w)
	for i, r := range p.rows {
		if e := p.in.Surveys[r.survey].Equations[r.equation]; p.bends(e) {
			p.rows[i] = p.row(r.survey, r.equation, e)
			p.rows[i].rescale(r.u, p.rows[i].y*e.U)
		}
	}
}

// bends says whether an equation is not quite linear: by itself, or by how the saddle sits.
func (p *problem) bends(e survey.Equation) bool { return e.Exact != nil || p.sits() && p.rocks(e) }

// sits says whether a saddle may sit otherwise than one that gives.
func (p *problem) sits() bool { return p.scalar[bed.Seating] > 0 || p.mean[bed.Seating] != 0 }

// rocks says whether an equation sees how the saddle sits. No limit does.
func (p *problem) rocks(e survey.Equation) bool {
	return e.Side == survey.Value && slices.ContainsFunc(e.Parts, func(q bed.Addend) bool {
		return len(q.Sum.Rocks) > 0
	})
}

// nonlinear says whether any reading is not quite linear.
func (p *problem) nonlinear() bool {
	for _, s := range p.in.Surveys {
		if slices.ContainsFunc(s.Equations, p.bends) {
			return true
		}
	}
	return false
}

// dense returns the rows as matrices: what is known of beforehand, the flats (nil for none), the readings.
func (p *problem) dense() (a, f *mat.Dense, y []float64) {
	n := len(p.rows)
	a = mat.NewDense(n, p.count(), nil)
	if p.flats > 0 {
		f = mat.NewDense(n, p.flats, nil)
	}
	y = make([]float64, n)
	for i, r := range p.rows {
		for _, e := range r.known {
			a.Set(i, e.column, a.At(i, e.column)+e.weight)
		}
		for _, e := range r.flat {
			f.Set(i, e.column, f.At(i, e.column)+e.weight)
		}
		y[i] = r.y
	}
	return a, f, y
}
