package estimate

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// draws is how often the readings of a candidate are drawn. What is left scatters by a tenth from one draw to the next,
// by a fifth where little is known, so that the mean is sure to some per cent.
const draws = 64

// preview is what one point makes of a candidate's readings.
type preview struct {
	system   *solution
	mean     []float64  // of its rows
	variance []float64  // of the aims, once they are read
	cross    *mat.Dense // rows × aims: what a row's whitened residual moves an aim by
}

// now returns the greatest standard uncertainty among the aims by the mixture as it is.
func (f *foresight) now() float64 {
	odds := make([]float64, len(f.points))
	means := make([][]float64, len(f.points))
	variances := make([][]float64, len(f.points))
	for k, t := range f.points {
		odds[k], means[k] = t.weight, t.mean[:f.aims]
		for i := range f.aims {
			variances[k] = append(variances[k], math.Max(0, t.cov.At(i, i)))
		}
	}
	return worst(odds, means, variances)
}

// worst returns the greatest standard uncertainty among the aims, of a mixture whose weights add up to 1; means and
// variances by point and aim.
func worst(odds []float64, means, variances [][]float64) float64 {
	greatest := 0.0
	for i := range means[0] {
		mean, variance := 0.0, 0.0
		for k, w := range odds {
			mean += w * means[k][i]
		}
		for k, w := range odds {
			d := means[k][i] - mean
			variance += w * (variances[k][i] + d*d)
		}
		greatest = math.Max(greatest, variance)
	}
	return math.Sqrt(greatest)
}

// left returns the greatest standard uncertainty among the aims once a candidate is made: the geometric mean over what
// it may read.
func (f *foresight) left(c design) (float64, error) {
	n := len(c.rows)
	if n == 0 {
		return f.now(), nil
	}
	all := make([]preview, len(f.points))
	for k, t := range f.points {
		var err error
		if all[k], err = f.told(t, c); err != nil {
			return 0, err
		}
	}
	readings := f.drawn(all)
	odds := make([][]float64, draws) // by draw and point, as logarithms
	means := make([][][]float64, draws)
	variances := make([][]float64, len(all))
	for d := range draws {
		odds[d], means[d] = make([]float64, len(all)), make([][]float64, len(all))
	}
	for k, t := range all {
		variances[k] = t.variance
		residual := mat.DenseCopyOf(readings)
		for i := range n {
			line := residual.RawRowView(i)
			for d := range line {
				line[d] -= t.mean[i]
			}
		}
		t.system.free(residual)
		var moved mat.Dense
		moved.Mul(residual.T(), t.cross)
		for d := range draws {
			square := 0.0
			for i := range n {
				square += residual.At(i, d) * residual.At(i, d)
			}
			odds[d][k] = math.Log(f.points[k].weight) + t.system.evidence - square/2
			m := append([]float64{}, f.points[k].mean[:f.aims]...)
			axpy(1, moved.RawRowView(d), m)
			means[d][k] = m
		}
	}
	sum := 0.0
	for d := range draws {
		normalize(odds[d])
		sum += math.Log(math.Max(worst(odds[d], means[d], variances), 1e-12))
	}
	u := math.Exp(sum / draws)
	if c.lean == [2]float64{} {
		u = math.Min(u, f.now()) // readings take nothing away, on the average
	}
	return u, nil
}

// told works out a point.
func (f *foresight) told(t forecast, c design) (preview, error) {
	cov := f.leaning(t.cov, c)
	n := len(c.rows)
	out := preview{mean: make([]float64, n), cross: mat.NewDense(n, f.aims, nil)}
	own := mat.NewSymDense(n, nil)
	for i, a := range c.rows {
		out.mean[i] = t.mean[a]
		for j := i; j < n; j++ {
			own.SetSym(i, j, cov.At(a, c.rows[j]))
		}
		noise := t.noise
		if _, is := f.limits[a]; is {
			noise = 1
		}
		own.SetSym(i, i, own.At(i, i)+noise*noise)
		for j := range f.aims {
			out.cross.Set(i, j, cov.At(a, j))
		}
	}
	if c.terms != nil {
		var by mat.SymDense
		by.SymOuterK(1, c.terms)
		own.AddSym(own, &by)
	}
	var err error
	if out.system, err = solve(own, c.flat, make([]float64, n)); err != nil {
		return out, err
	}
	out.system.free(out.cross)
	for j := range f.aims {
		v := cov.At(j, j)
		for i := range n {
			v -= out.cross.At(i, j) * out.cross.At(i, j)
		}
		out.variance = append(out.variance, math.Max(0, v))
	}
	return out, nil
}

// drawn returns readings as the mixture expects them, rows × draws: points come in proportion to their weights. What
// is not known at all beforehand, such as a zero, is left out, as whatever it is it is projected away.
func (f *foresight) drawn(all []preview) *mat.Dense {
	const seed = 101 // that of JCGM 101
	n := len(all[0].mean)
	out := mat.NewDense(n, draws, nil)
	r := rand.New(rand.NewPCG(seed, uint64(n)))
	k, until := 0, f.points[0].weight
	for d := range draws {
		for k+1 < len(all) && until < (float64(d)+0.5)/draws {
			k++
			until += f.points[k].weight
		}
		y := make([]float64, n)
		for i := range y {
			y[i] = r.NormFloat64()
		}
		blas64.Trmv(blas.Trans, all[k].system.upper, blas64.Vector{N: n, Inc: 1, Data: y})
		axpy(1, all[k].mean, y)
		out.SetCol(d, y)
	}
	return out
}

// normalize turns logarithms into weights that add up to 1.
func normalize(odds []float64) {
	most := math.Inf(-1)
	for _, v := range odds {
		most = math.Max(most, v)
	}
	sum := 0.0
	for i, v := range odds {
		odds[i] = math.Exp(v - most)
		sum += odds[i]
	}
	for i := range odds {
		odds[i] /= sum
	}
}
