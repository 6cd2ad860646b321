package setup

import (
	"wornway/compensate"
	"wornway/profile/bed"
)

// Lathe is what holding work needs to know of a lathe. Lengths mm.
type Lathe struct {
	Name      string
	Machine   compensate.Machine // with the spindle's axis
	JawsFront float64            // position of the front of the chuck's jaws
	JawsDepth float64            // how far stock may reach in behind it; infinite: through the spindle
	Turning   float64            // radians per N·mm by which the chuck gives to a moment; 0: it does not
	Headstock float64            // position of the point of the headstock's centre; NaN: none
	Overhang  float64            // longest, in diameters, of work held by the jaws alone
	Travel    [2]float64         // of the tailstock centre's point
	SetOver   float64            // greatest, to either side
	Steady    bool               // there is a steady
	Tail      *Tailstock         // nil: nothing is known of it
	Dials     []Dial             // by which work is brought to size and corrected; none: not known
}

// Tailstock is the tailstock on its own ways. Lengths mm.
type Tailstock struct {
	Base      bed.Base
	Offset    float64 // the centre's point from the base's middle
	AlignedAt float64 // where the centre's point was when it was aligned; NaN: taken as aligned where it stands
}

// Dial is one by which a diameter is set.
type Dial struct {
	compensate.Dial
	Compound bool // the compound's, turned to the dial's angle
}

const (
	// AlignedU is the standard uncertainty, mm, with which a tailstock's centre is aligned or set over: ± 5 µm. Common
	// practice, no source: an indicator of 0.01 mm along a bar between centres.
	AlignedU = 0.0025

	// JawsClear is how far from the jaws, the dog or the steady's pads the tool is to stop, mm. Common practice, no
	// source.
	JawsClear = 5.0

	// steadyHalf is half the length along the work that a steady's pads cover, mm. Common practice, no source.
	steadyHalf = 10.0
)
