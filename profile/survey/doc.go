// Package survey turns readings taken at a lathe into linear equations on its wear.
//
// A [Method] is one way of measuring; [Methods] lists them, each in a file of its own, where its equation can be held
// against its description. A method reads its keys through [Keys] and makes of each [Row] one [Equation] or several:
// weights on the wear curves of package bed, weights on what else the survey leaves open (its zero, the straightedge's
// bow, …) and the reading. Package estimate solves them.
//
// Lengths are mm, slopes and angles radians, whatever the survey was written in. To add a method: write its file and
// its test, and name it in Methods.
package survey

import "wornway/profile/bed"

// Share is the weight of one of the survey's free terms in a reading.
type Share struct {
	Term   int // index among the survey's terms
	Factor float64
}

// Term is something that a survey leaves open besides the wear, constant through the survey. Its unknown is plain: the
// factor has the unit.
type Term struct {
	Name string
	Flat bool    // nothing is known of it beforehand
	U    float64 // otherwise its standard uncertainty about zero
}

// Side says whether a reading is a value or a limit.
type Side int

// The sides.
const (
	Value   Side = iota // the reading is the value
	AtMost              // the value is not greater than the reading
	AtLeast             // the value is not less than the reading
	Between             // the value lies within Half of the reading, anywhere there alike
)

// Equation is one reading: the sum of its parts and shares is the reading, within its uncertainty.
type Equation struct {
	Row      int     // from 1 within the survey
	Position float64 // mm, for messages
	Parts    []bed.Addend
	Shares   []Share
	Reading  float64
	U        float64 // standard
	Side     Side
	Half     float64 // for Between
	// Exact is the reading that a wear would give, without the shares, where that is not quite linear; nil where the
	// parts say it all.
	Exact func(w Values) float64
}

// Values gives the value of a sum at a position; *wear.Wear does.
type Values interface {
	Value(s bed.Sum, z float64) float64
}
