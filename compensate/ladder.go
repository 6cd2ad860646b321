package compensate

import (
	"math"
	"slices"
)

// ladder is the question which list of settings leaves the least spread, for a number of settings.
//
// Over strips and settings it is a shortest path but for its cost, a range, which no sum of parts makes. Between a
// floor and a ceiling, though, the fewest settings are found strip by strip, in a time that is linear in the strips.
// Which floor is best for a width is found by halving: what cannot be done between the lowest floor and the highest
// ceiling of an interval of floors cannot be done from any floor in it.
type ladder struct {
	curve       *Curve
	levels      [][]strip // the strips, and above them each time two made into one, up to one
	unit        float64   // mm on radius of one setting that is tried, and how many finest ones it is
	each        int
	first, last int     // the settings that are tried
	near        float64 // mm: a spread so much greater is as good
	work        int     // strips and settings looked into so far
}

// strip is a short stretch of a cut between two places where the dial may be turned, in the order of cutting. Both ends
// belong to it: where a setting changes, both count.
type strip struct {
	from, to        float64
	least, greatest displacement // where the diameter comes out smallest and biggest
	low, high       []float64    // errors there, mm on diameter, under each setting from the first on; nil: not made
}

// displacement is how the tool point stands against the work at a place, and how far in it would have to be turned. mm.
type displacement struct{ at, out, down, need float64 }

const (
	ruledStrips = 512 // at the most: places where the dial may be turned
	fineStrips  = 256 // at the least, where places need not be round
	mostTried   = 96  // settings at a place; of a dial so fine, steps of several are tried
	mostRungs   = 48  // settings in a list
)

// edges returns the places where the dial may be turned: multiples of a round step within the cut and its ends, and
// into how many strips each stretch between them is divided where places need not be round.
func edges(from, to, round float64) (at []float64, parts int) {
	step := (to - from) / fineStrips
	if round > 0 {
		step = round * math.Ceil((to-from)/round/ruledStrips)
	}
	at = Stations(from, to, step)
	return at, max(1, int(math.Ceil(fineStrips/float64(len(at)-1))))
}

// newLadder lays the strips of a curve in the order of cutting, at places as [edges] has them: those of the rule, and
// finer ones.
func newLadder(c *Curve, d Dial, feed Feed, at []float64, parts int) (fine, ruled *ladder) {
	fine = &ladder{curve: c}
	var strips []strip
	need := func(z float64) float64 {
		in, _ := c.needed(z, 0)
		return in
	}
	last := displacement{at: math.NaN()}
	at0 := func(e Extreme) displacement {
		if last.at != e.Position { // where one strip ends the next begins
			out, down := c.moved(e.Position)
			last = displacement{e.Position, out, down, e.Value}
		}
		return last
	}
	var whole []polynomial // what is needed along the cut, as polynomials
	c.pieces(at[0], at[len(at)-1], func(a, b float64) {
		fit(need, a, b, fitDeep, func(p polynomial) { whole = append(whole, p) })
	})
	least, greatest := math.Inf(1), math.Inf(-1)
	for i := 1; i < len(at); i++ {
		for p := range parts {
			a := at[i-1] + (at[i]-at[i-1])*float64(p)/float64(parts)
			b := at[i-1] + (at[i]-at[i-1])*float64(p+1)/float64(parts)
			h := newHunt(need)
			for len(whole) > 1 && whole[0].to <= a {
				whole = whole[1:]
			}
			for _, p := range whole {
				if p.from >= b {
					break
				}
				h.search(p.between(a, b))
			}
			least, greatest = math.Min(least, h.least.Value), math.Max(greatest, h.greatest.Value)
			t := strip{from: a, to: b}
			if h.least.Position < h.greatest.Position {
				t.least, t.greatest = at0(h.least), at0(h.greatest)
			} else {
				t.greatest, t.least = at0(h.greatest), at0(h.least)
			}
			strips = append(strips, t)
		}
	}
	start := need(at[0])
	if feed != TowardTailstock {
		slices.Reverse(strips)
		for i := range strips {
			s := &strips[i]
			s.from, s.to = s.to, s.from
		}
		start = need(at[len(at)-1])
	}
	fine.each = max(1, int(math.Ceil((greatest-least)/d.Step()/mostTried)))
	fine.unit = float64(fine.each) * d.Step()
	low, high := c.Extremes(c.From, c.To, 0)
	fine.near = max(1e-6, fine.unit/100, (high.Value-low.Value)/2000)
	fine.first, fine.last = int(math.Floor((least-start)/fine.unit))-1, int(math.Ceil((greatest-start)/fine.unit))+1
	coarse := *fine
	fine.levels, coarse.levels = levels(strips), levels(joined(strips, parts))
	return fine, &coarse
}

