package collars

import (
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/bar"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// Conditions says how the bar was held and measured.
type Conditions struct {
	U    float64 // standard uncertainty of one diameter, mm; 0: UsualU
	Held bar.Holding
	// where the jaws, or the headstock's centre, hold it, mm; NaN: not known, just before the first collar
	HeldAt float64
	// where the tailstock's centre holds it, mm; NaN: not known, just beyond the last collar
	CentreAt float64
}

// UsualU is the standard uncertainty of a diameter where none is given, mm: that of the method test-cut.
const UsualU = 0.002

// bar returns the bar as it is held.
func (h Conditions) bar(t *Table) bar.Bar {
	first, last := t.Range()
	return bar.Around(h.Held, h.HeldAt, h.CentreAt, first, last, t.Diameter())
}

func (h Conditions) u() float64 {
	if h.U > 0 {
		return h.U
	}
	return UsualU
}

// Estimate is what collars tell.
type Estimate struct {
	*Table
	How    Conditions
	Jaws   float64   // where the bar is taken to be held, mm
	Repeat float64   // how cuts repeat beyond what the micrometer explains, standard on diameter, mm; 0: one cut
	Odd    []Outlier // the collars that stand out
	Wild   bool      // more than these stand out: the collars lie on no smooth curve
	knots  []float64
	model  model
	cases  []posterior
}

// ErrTooWild is the error of collars whose numbers cannot be calculated with.
var ErrTooWild = errors.New("the collars differ too wildly to calculate with")

// Estimate returns what the collars tell.
//
// The diameter along the bar is taken as a straight line, a curve that is smooth as a worn bed makes it, and what the
// bar gave way to the cut; each cut has a zero of its own. How strong the curve is, how far its places hang together
// and how cuts repeat are not known: they are averaged over, weighted by how probable each makes what was measured. A
// collar that stands out by more than all this explains is left out.
//
// Source: Gaussian process regression with flat terms, Rasmussen and Williams (2006), from memory.
func (t *Table) Estimate(h Conditions) (*Estimate, error) {
	e := &Estimate{Table: t, How: h, Jaws: h.bar(t).Near, model: newModel(t, h)}
	first, last := t.Range()
	e.knots = knots(t.positions(), (last-first)/48)
	e.Odd, e.Wild = e.model.leaveOut(t)
	if e.cases = e.model.weigh(); len(e.cases) == 0 {
		return nil, ErrTooWild
	}
	if len(t.Cuts) > 1 {
		for _, c := range e.cases {
			e.Repeat += c.weight * c.repeat
		}
	}
	return e, nil
}

// knots returns the positions with others between, no further apart than step.
func knots(at []float64, step float64) []float64 {
	var out []float64
	for i, z := range at {
		if i > 0 {
			n := int(math.Ceil((z - at[i-1]) / step))
			for k := 1; k < n; k++ {
				out = append(out, at[i-1]+(z-at[i-1])*float64(k)/float64(n))
			}
		}
		out = append(out, z)
	}
	return slices.Compact(out)
}

// Lathe is the lathe that collars are of, as far as they show it: the tool moves away from the axis by what they call
// the shift, and that is all. Its centre height is 0, which no lathe has.
func Lathe() bed.Lathe { return bed.Lathe{Span: 1} }

// Wear returns the curve of the tool along the collars, by radius, as the shift of [Lathe]. Like: as it comes out for
// work like the bar, what it gives way counted in. Otherwise the push is set apart, as well as the collars can tell it.
func (e *Estimate) Wear(like bool) (*wear.Wear, error) {
	mean, cov := e.model.curve(e.cases, e.knots, like)
	n := len(e.knots)
	unknowns := make([]wear.Unknown, n)
	for i := range n {
		unknowns[i] = wear.Unknown{Knot: i, Curve: bed.Shift}
		mean[i] /= 2
	}
	cov.ScaleSym(0.25, cov)
	w, err := wear.New(e.knots, map[bed.Curve][]float64{bed.Shift: mean})
	if err != nil {
		return nil, ErrTooWild
	}
	return w.WithCovariance(wear.NewFull(n, unknowns, cov)), nil
}

// Push returns how far the cut pushes the bar away where that is most, mm on diameter, and its standard uncertainty.
func (e *Estimate) Push() (push, u float64) {
	square := 0.0
	for _, c := range e.cases {
		push += c.weight * c.push
		square += c.weight * (c.push*c.push + c.pushU*c.pushU)
	}
	return push, math.Sqrt(math.Max(0, square-push*push))
}

// Gives is how far work gives way at the most, 19 times in 20, that is held as the bar was and cut as hard, mm on
// diameter: by what the collars tell of the bar, and how much softer the work is.
func (e *Estimate) Gives(from, to, diameter float64) float64 {
	near, far := e.Jaws, e.How.CentreAt
	if near > from {
		near = math.NaN()
	}
	if far < to || !e.How.Held.Tailed() {
		far = math.NaN()
	}
	first, last := e.Range()
	work, own := bar.Around(e.How.Held, near, far, from, to, diameter), e.How.bar(e.Table).Most(first, last)
	if own == 0 {
		return 0
	}
	push, u := e.Push()
	return (push + 2*u) * work.Most(from, to) / own
}

// near is how far from the bar's diameter that of work like it may be, as a share: its stiffness changes by four times
// as much.
const near = 0.1

// Like says whether work that is held as the bar was is like the bar: turned outside, about as thick, and, where the
// tailstock's centre holds it, out about as far.
func (e *Estimate) Like(diameter, to float64, bore bool) bool {
	_, last := e.Range()
	d := e.Diameter()
	far := !e.How.Held.Tailed() || last-to <= 0.25*(last-e.Jaws)
	return !bore && math.Abs(diameter-d) <= near*d && far
}

// Out is how far a place stands out of the jaws, in diameters of the bar.
func (e *Estimate) Out(z float64) float64 { return (z - e.Jaws) / e.Diameter() }

// symmetric is a matrix of zeros.
func symmetric(n int) *mat.SymDense { return mat.NewSymDense(n, nil) }
