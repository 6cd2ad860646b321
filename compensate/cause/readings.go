package cause

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/bar"
	"wornway/profile/bed"
	"wornway/profile/survey"
	"wornway/profile/wear"
)

// Bed is what is known of the lathe beforehand.
type Bed struct {
	Lathe     bed.Lathe
	Wear      *wear.Wear // with an uncertainty
	Headstock float64    // position of the point of the headstock's centre, mm; NaN: taken at the spindle nose
}

// Errors of [Find].
var (
	ErrNotStated = errors.New("the wear has no uncertainty")
	ErrFew       = errors.New("a reading needs two places at least, and all together three")
)

// aligned is how well centres are lined up, standard, mm at Span from the headstock's: common practice, no source. A
// taper between centres that is no greater needs no cause.
const aligned = 0.01

// putBack is how well a tailstock that was moved comes back to where it stood, likewise.
const putBack = 0.005

// row is one reading of a survey, ready to be explained.
type row struct {
	of       int // the survey
	e        survey.Equation
	cut      bool
	bar      bar.Bar // as it was held; of what is no cut, in the chuck
	diameter float64 // mm
	push     float64 // how much of a push-off it has, in a unit of its own
}

// seen is a sum of the wear as it counts at a place for a reading: less by what the tailstock's centre, which stands on
// the same bed, takes along. Between centres neither twist nor lean is left.
func (r row) seen(s bed.Sum, z float64) bed.Sum {
	switch {
	case !r.bar.Held.Gripped():
		s.PerLength[bed.Twist] = 0
	case r.bar.Held.Tailed() && z != 0:
		left := 1 - r.bar.Follow(z)*r.bar.Far/z
		for _, k := range []bed.Scalar{bed.Twist, bed.LeanOut, bed.LeanUp} {
			s.PerLength[k] *= left
		}
	}
	return s
}

// readings are surveys whose zeros are taken out: of each only differences count.
type readings struct {
	bed   Bed
	rows  []row
	basis *mat.Dense // of what is left of the rows without their zeros, a column for each direction
	noise *mat.SymDense
	cuts  []int   // which surveys are cuts
	reach float64 // the push-off of the reading that has most, in its own unit
}

// gather puts surveys together. A push-off counts by the reading among the first so many surveys that has most.
func gather(b Bed, sets []survey.Set, own int) (*readings, error) {
	g := &readings{bed: b}
	var nuisances [][]float64
	feeds, depth := true, math.NaN()
	for _, s := range sets {
		if c, ok := s.Cut(); ok {
			feeds = feeds && c.Feed > 0
			if math.IsNaN(depth) {
				depth = c.Depth
			}
		}
	}
	free := []int{} // how many directions each survey leaves
	total := 0
	for k, s := range sets {
		c, cut := s.Cut()
		first := len(g.rows)
		if cut {
			g.cuts = append(g.cuts, k)
		}
		for i, e := range s.Equations {
			if e.Side != survey.Value {
				continue
			}
			r := row{of: k, e: e, cut: cut, bar: bar.Bar{Held: bar.Chuck}}
			if cut {
				r.bar, r.diameter = g.held(c, c.Diameters[i]), c.Diameters[i]
				r.push = r.bar.Give(e.Position) * force(c, depth, feeds)
			}
			g.rows = append(g.rows, r)
		}
		if len(g.rows)-first < 2 {
			return nil, ErrFew
		}
		free = append(free, len(g.rows)-first)
		total += len(g.rows) - first - 1
	}
	if total < 1 {
		return nil, ErrFew
	}
	n := len(g.rows)
	for k, s := range sets {
		for t, term := range s.Terms {
			if term.Flat || term.Name == survey.PushOffName || !(term.U > 0) {
				continue
			}
			v := make([]float64, n)
			for i, r := range g.rows {
				for _, share := range r.e.Shares {
					if r.of == k && share.Term == t {
						v[i] += share.Factor * term.U
					}
				}
			}
			nuisances = append(nuisances, v)
		}
	}
	if v := g.column(SetOver); anyOf(v) {
		each := map[int][]float64{}
		for i, r := range g.rows {
			if each[r.of] == nil {
				each[r.of] = make([]float64, n)
			}
			each[r.of][i] = v[i] * putBack
			v[i] *= aligned
		}
		nuisances = append(nuisances, v)
		for _, k := range g.cuts {
			nuisances = append(nuisances, each[k])
		}
	}
	for _, r := range g.rows {
		if r.of < own {
			g.reach = math.Max(g.reach, r.push)
		}
	}
	// Differences within a survey, each against the mean of those before it: orthonormal, after F. R. Helmert.
	g.basis = mat.NewDense(n, total, nil)
	at, column := 0, 0
	for _, m := range free {
		for j := 1; j < m; j++ {
			f := 1 / math.Sqrt(float64(j*(j+1)))
			for i := range j {
				g.basis.Set(at+i, column, f)
			}
			g.basis.Set(at+j, column, -f*float64(j))
			column++
		}
		at += m
	}
	g.noise = mat.NewSymDense(n, nil)
	for i, r := range g.rows {
		if !(r.e.U > 0) {
			return nil, fmt.Errorf("reading %d of survey %d has no uncertainty", i+1, r.of+1)
		}
		g.noise.SetSym(i, i, r.e.U*r.e.U)
	}
	for _, v := range nuisances {
		g.noise.SymRankOne(g.noise, 1, mat.NewVecDense(n, v))
	}
	return g, nil
}