// joined returns strips each made of so many.
func joined(strips []strip, parts int) (out []strip) {
	for part := range slices.Chunk(strips, parts) {
		s := part[0]
		for _, t := range part[1:] {
			s.to = t.to
			if t.least.need < s.least.need {
				s.least = t.least
			}
			if t.greatest.need > s.greatest.need {
				s.greatest = t.greatest
			}
		}
		out = append(out, s)
	}
	return out
}

// levels returns the strips with the levels above them, whose strips have their errors from those below.
func levels(strips []strip) [][]strip {
	out := [][]strip{strips}
	for len(strips) > 1 {
		strips = make([]strip, (len(strips)+1)/2)
		out = append(out, strips)
	}
	return out
}

// strip returns a strip of a level with its errors under every setting: a list is looked for a hundred times over the
// same ones.
func (l *ladder) strip(level, i int) *strip {
	t := &l.levels[level][i]
	if t.low != nil {
		return t
	}
	n := l.last - l.first + 1
	both := make([]float64, 2*n)
	t.low, t.high = both[:n], both[n:]
	if level == 0 {
		for j := range n {
			in := float64(l.first+j) * l.unit
			t.low[j] = l.curve.setting.DiameterError(t.least.out-in, t.least.down)
			t.high[j] = l.curve.setting.DiameterError(t.greatest.out-in, t.greatest.down)
		}
		return t
	}
	a := l.strip(level-1, 2*i)
	copy(t.low, a.low)
	copy(t.high, a.high)
	if 2*i+1 < len(l.levels[level-1]) {
		b := l.strip(level-1, 2*i+1)
		for j := range n {
			t.low[j], t.high[j] = min(t.low[j], b.low[j]), max(t.high[j], b.high[j])
		}
	}
	return t
}

// allowed returns the settings that keep a strip between a floor and a ceiling, counted as a [stage] does; none where
// first is greater than last.
func (l *ladder) allowed(t *strip, floor, ceiling float64) (first, last int) {
	const met = 1e-12 // mm: a limit that is met exactly is met
	floor, ceiling = floor-met, ceiling+met
	n, each := len(t.low), 1/(2*l.unit)
	guess := func(errors []float64, limit float64) int {
		return max(0, min(int((errors[-l.first]-limit)*each)-l.first, n-1))
	}
	for first = guess(t.high, ceiling); first > 0 && t.high[first-1] <= ceiling; {
		first--
	}
	for first < n && t.high[first] > ceiling {
		first++
	}
	for last = guess(t.low, floor); last < n-1 && t.low[last+1] >= floor; {
		last++
	}
	for last >= 0 && t.low[last] < floor {
		last--
	}
	if l.curve.Bore {
		return -l.first - last, -l.first - first
	}
	return l.first + first, l.first + last
}

// never is more settings than any list has.
const never = 1 << 30

// stage is what it takes to come to a strip under each of the settings from first to last, which it allows: count
// settings under those from low to high, one more under all others from next on, two more under the rest.
//
// That is all there is to know, as any setting is reached from any other by one setting further in, or by one that
// turns back and counts as two. In a bore, where turning out is going on, settings are counted outward here.
type stage struct{ first, last, count, low, high, next int }

// turn goes on to a strip that allows the settings from first to last, none of which stays as it was reached with the
// fewest.
func (s *stage) turn(first, last int) {
	if s.next <= last { // one more, reached by staying or by going on
		s.count, s.low, s.high, s.next = s.count+1, max(s.next, first), last, first
	} else { // all that is allowed turns back
		s.count, s.low, s.high, s.next = s.count+2, first, last, first
	}
	s.first, s.last = first, last
}

// fewest returns how many settings it takes to come to the strip under one of them.
func (s stage) fewest(k int) int {
	switch {
	case k < s.first || k > s.last:
		return never
	case k >= s.low && k <= s.high:
		return s.count
	case k >= s.next:
		return s.count + 1
	}
	return s.count + 2
}

// before returns under which setting the strip is to be cut for the one after it to be cut under k with the fewest
// settings. Of equals it stays, and then comes from the setting that lies outermost; in a bore likewise.
func (s stage) before(k int, bore bool) int {
	type way struct{ from, cost int }
	on, back := way{k, never}, way{k, never}
	for _, j := range [...]int{s.low, s.next, s.first} {
		if j < k {
			on = way{j, s.fewest(j) + 1}
			break
		}
	}
	for _, j := range [...]int{s.high, s.last} {
		if j > k {
			back = way{j, s.fewest(j) + 2}
			break
		}
	}
	if bore {
		on, back = back, on
	}
	best := way{k, s.fewest(k)}
	for _, w := range [...]way{on, back} {
		if w.cost < best.cost {
			best = w
		}
	}
	return best.from
}

