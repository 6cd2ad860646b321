package collars

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// Outlier is a collar that stands out from its neighbours by more than wear does from one to the next. Lengths mm, on
// diameter.
type Outlier struct {
	Position float64
	Cut      int     // its number
	Off      float64 // what was measured less what the others lead to expect
	U        float64 // standard uncertainty of that
	Kept     bool    // it counts all the same, as it may be right
}

const (
	oddOdds  = 0.01   // of a collar that was misread, before anything is known: as of any other reading
	namedOdd = 0.5    // how probable it must be that it was, to be named
	sureOdd  = 0.95   // and to be left out
	oddShare = 1 / 8. // of the collars that are left out at most; of few of them one
)

// misread is by how much a misread collar is off, standard, mm, each as probable as the others: from a division of the
// micrometer to a turn of its thimble, which is 0.5 mm or 0.025 in.
var misread = []float64{0.02, 0.1, 0.5}

// leaveOut takes out of the model the collars that surely stand out, one after the other, and returns them, at the end
// one that perhaps does. Wild says that there are more of them than can be left out.
func (m *model) leaveOut(t *Table) (out []Outlier, wild bool) {
	most := max(1, int(oddShare*float64(len(m.rows))))
	for {
		i, o, probability := m.oddest()
		if probability < namedOdd {
			return out, false
		}
		if len(out) == most {
			return out, true
		}
		r := m.rows[i]
		o.Position, o.Cut, o.Kept = r.z, t.Cuts[r.cut].Number, probability < sureOdd
		if out = append(out, o); o.Kept {
			return out, false
		}
		m.rows = append(append([]reading(nil), m.rows[:i]...), m.rows[i+1:]...)
	}
}

// oddest returns the collar that is most probably misread, and how probable that is: held against that none is, over
// all beliefs.
//
// What the others say of a collar, without solving again: Rasmussen and Williams (2006), equations 5.10 to 5.12, from
// memory.
func (m model) oddest() (odd int, o Outlier, probability float64) {
	n := len(m.rows)
	y := m.values()
	var as []float64               // by belief: the logarithm of how probable it makes the readings
	gain := make([][]float64, n)   // by collar and belief: what it gains where the collar is misread
	off := make([][][2]float64, n) // likewise how far it then is off, and the variance of that
	for _, b := range beliefs() {
		c, ok := m.factor(b)
		if !ok {
			continue
		}
		var inverse mat.SymDense
		if err := c.InverseTo(&inverse); err != nil && math.IsInf(c.Cond(), 0) {
			continue
		}
		back := mat.NewVecDense(n, nil)
		back.MulVec(&inverse, y)
		score := math.Log(b.prior) - (mat.Dot(y, back)+c.LogDet())/2
		if math.IsNaN(score) || math.IsInf(score, 0) {
			continue
		}
		as = append(as, score)
		for i := range n {
			variance := 1 / inverse.At(i, i)
			d := back.AtVec(i) * variance
			off[i] = append(off[i], [2]float64{d, variance})
			var by []float64
			for _, size := range misread {
				wide := variance + size*size
				by = append(by, (d*d/variance-d*d/wide+math.Log(variance/wide))/2)
			}
			gain[i] = append(gain[i], floats.LogSumExp(by)-math.Log(float64(len(by))))
		}
	}
	if len(as) == 0 {
		return 0, Outlier{}, 0
	}
	odds := make([]float64, n+1) // of each collar, and last of none
	odds[n] = floats.LogSumExp(as)
	for i := range n {
		both := make([]float64, len(as))
		for k := range as {
			both[k] = as[k] + gain[i][k]
		}
		odds[i] = math.Log(oddOdds) + floats.LogSumExp(both)
		if odds[i] > odds[odd] {
			odd = i
		}
	}
	whole := floats.LogSumExp(odds)
	square, weight := 0.0, 0.0
	for k, w := range as {
		w = math.Exp(w + gain[odd][k] + math.Log(oddOdds) - odds[odd])
		d := off[odd][k]
		weight += w
		o.Off += w * d[0]
		square += w * (d[0]*d[0] + d[1])
	}
	o.Off /= weight
	o.U = math.Sqrt(math.Max(0, square/weight-o.Off*o.Off))
	return odd, o, math.Exp(odds[odd] - whole)
}
