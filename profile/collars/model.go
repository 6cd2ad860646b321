package collars

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// reading is one collar in the model. Lengths mm, on diameter.
type reading struct {
	z, value float64
	cut      int
	deep     float64 // depth against the mean of the cuts
}

// model is what is believed of the curve before anything is measured, and the readings. mm, on diameter.
type model struct {
	rows   []reading
	cuts   int
	u      float64 // of one diameter
	middle float64 // about which the line is counted
	shape  func(z float64) float64
	push   [2]float64 // mean and standard uncertainty of the push-off where it is greatest
	slope  float64    // standard, of the line, on diameter per mm
}

// lean is how much a spindle, a twisted bed or centres may lie askew, standard, on radius per mm: that of the estimate
// from all surveys.
const lean = 2e-4

// loose is the variance of a cut's zero, mm²: nothing is known of it.
const loose = 1

func newModel(t *Table, h Conditions) model {
	m := model{cuts: len(t.Cuts), u: h.u(), slope: 2 * lean}
	first, last := t.Range()
	m.middle = (first + last) / 2
	shape, scale := h.bar(t).Push(first, last)
	m.shape = shape
	// mean and standard deviation of a half-normal density: work is pushed away, never drawn in
	m.push = [2]float64{scale * math.Sqrt(2/math.Pi), scale * math.Sqrt(1-2/math.Pi)}
	mean, known := 0.0, 0
	for _, c := range t.Cuts {
		if !math.IsNaN(c.Depth) {
			mean, known = mean+c.Depth, known+1
		}
	}
	usual := t.Diameter()
	for i, c := range t.Cuts {
		deep := 1.0
		if known == len(t.Cuts) {
			deep = c.Depth / (mean / float64(known))
		}
		for k, z := range c.Positions {
			m.rows = append(m.rows, reading{z, c.Diameters[k] - usual, i, deep})
		}
	}
	return m
}

// belief is one setting of what is averaged over. mm on diameter.
type belief struct {
	strong, reach, repeat float64
	prior                 float64
}

// beliefs are the settings. Strengths and reaches lie evenly by their logarithm: worn lathes are off by a few to a
// hundred micrometres, and a saddle evens out what is much shorter than itself. Cuts repeat to some micrometres (common
// practice, no source).
func beliefs() []belief {
	var out []belief
	for _, s := range []float64{0.001, 0.002, 0.004, 0.008, 0.016, 0.032, 0.064, 0.128} {
		for _, l := range []float64{75, 150, 300, 600} {
			for _, r := range []struct{ repeat, prior float64 }{{0, 0.3}, {0.001, 0.3}, {0.002, 0.25}, {0.004, 0.1},
				{0.008, 0.05}} {
				out = append(out, belief{s, l, r.repeat, r.prior})
			}
		}
	}
	return out
}

// smooth is the covariance of the curve at two places: Matérn's of order 3/2.
func (b belief) smooth(a, z float64) float64 {
	x := math.Sqrt(3) * math.Abs(a-z) / b.reach
	return b.strong * b.strong * (1 + x) * math.Exp(-x)
}

// bed is the covariance of what is not push-off at two places.
func (m model) bed(b belief, a, z float64) float64 {
	return b.smooth(a, z) + m.slope*m.slope*(a-m.middle)*(z-m.middle)
}

// between is the covariance of two readings, noise apart.
func (m model) between(b belief, p, q reading) float64 {
	v := m.bed(b, p.z, q.z) + m.push[1]*m.push[1]*p.deep*m.shape(p.z)*q.deep*m.shape(q.z)
	if p.cut == q.cut {
		v += loose
	}
	return v
}

// noise is the variance of one reading.
func (m model) noise(b belief) float64 { return m.u*m.u + b.repeat*b.repeat }

// factor returns the Cholesky factor of the readings' covariance.
func (m model) factor(b belief) (*mat.Cholesky, bool) {
	n := len(m.rows)
	k := symmetric(n)
	for i, p := range m.rows {
		for j := i; j < n; j++ {
			v := m.between(b, p, m.rows[j])
			if i == j {
				v += m.noise(b)
			}
			k.SetSym(i, j, v)
		}
	}
	var c mat.Cholesky
	return &c, c.Factorize(k)
}

