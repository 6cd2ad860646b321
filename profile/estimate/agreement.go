package estimate

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/survey"
)

// Agreement is how one survey agrees with the estimate that it is part of.
type Agreement struct {
	Method   string
	Rows     int     // as written
	RMS      float64 // root mean square of how far its readings are from what all other readings say of them, mm or radians
	Expected float64 // what that should be
	Scale    float64 // mm or radians in one unit of its readings
	Repeat   float64 // standard deviation of one reading from there and back; NaN where it was not read back
	Outliers []Outlier
}

// Outlier is a reading that is further from what all others say than it should be.
type Outlier struct {
	Row      int     // from 1 within the survey
	Position float64 // mm
	Sigma    float64 // how many standard deviations, with its sign
}

// outlying is the number of standard deviations from which a reading is named: one of some thousands is so far off by chance.
const outlying = 3.5

// agreement compares each survey with the others, readings as good as stated. A reading between two limits counts as its middle with the uncertainty of a rectangle; limits on one side are
// left out: they agree or say nothing.
func agreement(p *problem, at point, s sides) ([]Agreement, error) {
	at.at = at.at.asStated()
	others, err := p.others(at)
	if err != nil {
		return nil, err
	}
	out := make([]Agreement, len(p.in.Surveys))
	counts := make([]float64, len(out))
	for i, k := range p.in.Surveys {
		out[i] = Agreement{Method: k.Method.Name, Rows: k.Rows, Scale: k.Scale, Repeat: k.Repeat}
	}
	for i, r := range p.rows {
		if math.IsInf(others[i].variance, 1) {
			continue
		}
		e := p.in.Surveys[r.survey].Equations[r.equation]
		a := &out[r.survey]
		off, variance := (r.y-others[i].mean)*r.u, others[i].variance*r.u*r.u
		switch e.Side {
		case survey.AtMost, survey.AtLeast:
			continue
		case survey.Between:
			// What stands in for it may be as good as silent: the others' variance is then a small difference.
			off = e.Reading - p.offset[r.survey] - others[i].mean*r.u
			variance = math.Max(0, others[i].variance-1)*r.u*r.u + e.U*e.U + e.Half*e.Half/3
		}
		a.RMS += off * off
		a.Expected += variance
		counts[r.survey]++
		if sigma := off / math.Sqrt(variance); math.Abs(sigma) > outlying {
			a.Outliers = append(a.Outliers, Outlier{e.Row, e.Position, sigma})
		}
	}
	for i := range out {
		if counts[i] > 0 {
			out[i].RMS = math.Sqrt(out[i].RMS / counts[i])
			out[i].Expected = math.Sqrt(out[i].Expected / counts[i])
		}
		slices.SortFunc(out[i].Outliers, func(a, b Outlier) int { return cmp.Compare(math.Abs(b.Sigma), math.Abs(a.Sigma)) })
	}
	return out, nil
}

// others returns what the other rows say of each row. Of very many rows none matters by itself, and the estimate with it serves as well.
func (p *problem) others(at point) ([]left, error) {
	const many = 800
	if len(p.rows) <= many {
		return leaveOneOut(p, at)
	}
	return p.fitted(at)
}

// fitted returns what the estimate says of each row, at the most probable point.
func (p *problem) fitted(at point) ([]left, error) {
	s := at.space
	k, err := solve(s.covariance(at.at), s.f, s.y)
	if err != nil {
		return nil, err
	}
	// The unknowns' mean is their covariance with the readings times P·y; likewise for the terms.
	n, _ := s.a.Dims()
	py := append([]float64{}, k.white...)
	k.back(py)
	mean := make([]float64, p.count())
	m := len(p.knots)
	for i := range n {
		s.each(at.at, func(c int, v float64, cross *mat.Dense) {
			axpy(v*py[i], cross.RawRowView(i), mean[c*m:(c+1)*m])
		})
		for j := p.scalarAt(); j < p.count(); j++ {
			u := 0.0
			if j < p.termAt() {
				u = p.scalar[j-p.scalarAt()]
			} else {
				u = p.terms[j-p.termAt()]
			}
			mean[j] += u * u * s.a.At(i, j) * py[i]
		}
	}
	flat := k.coefficients(p.flats)
	// The coefficients above are of the readings themselves; what the unknowns explain is in them already.
	out := make([]left, len(p.rows))
	for i, r := range p.rows {
		v := 0.0
		for _, e := range r.known {
			v += e.weight * mean[e.column]
		}
		for _, e := range r.flat {
			v += e.weight * flat[e.column]
		}
		out[i] = left{v, 1}
	}
	return out, nil
}
