package compensate

import "math"

// Dial is the dial by which corrections are made: the cross slide's, or that of the compound turned to an angle.
type Dial struct {
	Diameter bool    // it counts the change of diameter; otherwise the slide's own way
	Division float64 // smallest mark, mm as the dial counts
	Finest   float64 // finest setting a hand makes, in divisions
	Backlash float64 // mm as the dial counts; 0: none to take out; NaN: not known, taken as some
	Angle    float64 // the compound's, from the bed's axis, radians; 0: the cross slide's dial
}

// Step returns how far the finest setting moves the tool toward the axis, mm on radius. A compound set to an angle
// moves it by the sine of the angle.
func (d Dial) Step() float64 {
	step := d.Finest * d.Division
	if d.Diameter {
		step /= 2
	}
	if d.Angle != 0 {
		step *= math.Sin(d.Angle)
	}
	return step
}

// Along returns how far the finest setting moves the tool along the bed, mm: nothing for the cross slide.
func (d Dial) Along() float64 {
	if d.Angle == 0 {
		return 0
	}
	step := d.Finest * d.Division
	if d.Diameter {
		step /= 2
	}
	return step * math.Cos(d.Angle)
}

// Reading returns what so many finest settings are on the dial, mm as it counts.
func (d Dial) Reading(settings int) float64 { return float64(settings) * d.Finest * d.Division }

// Divisions returns what so many finest settings are in divisions.
func (d Dial) Divisions(settings int) float64 { return float64(settings) * d.Finest }

// Limit returns what the finest setting makes on the diameter, mm.
func (d Dial) Limit() float64 { return 2 * d.Step() }
