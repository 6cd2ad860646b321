package compensate

// LadderOn returns what 0, 1, … settings leave at best of a curve where the dial may only be turned at these places,
// ascending, and how near that is taken.
func LadderOn(c *Curve, d Dial, feed Feed, at []float64, most int) (left []float64, near float64) {
	l, _ := newLadder(c, d, feed, at, 1)
	_, before := l.list(-1e9, 1e9)
	left = []float64{before}
	for n := 1; n <= most; n++ {
		_, v := l.best(n, left[n-1])
		left = append(left, v)
	}
	return left, l.near
}

// List returns the moves of a rung.
func (r Rung) List() []Move { return r.moves }
