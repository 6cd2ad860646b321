package compensate

import (
	"cmp"
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"wornway/profile/wear"
)

// Joint is the diameter errors of one or several cuts at some places each, as one distribution: cuts on one bed share
// its wear, the tailstock's alignment and the force of the cut. The errors are taken to first order in what is not
// known.
type Joint struct {
	wear      *wear.Wear
	positions []float64
	mean      []float64
	bent      []float64 // what the push of the cut makes of each mean
	worn      []float64 // what wear and axis make of it before anything is dialled
	gradients []gradient
	lengths   []length
}

// length is the places of one cut: their first and the one after their last among the errors, and the stretch of bed.
// The first so many of them go on along it; the rest, its extremes and where the dial is turned, may lie anywhere. One
// of those along it, by its number among them, is that from which the others are counted.
type length struct {
	first, last, along, reference int
	from, to                      float64
}

// NewJoint returns a Joint without errors as yet, for cuts on this wear.
func NewJoint(w *wear.Wear) *Joint { return &Joint{wear: w} }

// Add takes in the errors of a cut at some places, with the settings under which they are cut.
func (j *Joint) Add(c *Curve, at []Spot) {
	l := j.add(c, at, c.gradient)
	for i, h := range at[:l.along] {
		if math.Abs(h.Position-c.SetAt) < math.Abs(at[l.reference].Position-c.SetAt) {
			l.reference = i
		}
	}
	j.lengths = append(j.lengths, l)
}

// addVarying takes in the same for what varies along the cut alone: what is not known is counted from the first place.
// As that does not depend on where the dial was set, neither do the draws.
func (j *Joint) addVarying(c *Curve, at []Spot) {
	j.lengths = append(j.lengths, j.add(c, at, func(z float64) gradient {
		g := c.gradient(z)
		c.weigh(&g, at[0].Position, -1)
		return g
	}))
}

func (j *Joint) add(c *Curve, at []Spot, of func(z float64) gradient) length {
	l := length{first: len(j.mean), last: len(j.mean) + len(at), from: math.Inf(1), to: math.Inf(-1)}
	for i, h := range at {
		bent := c.PushError(h.Position)
		j.positions = append(j.positions, h.Position)
		j.mean = append(j.mean, c.At(h.Position, h.Setting))
		j.bent = append(j.bent, bent)
		j.worn = append(j.worn, c.At(h.Position, 0)-bent)
		j.gradients = append(j.gradients, of(h.Position))
		l.from, l.to = math.Min(l.from, h.Position), math.Max(l.to, h.Position)
		if i == l.along && (i == 0 || h.Position > at[i-1].Position+nearStart) {
			l.along++
		}
	}
	return l
}

// Mean returns the errors for the wear as it is, mm, in the order in which they were added.
func (j *Joint) Mean() []float64 { return j.mean }

// Uncertainty returns the standard uncertainty of the error that was added as number i, mm, and false where that of the
// wear was not stated.
func (j *Joint) Uncertainty(i int) (float64, bool) {
	u, stated := j.wear.Uncertainty(&j.gradients[i].wear)
	return math.Sqrt(u*u + j.gradients[i].apart(&j.gradients[i])), stated
}

// Known returns what the errors would be if the wear were known to be as it is taken to be.
func (j *Joint) Known() *Joint {
	out := j.clone()
	for i := range out.gradients {
		out.gradients[i].wear = wear.Weights{}
	}
	return out
}

// Stiff returns what they would be if the cut did not push the work away.
func (j *Joint) Stiff() *Joint {
	out := j.clone()
	for i := range out.gradients {
		out.mean[i] -= out.bent[i]
		out.gradients[i].other[cutForce] = 0
	}
	return out
}

// Flat returns what they would be if all that is known of them, but for the push of the cut, were made good: what is
// not known remains.
func (j *Joint) Flat() *Joint {
	out := j.clone()
	copy(out.mean, out.bent)
	return out
}

func (j *Joint) clone() *Joint {
	return &Joint{wear: j.wear, positions: slices.Clone(j.positions), mean: slices.Clone(j.mean),
		bent: slices.Clone(j.bent), worn: slices.Clone(j.worn), gradients: slices.Clone(j.gradients),
		lengths: slices.Clone(j.lengths)}
}

