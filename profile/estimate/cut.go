package estimate

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/survey"
)

// cut gives the candidates' limits their uncertainties. Each is what a reading with a value would need in order to
// narrow as much as the limit does, one limit after the other, so that what one has said the next does not say again.
// What a limit in a survey whose zero is free cuts is not known before the others are read: one on one side says
// nothing here, two count as the rectangle between them.
//
// Source: assumed-density filtering, the first pass of expectation propagation; see sides.go.
func (f *foresight) cut() {
	for _, c := range f.plans {
		var rows, places []int
		for i, k := range c.rows {
			if _, is := f.limits[k]; is {
				rows, places = append(rows, k), append(places, i)
			}
		}
		if len(rows) == 0 {
			continue
		}
		mean, cov := f.expected(c, rows, places)
		for i, k := range rows {
			e, u := f.limits[k], silent
			if e.Side == survey.Between && c.free(places[i]) {
				u = math.Hypot(e.U, e.Half/math.Sqrt(3))
			} else if m, v := mean[i], cov.At(i, i); v > 0 && !c.free(places[i]) {
				moved, narrowed := cutTo(e, e.Reading, m, v)
				if own := 1 / (1/narrowed - 1/v); own > 0 && own < silent*silent {
					u = math.Sqrt(own)
					column := mat.Col(nil, i, cov)
					axpy((moved-m)/v, column, mean)
					cov.SymRankOne(cov, (narrowed/v-1)/v, mat.NewVecDense(len(column), column))
				}
			}
			f.rescale(c, places[i], u)
		}
	}
}

// free says whether a flat term counts in a row.
func (c design) free(i int) bool {
	if c.flat == nil {
		return false
	}
	for _, v := range c.flat.RawRowView(i) {
		if v != 0 {
			return true
		}
	}
	return false
}

// expected returns what the mixture says of some of a candidate's rows, its own terms among what is not known. places
// are the rows' within the candidate.
func (f *foresight) expected(c design, rows, places []int) ([]float64, *mat.SymDense) {
	n := len(rows)
	mean, cov := make([]float64, n), mat.NewSymDense(n, nil)
	for _, t := range f.points {
		for i, k := range rows {
			mean[i] += t.weight * t.mean[k]
		}
	}
	for _, t := range f.points {
		for i, k := range rows {
			for j := i; j < n; j++ {
				l := rows[j]
				cov.SetSym(i, j, cov.At(i, j)+t.weight*(t.cov.At(k, l)+(t.mean[k]-mean[i])*(t.mean[l]-mean[j])))
			}
		}
	}
	if c.terms != nil {
		for i, a := range places {
			for j := i; j < n; j++ {
				cov.SetSym(i, j, cov.At(i, j)+dot(c.terms.RawRowView(a), c.terms.RawRowView(places[j])))
			}
		}
	}
	return mean, cov
}

// rescale divides a candidate's row by an uncertainty, mm.
func (f *foresight) rescale(c design, place int, u float64) {
	k := c.rows[place]
	divide := func(line []float64) {
		for i := range line {
			line[i] /= u
		}
	}
	divide(f.a.RawRowView(k))
	for _, m := range []*mat.Dense{c.flat, c.terms} {
		if m != nil {
			divide(m.RawRowView(place))
		}
	}
	for _, t := range f.points {
		t.mean[k] /= u
		for j := range len(t.mean) {
			v := t.cov.At(k, j) / u
			if j == k {
				v /= u
			}
			t.cov.SetSym(k, j, v)
		}
	}
}
