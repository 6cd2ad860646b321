package plan

import (
	"wornway/compensate"
	"wornway/compensate/setup"
	"wornway/compensate/work"
)

// Question is what is to be planned.
type Question struct {
	Job       work.Job
	Lathes    []setup.Lathe
	Measuring float64 // standard uncertainty of a measured diameter, mm
}

// Plan is one way to make the part.
type Plan struct {
	Lathe     int // its number in the question
	SetUps    []Clamping
	Dial      *setup.Dial // nil: not known
	Corrected bool        // corrections are dialled along the features
	Sizing    work.Sizing // of the features for which the job leaves it open
	Features  []Outcome   // those of which something is asked, in the job's order

	Stated      bool    // the wear's uncertainty is known, and with it the probability
	Probability float64 // that all that is asked is held, all features together
	// with an uncertainty: the probability suffices; without: what was computed keeps within the limits
	Holds bool
	// jaws grip the part once more and the job says nothing of runout: how true its features run to each other is then
	// nobody's number, and the plan stands behind all others
	Untold bool
	Moves  int // of the dial while cutting
	Effort int // see effort.go
	// what would help most first; only of the first few plans, and where the probability is known
	HeldBack []Hindrance
}

// Clamping is one of the times that the part is held, by jaws, dog or centres, and what is turned in it.
type Clamping struct {
	*setup.Mounting
	Features []int // the numbers of those turned in it, from the tailstock toward the headstock
	Finished []int // the numbers of those that jaws or dog hold in it, finished in an earlier set-up
}

// Outcome is what comes of one feature. Lengths mm; diameters are whole diameters.
type Outcome struct {
	work.Feature                        // positions from the spindle nose
	Number       int                    // in the job
	SetUp        int                    // in the plan
	SetAt        float64                // where it is measured
	Feed         compensate.Feed        // while it is finished
	Sized        work.Sizing            //
	ByDial       bool                   // it is not measured itself: the dial goes on from the set-up's first feature
	Aim          float64                // diameter to bring it to where it is measured
	Low, High    float64                // the diameters along it that are expected then
	Uncertainty  float64                // standard, of the diameter, greatest along it; meaningful where Stated
	Probability  float64                // that what is asked of it is held
	Bending      float64                // how much the push of the cut alone changes the diameter along it
	Wear         float64                // how much bed, axis and alignment alone do
	Runs         *Runs                  // nil: no runout is asked
	Correction   *compensate.Correction // nil: nothing is dialled along it
}

// Result is what a search has found.
type Result struct {
	Plans   []Plan      // the best first; of equals in kind the best alone
	Refused []Exclusion // why lathes or holdings cannot be used
	Lacks   []Lack      // where there is no plan: what cannot be turned
	Change  *Change     // and the nearest change that would do; nil: none that is known here
	Looked  int         // how many ways were looked at
	Drawn   int         // and how many of them were drawn
	Helps   []Help      // what else could be used than the best plan's lathe as it is, with what that would promise
}

// Help is the best plan that something else allows.
type Help struct {
	Steady bool // the same lathe with a steady, which it does not have; otherwise another lathe
	Plan   Plan
}

// Exclusion is a way of holding that a lathe does not allow.
type Exclusion struct {
	Lathe int
	Way   work.Holding
	Why   setup.Refusal
}
