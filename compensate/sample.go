package compensate

import (
	"math"
	"slices"
)

// Spot is a position with the setting, mm in on radius, under which it is cut.
type Spot struct{ Position, Setting float64 }

// Promise is what can be promised of a length's spread by what the wear's uncertainty makes of it.
type Promise struct {
	Limit  float64 // what the spread keeps within with a probability of [Promised], mm on diameter
	Within float64 // probability that the spread is not greater than the tolerance
	Worse  float64 // of one of several lists: probability that its spread is greater than the first one's
}

// Prospect is what the uncertainty of the wear makes of a length's spread and form. Lengths mm, on diameter.
type Prospect struct {
	Promise
	Spread [2]float64 // the interval that holds the spread with 95 % probability, cut equally at both ends
	Form   [2]float64 // likewise
}

const (
	sampleSeed  = 20260314 // fixed: the same input gives the same answer
	sampleDraws = 4000     // for every spread, so that the same question has one answer whichever command asks it
	plainDraws  = 1000     // where many lengths are drawn together, or no probability is told
)

// Sample draws errors that are as likely as the wear's uncertainty has it, in each of its cases in turn, and returns
// what spread and form they make, and with which probability the spread stays within the tolerance (mm). The error
// itself is taken to first order in the wear's deviations. It returns false where no uncertainty was stated.
//
// at says where the errors are compared and how the tool is set there; [Curve.Spaced] gives a good choice.
// Source: propagation of distributions by a Monte Carlo method, JCGM 101:2008.
func (c *Curve) Sample(at []Spot, tolerance float64) (Prospect, bool) {
	if len(at) == 0 || !c.Wear.Stated() {
		return Prospect{}, false
	}
	spreads, forms := make([]float64, 0, sampleDraws), make([]float64, 0, sampleDraws)
	lever, square := levers(at)
	j := NewJoint(c.Wear)
	j.addVarying(c, at)
	j.Draw(sampleDraws, func(values []float64) {
		spread, form := ranges(values, lever, square)
		spreads, forms = append(spreads, spread), append(forms, form)
	})
	return Prospect{Promise: promised(spreads, tolerance), Spread: middle95(spreads), Form: middle95(forms)}, true
}

// promiseEach returns what can be promised of several lists of places, and how the tool is set there, with the same
// draws of the wear, so that they can be compared. They all begin with the places of the first, which are those of
// [Curve.Spaced]: each is promised what [Curve.Sample] says of it alone.
func (c *Curve) promiseEach(lists [][]Spot, tolerance float64) []Promise {
	places := make([]Spot, len(lists[0]))
	for i, h := range lists[0] {
		places[i].Position = h.Position
	}
	number := map[float64]int{} // of the places of moves
	each, dialled := make([][]int, len(lists)), make([][]float64, len(lists))
	first := make([]int, len(lists)) // so many of each are the first places, as they stand: all but those of its moves
	spreads := make([][]float64, len(lists))
	for i, at := range lists {
		for n, h := range at {
			k, ok := n, n < len(lists[0])
			if !ok {
				k, ok = number[h.Position]
			}
			if !ok {
				k = len(places)
				number[h.Position] = k
				places = append(places, Spot{h.Position, 0})
			}
			each[i] = append(each[i], k)
			dialled[i] = append(dialled[i], c.At(h.Position, h.Setting)-c.At(h.Position, 0))
			if n := len(each[i]) - 1; k == n && first[i] == n {
				first[i]++
			}
		}
		spreads[i] = make([]float64, 0, sampleDraws)
	}
	j := NewJoint(c.Wear)
	j.addVarying(c, places)
	j.Draw(sampleDraws, func(values []float64) {
		for i := range lists {
			spreads[i] = append(spreads[i], spreadOf(values, first[i], each[i], dialled[i]))
		}
	})
	out := make([]Promise, len(lists))
	for i, s := range spreads {
		out[i] = promised(s, tolerance)
		worse := 0
		for d, v := range s {
			if v > spreads[0][d] {
				worse++
			}
		}
		out[i].Worse = float64(worse) / float64(max(1, len(s)))
	}
	return out
}

// promised returns what can be promised by spreads that were drawn; nothing where none were.
func promised(spreads []float64, tolerance float64) Promise {
	n := len(spreads)
	if n == 0 {
		return Promise{}
	}
	within := 0
	for _, s := range spreads {
		if s <= tolerance+alike { // a list's spread is often exactly what its dial makes
			within++
		}
	}
	p := Promise{Within: float64(within) / float64(n)}
	p.Limit = ranked(slices.Clone(spreads), int(math.Ceil(Promised*float64(n)))-1)
	return p
}

