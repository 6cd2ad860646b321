package profile

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/bed"
	"wornway/profile/survey"
	"wornway/profile/wear"
)

// Deciding returns the index of the survey that would tell two wears apart best, and by how many standard deviations of
// its readings; −1 where none would by more than three. Of those that tell them apart surely it is the one that takes
// the least time.
func Deciding(a, b *wear.Wear, candidates []Candidate) (index int, apart float64) {
	const enough, surely = 3.0, 8.0
	index = -1
	better := func(i int, d float64) bool {
		switch {
		case d < enough:
			return false
		case index < 0:
			return true
		case math.Min(d, surely) != math.Min(apart, surely):
			return d > apart
		}
		return candidates[i].Minutes < candidates[index].Minutes
	}
	for i, c := range candidates {
		sum := 0.0
		for _, s := range c.Sets {
			sum += separation(a, b, s)
		}
		if d := math.Sqrt(sum); better(i, d) {
			index, apart = i, d
		}
	}
	return index, apart
}

// separation returns the sum of squares of how far a survey's readings would lie apart by two wears, in their
// uncertainties, once whatever it leaves open, and the spindle's lean, has taken what it can.
func separation(a, b *wear.Wear, s survey.Set) float64 {
	n, m := len(s.Equations), len(s.Terms)+2
	if n <= m {
		return 0
	}
	open := mat.NewDense(n, m, nil)
	d := mat.NewVecDense(n, nil)
	for i, e := range s.Equations {
		u := e.U
		if e.Side != survey.Value {
			u = math.Hypot(u, e.Half/math.Sqrt(3))
		}
		for _, q := range e.Parts {
			d.SetVec(i, d.AtVec(i)+q.Factor*(a.Value(q.Sum, q.At)-b.Value(q.Sum, q.At))/u)
			for k, scalar := range []bed.Scalar{bed.LeanOut, bed.LeanUp} {
				at := len(s.Terms) + k
				open.Set(i, at, open.At(i, at)+q.Factor*q.Sum.PerLength[scalar]*q.At/u)
			}
		}
		for _, h := range e.Shares {
			open.Set(i, h.Term, open.At(i, h.Term)+h.Factor/u)
		}
		if e.Side == survey.AtMost || e.Side == survey.AtLeast {
			d.SetVec(i, 0) // it may say nothing
		}
	}
	// What is left of d outside the columns' space, by the vectors of their singular value decomposition: columns of
	// nothing, or alike, do no harm.
	var svd mat.SVD
	if !svd.Factorize(open, mat.SVDThin) {
		return 0
	}
	values := svd.Values(nil)
	var left mat.Dense
	svd.UTo(&left)
	sum := mat.Dot(d, d)
	for j, v := range values {
		const nothing = 1e-9
		if v > nothing*values[0] {
			dot := mat.Dot(left.ColView(j), d)
			sum -= dot * dot
		}
	}
	return math.Max(0, sum)
}
