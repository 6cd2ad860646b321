package compensate

import (
	"math"
	"slices"

	"wornway/compensate/work"
)

// Class is how worn a lathe is, by what it does to work.
type Class int

// The classes, from the least worn on. NotKnown: the readings do not tell.
const (
	LittleWorn  Class = iota // it turns what a new lathe may
	UsuallyWorn              // as is usual for a used lathe: a few settings of the dial bring it back to that
	MuchWorn                 // it takes a list of settings in each length
	PastTurning              // past turning to size without a regrind
	NotKnown
)

// classes is how many there are to tell apart.
const classes = 4

// Limits of the classes: the greatest spread on diameter over 6 in or 150 mm, anywhere on the bed, mm.
//
// The first is what the axis of a new lathe of normal accuracy may be out, 0.02 mm in 300 on radius, which makes as
// much on the diameter over 150: Schlesinger, Testing Machine Tools, and an NNTU textbook, p. 199, eq (3.33), both
// second-hand. The others are ours: n settings of the dial divide an even taper by n + 1, so that three bring 0.08 mm,
// and nine 0.2 mm, back to the first. More than nine settings in 150 mm, one each 15 mm, nobody turns in a finishing
// pass.
var classLimits = [classes - 1]float64{0.02, 0.08, 0.2}

// ClassLimits returns the limits between the classes, mm on diameter, and how many settings of the dial bring a spread
// of the limit back to the first one.
func ClassLimits() (limits [classes - 1]float64, settings [classes - 1]int) {
	for i, l := range classLimits {
		settings[i] = int(math.Round(l/classLimits[0])) - 1
	}
	return classLimits, settings
}

// sure is how probable a class must be to be named: chosen on made-up lathes of the seeds 5 and 20260314, and then
// judged once on 300 of seed 880123, where 91 % of what it names is right, and it names 76 %.
const sure = 0.8

// Condition is how worn a lathe is. Lengths mm.
type Condition struct {
	Class       Class
	Probability [classes]float64 // of each class, by the readings; meaningful where Stated
	Spread      [2]float64       // of the length at its worst place: the interval that holds it with 95 % probability
	Computed    float64          // and as computed
	Stated      bool             // the wear's uncertainty is known
	Length      float64
	WorstFrom   float64 // where the length begins that comes out worst, as computed
}

// Probable returns the class that is most probable.
func (c Condition) Probable() Class {
	best := LittleWorn
	for k := range classes {
		if c.Probability[k] > c.Probability[best] {
			best = Class(k)
		}
	}
	return best
}

// ClassOf returns the class of a spread, mm on diameter, over the length by which lathes are judged.
func ClassOf(spread float64) Class {
	for k, l := range classLimits {
		if spread <= l {
			return Class(k)
		}
	}
	return PastTurning
}

// Condition judges the bed by the spread of a length of the given diameter (mm) at its worst place between from and to,
// the tool set at the length's tailstock end. Where the wear has no uncertainty, it is judged as computed.
func (m Machine) Condition(length, diameter, from, to float64) (Condition, error) {
	const step, places = 50.0, 7
	c := Condition{Class: NotKnown, Length: length, Stated: m.Wear.Stated()}
	n := max(1, int(math.Ceil((to-from-length)/step)))
	j := NewJoint(m.Wear)
	for i := range n + 1 {
		a := from + (to-from-length)*float64(i)/float64(n)
		end := math.Min(a+length, to)
		curve, err := m.Curve(Cut{Feature: work.Feature{From: a, To: end, Diameter: diameter}, SetAt: end})
		if err != nil {
			return c, err
		}
		at := make([]Spot, places)
		for k := range at {
			at[k].Position = a + (end-a)*float64(k)/(places-1)
		}
		j.Add(curve, at)
	}
	computed, err := m.Spans(PlaceOptions{Work: work.Feature{Diameter: diameter}, From: from, To: to}, length)
	if err != nil {
		return c, err
	}
	worst := computed[0].WorstSpread
	c.Computed, c.WorstFrom = worst.Spread, worst.From
	if !c.Stated {
		c.Class = ClassOf(c.Computed)
		return c, nil
	}
	var spreads []float64
	j.Draw(plainDraws, func(values []float64) {
		w := 0.0
		for k := 0; k < len(values); k += places {
			w = math.Max(w, slices.Max(values[k:k+places])-slices.Min(values[k:k+places]))
		}
		spreads = append(spreads, w)
		c.Probability[ClassOf(w)]++
	})
	for k := range c.Probability {
		c.Probability[k] /= float64(len(spreads))
	}
	c.Spread = middle95(spreads)
	if k := c.Probable(); c.Probability[k] >= sure {
		c.Class = k
	}
	return c, nil
}
