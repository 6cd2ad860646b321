package work

import (
	"fmt"
	"math"
	"slices"

	"wornway/compensate/bend"
)

// Sizing is how a feature is brought to size.
type Sizing string

// The ways of sizing.
const (
	InPlace Sizing = "in-place" // cut, measured and the dial set again at this feature
	// by the dial from the one setting that was measured at another feature, or at this one first
	Once Sizing = "once"
)

// Limits are the least and the greatest diameter allowed, as deviations from the nominal one, mm.
type Limits struct{ Lower, Upper float64 }

// Feature is one turned length of a part, such as a bearing seat.
type Feature struct {
	Name      string
	From, To  float64 // mm from the part's headstock end, From the nearer to the headstock
	Diameter  float64 // nominal, mm
	Bore      bool    // turned inside: the diameter is a bore's
	Size      *Limits // allowed size; nil: none asked
	Fit       string  // what Size was taken from, such as "k6"; empty where it was given in numbers
	Recalled  bool    // the limits of Fit rest on memory: no promise can rest on them
	Tolerance float64 // full spread allowed on diameter over the length, mm; 0: none asked
	Taper     float64 // greatest difference allowed between the diameters at the two ends, mm; 0: none asked
	Sized     Sizing  // empty: left open; whoever does not choose takes it as in place
	// greatest total indicator reading allowed, the part turning about another feature, mm; 0: none asked
	Runout   float64
	RunoutTo string // the name of that other feature
	Datum    bool   // another feature's runout is counted from this one
}

// Asked says whether anything is asked of the feature beyond being turned.
func (f Feature) Asked() bool {
	return f.Size != nil || f.Tolerance > 0 || f.Taper > 0 || f.Runout > 0 || f.Datum
}

// Turned returns the feature as it lies when the part, of the given length, is turned end for end.
func (f Feature) Turned(length float64) Feature {
	f.From, f.To = length-f.To, length-f.From
	return f
}

// Job is a part, or the length of one, to be turned.
type Job struct {
	Name       string
	Features   []Feature
	At         float64 // mm from the spindle nose to the part's headstock end
	ToolHeight float64 // tool's point above centre when it is set, mm, minus below
	Part       *Part   // nil: a length of work of which nothing else is known
}

// Part is what a job's drawing and its card say of the whole part. Lengths mm, forces N.
type Part struct {
	Length      float64   // of the part
	Stock       float64   // diameter of the stock, mm: the part's wherever no feature lies
	StockLength float64   // of the stock, which reaches past the part's headstock end; at least Length
	Held        []Holding // the ways of holding to choose from, the best liked first
	HeldStated  bool      // somebody chose them; otherwise they are all there are, and the lathe decides
	Grip        float64   // least length that the jaws, or the dog, must hold
	EndForEnd   bool      // it may be turned end for end
	Jaws        Jaws      // by which a chuck finds it again when it is held once more; empty: a three-jaw chuck
	Material    string    // its name among those of package bend; empty where it is given by numbers, or not at all
	Modulus     float64   // of elasticity, N/mm²; 0: not given
	Cut         Finish
}

// Finish is the finishing cut and the force by which it pushes the work away from the tool. Lengths mm, forces N.
type Finish struct {
	Depth   float64 // on radius
	Feed    float64 // per turn
	Radial  float64 // force away from the tool, N, that does not depend on a lathe; 0: none is known
	URadial float64 // its standard uncertainty, N
	// in place of Radial: two collars that tell the force once it is known how the chuck gave in which they were cut
	Collars      *bend.Trial
	Source       string // how the force was come by, as a clause
	SpringPasses int    // further passes at the same setting
}

// Pushed says whether it is known by how much the cut pushes; otherwise bending is left out.
func (f Finish) Pushed() bool { return f.Radial > 0 || f.Collars != nil }

// Force returns the force away from the tool, N, and its standard uncertainty, on a lathe whose chuck gives so far to a
// moment, radians per N·mm. Collars are taken to have been cut in that chuck.
func (f Finish) Force(turning float64) (radial, u float64, err error) {
	if f.Collars == nil {
		return f.Radial, f.URadial, nil
	}
	c, err := f.Collars.In(turning)
	if err != nil {
		return 0, 0, err
	}
	per, u, err := c.ForcePerDepth()
	return per * f.Depth, u * f.Depth, err
}

// AsksRunout says whether any feature is to run true to another.
func (j Job) AsksRunout() bool {
	return slices.ContainsFunc(j.Features, func(f Feature) bool { return f.Runout > 0 })
}

// Named returns the number of the feature of that name, -1 where there is none.
func (j Job) Named(name string) int {
	return slices.IndexFunc(j.Features, func(f Feature) bool { return f.Name == name })
}

// On returns the feature with its positions counted from the spindle nose.
func (j Job) On(f Feature) Feature {
	f.From += j.At
	f.To += j.At
	return f
}

// Problem is one thing that cannot be so in a job: the field in trade words, what is wrong, and how to put it right.
type Problem struct{ Field, Message, Hint string }

func (p Problem) Error() string { return p.Field + ": " + p.Message }

// Check returns everything that cannot be so, whatever the lathe.
func (j Job) Check() []Problem {
	var ps []Problem
	for _, f := range j.Features {
		ps = append(ps, f.check()...)
		if r := f.Diameter / 2; f.Diameter > 0 && math.Abs(j.ToolHeight) >= r {
			ps = append(ps, Problem{"tool-height", "the tool's point lies as far from centre height as the work's " +
				"radius, or further",
				"give the height above centre, minus below, such as -0.2mm"})
		}
	}
	return ps
}

func (f Feature) check() []Problem {
	var ps []Problem
	if !(f.Diameter > 0) {
		ps = append(ps, Problem{"diameter", "must be greater than zero", "give the diameter that is turned"})
	}
	if !(f.From < f.To) {
		ps = append(ps, Problem{"from", "must lie nearer to the headstock than to",
			"positions count from the spindle nose toward the tailstock: from is the headstock end"})
	}
	if f.Tolerance < 0 {
		ps = append(ps, Problem{"tolerance", "must not be less than zero",
			"give the full spread allowed on the diameter"})
	}
	for _, v := range []float64{f.From, f.To, f.Diameter, f.Tolerance} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			ps = append(ps, Problem{"feature", fmt.Sprintf("%v cannot be used", v), "give finite numbers"})
		}
	}
	return ps
}
