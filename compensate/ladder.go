package compensate

import (
	"math"
	"slices"
)

// strip is a short stretch of a cut between two places where the dial may be turned, in the order of cutting, and the
// least and the greatest diameter error in it by setting. Both ends belong to it: where a setting changes, both count.
type strip struct {
	from, to  float64
	low, high []float64 // mm, by setting from ladder.first on
}

// ladder is the question which list of settings leaves the least spread, for every number of settings at once.
//
// Over strips and settings it is a shortest path but for its cost, a range, which no sum of parts makes. Where the least
// error is held to be no less than a floor, though, the least possible greatest error is found strip by strip; it only
// rises with the floor. So the best floor between two lies no lower than the first's greatest error less the second
// floor, and intervals of floors that promise nothing are passed over. The time is linear in the strips.
type ladder struct {
	strips []strip
	first  int // the setting that the strips' first error belongs to; they stand by in steps of each
	each   int // finest settings between neighbours
	bore   bool
	near   float64 // mm: a spread so much greater is as good
}

const (
	ruledStrips = 512 // at the most: places where the dial may be turned
	fineStrips  = 256 // at the least, where places need not be round
	mostTried   = 200 // settings at a place; of a dial so fine, steps of several are tried
	mostRungs   = 32  // settings in a list
)

// edges returns the places where the dial may be turned: multiples of a round step within the cut and its ends, and
// into how many strips each stretch between them is divided where places need not be round.
func edges(from, to, round float64) (at []float64, parts int) {
	n := float64(fineStrips)
	step := (to - from) / n
	if round > 0 {
		step = round * math.Ceil((to-from)/round/ruledStrips)
	}
	at = Stations(from, to, step)
	return at, max(1, int(math.Ceil(n/float64(len(at)-1))))
}

// newLadder lays the strips of a curve in the order of cutting; at are the places between them, ascending.
func newLadder(c *Curve, d Dial, feed Feed, at []float64, parts int) (fine, ruled *ladder) {
	type stretch struct{ from, to, low, high float64 }
	var all []stretch
	least, greatest := math.Inf(1), math.Inf(-1)
	need := func(z float64) float64 {
		in, _ := c.needed(z, 0)
		return in
	}
	for i := 1; i < len(at); i++ {
		for p := range parts {
			a := at[i-1] + (at[i]-at[i-1])*float64(p)/float64(parts)
			b := at[i-1] + (at[i]-at[i-1])*float64(p+1)/float64(parts)
			lo, hi := c.extremesOf(a, b, need)
			least, greatest = math.Min(least, lo.Value), math.Max(greatest, hi.Value)
			all = append(all, stretch{a, b, lo.Position, hi.Position})
		}
	}
	start := need(at[0])
	if feed != TowardTailstock {
		slices.Reverse(all)
		start = need(at[len(at)-1])
	}
	step := d.Step()
	each := max(1, int(math.Ceil((greatest-least)/step/mostTried)))
	unit := float64(each) * step
	first, last := int(math.Floor((least-start)/unit))-1, int(math.Ceil((greatest-start)/unit))+1
	fine = &ladder{first: first, each: each, bore: c.Bore, near: math.Max(1e-6, unit/100)}
	for _, s := range all {
		t := strip{from: s.from, to: s.to}
		if feed != TowardTailstock {
			t.from, t.to = s.to, s.from
		}
		for k := first; k <= last; k++ {
			t.low = append(t.low, c.At(s.low, float64(k)*unit))
			t.high = append(t.high, c.At(s.high, float64(k)*unit))
		}
		fine.strips = append(fine.strips, t)
	}
	return fine, fine.joined(parts)
}

// joined returns the ladder with so many strips made into one.
func (l *ladder) joined(parts int) *ladder {
	out := *l
	out.strips = nil
	for i := 0; i < len(l.strips); i += parts {
		s := strip{from: l.strips[i].from, to: l.strips[i+parts-1].to, low: slices.Clone(l.strips[i].low),
			high: slices.Clone(l.strips[i].high)}
		for _, t := range l.strips[i+1 : i+parts] {
			for k := range s.low {
				s.low[k], s.high[k] = math.Min(s.low[k], t.low[k]), math.Max(s.high[k], t.high[k])
			}
		}
		out.strips = append(out.strips, s)
	}
	return &out
}

// price returns how many settings a change counts as: one, or two where it turns back.
func (l *ladder) price(change int) int {
	if turnsBack(change, l.bore) {
		return 2
	}
	return 1
}

// best returns for each number of settings, from none on, the list that leaves least, as long as that is less than what
// is to be beaten; otherwise nil. A list may have fewer settings than it may.
func (l *ladder) best(beat []float64) [][]Move {
	s := search{ladder: l, rungs: len(beat), spread: slices.Clone(beat), floor: make([]float64, len(beat))}
	zero := -l.first
	least, greatest := math.Inf(1), math.Inf(-1)
	for _, t := range l.strips {
		least, greatest = math.Min(least, t.low[zero]), math.Max(greatest, t.high[zero])
	}
	s.try(least, least)
	bottom, top := l.strips[0].high[zero]-(greatest-least), l.strips[0].low[zero]
	const parts = 8
	for i := range parts {
		a := bottom + (top-bottom)*float64(i)/parts
		b := bottom + (top-bottom)*float64(i+1)/parts
		s.between(a, b, s.try(a, b))
	}
	s.try(top, top)
	out := make([][]Move, s.rungs)
	for c := range out {
		if s.spread[c] < beat[c] {
			out[c] = s.list(c)
		}
	}
	return out
}

