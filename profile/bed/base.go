package bed

// Base is the tailstock's base on its own two ways, on which it bears with its two ends as a saddle does. Lengths in
// mm.
type Base struct {
	FrontSetback, RearSetback float64 // its ways, behind the front carriage way
	Length                    float64 // from end bearing to end bearing
}

// tail returns a tailstock way's drop against the carriage ways at the position: its wear, and the slope by which it
// was never parallel to them.
func tail(way Sum, slope Scalar) Sum { return way.Plus(Of(slope)) }

// TailDrop returns the drop of a tailstock way against the carriage ways, TailFront or TailRear, with its slope.
func TailDrop(way Curve) Sum {
	if way == TailRear {
		return tail(At(TailRear, 0), TailRearSlope)
	}
	return tail(At(TailFront, 0), TailFrontSlope)
}

// Roll returns the roll of the base in radians, plus when its top leans toward the operator, its middle lying offset mm
// before the position. It is what the ways alone make of it, without twist. A slope of a way enters at the position and
// not at the middle: the difference does not change along the bed.
func (b Base) Roll(offset float64) Sum {
	s := Saddle{BearingLength: b.Length}
	front := tail(s.Mean(TailFront, offset), TailFrontSlope)
	rear := tail(s.Mean(TailRear, offset), TailRearSlope)
	return front.Plus(rear.Times(-1)).Times(1 / (b.RearSetback - b.FrontSetback))
}

// Sunk returns how far the base has sunk at the position, mm, plus down, at a place so many mm behind the front
// carriage way, the base's middle lying offset mm before the position.
func (b Base) Sunk(offset, behind float64) Sum {
	s := Saddle{BearingLength: b.Length}
	line := tail(s.Line(TailFront, offset), TailFrontSlope)
	return line.Plus(b.Roll(offset).Times(-(behind - b.FrontSetback)))
}

// CentreOut returns how far the tailstock's centre has moved toward the operator, mm, with its point at the position
// and the base's middle lying offset mm before it: the roll of the base, the bed's twist included, times the height of
// the spindle's axis over the point about which a saddle rolls. Twist that is even along the bed then carries tool and
// centre alike. What the base slides aside in its own guides is not known and left out.
func (l Lathe) CentreOut(b Base, offset float64) Sum {
	return b.Roll(offset).Plus(Of(Twist)).Times(l.GuideHeight())
}

// CentreDrop returns how far the tailstock's centre has sunk, mm, plus down, likewise.
func (l Lathe) CentreDrop(b Base, offset float64) Sum {
	return b.Sunk(offset, l.Setback).Plus(Of(Twist).Times(-l.Setback))
}
