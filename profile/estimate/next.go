package estimate

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"

	"wornway/profile/bed"
	"wornway/profile/survey"
)

// Ahead asks what surveys that nobody has made yet would leave of the ± of some aims. How sure a sum of curves will be does not hang on what the readings will say, only on where and
// how surely they are read; so that it can be told beforehand.
type Ahead struct {
	Aims       [][]survey.Part // each one weighted sum of curves, mm, whose ± is wanted
	Candidates []Candidate
}

// Candidate is a survey that could be made. The readings in its sets are not used; a limit counts as a rectangle, an open one that reaches down to zero as one from there.
type Candidate struct {
	Sets []survey.Set
	Lean [2]float64 // standard uncertainty of the spindle's lean, out and up, per mm, that counts once the survey is made, as it then has to be found; the input's where less
}

// Outlook is the greatest standard uncertainty, mm, among the aims.
type Outlook struct {
	Now   float64   // with the readings there are
	After []float64 // with each candidate beside them, in their order
	First int       // the candidate that leaves least
	Then  []float64 // with each candidate beside the first as well; the first's own place holds what the first leaves alone
}

// Foresee returns what each candidate would leave, alone and beside the one that leaves least. Without any readings it averages over what wear is usually like.
//
// The mixture of [Estimate] is carried forward: for each of its points the covariance of the aims shrinks by the candidate's equations, and the points' means
// move together as they would if the candidate read what the mixture expects. How the readings to come weigh the points anew is left out.
func Foresee(in Input, a Ahead) (*Outlook, error) {
	if len(a.Aims) == 0 || len(a.Candidates) == 0 {
		return nil, errors.New("nothing to foresee: an aim and a candidate are needed")
	}
	for _, c := range a.Candidates {
		in.ahead = append(in.ahead, c.Sets...)
	}
	p, err := newProblem(in)
	if err != nil {
		return nil, err
	}
	blind := len(p.rows) == 0
	if blind {
		p.rows = []row{{u: 1}} // says nothing, and makes the estimate what was known before
	}
	var points []point
	if blind {
		points, err = average(p, priorCentre())
	} else {
		points, _, err = settle(p)
	}
	if err != nil {
		return nil, err
	}
	f := newForesight(p, a)
	f.blind = blind
	for _, t := range points {
		if err := f.at(t); err != nil {
			return nil, err
		}
	}
	return f.outlook()
}

// foresight holds aims and candidates as rows on the problem's unknowns: the aims first, then each candidate's.
type foresight struct {
	p      *problem
	q      *problem // whose rows they are
	plans  []planned
	aims   int
	blind  bool // no readings
	a      *mat.Dense
	rows   [][]entry
	spaces map[manner]*space // by reach and share
	points []foreseen
}

// planned is one candidate: its rows from first to last, the columns of its own terms there, and by how much the variance of a lean grows.
type planned struct {
	first, last int
	flat, terms *mat.Dense // rows × columns; nil for none
	lean        [2]float64
}

// foreseen is one point: mean and covariance of all rows by the readings there are, without their own errors.
type foreseen struct {
	weight, noise float64
	mean          []float64
	cov           *mat.SymDense
}

func newForesight(p *problem, a Ahead) *foresight {
	f := &foresight{p: p, aims: len(a.Aims), spaces: map[manner]*space{}}
	q := *p
	q.rows, q.in, q.terms, q.flats = nil, Input{Unworn: p.in.Unworn}, nil, 0
	q.offset, q.term = make([]float64, 1), [][]int{nil}
	for _, parts := range a.Aims {
		q.rows = append(q.rows, q.row(0, 0, survey.Equation{Parts: parts, U: 1}))
	}
	for _, c := range a.Candidates {
		f.plans = append(f.plans, f.plan(&q, c))
	}
	f.q = &q
	f.a, _, _ = q.dense()
	f.rows = sparse(f.a)
	return f
}

