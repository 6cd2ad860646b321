package estimate

import (
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"

	"wornway/profile/bed"
	"wornway/profile/survey"
)

// foresight holds aims and candidates as rows on the problem's unknowns: the aims first, then each candidate's.
type foresight struct {
	p      *problem
	q      *problem // whose rows they are
	plans  []design
	aims   int
	limits map[int]survey.Equation // by row: those that are limits and not values
	a      *mat.Dense
	rows   [][]entry
	spaces map[manner]*space // by reach and share
	points []forecast
}

// design is one candidate: its rows, the columns of its own terms there, and by how much the variance of a lean grows.
type design struct {
	rows        []int
	flat, terms *mat.Dense // rows × columns; nil for none
	lean        [2]float64
}

// forecast is one point: mean and covariance of all rows by the readings there are, without their own errors.
type forecast struct {
	weight, noise float64
	mean          []float64
	cov           *mat.SymDense
}

func newForesight(p *problem, a Ahead) *foresight {
	f := &foresight{p: p, aims: len(a.Aims), spaces: map[manner]*space{}, limits: map[int]survey.Equation{}}
	q := *p
	q.rows, q.terms, q.flats = nil, nil, 0
	q.in = Input{Bed: p.in.Bed, Unworn: p.in.Unworn, Follows: p.in.Follows, kernels: p.in.kernels}
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
func (f *foresight) plan(q *problem, c Candidate) design {
	var out design
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
			u := e.U
			if e.Side != survey.Value {
				u = 1 // until it is known what there is to be cut
				f.limits[len(q.rows)] = e
			}
			at := len(out.rows)
			for _, x := range e.Shares {
				if t := s.Terms[x.Term]; t.Flat {
					flat = append(flat, share{at, column[x.Term], x.Factor / u})
				} else {
					terms = append(terms, share{at, column[x.Term], x.Factor * t.U / u})
				}
			}
			e.U, e.Shares = u, nil
			out.rows = append(out.rows, len(q.rows))
			q.rows = append(q.rows, q.row(0, 0, e))
		}
	}
	dense := func(list []share, columns int) *mat.Dense {
		if columns == 0 || len(out.rows) == 0 {
			return nil
		}
		m := mat.NewDense(len(out.rows), columns, nil)
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

// at works out one point.
func (f *foresight) at(t point) error {
	post, err := t.space.posterior(t.at)
	if err != nil {
		return err
	}
	n := len(f.rows)
	s := f.spaces[t.space.manner]
	if s == nil {
		s = newSpace(f.q, system{digest: digest{a: f.a}, rest: f.scalars()}.made(f.q), t.space.manner)
		f.spaces[t.space.manner] = s
	}
	cov := mat.NewSymDense(n, nil)
	copy(cov.RawSymmetric().Data, s.rest.RawSymmetric().Data)
	for _, q := range s.pairs {
		q.add(f.p.between(t.at, f.p.curves[q.c], f.p.curves[q.d]), cov)
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
	blas64.Syrk(blas.Trans, -1, gained.RawMatrix(), 1, cov.RawSymmetric())
	f.points = append(f.points, forecast{t.weight, t.at.noise(), mean, cov})
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

// leaning returns the covariance with what a candidate lets the spindle's lean be unknown by.
func (f *foresight) leaning(cov *mat.SymDense, c design) *mat.SymDense {
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