// search looks for the best floor for each number of settings.
type search struct {
	*ladder
	rungs         int
	spread, floor []float64 // by number of settings: the least found or to be beaten, and over which floor
}

// try finds what can be had over a floor and returns the least greatest error for each number of settings, infinity where
// not even over the floor up to would it be the best.
func (s *search) try(floor, upTo float64) []float64 {
	values := s.over(floor, upTo, nil)
	high := make([]float64, s.rungs)
	for c := range high {
		high[c] = math.Inf(1)
		for at := c; at < len(values); at += s.rungs {
			high[c] = math.Min(high[c], values[at])
		}
		if high[c]-floor < s.spread[c] {
			s.spread[c], s.floor[c] = high[c]-floor, floor
		}
	}
	return high
}

// between looks between two floors; high is what the lower one makes possible.
func (s *search) between(a, b float64, high []float64) {
	promises := false
	for c, h := range high {
		promises = promises || h-b < s.spread[c]-s.near
	}
	if !promises || b-a < s.near/2 {
		return
	}
	m := (a + b) / 2
	middle := s.try(m, b)
	s.between(a, m, high)
	s.between(m, b, middle)
}

// none is no state. A state is a setting and a number of settings turned so far.
const none = -1

// over returns the least greatest error of the lists whose least is no less than a floor, by the state in which they end.
// Those are left out that not even over the floor up to would be the best.
// Where trail is not nil it takes in from which state each state of each strip came.
func (s *search) over(floor, upTo float64, trail [][]int) []float64 {
	const met = 1e-12 // mm: a floor that is met exactly is met
	n, rungs := len(s.strips[0].low), s.rungs
	now, next := make([]float64, n*rungs), make([]float64, n*rungs)
	for i := range now {
		now[i] = math.Inf(1)
	}
	zero := -s.first
	if s.strips[0].low[zero] >= floor-met {
		for c := range rungs {
			now[zero*rungs+c] = s.strips[0].high[zero]
		}
	}
	in, out := s.price(1), s.price(-1)
	lower, higher := make([]int, rungs), make([]int, n*rungs) // the best state at a lower setting, and at a higher one
	best := make([]int, rungs)
	live, lives := make([]bool, n), make([]bool, n) // whether any list ends under a setting
	live[zero] = true
	for i, t := range s.strips[1:] {
		for c := range rungs {
			lower[c], best[c] = none, none
		}
		for k := n - 1; k >= 0; k-- {
			copy(higher[k*rungs:], best)
			for c := 0; live[k] && c < rungs; c++ {
				if at := k*rungs + c; best[c] == none || now[at] < now[best[c]] {
					best[c] = at
				}
			}
		}
		for k := range n {
			row := next[k*rungs : (k+1)*rungs]
			lives[k] = false
			for c := range row {
				row[c] = math.Inf(1)
			}
			for c := 0; t.low[k] >= floor-met && c < rungs; c++ {
				came := k*rungs + c
				if c >= in {
					if from := lower[c-in]; from != none && now[from] < now[came] {
						came = from
					}
				}
				if c >= out {
					if from := higher[k*rungs+c-out]; from != none && now[from] < now[came] {
						came = from
					}
				}
				v := math.Max(now[came], t.high[k])
				if trail == nil && v-upTo > s.spread[c] {
					continue // it cannot be the best any more
				}
				row[c] = v
				lives[k] = true
				if trail != nil {
					trail[i][k*rungs+c] = came
				}
			}
			for c := 0; live[k] && c < rungs; c++ {
				if at := k*rungs + c; lower[c] == none || now[at] < now[lower[c]] {
					lower[c] = at
				}
			}
		}
		now, next, live, lives = next, now, lives, live
	}
	return now
}

// list returns the list that leaves least with so many settings.
func (s *search) list(settings int) []Move {
	trail := make([][]int, len(s.strips)-1)
	for i := range trail {
		trail[i] = make([]int, len(s.strips[0].low)*s.rungs)
	}
	values := s.over(s.floor[settings], 0, trail)
	best := settings
	for at := settings; at < len(values); at += s.rungs {
		if values[at] < values[best] {
			best = at
		}
	}
	var moves []Move
	for i := len(trail) - 1; i >= 0; i-- {
		before := trail[i][best]
		if k := best / s.rungs; k != before/s.rungs {
			moves = append(moves, Move{Position: s.strips[i+1].from, Setting: (k + s.first) * s.each})
		}
		best = before
	}
	slices.Reverse(moves)
	return moves
}

// needed returns how far in, mm on radius, the tool must be turned at z for the diameter error to be exactly stray.
// Where the point has sunk so far that no setting makes it, it is the one that brings the point nearest to the axis,
// and made is false.
func (c *Curve) needed(z, stray float64) (in float64, made bool) {
	out, down := c.moved(z)
	to := c.setting.Out((c.Diameter+stray)/2, down)
	if math.IsNaN(to) {
		return out + c.setting.X, false
	}
	return out - to, true
}
