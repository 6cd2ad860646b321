package estimate

import (
	"cmp"
	"math"
	"slices"

	"wornway/profile/bed"
	"wornway/profile/survey"
)

// Agreement is how one survey agrees with the estimate that it is part of.
type Agreement struct {
	Method string
	Rows   int // as written
	// root mean square of how far its readings are from what all other readings say of them, mm or radians; those set
	// aside do not count
	RMS      float64
	Expected float64 // what that should be
	Scale    float64 // mm or radians in one unit of its readings
	Repeat   float64 // standard deviation of one reading from there and back; NaN where it was not read back
	// its readings count with so many times their stated uncertainty where it is doubted; 1 where it agrees with the
	// others
	Factor float64
	Chance float64 // probability that a survey with good readings is as far off; 1 where it agrees with the others
	// probability that it is this survey that is doubted; less than 1 where others may be wrong in its place
	Doubt    float64
	Each     []Residual // of its readings, those of which the others say nothing left out
	Outliers []Residual // those of them that are further off than they should be, the furthest first
}

// Disagrees says whether the survey is so much at odds with the others that it ought to be named. What is less only
// widens the ±: chance alone brings it to one survey in twenty, and a short one then counts with much more than it is
// off by.
func (a Agreement) Disagrees() bool {
	const much, seldom = 2, 0.001
	return a.Factor > much && a.Chance < seldom
}

// Residual is how far a reading is from what all others say.
type Residual struct {
	Row      int       // from 1 within the survey
	Position float64   // mm
	Sigma    float64   // how many standard deviations, with its sign
	Off      float64   // reading less what the others say, mm or radians
	U        float64   // standard uncertainty of that, mm or radians
	Reading  float64   // mm or radians
	Aside    bool      // the estimate is made without it
	Sees     bed.Curve // the curve of the carriage ways that it sees most
	// how much of the reading a unit of that curve makes, mm or radians for each mm; 0: it sees none of them
	Per float64
	// probability that it is wrong: 1 where it is set aside for certain, less where it may be one of another survey
	// that contradicts it
	Doubt float64
}

// off returns how far a reading is from what others say of it, mm or radians, and the variance that it should have with
// the reading as sure as stated. A reading between two limits counts as its middle with the uncertainty of a rectangle;
// a limit on one side as reached where they do not pass it. It returns false where they say nothing.
func (p *problem) off(i int, others expectation) (off, variance float64, ok bool) {
	if math.IsInf(others.variance, 1) {
		return 0, 0, false
	}
	r := p.rows[i]
	e := p.in.Surveys[r.survey].Equations[r.equation]
	// Without the reading's own part: what stands in for a limit may be as good as silent, and one set aside is.
	variance = math.Max(0, others.variance-1)*r.u*r.u + e.U*e.U
	if e.Side == survey.Value {
		return (r.y - others.mean) * r.u, variance, true
	}
	off = e.Reading - p.offset[r.survey] - others.mean*r.u
	switch e.Side {
	case survey.AtMost:
		off = math.Min(0, off)
	case survey.AtLeast:
		off = math.Max(0, off)
	default:
		variance += e.Half * e.Half / 3
	}
	return off, variance, true
}

// agreement compares each survey with the others, readings as good as stated, at the first of the points.
func agreement(p *problem, points []point) ([]Agreement, error) {
	at := p.doubting(points[0])
	r, err := p.residuals(at)
	if err != nil {
		return nil, err
	}
	const slight = 0.05 // probability from which it is said that a reading may be wrong
	out := make([]Agreement, len(p.in.Surveys))
	counts := make([]float64, len(out))
	for i, k := range p.in.Surveys {
		out[i] = Agreement{Method: k.Method.Name, Rows: k.Rows, Scale: k.Scale, Repeat: k.Repeat, Factor: 1, Chance: 1}
		for _, t := range points {
			const counts = 0.01
			if f := t.space.p.factor[i]; f > 1 {
				out[i].Doubt += t.weight
				if t.weight > counts && f > out[i].Factor {
					out[i].Factor, out[i].Chance = f, t.space.p.chance[i]
				}
			}
		}
	}
	for i, q := range p.rows {
		off, variance, ok := p.off(i, r.left(i))
		if !ok {
			continue
		}
		doubt := 0.0
		for _, t := range points {
			if t.space.p.aside[i] {
				doubt += t.weight
			}
		}
		if v, ok := p.rivalry(i); ok && doubt > slight {
			off, variance = v.off, v.variance
		}
		e := p.in.Surveys[q.survey].Equations[q.equation]
		a := &out[q.survey]
		if !p.aside[i] && e.Side != survey.AtMost && e.Side != survey.AtLeast {
			a.RMS += off * off
			a.Expected += variance
			counts[q.survey]++
		}
		d := Residual{Row: e.Row, Position: e.Position, Sigma: off / math.Sqrt(variance), Off: off,
			U: math.Sqrt(variance), Reading: e.Reading, Aside: doubt > 1-slight, Doubt: doubt}
		d.Sees, d.Per = mostly(e)
		a.Each = append(a.Each, d)
		if doubt > slight || math.Abs(d.Sigma) > p.named {
			a.Outliers = append(a.Outliers, d)
		}
	}
	for i := range out {
		if counts[i] > 0 {
			out[i].RMS = math.Sqrt(out[i].RMS / counts[i])
			out[i].Expected = math.Sqrt(out[i].Expected / counts[i])
		}
		slices.SortFunc(out[i].Outliers, func(a, b Residual) int {
			return cmp.Compare(math.Abs(b.Sigma),
				math.Abs(a.Sigma))
		})
	}
	return out, nil
}

// mostly returns which curve of the carriage ways an equation sees most, and how much of it: of a level between two
// feet that of one of them.
func mostly(e survey.Equation) (c bed.Curve, per float64) {
	for _, p := range e.Parts {
		sees := map[bed.Curve]float64{}
		for _, t := range p.Sum.Terms {
			sees[t.Curve] += p.Factor * t.Mean
		}
		for _, k := range []bed.Curve{bed.Front, bed.Rear, bed.Shift} {
			if math.Abs(sees[k]) > math.Abs(per) {
				c, per = k, sees[k]
			}
		}
	}
	return c, per
}

// fitted returns what the estimate says of each row, at the most probable point.
func (p *problem) fitted(at point) ([]expectation, error) {
	s := at.space
	k, err := solve(s.covariance(at.at), s.f, s.y)
	if err != nil {
		return nil, err
	}
	// The unknowns' mean is their covariance with the readings times P·y; likewise for the terms.
	py := append([]float64{}, k.white...)
	k.back(py)
	mean := s.common(at.at, py)
	flat := k.coefficients(p.flats)
	s.terms(mean, flat)
	// The coefficients above are of the readings themselves; what the unknowns explain is in them already.
	out := make([]expectation, len(p.rows))
	for i, r := range p.rows {
		v := 0.0
		for _, e := range r.known {
			v += e.weight * mean[e.column]
		}
		for _, e := range r.flat {
			v += e.weight * flat[e.column]
		}
		out[i] = expectation{v, 1}
	}
	return out, nil
}
