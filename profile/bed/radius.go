package bed

import (
	"fmt"
	"math"
)

// Setting is a tool set to a diameter: where its point then stands, mm from the work axis.
type Setting struct {
	Diameter float64 // the diameter set
	X        float64 // horizontally outwards
	Height   float64 // above centre, plus up
}

// SetTo returns the setting for a diameter with the tool's point height mm above centre (minus: below). The point must
// lie within the radius.
func SetTo(diameter, height float64) (Setting, error) {
	r := diameter / 2
	if !(diameter > 0) {
		return Setting{}, fmt.Errorf("the diameter must be greater than zero")
	}
	if !(math.Abs(height) < r) {
		return Setting{}, fmt.Errorf("the tool's point lies further from centre height than the work's radius: it " +
			"cannot cut this diameter")
	}
	return Setting{Diameter: diameter, X: math.Sqrt((r - height) * (r + height)), Height: height}, nil
}

// Radius returns the radius in mm that is cut after the point has moved out and down by so many mm from where it was
// set. It is exact: the distance of the point from the axis.
func (s Setting) Radius(out, down float64) float64 {
	return math.Hypot(s.X+out, s.Height-down)
}

// DiameterError returns how much bigger the work then is than the diameter set, in mm: twice the radius less the
// diameter, written so that nothing is lost where the difference is small.
func (s Setting) DiameterError(out, down float64) float64 {
	// r − R = (r² − R²)/(r + R), and r² − R² is short once the squares of X and Height cancel against R².
	r := s.Radius(out, down)
	return 2 * (out*(2*s.X+out) + down*(down-2*s.Height)) / (r + s.Diameter/2)
}

// Out returns the motion outwards, mm, that makes the cut radius r when the point is down by so many mm; NaN where the
// point is further from the axis than r whatever the cross slide does, and where r is less than zero.
func (s Setting) Out(r, down float64) float64 {
	h := s.Height - down
	if r < 0 {
		return math.NaN()
	}
	return math.Sqrt((r-h)*(r+h)) - s.X
}

// Slope returns how the diameter changes with a further motion of the point out, and down: dimensionless.
func (s Setting) Slope(out, down float64) (perOut, perDown float64) {
	r := s.Radius(out, down)
	if r == 0 {
		return 2, 0
	}
	return 2 * (s.X + out) / r, -2 * (s.Height - down) / r
}
