package compensate

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"wornway/compensate/work"
)

// Feed is the way the carriage goes while it cuts.
type Feed int

// The ways to feed.
const (
	EitherFeed Feed = iota // the one that lets corrections go one way
	TowardHeadstock
	TowardTailstock
)

// Correcting says how a cut is to be corrected.
type Correcting struct {
	Dial       Dial
	Allow      float64   // the diameter may stray by so much to either side, mm; 0: the finest setting's worth
	Feed       Feed      //
	SetAtStart bool      // the dial is set where the cut starts, whichever end that is; otherwise at the cut's SetAt
	Every      []float64 // positions for the table, ascending, the cut's ends among them, mm
	// steps, mm, to which the places of moves are rounded where the error allows: the coarsest that fits is used
	Round []float64
}

// Move is a setting of the dial that holds from its position to the next one, in the order of cutting.
type Move struct {
	Position float64
	Setting  int     // finest settings in since the dial was set; minus: out
	Change   int     // from the setting before
	TakeUp   bool    // it turns back: the backlash must be taken out
	Left     Extreme // the diameter error that is greatest in size until the next setting
}

// Correction is what to dial along a cut.
type Correction struct {
	Curve       *Curve
	Feed        Feed
	Allow       float64 // mm on diameter
	Table       []Move  // at even steps
	Moves       []Move  // the shortest list that holds Allow
	Before      float64 // spread with nothing dialled, mm
	TableSpread float64 // spread left by the table
	MovesSpread float64 // spread left by the moves
	Limit       float64 // what this dial can come down to: min of Before and the finest setting's worth
}

// AllowError says that the allowed error is finer than the dial can hold at a position.
type AllowError struct{ Allow, Limit, Position float64 } // mm

func (e AllowError) Error() string {
	return fmt.Sprintf("± %g mm on diameter cannot be held at position %g mm: the finest setting is %g mm on diameter",
		e.Allow, e.Position, e.Limit)
}

// leastStep is the least motion of the tool, mm, that is taken for a dial's finest setting: a nanometre, which no slide
// makes.
const leastStep = 1e-6

// check returns what cannot be so in how a cut is to be corrected.
func (o Correcting) check() error {
	if step := o.Dial.Step(); !(step >= leastStep) || math.IsInf(step, 0) {
		return work.Problem{Field: "dial", Message: "its finest setting does not move the tool toward the axis",
			Hint: "give the division, and the finest setting in divisions, greater than zero"}
	}
	if !(o.Allow >= 0) || math.IsInf(o.Allow, 0) {
		return work.Problem{Field: "allow", Message: "must not be less than zero",
			Hint: "give by how much the diameter may stray to either side"}
	}
	return nil
}

// Correct returns the corrections of a cut. The error is one of [Machine.Curve]'s, an [AllowError], or a [work.Problem]
// where the dial or the allowance cannot be so.
func (m Machine) Correct(cut Cut, o Correcting) (*Correction, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	if o.Allow == 0 {
		o.Allow = o.Dial.Limit()
	}
	feeds := []Feed{o.Feed}
	if o.Feed == EitherFeed {
		feeds = []Feed{TowardHeadstock, TowardTailstock}
	}
	var best *Correction
	var failed error
	for _, f := range feeds {
		c, err := m.correct(cut, o, f)
		if err != nil {
			failed = err
			continue
		}
		if best == nil || c.better(best) {
			best = c
		}
	}
	if best == nil {
		return nil, failed
	}
	return best, nil
}

func (m Machine) correct(cut Cut, o Correcting, feed Feed) (*Correction, error) {
	start, end := cut.To, cut.From
	if feed == TowardTailstock {
		start, end = end, start
	}
	if o.SetAtStart {
		cut.SetAt = start
	}
	curve, err := m.Curve(cut)
	if err != nil {
		return nil, err
	}
	c := &Correction{Curve: curve, Feed: feed, Allow: o.Allow, Before: curve.Spread()}
	c.Limit = math.Min(c.Before, o.Dial.Limit())
	w := walk{curve: curve, step: o.Dial.Step(), allow: o.Allow, start: start, end: end}
	moves, err := w.unhurried(o.Round)
	if err != nil {
		return nil, err
	}
	first := 0 // the setting under which the cut starts
	if len(moves) > 0 && moves[0].Position == start {
		first, moves = moves[0].Setting, moves[1:]
		c.Moves = append(c.Moves, Move{Position: start, Setting: first})
	}
	c.Moves = append(c.Moves, moves...)
	c.MovesSpread = c.finish(c.Moves, start, end, o.Dial)
	c.Table = w.table(o.Every)
	c.TableSpread = c.finish(c.Table, start, end, o.Dial)
	return c, nil
}

