package bed

// Bearing says where along its length the saddle rests on the ways.
type Bearing int

// Where a saddle bears.
const (
	Ends Bearing = iota // near its two ends: saddles are scraped hollow in the middle
	Full                // along the whole length
)

// Saddle is the carriage's slide on the bed.
type Saddle struct {
	BearingLength float64 // mm from end bearing to end bearing; 0: a point at the tool, and ToolOffset is ignored
	Bearing       Bearing
	ToolOffset    float64 // tool tip from the saddle's middle, mm, minus toward the headstock
}

// Line returns the line that the saddle's bearings lay along the curve, taken offset mm from the saddle's middle; the
// position of the sum is that of the place taken, so the saddle's middle lies offset mm before it.
//
// "Ends": the line through the curve under both ends. "Full": the least-squares line over the bearing. The tilt of that
// line is how pitch and yaw reach a tool that does not stand over the saddle's middle.
func (s Saddle) Line(c Curve, offset float64) Sum {
	if s.BearingLength == 0 {
		return At(c, 0)
	}
	left, right := s.reach(offset)
	if s.Bearing == Full {
		return Sum{Terms: []Term{{Curve: c, From: left, To: right, Mean: 1, Slope: offset}}}
	}
	t := offset / s.BearingLength
	return At(c, left).Times(0.5 - t).Plus(At(c, right).Times(0.5 + t))
}

// Mean returns the mean of the curve over the bearings, the saddle's middle lying offset mm before the position.
func (s Saddle) Mean(c Curve, offset float64) Sum {
	if s.BearingLength == 0 {
		return At(c, 0)
	}
	left, right := s.reach(offset)
	if s.Bearing == Full {
		return Sum{Terms: []Term{{Curve: c, From: left, To: right, Mean: 1}}}
	}
	return At(c, left).Times(0.5).Plus(At(c, right).Times(0.5))
}

// Rocks says whether the saddle bears on two ends that the ways may hold differently.
func (s Saddle) Rocks() bool { return s.Bearing == Ends && s.BearingLength > 0 }

// Rocked returns Seating times how far the ways under the two ends differ, mm: how much further the rear of a stiff
// saddle would sink at the end that is off the way, if it were pressed down there. The saddle's middle lies offset mm
// before the position. It is nothing for a saddle that does not [Saddle.Rocks].
func (s Saddle) Rocked(offset float64) Sum {
	if !s.Rocks() {
		return Sum{}
	}
	left, right := s.reach(offset)
	return Sum{Rocks: []Rock{{left, right, 1}}}
}

// reach returns where the bearing begins and ends, mm from a position that lies offset mm after the saddle's middle.
func (s Saddle) reach(offset float64) (left, right float64) {
	return -offset - s.BearingLength/2, -offset + s.BearingLength/2
}

// Reach returns where the bearing begins and ends, mm from the tool's position.
func (s Saddle) Reach() (left, right float64) {
	if s.BearingLength == 0 {
		return 0, 0
	}
	return s.reach(s.ToolOffset)
}
