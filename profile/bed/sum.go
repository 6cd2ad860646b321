package bed

import "slices"

// Curve names one of the curves along the bed that wear is described by, each in mm as a function of position.
type Curve int

// The curves. A drop is plus when the way has sunk, a shift is plus toward the operator.
const (
	Front     Curve = iota // drop of the front carriage way
	Shift                  // sideways displacement of the front way's guidance
	Rear                   // drop of the rear carriage way
	TailFront              // drop of the front tailstock way
	TailRear               // drop of the rear tailstock way
	Curves                 // how many there are
)

// String returns the curve's name as used in files and outputs.
func (c Curve) String() string {
	if c < 0 || c >= Curves {
		return "?"
	}
	return [...]string{"front", "shift", "rear", "tail-front", "tail-rear"}[c]
}

// Scalar names one of the single numbers that act in proportion to position.
type Scalar int

// The scalars, each per mm of position.
const (
	// twist of the bed, radians per mm: adds to the roll that saddle and tailstock base see
	Twist          Scalar = iota
	LeanOut               // the spindle axis leaves toward the operator
	LeanUp                // the spindle axis rises
	TailFrontSlope        // the front tailstock way falls away from the carriage ways
	TailRearSlope         // the rear tailstock way likewise
	Scalars               // how many there are
)

// Term is one weight on one curve, placed relative to the position at which a Sum is taken.
//
// With From equal to To it is Mean times the curve's value at position + From. Otherwise it covers the stretch from
// position + From to position + To and is Mean times the curve's mean over the stretch plus Slope times its
// least-squares slope there.
type Term struct {
	Curve       Curve
	From, To    float64 // mm from the position
	Mean, Slope float64 // Slope in mm
}

// Sum is a weighted sum of curves and scalars that belongs to a position z: the terms, and each scalar times z times
// its PerLength.
//
// It is how every reading and every motion of the tool is written down, so that one set of weights serves the
// prediction, its uncertainty and the estimate from readings.
type Sum struct {
	Terms     []Term
	PerLength [Scalars]float64
}

// At returns the sum that is the curve's own value, offset mm from the position.
func At(c Curve, offset float64) Sum {
	return Sum{Terms: []Term{{Curve: c, From: offset, To: offset, Mean: 1}}}
}

// Of returns the sum that is the scalar times the position.
func Of(k Scalar) Sum {
	var s Sum
	s.PerLength[k] = 1
	return s
}

// Times returns the sum multiplied by f.
func (s Sum) Times(f float64) Sum {
	out := Sum{Terms: slices.Clone(s.Terms)}
	for i := range out.Terms {
		out.Terms[i].Mean *= f
		out.Terms[i].Slope *= f
	}
	for k := range s.PerLength {
		out.PerLength[k] = s.PerLength[k] * f
	}
	return out
}

// Plus returns the sum of both; terms on the same stretch of the same curve are united and those that cancel are
// dropped.
func (s Sum) Plus(o Sum) Sum {
	out := Sum{Terms: slices.Clone(s.Terms), PerLength: s.PerLength}
	for k := range o.PerLength {
		out.PerLength[k] += o.PerLength[k]
	}
	for _, t := range o.Terms {
		i := slices.IndexFunc(out.Terms, func(u Term) bool {
			return u.Curve == t.Curve && u.From == t.From && u.To == t.To
		})
		if i < 0 {
			out.Terms = append(out.Terms, t)
			continue
		}
		out.Terms[i].Mean += t.Mean
		out.Terms[i].Slope += t.Slope
	}
	out.Terms = slices.DeleteFunc(out.Terms, func(t Term) bool { return t.Mean == 0 && t.Slope == 0 })
	return out
}