// ranked returns the value that comes at a place, from 0, once they are sorted; it sorts them only as far as that takes
// (C. A. R. Hoare's selection).
func ranked(values []float64, place int) float64 {
	for low, high := 0, len(values)-1; low < high; {
		middle := values[(low+high)/2]
		i, j := low, high
		for i <= j {
			for values[i] < middle {
				i++
			}
			for values[j] > middle {
				j--
			}
			if i <= j {
				values[i], values[j] = values[j], values[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case place <= j:
			high = j
		case place >= i:
			low = i
		default:
			return values[place]
		}
	}
	return values[place]
}

// spreadOf returns the range of some of the values, each with something added; the first of them are so many of the
// values in their order. It is the innermost loop of the sampling, and plain comparisons are several times faster there
// than math.Min.
func spreadOf(values []float64, first int, of []int, add []float64) float64 {
	least, greatest := math.Inf(1), math.Inf(-1)
	begin := add[:first]
	for i, v := range values[:first] {
		v += begin[i]
		if v < least {
			least = v
		}
		if v > greatest {
			greatest = v
		}
	}
	add = add[first:]
	for i, k := range of[first:] {
		v := values[k] + add[i]
		if v < least {
			least = v
		}
		if v > greatest {
			greatest = v
		}
	}
	return greatest - least
}

// Ends returns the two ends of the cut, the headstock's first, with nothing dialled.
func (c *Curve) Ends() []Spot { return []Spot{{Position: c.From}, {Position: c.To}} }

// AlikeWithin returns the probability that the diameters at two places differ by no more than a limit, mm, and false
// where no uncertainty was stated.
func (c *Curve) AlikeWithin(a, b Spot, limit float64) (float64, bool) {
	if b.Position < a.Position {
		a, b = b, a
	}
	j := NewJoint(c.Wear)
	j.addVarying(c, []Spot{a, b})
	within, draws := 0, 0
	j.Draw(sampleDraws, func(values []float64) {
		draws++
		if math.Abs(values[0]-values[1]) <= limit {
			within++
		}
	})
	if draws == 0 {
		return 0, false
	}
	return float64(within) / float64(draws), true
}

// levers returns how far each position lies from their mean, and the sum of the squares: with them the least-squares
// slope of any values is one sum.
func levers(at []Spot) (lever []float64, square float64) {
	middle := 0.0
	for _, h := range at {
		middle += h.Position / float64(len(at))
	}
	lever = make([]float64, len(at))
	for i, h := range at {
		lever[i] = h.Position - middle
		square += lever[i] * lever[i]
	}
	return lever, math.Max(square, 1e-300)
}

// ranges returns the range of the values, and what is left of it when their least-squares line is taken away.
func ranges(values, lever []float64, square float64) (spread, form float64) {
	slope := 0.0
	for i, v := range values {
		slope += v * lever[i]
	}
	slope /= square
	least, greatest := values[0], values[0]
	low := values[0] - slope*lever[0]
	high := low
	for i, v := range values {
		if v < least {
			least = v
		}
		if v > greatest {
			greatest = v
		}
		left := v - slope*lever[i]
		if left < low {
			low = left
		}
		if left > high {
			high = left
		}
	}
	return greatest - least, high - low
}

// middle95 returns the 2.5 % and the 97.5 % quantile. It moves the values about.
func middle95(values []float64) [2]float64 {
	n := float64(len(values) - 1)
	return [2]float64{ranked(values, int(math.Round(0.025*n))), ranked(values, int(math.Round(0.975*n)))}
}

// Spaced returns positions over the cut's length, evenly spaced with those of the extremes of the error among them, to
// be compared by Sample; nothing is dialled. Two to each reach of the wear's errors find its spread to 1 %.
func (c *Curve) Spaced() []Spot {
	const fewest, most = 33, 129
	count := fewest
	if reach := c.Wear.Reach(); reach > 0 {
		count = int(math.Min(math.Max(2*(c.To-c.From)/reach+1, fewest), most))
	}
	return c.Places(count)
}

// Places returns so many positions evenly over the cut's length from its headstock end to its tailstock end, and after
// them those of the extremes of the error; nothing is dialled. The extremes come last since rounding may move them:
// what is drawn at the even places then stays.
func (c *Curve) Places(count int) []Spot {
	at := make([]Spot, 0, count+2)
	for i := range count {
		at = append(at, Spot{c.From + (c.To-c.From)*float64(i)/float64(count-1), 0})
	}
	least, greatest := c.Extremes(c.From, c.To, 0)
	return append(at, Spot{least.Position, 0}, Spot{greatest.Position, 0})
}

// AtEnds picks what belongs to the two ends of the cut out of values in the order of [Curve.Places].
func AtEnds(values []float64, count int) (headstock, tailstock float64) {
	return values[0], values[count-1]
}

// Promised is the probability from which a limit counts as held: ISO 14253-1's default for proving conformity, as it is
// cited.
const Promised = 0.95

// GreatestU returns the greatest standard uncertainty of the error over the cut's length, mm.
func (c *Curve) GreatestU() float64 {
	u := 0.0
	for _, h := range c.Spaced() {
		at, _ := c.Uncertainty(h.Position)
		u = math.Max(u, at)
	}
	return u
}

// Promisable returns under which tolerance nothing can be promised over the cut's length with its ±, mm, however the
// dial is turned: the limit of the spread that is left where all that was computed is dialled out.
func (c *Curve) Promisable() float64 {
	at := c.Spaced()
	of, computed := make([]int, len(at)), make([]float64, len(at))
	for i, h := range at {
		of[i], computed[i] = i, -c.At(h.Position, h.Setting)
	}
	var spreads []float64
	j := NewJoint(c.Wear)
	j.addVarying(c, at)
	j.Draw(sampleDraws, func(values []float64) {
		spreads = append(spreads, spreadOf(values, len(at), of, computed))
	})
	return promised(spreads, 0).Limit
}
