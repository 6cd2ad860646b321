package exercise

import (
	"math"
	"slices"

	"wornway/compensate/cause"
)

// CannotTell is the answer that the readings do not decide it yet.
const CannotTell cause.Kind = "cannot-tell"

// Reply is what somebody answered.
type Reply struct {
	Causes []cause.Kind
	// Times is how many times the hidden size each cause's answered size is; 0: none was given.
	Times   []float64
	Telling string // which cut or reading tells; empty: not answered
}

// Marks are what an answer is worth, and how much could be had.
type Marks struct {
	Cause, Strength, Telling int
	Of                       int
	Missed                   []cause.Kind // hidden and not named
	Wrong                    []cause.Kind // named and not hidden
}

// Total is the sum of the marks.
func (m Marks) Total() int { return m.Cause + m.Strength + m.Telling }

// How marks are given: our own choice. A cause that is named counts two, a wrong one beside it takes one away; its
// strength counts one where it is right within a third or so, and so does the cut or reading that tells it.
const (
	forCause = 2
	weakest  = 0.65
	greatest = 1.5
)

// Mark judges an answer. Where the readings decide nothing, that they cannot tell yet is as right as the hidden cause.
func (a Answer) Mark(g Reply) Marks {
	var m Marks
	hidden := func(k cause.Kind) bool {
		return slices.ContainsFunc(a.Hidden, func(h HiddenCause) bool { return h.Kind == k })
	}
	honest := !a.Sure && slices.Equal(g.Causes, []cause.Kind{CannotTell}) && !hidden(cause.AsSurveyed)
	for _, h := range a.Hidden {
		m.Of += forCause
		at := slices.Index(g.Causes, h.Kind)
		if !math.IsNaN(h.Size) {
			if !honest {
				m.Of++
			}
			if at >= 0 && at < len(g.Times) && g.Times[at] >= weakest && g.Times[at] <= greatest {
				m.Strength++
			}
		}
		switch {
		case at >= 0, honest:
			m.Cause += forCause
		default:
			m.Missed = append(m.Missed, h.Kind)
		}
	}
	for _, k := range g.Causes {
		if !hidden(k) && !(honest && k == CannotTell) {
			m.Wrong = append(m.Wrong, k)
		}
	}
	m.Cause = max(0, m.Cause-len(m.Wrong))
	if len(a.Telling) > 0 {
		m.Of++
		if slices.Contains(a.Telling, g.Telling) {
			m.Telling++
		}
	}
	return m
}
