package cause

import (
	"gonum.org/v1/gonum/mat"

	"wornway/profile/bed"
	"wornway/profile/wear"
)

// column returns what one unit of a cause makes of each reading, mm or radians. The zeros of the surveys are in it
// still.
//
// Twist that came since is even along the bed: between centres it carries the tool and the tailstock alike and cancels,
// as the lean does, which the spindle alone has; in the chuck and on the centre the part cancels by which the bar
// follows the centre. What the centre does is seen where it carries the work only.
func (g *readings) column(k Kind) []float64 {
	out := make([]float64, len(g.rows))
	post := g.bed.Lathe.Post()
	for i, r := range g.rows {
		z := r.e.Position
		span := 0.0 // how much of the far centre's stand is felt here
		if r.bar.Held.Tailed() {
			span = r.bar.Follow(z) * (r.bar.Far - g.head()) / Span
		}
		switch k {
		case WornOn:
			for _, p := range r.e.Parts {
				s := p.Sum
				s.PerLength = [bed.Slopes]float64{}
				out[i] += p.Factor * g.bed.Wear.Value(s, p.At)
			}
		case Twist, Lean:
			which := bed.Twist
			if k == Lean {
				which = bed.LeanOut
			}
			if !r.bar.Held.Gripped() {
				continue
			}
			for _, p := range r.e.Parts {
				out[i] += p.Factor * r.seen(p.Sum, p.At).PerLength[which] * p.At / Span
			}
		case SetOver: // the axis goes toward the operator, the tool on a front post is nearer to it: smaller
			out[i] = -2 * post * span
		case TailHeight: // the radius is the hypotenuse over what the dial set and the axis's height: to second order
			if r.cut {
				out[i] = 2 * span * span / r.diameter
			}
		case PushOff:
			if g.reach > 0 {
				out[i] = r.push / g.reach
			}
		}
	}
	return out
}

// viewpoint gives values of the wear as a reading sees them.
type viewpoint struct {
	*wear.Wear
	row
}

func (u viewpoint) Value(s bed.Sum, z float64) float64 { return u.Wear.Value(u.seen(s, z), z) }

// prediction is what a wear makes of each reading, and how sure that is: what comes of the curves, of twist and lean,
// and of both together. The zeros of the surveys are in it still.
type prediction struct {
	mean                   []float64
	curves, scalars, cross *mat.SymDense
}

// known returns what a wear predicts.
func (g *readings) known(w *wear.Wear) prediction {
	n := len(g.rows)
	k := prediction{make([]float64, n), mat.NewSymDense(n, nil), mat.NewSymDense(n, nil), mat.NewSymDense(n, nil)}
	curves, scalars := make([]wear.Weights, n), make([]wear.Weights, n)
	for i, r := range g.rows {
		for _, p := range r.e.Parts {
			s := r.seen(p.Sum, p.At)
			if r.e.Exact == nil {
				k.mean[i] += p.Factor * w.Value(s, p.At)
			}
			w.Weigh(&scalars[i], bed.Sum{PerLength: s.PerLength}, p.At, p.Factor)
			s.PerLength = [bed.Slopes]float64{}
			w.Weigh(&curves[i], s, p.At, p.Factor)
		}
		if r.e.Exact != nil {
			k.mean[i] = r.e.Exact(viewpoint{w, r})
		}
	}
	between := func(a, b *wear.Weights) float64 {
		v, _ := w.CovarianceOf(a, b)
		return v
	}
	for i := range n {
		for j := i; j < n; j++ {
			k.curves.SetSym(i, j, between(&curves[i], &curves[j]))
			k.scalars.SetSym(i, j, between(&scalars[i], &scalars[j]))
			k.cross.SetSym(i, j, between(&curves[i], &scalars[j])+between(&scalars[i], &curves[j]))
		}
	}
	return k
}

// state is how what is known is to be taken.
type state struct {
	prediction
	factor func(of int) float64 // of what each survey makes of the wear; nil: one
	more   *mat.SymDense        // a covariance besides; nil: none
	worn   float64              // the wear is so much deeper, as a share of it: what is not known of it grows with it
	wider  float64              // a factor on the uncertainty of the curves
}

// world is what is read in a state, and how sure that is, without the surveys' zeros.
type world struct {
	off        []float64 // readings less their prediction
	mean       []float64 // the prediction
	covariance *mat.SymDense
}

func (g *readings) world(s state) world {
	n := len(g.rows)
	mean, off := make([]float64, n), make([]float64, n)
	c := mat.NewSymDense(n, nil)
	factor := func(i int) float64 {
		if s.factor == nil {
			return 1
		}
		return s.factor(g.rows[i].of)
	}
	f := s.wider * (1 + s.worn)
	for i, r := range g.rows {
		mean[i] = factor(i) * s.mean[i]
		off[i] = r.e.Reading - mean[i]
		for j := i; j < n; j++ {
			v := factor(i) * factor(j) * (f*f*s.curves.At(i, j) + f*s.cross.At(i, j) + s.scalars.At(i, j))
			if s.more != nil {
				v += s.more.At(i, j)
			}
			c.SetSym(i, j, g.noise.At(i, j)+v)
		}
	}
	return world{g.reduced(off), g.reduced(mean), g.reducedCovariance(c)}
}
