package bed

// Lathe is the geometry by which wear reaches the tool. Lengths in mm.
type Lathe struct {
	CentreHeight float64 // spindle axis above the plane of the front way's contacts
	Span         float64 // front way's contact centre to the rear way's
	Setback      float64 // spindle axis behind the front way
	RearPost     bool    // the tool stands on the far side of the work
	V            *V      // nil: a flat front way with a guiding edge
	Saddle       Saddle
}

// GuideHeight returns the height in mm of the spindle axis above the point about which the saddle rolls: on a V the
// point where the flanks' normals meet, on a flat way its guiding edge's contact.
func (l Lathe) GuideHeight() float64 {
	if l.V == nil {
		return l.CentreHeight
	}
	return l.CentreHeight + l.V.GuideDepth()
}

// Post returns +1 for a front tool post and −1 for a rear one: the factor between "toward the operator" and "out".
func (l Lathe) Post() float64 {
	if l.RearPost {
		return -1
	}
	return 1
}

// FrontDrop returns how far the saddle's front has sunk at the tool, mm, plus down.
func (l Lathe) FrontDrop() Sum { return l.Saddle.Line(Front, l.Saddle.ToolOffset) }

// FrontShift returns how far the saddle has moved sideways at the tool, mm, plus toward the operator.
func (l Lathe) FrontShift() Sum { return l.Saddle.Line(Shift, l.Saddle.ToolOffset) }

// Roll returns the saddle's roll at the tool, in radians, plus when its top leans toward the operator: what the ways
// make of it and the bed's twist.
func (l Lathe) Roll() Sum { return l.RollAt(l.Saddle.ToolOffset).Plus(Of(Twist)) }

// RollAt returns the roll that the ways alone give the saddle, in radians, its middle lying offset mm before the
// position: the mean front drop less the mean rear drop over the bearings, divided by the span, and what comes of how
// it sits. With the rolls p and q that the ways have under its two ends it is (p + q)/2 + Seating·|p − q|/2:
// contacts that give under the saddle's weight make the mean, a stiff saddle rides on the end of the rear way that
// stands higher.
func (l Lathe) RollAt(offset float64) Sum {
	even := l.Saddle.Mean(Front, offset).Plus(l.Saddle.Mean(Rear, offset).Times(-1))
	return even.Plus(l.Saddle.Rocked(offset).Times(0.5)).Times(1 / l.Span)
}

// Sunk returns how far the saddle has sunk at the position, mm, plus down, at a place so many mm behind the front way:
// the line through its front bearings less the roll times that distance. The saddle's middle lies offset mm before the
// position. It is what the ways alone make of it, without twist.
func (l Lathe) Sunk(offset, behind float64) Sum {
	return l.Saddle.Line(Front, offset).Plus(l.RollAt(offset).Times(-behind))
}

// ToolOut returns how far wear and twist carry the tool point away from the work axis, mm, plus outwards, before any
// lean of the axis: s·(shift + H·roll) with H the guide height and s the post's sign. Linear in the wear; derived
// here.
func (l Lathe) ToolOut() Sum {
	return l.FrontShift().Plus(l.Roll().Times(l.GuideHeight())).Times(l.Post())
}

// ToolDrop returns how far wear and twist lower the tool point, mm, plus down: the front's drop less the roll times the
// tool point's distance behind the front way. On work of diameter D (mm) that distance is Setback − D/2 for a front
// post and Setback + D/2 for a rear one.
func (l Lathe) ToolDrop(diameter float64) Sum {
	behind := l.Setback - l.Post()*diameter/2
	return l.Sunk(l.Saddle.ToolOffset, behind).Plus(Of(Twist).Times(-behind))
}