// fewest returns the fewest settings that keep all errors between a floor and a ceiling, or never where that takes more
// than most; a setting that turns back counts as two. Where trail is not nil it takes in how each strip is reached.
func (l *ladder) fewest(floor, ceiling float64, most int, trail *[]stage) int {
	// The first strip is cut as the dial was set.
	if first, last := l.allowed(l.strip(0, 0), floor, ceiling); first > 0 || last < 0 {
		return never
	}
	var now stage
	if trail == nil {
		if !l.through(&now, len(l.levels)-1, 0, floor, ceiling, most) {
			return never
		}
		return now.count
	}
	for i := range l.levels[0] {
		if i > 0 && !l.through(&now, 0, i, floor, ceiling, most) {
			return never
		}
		*trail = append(*trail, now)
	}
	return now.count
}

// through takes a stage through a strip of a level, and says whether that takes no more than most settings. What was
// reached with the fewest settings and may stay all along the strip is not looked at piece by piece.
func (l *ladder) through(s *stage, level, i int, floor, ceiling float64, most int) bool {
	first, last := l.allowed(l.strip(level, i), floor, ceiling)
	l.work += 1 + max(0, last-first)
	switch {
	case max(s.low, first) <= min(s.high, last):
		s.first, s.last = first, last
		s.low, s.high, s.next = max(s.low, first), min(s.high, last), max(s.next, first)
		return true
	case s.count == most: // somewhere in it the dial is turned
		return false
	case level > 0:
		return l.through(s, level-1, 2*i, floor, ceiling, most) &&
			(2*i+1 >= len(l.levels[level-1]) || l.through(s, level-1, 2*i+1, floor, ceiling, most))
	case first > last:
		return false
	}
	s.turn(first, last)
	return s.count <= most
}

// floor looks between two floors for one over which so many settings keep within a width. Intervals are halved all
// together, so that where very many could hide one those are looked into evenly, and not without end.
func (l *ladder) floor(settings int, width, a, b float64) (float64, bool) {
	const most, mostWork = 300, 30_000_000 // more than it takes, but on beds that no lathe has
	type interval struct{ a, b float64 }
	open := []interval{{a, b}}
	for i := 0; i < len(open) && i < most && l.work < mostWork; i++ {
		k := open[i]
		if l.fewest(k.a, k.b+width, settings, nil) == never {
			continue
		}
		m := (k.a + k.b) / 2
		if l.fewest(m, m+width, settings, nil) != never {
			return m, true
		}
		if k.b-k.a >= l.near/2 {
			open = append(open, interval{k.a, m}, interval{m, k.b})
		}
	}
	return 0, false
}

// gains says whether so many settings leave less than is to be beaten, by more than is as good.
func (l *ladder) gains(settings int, beat float64) bool {
	_, ok := l.held(settings, beat-l.near)
	return ok
}

// held looks for a floor over which so many settings keep within a width.
func (l *ladder) held(settings int, width float64) (floor float64, ok bool) {
	s := l.strip(0, 0)
	low, high := s.low[-l.first], s.high[-l.first] // the first strip is cut as the dial was set
	if high-width > low {
		return 0, false
	}
	return l.floor(settings, width, high-width, low)
}

// best returns the list of so many settings at most that leaves least, and what it leaves; nil where none leaves less
// than is to be beaten.
func (l *ladder) best(settings int, beat float64) (moves []Move, left float64) {
	left = beat
	// A list that turns the dial leaves about two units, as both settings count where it is turned.
	for least, width := l.unit, beat-l.near; left-least > 2*l.near; width = (least + left) / 2 {
		floor, ok := l.held(settings, width)
		if !ok {
			if least = width; moves == nil {
				break
			}
			continue
		}
		list, spread := l.list(floor, floor+width)
		if spread >= left { // the tool has gone past the axis, where further in cuts bigger
			break
		}
		moves, left = list, spread
	}
	return moves, left
}

// list returns the list of fewest settings between a floor and a ceiling, and the spread that it leaves.
func (l *ladder) list(floor, ceiling float64) (moves []Move, spread float64) {
	trail := make([]stage, 0, len(l.levels[0]))
	l.fewest(floor, ceiling, never, &trail)
	last, sign := trail[len(trail)-1], 1
	k := last.low
	if l.curve.Bore {
		k, sign = last.high, -1
	}
	moves = []Move{}
	least, greatest := math.Inf(1), math.Inf(-1)
	for i := len(trail) - 1; i >= 0; i-- {
		s := l.strip(0, i)
		least = math.Min(least, s.low[sign*k-l.first])
		greatest = math.Max(greatest, s.high[sign*k-l.first])
		if i == 0 {
			break
		}
		if before := trail[i-1].before(k, l.curve.Bore); before != k {
			moves = append(moves, Move{Position: s.from, Setting: sign * k * l.each})
			k = before
		}
	}
	slices.Reverse(moves)
	return moves, greatest - least
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
