package bed

import "slices"

// Curve names one of the curves along the bed that wear is described by, each in mm as a function of position.
type Curve int

// The curves. A drop is plus when the way has sunk, a shift is plus toward the operator.
const (
	Front     Curve = iota // drop of the front carriage way
	Shift                  // sideways displacement of the front way's guide point
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

// Scalar names one of the single numbers of a lathe.
type Scalar int

// The scalars. Those before Seating act in proportion to position, and are per mm of it.
const (
	// twist of the bed, radians per mm: adds to the roll that saddle and tailstock base see
	Twist          Scalar = iota
	LeanOut               // the spindle axis leaves toward the operator
	LeanUp                // the spindle axis rises
	TailFrontSlope        // the front tailstock way falls away from the carriage ways
	TailRearSlope         // the rear tailstock way likewise
	// how the saddle sits where the ways under its two ends would roll it differently: 0, it gives and bears on both
	// ends of the rear way; 1, it is stiff and rides on the end that stands higher. See Rock
	Seating
	Scalars           // how many there are
	Slopes  = Seating // how many act in proportion to position
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

// Rock is how a stiff saddle rolls otherwise than one that gives: Per times Seating times the size of [Rock.Apart]. It
// is the one part of a Sum that is not linear. Placed relative to the position, as a Term is.
type Rock struct {
	From, To float64 // the saddle's ends, mm from the position
	Per      float64
}

// Apart returns how far what the front way has sunk more than the rear differs between the saddle's two ends, mm.
func (r Rock) Apart() Sum {
	return Sum{Terms: []Term{{Front, r.From, r.From, 1, 0}, {Rear, r.From, r.From, -1, 0}, {Front, r.To, r.To, -1, 0},
		{Rear, r.To, r.To, 1, 0}}}
}

// Sum is a weighted sum of curves and scalars that belongs to a position z: the terms, each scalar times z times its
// PerLength, and what comes of how the saddle sits.
//
// It is how every reading and every motion of the tool is written down, so that one set of weights serves the
// prediction, its uncertainty and the estimate from readings.
type Sum struct {
	Terms     []Term
	PerLength [Slopes]float64
	Rocks     []Rock
}

// Addend is a sum taken at a position, and multiplied: what readings, and errors of work, are made up of.
type Addend struct {
	Sum    Sum
	At     float64 // mm
	Factor float64
}

// At returns the sum taken at a position, mm, and multiplied by a factor.
func (s Sum) At(z, factor float64) Addend { return Addend{s, z, factor} }

// At returns the sum that is the curve's own value, offset mm from the position.
func At(c Curve, offset float64) Sum {
	return Sum{Terms: []Term{{Curve: c, From: offset, To: offset, Mean: 1}}}
}

// Of returns the sum that is the scalar, one of the Slopes, times the position.
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
	out.Rocks = slices.Clone(s.Rocks)
	for i := range out.Rocks {
		out.Rocks[i].Per *= f
	}
	return out
}

// Plus returns the sum of both; terms on the same stretch of the same curve are united and those that cancel are
// dropped.
func (s Sum) Plus(o Sum) Sum {
	out := Sum{Terms: slices.Clone(s.Terms), PerLength: s.PerLength, Rocks: slices.Clone(s.Rocks)}
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
	for _, r := range o.Rocks {
		i := slices.IndexFunc(out.Rocks, func(q Rock) bool { return q.From == r.From && q.To == r.To })
		if i < 0 {
			out.Rocks = append(out.Rocks, r)
			continue
		}
		out.Rocks[i].Per += r.Per
	}
	out.Rocks = slices.DeleteFunc(out.Rocks, func(r Rock) bool { return r.Per == 0 })
	return out
}