// finish fills in what follows from the settings and returns the spread of the diameter error that they leave over the
// whole cut, both settings counted at the place of a move.
func (c *Correction) finish(moves []Move, start, end float64, d Dial) float64 {
	least, greatest := math.Inf(1), math.Inf(-1)
	step := d.Step()
	span := func(a, b float64, setting int) Extreme {
		lo, hi := c.Curve.Extremes(min(a, b), max(a, b), float64(setting)*step)
		least, greatest = math.Min(least, lo.Value), math.Max(greatest, hi.Value)
		if -lo.Value > hi.Value {
			return lo
		}
		return hi
	}
	if len(moves) == 0 || moves[0].Position != start {
		next := end
		if len(moves) > 0 {
			next = moves[0].Position
		}
		span(start, next, 0)
	}
	before := 0
	for i := range moves {
		m := &moves[i]
		next := end
		if i+1 < len(moves) {
			next = moves[i+1].Position
		}
		m.Change = m.Setting - before
		m.TakeUp = d.Backlash != 0 && turnsBack(m.Change, c.Curve.Bore)
		m.Left = span(m.Position, next, m.Setting)
		before = m.Setting
	}
	return greatest - least
}

// turnsBack says whether a change goes against the way in which the tool comes to its work: inward outside, outward in
// a bore.
func turnsBack(change int, bore bool) bool {
	if bore {
		return change > 0
	}
	return change < 0
}

// turnsBack counts the moves that turn back.
func (c *Correction) turnsBack() int {
	n := 0
	for _, m := range c.Moves {
		if turnsBack(m.Change, c.Curve.Bore) {
			n++
		}
	}
	return n
}

// better says whether the correction is to be preferred to another: it turns back less often, else has fewer moves,
// else leaves less.
func (c *Correction) better(o *Correction) bool {
	return cmp.Or(cmp.Compare(c.turnsBack(), o.turnsBack()), cmp.Compare(len(c.Moves), len(o.Moves)),
		cmp.Compare(c.MovesSpread, o.MovesSpread)) < 0
}

// OneWay says whether all moves go the way in which the tool comes to its work.
func (c *Correction) OneWay() bool { return c.turnsBack() == 0 }

// MovesAt returns where to compare errors when the moves are made: both settings at the place of a move.
func (c *Correction) MovesAt(step float64) []Held { return c.places(c.Curve.Spaced(), step) }

// Under returns places of the cut with the settings under which they are cut, and after them the places of the moves,
// each with the setting before it and its own.
func (c *Correction) Under(at []Held, step float64) []Held { return c.places(at, step) }

func (c *Correction) places(spaced []Held, step float64) []Held {
	var at []Held
	for _, h := range spaced {
		at = append(at, Held{h.Position, float64(c.settingAt(h.Position)) * step})
	}
	start := c.Curve.To
	if c.Feed == TowardTailstock {
		start = c.Curve.From
	}
	before := 0
	for _, m := range c.Moves {
		if m.Position != start { // nothing is cut under the setting before a move that is made at the start
			at = append(at, Held{m.Position, float64(before) * step})
		}
		at = append(at, Held{m.Position, float64(m.Setting) * step})
		before = m.Setting
	}
	return at
}

// settingAt returns the setting that the moves hold at z.
func (c *Correction) settingAt(z float64) int {
	setting := 0
	for _, m := range c.Moves {
		if c.Feed == TowardTailstock && m.Position > z || c.Feed != TowardTailstock && m.Position < z {
			break
		}
		setting = m.Setting
	}
	return setting
}

// table sets the dial at the given positions, ascending, so that the error that is greatest in size until the next
// position is least. Where the dial was set, it stays; at the end of the cut there is nothing left to change.
func (w walk) table(every []float64) []Move {
	rows := slices.Clone(every)
	if w.start > w.end {
		slices.Reverse(rows)
	}
	moves := make([]Move, len(rows))
	setting := 0
	for i, z := range rows {
		switch {
		case i == 0 && z == w.curve.SetAt:
		case i+1 < len(rows):
			setting = w.bestSetting(z, rows[i+1], setting)
		}
		moves[i] = Move{Position: z, Setting: setting}
	}
	return moves
}

// bestSetting returns the setting for which the greatest error between a and b is least in size; of equals the one
// before, else the one that leaves metal on.
func (w walk) bestSetting(a, b float64, before int) int {
	least, greatest := w.curve.extremesOf(min(a, b), max(a, b), func(z float64) float64 {
		in, _ := w.curve.needed(z, 0)
		return in
	})
	middle := (least.Value + greatest.Value) / 2 / w.step
	worst := func(k int) float64 {
		lo, hi := w.curve.Extremes(min(a, b), max(a, b), float64(k)*w.step)
		return math.Max(-lo.Value, hi.Value)
	}
	// Outside, less in leaves metal on; in a bore, more in does.
	safe, other := int(math.Floor(middle)), int(math.Ceil(middle))
	if w.curve.Bore {
		safe, other = other, safe
	}
	best := safe
	const same = 1e-7 // mm
	if worst(other) < worst(safe)-same {
		best = other
	}
	if before != best && worst(before) <= worst(best)+same {
		best = before
	}
	return best
}
