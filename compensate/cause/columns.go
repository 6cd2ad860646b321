package cause

import (
	"gonum.org/v1/gonum/mat"

	"wornway/profile/bed"
	"wornway/profile/wear"
)

// column returns what one unit of a cause makes of each reading, mm or radians. The zeros of the surveys are in it still.
//
// Twist that came since is even along the bed: between centres it carries the tool and the tailstock alike and cancels, as the lean does, which the spindle alone has. What the centres do is seen there only.
func (g *readings) column(k Kind) []float64 {
	out := make([]float64, len(g.rows))
	post := g.bed.Lathe.Post()
	for i, r := range g.rows {
		z := r.e.Position
		span := (z - g.head()) / Span // how much of the far centre's stand is felt here
		switch k {
		case WornOn:
			for _, p := range r.e.Parts {
				s := p.Sum
				s.PerLength = [bed.Scalars]float64{}
				out[i] += p.Factor * g.bed.Wear.Value(s, p.At)
			}
		case Twist, Lean:
			which := bed.Twist
			if k == Lean {
				which = bed.LeanOut
			}
			if r.centres {
				continue
			}
			for _, p := range r.e.Parts {
				out[i] += p.Factor * p.Sum.PerLength[which] * p.At / Span
			}
		case SetOver: // the axis goes toward the operator, the tool on a front post is nearer to it: smaller
			if r.centres {
				out[i] = -2 * post * span
			}
		case TailHeight: // the radius is the hypotenuse over what the dial set and the axis's height: to second order
			if r.centres {
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

// untwisted gives values of the wear without the bed's twist: for work between centres.
type untwisted struct{ *wear.Wear }

func (u untwisted) Value(s bed.Sum, z float64) float64 {
	s.PerLength[bed.Twist] = 0
	return u.Wear.Value(s, z)
}

// world is one state of what is known beforehand: what is read then, and how sure that is, without the surveys' zeros.
type world struct {
	off        []float64 // readings less their prediction
	mean       []float64 // the prediction
	covariance *mat.SymDense
}

// world returns what a wear predicts. scale is a factor on what each survey makes of the wear; nil: one. more is a covariance to be added, nil: none.
func (g *readings) world(w *wear.Wear, scale func(of int) float64, more *mat.SymDense) world {
	n := len(g.rows)
	mean, off := make([]float64, n), make([]float64, n)
	weights := make([]wear.Weights, n)
	for i, r := range g.rows {
		f := 1.0
		if scale != nil {
			f = scale(r.of)
		}
		var v interface {
			Value(s bed.Sum, z float64) float64
		} = w
		if r.centres {
			v = untwisted{w}
		}
		for _, p := range r.e.Parts {
			s := p.Sum
			if r.centres {
				s.PerLength[bed.Twist] = 0
			}
			w.Weigh(&weights[i], s, p.At, f*p.Factor)
			if r.e.Exact == nil {
				mean[i] += f * p.Factor * w.Value(s, p.At)
			}
		}
		if r.e.Exact != nil {
			mean[i] = f * r.e.Exact(v)
		}
		off[i] = r.e.Reading - mean[i]
	}
	c := mat.NewSymDense(n, nil)
	c.CopySym(g.noise)
	for i := range n {
		for j := i; j < n; j++ {
			v, _ := w.CovarianceOf(&weights[i], &weights[j])
			if more != nil {
				v += more.At(i, j)
			}
			c.SetSym(i, j, c.At(i, j)+v)
		}
	}
	return world{g.reduced(off), g.reduced(mean), g.reducedCovariance(c)}
}
