package compensate

import "math"

// Line is a straight line: Mean at Middle, rising by Slope per mm.
type Line struct{ Middle, Mean, Slope float64 }

// At returns the line's value at z.
func (l Line) At(z float64) float64 { return l.Mean + l.Slope*(z-l.Middle) }

// LineFit gathers weighted points for a least-squares line. Means and moments are updated point by point, which keeps
// their digits where a sum of squares would lose them. The zero value is ready.
type LineFit struct{ weight, z, d, zz, zd float64 }

// Add takes one point with its weight, which is greater than zero.
func (l *LineFit) Add(z, d, weight float64) {
	l.weight += weight
	dz, part := z-l.z, weight/l.weight
	l.z += dz * part
	l.zz += weight * dz * (z - l.z)
	l.zd += weight * (z - l.z) * (d - l.d)
	l.d += (d - l.d) * part
}

// join takes the points of another fit, as if together they had the given weight.
func (l *LineFit) join(o LineFit, weight float64) {
	share := weight / o.weight
	all := l.weight + weight
	dz, dd, both := o.z-l.z, o.d-l.d, l.weight*weight/all
	l.zz += share*o.zz + dz*dz*both
	l.zd += share*o.zd + dz*dd*both
	l.z += dz * weight / all
	l.d += dd * weight / all
	l.weight = all
}

// Line returns the least-squares line. Points that all lie at one position give a level line.
func (l *LineFit) Line() Line {
	if l.zz == 0 {
		return Line{l.z, l.d, 0}
	}
	return Line{l.z, l.d, l.zd / l.zz}
}

// Shape says in a turner's word what is left of an error when its taper is taken away.
type Shape string

// The shapes.
const (
	Straight Shape = "straight" // nothing that could be measured
	Barrel   Shape = "barrel"   // biggest between its ends
	Waist    Shape = "waist"    // smallest between its ends
	Uneven   Shape = "uneven"   // neither
)

// straightWithin is the form, mm, under which a part is called straight: a tenth of a micrometre, which nobody measures
// on a lathe.
const straightWithin = 1e-4

// Taper is what a length comes out like. Lengths mm, on diameter.
type Taper struct {
	Line     Line    // least-squares line of the error over the continuous length
	Ends     float64 // error at from less error at to: plus is bigger at the headstock end
	Form     float64 // range left when the line is taken away
	Shape    Shape
	Spread   float64 // greatest less least error
	Largest  Extreme // algebraically
	Smallest Extreme

	Stated        bool    // the uncertainties are known
	UEnds, USlope float64 // standard, to first order
}

// Taper returns taper, form and spread of the cut.
func (c *Curve) Taper() Taper {
	var t Taper
	t.Smallest, t.Largest = c.Extremes(c.From, c.To, 0)
	t.Spread = t.Largest.Value - t.Smallest.Value
	t.Ends = c.At(c.From, 0) - c.At(c.To, 0)

	t.Line = c.line(c.From, c.To)
	least, greatest := c.extremesOf(c.From, c.To, func(z float64) float64 { return c.At(z, 0) - t.Line.At(z) })
	t.Form = greatest.Value - least.Value
	t.Shape = c.shape(t.Line, t.Form)

	if c.Wear.Stated() {
		t.Stated = true
		var ends gradient
		c.weigh(&ends, c.From, 1)
		c.weigh(&ends, c.To, -1)
		t.UEnds, _ = c.uncertainty(&ends)
		t.USlope = c.slopeUncertainty(t.Line.Middle)
	}
	return t
}

// nodes calls yield for sampled positions between from and to with the length that each stands for; breaks are where
// the pieces meet that are sampled by themselves.
func nodes(breaks []float64, from, to float64, yield func(z, length float64)) {
	s := samples()
	pieces(breaks, from, to, func(a, b float64) {
		for j, t := range s.node {
			yield(a+t*(b-a), s.weight[j]*(b-a))
		}
	})
}

// line returns the least-squares line of the error over the continuous length between from and to.
func (c *Curve) line(from, to float64) Line {
	var fit LineFit
	nodes(c.breaks, from, to, func(z, length float64) {
		if length > 0 {
			fit.Add(z, c.At(z, 0), length)
		}
	})
	return fit.Line()
}

// slopeUncertainty returns the standard uncertainty of the line's slope: the weighted sum of errors that makes the
// slope, applied to their gradients.
func (c *Curve) slopeUncertainty(middle float64) float64 {
	breaks := c.unsureBreaks()
	var moment float64
	nodes(breaks, c.From, c.To, func(z, length float64) { moment += length * (z - middle) * (z - middle) })
	var g gradient
	var out, down float64 // due where the tool was set: gathered, since it is the same place for all
	nodes(breaks, c.From, c.To, func(z, length float64) {
		o, d := c.weighHere(&g, z, length*(z-middle)/moment)
		out, down = out+o, down+d
	})
	c.weighFrom(&g, out, down)
	u, _ := c.uncertainty(&g)
	return u
}

// shape names what is left over the line: it reads the signs along the length, leaving out what is less than a tenth of
// the form.
func (c *Curve) shape(l Line, form float64) Shape {
	if form < straightWithin {
		return Straight
	}
	var signs []bool
	nodes(c.breaks, c.From, c.To, func(z, _ float64) {
		left := c.At(z, 0) - l.At(z)
		if math.Abs(left) < form/10 {
			return
		}
		if n := len(signs); n == 0 || signs[n-1] != (left > 0) {
			signs = append(signs, left > 0)
		}
	})
	if len(signs) == 3 {
		if signs[1] {
			return Barrel
		}
		return Waist
	}
	return Uneven
}