// values are the readings less what the bar is expected to give way.
func (m model) values() *mat.VecDense {
	y := mat.NewVecDense(len(m.rows), nil)
	for i, r := range m.rows {
		y.SetVec(i, r.value-m.push[0]*r.deep*m.shape(r.z))
	}
	return y
}

// posterior is a belief after the readings.
type posterior struct {
	belief
	weight      float64
	factor      *mat.Cholesky
	off         *mat.VecDense // covariance⁻¹ · (readings − their mean)
	push, pushU float64       // of the push-off, mm on diameter
}

// weigh returns the beliefs, weighted by how probable each makes the readings; those that hardly count are left out.
func (m model) weigh() []posterior {
	n := len(m.rows)
	y := m.values()
	var out []posterior
	best := math.Inf(-1)
	for _, b := range beliefs() {
		c, ok := m.factor(b)
		if !ok {
			continue
		}
		w := posterior{belief: b, factor: c, off: mat.NewVecDense(n, nil)}
		if err := c.SolveVecTo(w.off, y); err != nil && math.IsInf(c.Cond(), 0) {
			continue
		}
		w.weight = math.Log(b.prior) - (mat.Dot(y, w.off)+c.LogDet())/2
		if math.IsNaN(w.weight) || math.IsInf(w.weight, 0) {
			continue
		}
		best = math.Max(best, w.weight)
		out = append(out, w)
	}
	sum := 0.0
	kept := out[:0]
	for _, w := range out {
		if w.weight = math.Exp(w.weight - best); w.weight > 1e-5 {
			sum += w.weight
			kept = append(kept, w)
		}
	}
	for i := range kept {
		w := &kept[i]
		w.weight /= sum
		toPush := mat.NewVecDense(n, nil)
		for j, r := range m.rows {
			toPush.SetVec(j, m.push[1]*m.push[1]*r.deep*m.shape(r.z))
		}
		w.push = m.push[0] + mat.Dot(toPush, w.off)
		var back mat.VecDense
		_ = w.factor.SolveVecTo(&back, toPush) // the matrix was factorized
		w.pushU = math.Sqrt(math.Max(0, m.push[1]*m.push[1]-mat.Dot(toPush, &back)))
	}
	return kept
}

// curve returns the mean of the curve at some places and its covariance, over all beliefs. With push what the bar gives
// way at the mean depth counts in.
func (m model) curve(cases []posterior, at []float64, push bool) ([]float64, *mat.SymDense) {
	n, k := len(at), len(m.rows)
	mean := make([]float64, n)
	means := make([]*mat.VecDense, len(cases))
	cov := symmetric(n)
	share := 0.0
	if push {
		share = 1
	}
	give := make([]float64, n)
	for i, z := range at {
		give[i] = share * m.shape(z)
	}
	for c, w := range cases {
		toRows := mat.NewDense(k, n, nil)
		for i, z := range at {
			for j, r := range m.rows {
				toRows.Set(j, i, m.bed(w.belief, z, r.z)+m.push[1]*m.push[1]*give[i]*r.deep*m.shape(r.z))
			}
		}
		v := mat.NewVecDense(n, nil)
		v.MulVec(toRows.T(), w.off)
		var back, told mat.Dense
		_ = w.factor.SolveTo(&back, toRows) // the matrix was factorized
		told.Mul(toRows.T(), &back)
		for i := range n {
			v.SetVec(i, v.AtVec(i)+m.push[0]*give[i])
			mean[i] += w.weight * v.AtVec(i)
			for j := i; j < n; j++ {
				before := m.bed(w.belief, at[i], at[j]) + m.push[1]*m.push[1]*give[i]*give[j]
				cov.SetSym(i, j, cov.At(i, j)+w.weight*(before-(told.At(i, j)+told.At(j, i))/2))
			}
		}
		means[c] = v
	}
	for c, w := range cases {
		for i := range n {
			for j := i; j < n; j++ {
				cov.SetSym(i, j, cov.At(i, j)+w.weight*(means[c].AtVec(i)-mean[i])*(means[c].AtVec(j)-mean[j]))
			}
		}
	}
	return mean, cov
}
