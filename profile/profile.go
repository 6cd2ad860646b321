package profile

import (
	"wornway/profile/bed"
	"wornway/profile/document"
	"wornway/profile/length"
	"wornway/profile/survey"
	"wornway/profile/wear"
)

// Profile is one lathe as its file has it.
type Profile struct {
	File     string // the name it was read under
	Unit     length.Unit
	Lathe    Lathe
	Stated   *Stated // drops that somebody already knows; nil where the file has none
	Surveys  []Survey
	Damage   []Damage
	Events   []Event          // what was done to the lathe, as the file has it
	Warnings []document.Fault // what is possible but hardly meant
	Accepted []AcceptedSlip   // slips that are taken to have been made
}

// Range is a stretch of the bed, mm from the spindle nose.
type Range struct{ From, To float64 }

// Lathe is the machine. Lengths in mm.
type Lathe struct {
	Name             string
	Bed              bed.Lathe
	Ways             Range   // the stretch of ways that the profile speaks of
	Unworn           []Range // the datum
	UnwornStated     bool    // the file names it; otherwise it is the first and last twentieth of Ways
	TwistUncertainty float64 // standard, radians per mm
	TwistStated      bool    // the file gives it
	// how the saddle sits, 0 to 1: bed.Seating; nil: the file does not say
	Seating    *float64
	CrossSlide *Slide
	Compound   *Slide
	Tailstock  *Tailstock
	Spindle    Spindle
	Holding    *Workholding // what it has for holding work; nil: the file does not say
}

// Slide is a slide with a dial. Lengths in mm as the dial counts.
type Slide struct {
	Diameter bool    // the dial counts the change of diameter
	Division float64 // smallest mark
	Finest   float64 // finest setting, in divisions
	Backlash float64 // 0: a digital readout; NaN: not given
}

// Tailstock is the tailstock's base on its own ways. Lengths in mm.
type Tailstock struct {
	FrontSetback, RearSetback float64 // its ways, behind the front carriage way
	BaseLength                float64 // it bears on its two ends
	CentreOffset              float64 // the centre's point from the base's middle
	AlignedAt                 float64 // where the centre's point was when the centres were aligned; NaN: not given
}

// Spindle is the lean of the spindle's axis against the bed, per mm of position.
type Spindle struct{ LeanOut, LeanUp, Uncertainty float64 }

// Stated is wear that somebody already knows, row by row.
type Stated struct {
	Columns     []string
	Rows        *document.Rows // as written, in the file's unit
	Uncertainty *float64       // standard, of the curve at any one place, mm; nil: not stated
	Reach       wear.Reach     // how far apart places are off alike
	File        string         // the CSV file, empty for rows in the profile itself
	set         survey.Set     // the same as a survey, for a profile that has readings too
	asSurvey    func() survey.Set
}

// Damage is what eye and fingernail found.
type Damage struct {
	Way string // front, rear, tail-front or tail-rear
	Range
	Note string
}