func anyOf(v []float64) bool {
	for _, x := range v {
		if x != 0 {
			return true
		}
	}
	return false
}

// force returns how hard a cut pushes beside the others: with its depth, and with its feed to the power of three
// quarters where all cuts say it. The power is that of common steels in VDI 3323's table of constants, 1 − mc, as
// package bend has it. A cut whose depth is not said is taken to be as deep as the first that says it.
func force(c survey.Cut, depth float64, feeds bool) float64 {
	f := 1.0
	switch {
	case c.Depth > 0:
		f = c.Depth
	case depth > 0:
		f = depth
	}
	if feeds {
		f *= math.Pow(c.Feed, 0.75)
	}
	return f
}

// held returns a cut's bar as it was held, with a diameter. Where the jaws are not said they end at the spindle nose,
// or where a chuck is followed by a centre just before the first collar; a centre in the headstock stands where the
// lathe has it.
func (g *readings) held(c survey.Cut, diameter float64) bar.Bar {
	first, last := c.Range()
	if math.IsNaN(c.HeldAt) {
		switch c.Held {
		case bar.Chuck:
			c.HeldAt = math.Min(0, first)
		case bar.Centres:
			c.HeldAt = g.head()
		}
	}
	return bar.Around(c.Held, c.HeldAt, c.CentreAt, first, last, diameter)
}

func (g *readings) head() float64 {
	if math.IsNaN(g.bed.Headstock) {
		return 0
	}
	return g.bed.Headstock
}

// reduced takes the zeros out of a column.
func (g *readings) reduced(v []float64) []float64 {
	_, m := g.basis.Dims()
	out := mat.NewVecDense(m, nil)
	out.MulVec(g.basis.T(), mat.NewVecDense(len(v), v))
	return out.RawVector().Data
}

// reducedCovariance takes the zeros out of a covariance.
func (g *readings) reducedCovariance(c mat.Symmetric) *mat.SymDense {
	_, m := g.basis.Dims()
	var half, full mat.Dense
	half.Mul(c, g.basis)
	full.Mul(g.basis.T(), &half)
	out := mat.NewSymDense(m, nil)
	for i := range m {
		for j := i; j < m; j++ {
			out.SetSym(i, j, (full.At(i, j)+full.At(j, i))/2)
		}
	}
	return out
}