// plan adds a candidate's rows.
func (f *foresight) plan(q *problem, c Candidate) planned {
	out := planned{first: len(q.rows)}
	type share struct {
		row, column int
		weight      float64
	}
	var flat, terms []share
	flats, known := 0, 0
	for _, s := range c.Sets {
		column := make([]int, len(s.Terms))
		for i, t := range s.Terms {
			if t.Flat {
				column[i] = flats
				flats++
			} else {
				column[i] = known
				known++
			}
		}
		for _, e := range s.Equations {
			u := rectangle(e)
			at := len(q.rows) - out.first
			for _, x := range e.Shares {
				if t := s.Terms[x.Term]; t.Flat {
					flat = append(flat, share{at, column[x.Term], x.Factor / u})
				} else {
					terms = append(terms, share{at, column[x.Term], x.Factor * t.U / u})
				}
			}
			e.U, e.Shares = u, nil
			q.rows = append(q.rows, q.row(0, 0, e))
		}
	}
	out.last = len(q.rows)
	dense := func(list []share, columns int) *mat.Dense {
		if columns == 0 || out.last == out.first {
			return nil
		}
		m := mat.NewDense(out.last-out.first, columns, nil)
		for _, x := range list {
			m.Set(x.row, x.column, m.At(x.row, x.column)+x.weight)
		}
		return m
	}
	out.flat, out.terms = dense(flat, flats), dense(terms, known)
	for i, u := range c.Lean {
		if now := f.p.in.LeanU[i]; u > now {
			out.lean[i] = u*u - now*now
		}
	}
	return out
}

// rectangle returns the standard uncertainty that an equation counts with: a limit's as if every value within it were as probable.
func rectangle(e survey.Equation) float64 {
	switch e.Side {
	case survey.Between:
		return math.Hypot(e.U, e.Half/math.Sqrt(3))
	case survey.AtMost:
		if e.Reading > 0 {
			return math.Hypot(e.U, e.Reading/2/math.Sqrt(3))
		}
		return silent
	case survey.AtLeast:
		return silent
	}
	return e.U
}

// at works out one point.
func (f *foresight) at(t point) error {
	post, err := t.space.posterior(t.at)
	if err != nil {
		return err
	}
	n := len(f.rows)
	s := f.spaces[t.space.manner]
	if s == nil {
		s = newSpace(f.q, system{a: f.a, rest: f.scalars()}, t.space.manner)
		f.spaces[t.space.manner] = s
	}
	cov := mat.NewSymDense(n, nil)
	raw := cov.RawSymmetric()
	copy(raw.Data, s.rest.RawSymmetric().Data)
	for _, q := range s.pairs {
		axpy(t.at.between(f.p.curves[q.c], f.p.curves[q.d]), q.part.RawSymmetric().Data, raw.Data)
	}
	r, _ := post.gained.Dims()
	gained := mat.NewDense(r, n, nil)
	mean := make([]float64, n)
	for j, row := range f.rows {
		for _, e := range row {
			mean[j] += e.weight * post.mean[e.column]
		}
	}
	for i := range r {
		from, to := post.gained.RawRowView(i), gained.RawRowView(i)
		for j, row := range f.rows {
			v := 0.0
			for _, e := range row {
				v += e.weight * from[e.column]
			}
			to[j] = v
		}
	}
	blas64.Syrk(blas.Trans, -1, gained.RawMatrix(), 1, raw)
	f.points = append(f.points, foreseen{t.weight, t.at.noise(), mean, cov})
	return nil
}

// scalars returns the rows' covariance by what is known of the scalars beforehand.
func (f *foresight) scalars() *mat.SymDense {
	n := len(f.rows)
	out := mat.NewSymDense(n, nil)
	for k, u := range f.p.scalar {
		if u > 0 {
			out.SymRankOne(out, u*u, mat.NewVecDense(n, mat.Col(nil, f.p.scalarAt()+k, f.a)))
		}
	}
	return out
}

