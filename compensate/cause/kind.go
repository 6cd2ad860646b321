package cause

import "math"

// Kind is a cause.
type Kind string

// The causes, and what stands for none of them.
const (
	AsSurveyed Kind = "as-surveyed" // what was known beforehand explains it, within its uncertainty
	WornOn     Kind = "worn-on"     // the bed's own pattern is deeper: worn on since, or more worn than surveyed
	Twist      Kind = "twist"       // the bed was twisted since, by levelling
	Lean       Kind = "lean"        // the spindle leans against the bed
	SetOver    Kind = "set-over"    // the tailstock stands to a side
	TailHeight Kind = "tail-height" // the tailstock's centre stands low or high
	PushOff    Kind = "push-off"    // the work gives way to the cut
	Radius     Kind = "radius"      // a cut's differences were noted on radius
	LevelSign  Kind = "level-sign"  // a level of the profile was read the wrong way round
	Other      Kind = "other"       // a smooth error that is none of these, or readings far worse than stated
)

// Span is the length, mm, over which the size of a twist, a lean and a tailstock's stand are told.
const Span = 300.0

// prior is what is taken as known of a cause before anything is read. What of it is usual is common practice, no
// source.
type prior struct {
	odds float64 // beside the others
	u    float64 // standard, of its size in the unit of its column
	one  bool    // it goes one way only: the half of a normal density
	pair bool    // it may come together with another
}

// Sizes count as follows: WornOn as a share of the wear in the profile; Twist in radians and Lean in mm, each over
// Span; SetOver in mm toward the operator at Span from the headstock's centre; TailHeight as the square of mm there,
// since up and down look alike; PushOff in mm on diameter at the reading where it is greatest. The lean is twice what a
// textbook's table allows of a normal lathe (0.02 mm in 300 mm).
var priors = map[Kind]prior{
	WornOn:     {2, 0.5, true, true},
	Twist:      {2, 2e-7 * Span, false, true},
	Lean:       {2, 0.04, false, true},
	SetOver:    {2, 0.1, false, true},
	TailHeight: {0.5, 0.09, true, false},
	PushOff:    {2, 0.02, true, true},
	Radius:     {0.5, math.NaN(), false, false},
	LevelSign:  {0.5, math.NaN(), false, false},
}

// columned are the causes that a column stands for, in the order in which they are told.
var columned = []Kind{WornOn, Twist, Lean, SetOver, TailHeight, PushOff}

// How probable it is beforehand that nothing is the cause, one cause, two together, or something else: common practice,
// no source.
const (
	priorNone  = 0.25
	priorOne   = 0.50
	priorTwo   = 0.15
	priorOther = 0.10
)
