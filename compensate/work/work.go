// Package work says what is to be turned: a [Job] of one or more [Feature]s, each a length with a diameter.
//
// It knows neither lathe nor wear. Lengths are mm. What it does not hold yet is how the work is held: the axis about which it turns belongs to
// the package above.
package work

import (
	"fmt"
	"math"
)

// Feature is one turned length of a part, such as a bearing seat.
type Feature struct {
	Name      string
	From, To  float64 // mm from the part's headstock end, From the nearer to the headstock
	Diameter  float64 // mm
	Bore      bool    // turned inside: the diameter is a bore's
	Tolerance float64 // full spread allowed on diameter, mm; 0: none asked
}

// Job is a part, or the length of one, to be turned.
type Job struct {
	Features   []Feature
	At         float64 // mm from the spindle nose to the part's headstock end
	ToolHeight float64 // tool's point above centre when it is set, mm, minus below
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
			ps = append(ps, Problem{"tool-height", "the tool's point lies as far from centre height as the work's radius, or further",
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
		ps = append(ps, Problem{"tolerance", "must not be less than zero", "give the full spread allowed on the diameter"})
	}
	for _, v := range []float64{f.From, f.To, f.Diameter, f.Tolerance} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			ps = append(ps, Problem{"feature", fmt.Sprintf("%v cannot be used", v), "give finite numbers"})
		}
	}
	return ps
}