// outlook puts the points together.
func (f *foresight) outlook() (*Outlook, error) {
	out := &Outlook{Now: f.worst(f.points)}
	for _, c := range f.plans {
		after, err := f.with(f.points, c, false)
		if err != nil {
			return nil, err
		}
		out.After = append(out.After, f.worst(after))
	}
	for i, u := range out.After {
		if u < out.After[out.First] {
			out.First = i
		}
	}
	first := f.plans[out.First]
	beside, err := f.with(f.points, first, true)
	if err != nil {
		return nil, err
	}
	for i, c := range f.plans {
		if i == out.First {
			out.Then = append(out.Then, out.After[i])
			continue
		}
		for j := range c.lean { // the first has let it grow already
			c.lean[j] = math.Max(0, c.lean[j]-first.lean[j])
		}
		after, err := f.with(beside, c, false)
		if err != nil {
			return nil, err
		}
		out.Then = append(out.Then, f.worst(after))
	}
	return out, nil
}

// with returns the points once a candidate is made: of all rows where whole, otherwise of the aims.
func (f *foresight) with(points []foreseen, c planned, whole bool) ([]foreseen, error) {
	wanted := f.aims
	if whole {
		wanted = len(f.rows)
	}
	n := c.last - c.first
	expected := make([]float64, n)
	for _, t := range points {
		axpy(t.weight, t.mean[c.first:c.last], expected)
	}
	out := make([]foreseen, len(points))
	for k, t := range points {
		cov := f.leaning(t.cov, c)
		own := mat.NewSymDense(n, nil)
		cross := mat.NewDense(n, wanted, nil)
		for i := range n {
			for j := i; j < n; j++ {
				own.SetSym(i, j, cov.At(c.first+i, c.first+j))
			}
			own.SetSym(i, i, own.At(i, i)+t.noise*t.noise)
			for j := range wanted {
				cross.Set(i, j, cov.At(c.first+i, j))
			}
		}
		if c.terms != nil {
			var by mat.SymDense
			by.SymOuterK(1, c.terms)
			own.AddSym(own, &by)
		}
		y := make([]float64, n)
		for i := range y {
			y[i] = expected[i] - t.mean[c.first+i]
		}
		s, err := solve(own, c.flat, y)
		if err != nil {
			return nil, err
		}
		s.free(cross)
		left := mat.NewSymDense(wanted, nil)
		for i := range wanted {
			for j := i; j < wanted; j++ {
				left.SetSym(i, j, cov.At(i, j))
			}
		}
		blas64.Syrk(blas.Trans, -1, cross.RawMatrix(), 1, left.RawSymmetric())
		mean := append([]float64{}, t.mean[:wanted]...)
		for i, w := range s.white {
			axpy(w, cross.RawRowView(i), mean)
		}
		out[k] = foreseen{t.weight, t.noise, mean, left}
	}
	return out, nil
}

// leaning returns the covariance with what a candidate lets the spindle's lean be unknown by.
func (f *foresight) leaning(cov *mat.SymDense, c planned) *mat.SymDense {
	for i, more := range c.lean {
		if more == 0 {
			continue
		}
		n := cov.SymmetricDim()
		grown := mat.NewSymDense(n, nil)
		column := mat.Col(nil, f.p.scalarAt()+int([...]bed.Scalar{bed.LeanOut, bed.LeanUp}[i]), f.a)
		grown.SymRankOne(cov, more, mat.NewVecDense(n, column[:n]))
		cov = grown
	}
	return cov
}

// worst returns the greatest standard uncertainty among the aims. With readings it is the mixture's. Without any, the points differ by far more than those of any
// bed that is then surveyed, and the ± to expect is their mean.
func (f *foresight) worst(points []foreseen) float64 {
	greatest := 0.0
	for i := range f.aims {
		mean, u, variance := 0.0, 0.0, 0.0
		for _, t := range points {
			mean += t.weight * t.mean[i]
		}
		for _, t := range points {
			v := math.Max(0, t.cov.At(i, i))
			d := t.mean[i] - mean
			u += t.weight * math.Sqrt(v)
			variance += t.weight * (v + d*d)
		}
		if !f.blind {
			u = math.Sqrt(variance)
		}
		greatest = math.Max(greatest, u)
	}
	return greatest
}