// tailFreedom is the degrees of freedom of Student's distribution that errors along a length have where their wear was
// estimated from readings: they are normal for one way of wearing, and how a bed wears differs from place to place, at
// an edge or where the saddle's ends cross one, more than one strength and reach for the whole bed allow. Ours: normal
// errors kept promises of over 0.8 four standard errors less often than stated on made-up beds (package study). Stated
// wear has the ± that somebody stated, and normal errors.
const tailFreedom = 5

// Draw calls yield with errors, mm, that are as likely as the wear's uncertainty has it, in each of its cases in turn;
// the slice is used again. Without a stated uncertainty it calls it not at all. A length's error may change along it by
// another share than the wear of the bed as a whole has it (evenness.go); lengths that overlap on the bed share that.
// Places beside those that go on along a length change nothing at the others: the same length has the same errors
// whichever places else are looked at.
//
// Source: propagation of distributions by a Monte Carlo method, JCGM 101:2008.
func (j *Joint) Draw(draws int, yield func(values []float64)) {
	n := len(j.mean)
	if !j.wear.Stated() || n == 0 {
		return
	}
	order, along := j.order()
	besides := j.besides()
	places, count := j.overlaps()
	main := stream{sampleSeed, uint64(along)}
	var r normals
	if count == 1 {
		r = main.numbers(draws * (along + len(besides)))
	} else { // other numbers come in between
		r = normals{drawn: rand.New(rand.NewPCG(main.seed, main.number))}
	}
	besideThem := make([]normals, n-along)
	for i := range besideThem {
		besideThem[i] = stream{sampleSeed + 1, uint64(i)}.numbers(draws)
	}
	values, off, inOrder := make([]float64, n), make([]float64, n), make([]float64, n)
	shift, room := make([]float64, n), make([]float64, along)
	pushes := make([][]float64, len(besides)) // of one unit of each that is not known beside the wear, on every error
	for b, k := range besides {
		for i := range j.gradients {
			pushes[b] = append(pushes[b], j.gradients[i].other[k])
		}
	}
	worlds, sum := j.worlds(order)
	tails := distuv.ChiSquared{K: tailFreedom, Src: rand.NewPCG(sampleSeed+2, uint64(along))}
	shares := make([]float64, count)
	drawn, weight := 0, 0.0
	for _, w := range worlds {
		// Each case has its part of the draws, to the nearest one.
		first := drawn
		weight += w.weight
		last := int(math.Round(weight / sum * float64(draws)))
		for i, k := range order {
			shift[i] = w.shift[k]
		}
		for ; drawn < last; drawn++ {
			shares[0] = (float64(drawn-first) + 0.5) / float64(last-first)
			for i := 1; i < count; i++ {
				shares[i] = r.drawn.Float64()
			}
			copy(inOrder, shift)
			scale := 1.0
			if w.estimated {
				scale = math.Sqrt(tailFreedom / tails.Rand())
			}
			// Numbers are drawn for places left out as well: the others keep theirs.
			numbers := r.several(room)
			for i, d := range w.deviations {
				x := 0.0
				if i < along {
					x = numbers[i]
				} else {
					x = besideThem[i-along].next()
				}
				if d != nil {
					floats.AddScaled(inOrder[i:], scale*x, d)
				}
			}
			for i, k := range order {
				values[k] = inOrder[i]
			}
			for k, l := range j.lengths {
				if e := w.eased[k]; e != nil {
					here := values[l.first:l.last]
					reference := j.worn[l.first+l.reference] + here[l.reference]
					for i, v := range here {
						off[i] = j.worn[l.first+i] + v - reference
					}
					e.ease(off, here, shares[places[k]])
				}
			}
			for _, push := range pushes {
				x := r.next()
				for i, v := range push {
					values[i] += x * v
				}
			}
			for i, m := range j.mean {
				values[i] += m
			}
			yield(values)
		}
	}
}

// besides returns what is not known beside the wear, as far as any error depends on it.
func (j *Joint) besides() (of []int) {
	for k := range others {
		if slices.ContainsFunc(j.gradients, func(g gradient) bool { return g.other[k] != 0 }) {
			of = append(of, k)
		}
	}
	return of
}

