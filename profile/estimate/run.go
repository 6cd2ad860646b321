package estimate

import (
	"math"
	"wornway/profile/bed"

	"gonum.org/v1/gonum/mat"
)

// Run is a survey under way, seen ahead: what its stations would leave of the ± of some aims. The readings of all
// other surveys are gone through once; which of the run's own stations have been read costs little then.
type Run struct {
	f    *foresight
	rows []int // of each of the plan's rows, the survey's row that it belongs to, from 1
}

// ForeseeRun prepares it. The input has the other surveys, and the candidate is the run with all its stations in one
// set.
func ForeseeRun(in Input, aims [][]bed.Addend, run Candidate) (*Run, error) {
	f, err := foresee(in, Ahead{Aims: aims, Candidates: []Candidate{run}})
	if err != nil {
		return nil, err
	}
	r := &Run{f: f}
	for _, s := range run.Sets {
		for _, e := range s.Equations {
			r.rows = append(r.rows, e.Row)
		}
	}
	return r, nil
}

// Left returns the greatest standard uncertainty, mm, among the aims once the given rows are read, from 1. What the
// readings will say does not count, nor how they weigh the points anew: it ranks stations, and is not the ± that they
// will leave.
func (r *Run) Left(read func(row int) bool) (float64, error) {
	c := r.f.plans[0]
	var kept []int
	some := design{lean: c.lean}
	for i, row := range r.rows {
		if read(row) {
			kept, some.rows = append(kept, i), append(some.rows, c.rows[i])
		}
	}
	if len(kept) == 0 {
		return r.f.now(), nil
	}
	some.flat, some.terms = lines(c.flat, kept), lines(c.terms, kept)
	variance := make([]float64, r.f.aims)
	for _, t := range r.f.points {
		told, err := r.f.told(t, some)
		if err != nil {
			return 0, err
		}
		axpy(t.weight, told.variance, variance)
	}
	greatest := 0.0
	for _, v := range variance {
		greatest = math.Max(greatest, v)
	}
	return math.Sqrt(greatest), nil
}

// lines returns some of a matrix' rows; nil of nil.
func lines(m *mat.Dense, kept []int) *mat.Dense {
	if m == nil {
		return nil
	}
	_, columns := m.Dims()
	out := mat.NewDense(len(kept), columns, nil)
	for i, k := range kept {
		out.SetRow(i, mat.Row(nil, k, m))
	}
	return out
}
