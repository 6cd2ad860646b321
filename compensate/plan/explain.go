package plan

import (
	"cmp"
	"slices"

	"wornway/compensate"
)

// explained is how many plans are taken apart to say what holds them back.
const explained = 3

// Cause is something that keeps a plan from being sure.
type Cause string

// The causes.
const (
	ByWear      Cause = "wear"      // what the bed, the axis and the alignment are known to do along a feature
	ByBending   Cause = "bending"   // the push of the cut
	BySurvey    Cause = "survey"    // what is not known of the wear
	ByDial      Cause = "dial"      // its finest setting
	ByMeasuring Cause = "measuring" // of the diameter
	ByHolding   Cause = "holding"   // how far off the part lies when it is held once more
)

// Hindrance is what the probability would be without one cause.
type Hindrance struct {
	Cause   Cause
	Without float64
}

// explain takes a plan apart: what its probability would be without each cause. The greatest gain comes first.
func (q Question) explain(v *simulation) {
	if !v.plan.Stated {
		return
	}
	try := func(c Cause, j *compensate.Joint, limit, measuring float64) {
		_, all := v.probability(j, limit, measuring)
		v.plan.HeldBack = append(v.plan.HeldBack, Hindrance{c, all})
	}
	try(ByWear, v.joint.Flat(), v.limit, v.measuring)
	try(ByBending, v.joint.Stiff(), v.limit, v.measuring)
	try(BySurvey, v.joint.Known(), v.limit, v.measuring)
	try(ByDial, v.joint, 0, v.measuring)
	try(ByMeasuring, v.joint, v.limit, 0)
	if slices.ContainsFunc(v.plan.Features, func(o Outcome) bool { return o.Runs != nil && o.Runs.Limit > 0 }) {
		v.asksTrue = false
		try(ByHolding, v.joint, v.limit, v.measuring)
		v.asksTrue = true
	}
	slices.SortStableFunc(v.plan.HeldBack, func(a, b Hindrance) int { return cmp.Compare(b.Without, a.Without) })
}

// Weakest returns the feature that is least probable to be held.
func (p *Plan) Weakest() Outcome {
	return slices.MinFunc(p.Features, func(a, b Outcome) int { return cmp.Compare(a.Probability, b.Probability) })
}