// world is a case of the wear as errors: by how much their mean is shifted, vectors whose sum, each times a standard
// normal number, has their covariance ([roots]), and what the evenness of each length makes of them; nil: nothing.
type world struct {
	weight     float64
	estimated  bool // from readings, not stated
	shift      []float64
	deviations [][]float64
	eased      []*easer
}

// worlds returns the wear's cases, with weights that add up to sum.
func (j *Joint) worlds(order []int) (out []world, sum float64) {
	weights := make([]*wear.Weights, len(j.gradients))
	for i := range j.gradients {
		weights[i] = &j.gradients[i].wear
	}
	for _, possible := range j.wear.Cases() {
		after := possible.Covariance.Among(weights) // of the wear's errors, mm²
		w := world{shift: make([]float64, len(j.mean)), deviations: roots(after, order),
			eased: make([]*easer, len(j.lengths))}
		w.estimated = possible.Prior != nil
		var before *mat.SymDense
		if possible.Prior != nil {
			before = possible.Prior.Among(weights)
		}
		if possible.Shift != nil {
			for i := range w.shift {
				w.shift[i] = possible.Shift(&j.gradients[i].wear)
			}
		}
		evidence := 0.0
		for k, l := range j.lengths {
			off := make([]float64, l.along)
			for i := range off {
				off[i] = j.worn[l.first+i] +
					w.shift[l.first+i] - j.worn[l.first+l.reference] - w.shift[l.first+l.reference]
			}
			here := 1.0
			if before != nil {
				if e, ok := easedBy(l.differences(before), l.differences(after), off); ok {
					w.eased[k] = &e
					here = e.evidence()
				}
			}
			evidence += here / float64(len(j.lengths))
		}
		w.weight = possible.Weight * evidence
		sum += w.weight
		out = append(out, w)
	}
	return out, sum
}

// overlaps numbers the places on the bed where lengths lie: those that overlap have the same number, the first is 0.
func (j *Joint) overlaps() (of []int, count int) {
	of = make([]int, len(j.lengths))
	for k, l := range j.lengths {
		of[k] = count
		for i, o := range j.lengths[:k] {
			if l.from < o.to && o.from < l.to {
				of[k] = of[i]
				break
			}
		}
		if of[k] == count {
			count++
		}
	}
	return of, count
}

// roots returns vectors whose sum, each times a standard normal number, has a covariance: the columns of its Cholesky
// factor, taken in an order of the places, nil for a place that the ones before it already tell. A column's values are
// in that order too, from its own place on, as those before it are zero. The error where the tool was set has none, so
// that the covariance is singular; and its eigenvectors would turn about where two of its values are nearly alike, so
// that the same question in another unit had other draws.
func roots(cov *mat.SymDense, order []int) [][]float64 {
	n := cov.SymmetricDim()
	const hardly = 1e-9 // of the greatest variance: a few hundred-thousandths of a deviation
	greatest := 0.0
	for i := range n {
		greatest = math.Max(greatest, cov.At(i, i))
	}
	out := make([][]float64, n)
	for done, k := range order {
		column := make([]float64, n-done)
		for i := range column {
			column[i] = cov.At(order[done+i], k)
		}
		for before, d := range out[:done] {
			if d != nil {
				d = d[done-before:]
				floats.AddScaled(column, -d[0], d)
			}
		}
		if column[0] <= hardly*greatest {
			continue
		}
		root := math.Sqrt(column[0])
		for i := range column {
			column[i] /= root
		}
		out[done] = column
	}
	return out
}

// order returns the places of all lengths from coarse to fine: ends and middle, then the quarters, and so on. What one
// of them adds to those before it is then either much or next to nothing, so that rounding does not choose between
// them. After the first so many, which go on along their length, come the others, such as its extremes: rounding may
// move them.
func (j *Joint) order() (out []int, along int) {
	const last = math.MaxUint64
	keys := make([]uint64, len(j.mean))
	for _, l := range j.lengths {
		for i := range l.last - l.first {
			keys[l.first+i] = last
			if i < l.along {
				keys[l.first+i] = bits.Reverse64(uint64(i))
			}
		}
		along += l.along
	}
	out = make([]int, len(keys))
	for i := range out {
		out[i] = i
	}
	slices.SortStableFunc(out, func(a, b int) int { return cmp.Compare(keys[a], keys[b]) })
	return out, along
}
