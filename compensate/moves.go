package compensate

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"wornway/compensate/work"
)

// walk goes along a cut in the order of cutting.
type walk struct {
	curve      *Curve
	step       float64 // mm on radius of one finest setting
	allow      float64 // mm on diameter to either side
	start, end float64 // where the cut starts and ends
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

// window is a range of settings that hold an error, in finest settings; only whole ones can be dialled.
type window struct{ least, most float64 }

// exactly is the window of one setting.
func exactly(k int) window { return window{float64(k), float64(k)} }

// whole returns the whole settings of the window; none where the first is greater than the last. A limit that is met
// exactly is met.
func (w window) whole() (first, last int) {
	const slack = 1e-9 // of a setting
	const none = 1e15  // more than any dial could show, and still an int
	least, most := min(max(w.least, -none), none+1), max(min(w.most, none), -none-1)
	return int(math.Ceil(least - slack)), int(math.Floor(most + slack))
}

func (w window) empty() bool {
	first, last := w.whole()
	return first > last
}

func (w window) and(o window) window { return window{max(w.least, o.least), min(w.most, o.most)} }

func (w window) holds(k int) bool {
	first, last := w.whole()
	return first <= k && k <= last
}

// allowed returns the settings that keep the error within the allowance all along the stretch from a to b, which is one
// smooth piece or less.
func (w walk) allowed(a, b float64) window {
	bound := func(stray float64) (h *hunt, made bool) {
		made = true
		h = newHunt(func(z float64) float64 {
			in, can := w.curve.needed(z, stray)
			made = made && can
			return in
		})
		h.piece(min(a, b), max(a, b))
		return h, made
	}
	least, made := bound(w.allow)
	if !made { // somewhere the work comes out too big whatever the cross slide does
		return window{1, 0}
	}
	most, _ := bound(-w.allow)
	return window{least.greatest.Value / w.step, most.least.Value / w.step}
}

// segment is a stretch of the cut that one setting can hold.
type segment struct {
	from, to float64
	window   window // the settings that hold it
}

// extend returns the longest segment from a position that one of the settings in the window holds.
func (w walk) extend(from float64, allowed window) segment {
	s := segment{from, from, allowed}
	for _, p := range w.ahead(from) {
		next := s.window.and(w.allowed(p[0], p[1]))
		if !next.empty() {
			s.to, s.window = p[1], next
			continue
		}
		s.to = p[0]
		bad := p[1]
		for range 50 {
			m := (s.to + bad) / 2
			if next := s.window.and(w.allowed(s.to, m)); next.empty() {
				bad = m
			} else {
				s.to, s.window = m, next
			}
		}
		break
	}
	return s
}

// ahead returns the smooth pieces from a position to the end of the cut, in the order of cutting, each from its start
// to its end.
func (w walk) ahead(from float64) func(yield func(int, [2]float64) bool) {
	return func(yield func(int, [2]float64) bool) {
		breaks := w.curve.breaks
		if w.start <= w.end {
			i, _ := slices.BinarySearch(breaks, from)
			for n := 0; from < w.end; n++ {
				to := w.end
				if i < len(breaks) && breaks[i] < w.end {
					to = breaks[i]
					i++
				}
				if to > from && !yield(n, [2]float64{from, to}) {
					return
				}
				from = to
			}
			return
		}
		i, _ := slices.BinarySearch(breaks, from)
		i--
		for n := 0; from > w.end; n++ {
			to := w.end
			if i >= 0 && breaks[i] > w.end {
				to = breaks[i]
				i--
			}
			if to < from && !yield(n, [2]float64{from, to}) {
				return
			}
			from = to
		}
	}
}

// shortest returns the shortest list of settings that keeps the error within the allowance. A setting at the start
// itself is only in the list where the cut cannot start as the dial was set.
//
// Each setting is held as far as any can be. That is the shortest: suppose a shorter list, and compare both at their
// first changes. The settings that hold a stretch also hold every part of it, so that whatever the other list holds
// from a later or equal place, this one holds from there at least as far; by induction this one's n-th change never
// comes before the other's, and it can not need more changes. To start as the dial was set costs nothing and, by the
// same argument, a change at the start would gain at most one that it has cost.
func (w walk) shortest(round []float64) ([]Move, error) {
	var segments []segment
	at, allowed := w.start, w.allowed(w.start, w.start)
	asSet := allowed.holds(0)
	if asSet {
		allowed = allowed.and(exactly(0))
	}
	for {
		if allowed.empty() {
			return nil, AllowError{w.allow, 2 * w.step, at}
		}
		if len(segments) > mostMoves {
			return nil, work.Problem{Field: "allow", Message: fmt.Sprintf("would take more than %d moves", mostMoves),
				Hint: "allow more, or cut a shorter length"}
		}
		s := w.extend(at, allowed)
		segments = append(segments, s)
		if s.to == w.end {
			break
		}
		if s.to == at {
			return nil, AllowError{w.allow, 2 * w.step, at}
		}
		at = s.to
		allowed = w.allowed(at, at)
	}
	settings := w.choose(segments)
	w.place(segments, settings, round)
	var moves []Move
	for i, s := range segments {
		if i == 0 && asSet {
			continue
		}
		moves = append(moves, Move{Position: s.from, Setting: settings[i]})
	}
	return moves, nil
}

// mostMoves is how many moves are looked for before a list is called of no use.
const mostMoves = 1000

// unhurried returns the list that leaves the least error among those as short as the shortest: it narrows the allowance
// for as long as the list grows no longer, and keeps a little of the rest, so that its moves have room to lie at round
// positions.
func (w walk) unhurried(round []float64) ([]Move, error) {
	// pieces: of a denser record nobody asks for round positions, and each list is another walk
	const readable = 100_000
	moves, err := w.shortest(round)
	if err != nil || len(moves) == 0 || len(w.curve.breaks) > readable {
		return moves, err
	}
	as := func(allow float64) ([]Move, bool) {
		tighter := w
		tighter.allow = allow
		other, err := tighter.shortest(round)
		return other, err == nil && len(other) <= len(moves)
	}
	enough, tooLittle := w.allow, 0.0
	for range 8 {
		if _, ok := as((enough + tooLittle) / 2); ok {
			enough = (enough + tooLittle) / 2
		} else {
			tooLittle = (enough + tooLittle) / 2
		}
	}
	const room = 0.25 // of what the allowance has beyond that, for the rounding
	if other, ok := as(enough + room*(w.allow-enough)); ok {
		return other, nil
	}
	return moves, nil
}

// cost ranks ways to choose settings: first those that turn back least often, then those that keep the error nearest to
// the middle.
type cost struct {
	back int
	off  float64
}

func (c cost) compare(o cost) int {
	return cmp.Or(cmp.Compare(c.back, o.back), cmp.Compare(c.off, o.off))
}

// choose picks one setting from each segment's window, by dynamic programming along the segments.
func (w walk) choose(segments []segment) []int {
	type option struct {
		setting int
		cost    cost
		from    int // option of the segment before
	}
	options := make([][]option, len(segments))
	for i, s := range segments {
		middle := (s.window.least + s.window.most) / 2
		for _, k := range s.window.near(middle) {
			off := (float64(k) - middle) * (float64(k) - middle)
			best := option{setting: k, cost: cost{0, off}}
			if i == 0 {
				if turnsBack(k, w.curve.Bore) {
					best.cost.back = 1
				}
			} else {
				for j, p := range options[i-1] {
					c := cost{p.cost.back, p.cost.off + off}
					if turnsBack(k-p.setting, w.curve.Bore) {
						c.back++
					}
					if j == 0 || c.compare(best.cost) < 0 {
						best.cost, best.from = c, j
					}
				}
			}
			options[i] = append(options[i], best)
		}
	}
	last := len(segments) - 1
	at := 0
	for j, o := range options[last] {
		if o.cost.compare(options[last][at].cost) < 0 {
			at = j
		}
	}
	settings := make([]int, len(segments))
	for i := last; i >= 0; i-- {
		settings[i] = options[i][at].setting
		at = options[i][at].from
	}
	return settings
}

// near returns the whole settings of the window, or where there are very many those nearest to the middle.
func (w window) near(middle float64) []int {
	const most = 100
	first, last := w.whole()
	if last-first >= most {
		centre := max(min(int(math.Round(middle)), last), first)
		first, last = max(first, centre-most/2), min(last, centre+most/2)
	}
	ks := make([]int, 0, last-first+1)
	for k := first; k <= last; k++ {
		ks = append(ks, k)
	}
	return ks
}

// place draws each change back from the last possible place to where the settings before and after it leave errors of
// one size, if the later setting holds from there, and then to a round position near it.
func (w walk) place(segments []segment, settings []int, round []float64) {
	for i := 1; i < len(segments); i++ {
		last := segments[i].from
		back := walk{w.curve, w.step, w.allow, last, segments[i-1].from}
		earliest := back.extend(last, exactly(settings[i])).to
		even := w.even(earliest, last, float64(settings[i-1]+settings[i])/2*w.step)
		at := even
		for _, step := range round {
			p := math.Round(even/step) * step
			if p > min(earliest, last) && p < max(earliest, last) && p != segments[i-1].from {
				at = p
				break
			}
		}
		segments[i-1].to, segments[i].from = at, at
	}
}

// even returns the position between a and b at which the setting needed is the middle one, or the end nearest to that.
func (w walk) even(a, b, middle float64) float64 {
	off := func(z float64) float64 {
		in, _ := w.curve.needed(z, 0)
		return in - middle
	}
	first, last := off(a), off(b)
	if first*last >= 0 {
		if math.Abs(first) < math.Abs(last) {
			return a
		}
		return b
	}
	for range 50 {
		m := (a + b) / 2
		if off(m)*first > 0 {
			a = m
		} else {
			b = m
		}
	}
	return (a + b) / 2
}
