package collars

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Proposal is something more that could be measured.
type Proposal int

// What could be measured next.
const (
	AnotherDepth Proposal = iota // a second cut, twice as deep, over the same collars
	AnotherCut                   // a second cut as the first
	BetweenThem                  // a further cut with collars halfway between those there are
)

// Next returns which further cut would lower the ± along a length most, and what it would leave: standard
// uncertainties of the diameter against that where the dial is set, root mean square along the length, mm.
func (e *Estimate) Next(from, to, setAt float64, like bool) (best Proposal, now, then float64) {
	const places = 17
	at := make([]float64, places+1)
	for i := range places {
		at[i] = from + (to-from)*float64(i)/(places-1)
	}
	at[places] = setAt
	now = e.model.uncertain(e.cases, at, like)
	then = math.Inf(1)
	for _, f := range []Proposal{AnotherDepth, AnotherCut, BetweenThem} {
		m := e.with(f)
		cases := make([]posterior, 0, len(e.cases))
		for _, c := range e.cases {
			factor, ok := m.factor(c.belief)
			if ok {
				c.factor = factor
				cases = append(cases, c)
			}
		}
		if u := m.uncertain(cases, at, like); u < then*0.99 {
			best, then = f, u
		}
	}
	return best, now, then
}

// with returns the model with what further cuts would bring.
func (e *Estimate) with(f Proposal) model {
	m := e.model
	m.rows = append([]reading(nil), m.rows...)
	at := e.positions()
	deep := 1.0
	switch f {
	case AnotherDepth:
		deep = 2
	case BetweenThem:
		var between []float64
		for i := 1; i < len(at); i++ {
			between = append(between, (at[i-1]+at[i])/2)
		}
		at = append([]float64{at[0], at[len(at)-1]}, between...)
	}
	for _, z := range at {
		m.rows = append(m.rows, reading{z: z, cut: m.cuts, deep: deep})
	}
	m.cuts++
	return m
}

// uncertain returns the root mean square of the standard uncertainties at the places against the last of them.
func (m model) uncertain(cases []posterior, at []float64, like bool) float64 {
	unread := make([]posterior, len(cases))
	for i, c := range cases {
		c.off = mat.NewVecDense(len(m.rows), nil) // what will be read is not known, and does not change the ±
		unread[i] = c
	}
	_, cov := m.curve(unread, at, like)
	n := len(at) - 1
	sum := 0.0
	for i := range n {
		sum += math.Max(0, cov.At(i, i)+cov.At(n, n)-2*cov.At(i, n)) / float64(n)
	}
	return math.Sqrt(sum)
}
