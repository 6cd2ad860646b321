package compensate

import (
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

// CorrectOptions says how a cut is to be corrected.
type CorrectOptions struct {
	Dial       Dial
	Allow      float64   // the fewest settings that let the diameter stray by no more to either side, mm; 0: see [Rung]
	Settings   int       // the best of so many settings at most; 0: not asked
	Feed       Feed      //
	SetAtStart bool      // the dial is set where the cut starts, whichever end that is; otherwise at the cut's SetAt
	Every      []float64 // positions for the table, ascending, the cut's ends among them, mm
	Round      float64   // step, mm, of a rule along the bed: moves lie at its marks unless that costs much; 0: none
	Shown      float64   // step, mm, of diameters that can be told apart at the zero: the aim is at one of them; 0: any
	Computed   bool      // lists are judged by the computed spread alone, though the wear has a ±: quicker
}

// Move is a setting of the dial that holds from its position to the next one, in the order of cutting.
type Move struct {
	Position float64
	Setting  int  // finest settings in since the dial was set; minus: out
	Change   int  // from the setting before
	TakeUp   bool // it turns back: the backlash must be taken out
	// the diameter error that is greatest in size until the next setting, from nominal or the middle of the limits of
	// size, the aim counted
	Left Extreme
}

// Rung is one step of the ladder: what so many settings of the dial can do at best, over where they lie, how many
// finest steps each has, the feed, and the aim at the zero. A setting that turns back counts as two.
type Rung struct {
	Settings int
	Spread   float64 // left over the continuous length, both settings counted at the place of a move
	Promise  Promise // of its spread; meaningful where Stated
	Stated   bool

	moves []Move
	feed  Feed
	curve *Curve
}

// Limit returns what the rung's spread keeps within: with a probability of [Promised], or as computed where nothing was
// stated of the wear's uncertainty.
func (r Rung) Limit() float64 {
	if r.Stated {
		return math.Max(r.Spread, r.Promise.Limit)
	}
	return r.Spread
}

// Lowers is the share of a limit that a longer list, a finer dial or the other feed may leave at the most to be worth
// it.
const Lowers = 0.95

// Sound says whether the rung's list leaves no greater spread than nothing dialled with a probability of [Promised].
// Lists that follow what is not known of the wear more than the wear do not, and are not advised unless only they
// promise the tolerance asked for.
func (r Rung) Sound() bool { return !r.Stated || r.Promise.Worse <= 1-Promised }

// Turns is how often the rung's list turns the dial.
func (r Rung) Turns() int { return len(r.moves) }

// Keeps says whether it can be promised that the rung's list keeps the cut's tolerance.
func (r Rung) Keeps() bool { return r.Stated && r.Promise.Within >= Promised }

// Correction is what to dial along a cut.
type Correction struct {
	Curve  *Curve
	Feed   Feed
	Allow  float64 // by how much the diameter strays to either side of its middle, mm
	Ladder []Rung  // what each further setting Lowers, from nothing dialled on; a rung that Lowers nothing is left out
	Chosen int     // the rung whose list this is
	Moves  []Move  // its list
	Table  []Move  // the same list at even steps
	// what to measure where the dial was set, against nominal, mm, so that the length lies about its nominal diameter,
	// or in the middle of its limits of size, when the list is followed
	Aim         float64
	Before      float64 // spread with nothing dialled, mm
	TableSpread float64 // spread left by the table
	MovesSpread float64 // spread left by the moves
	Limit       float64 // what this dial can come down to: min of Before and the finest setting's worth
}

// AllowError says that the dial cannot hold what is allowed to either side.
type AllowError struct{ Allow, Least float64 } // mm

func (e AllowError) Error() string {
	return fmt.Sprintf("± %g mm on diameter cannot be held: the best that this dial can do is ± %g mm", e.Allow,
		e.Least)
}

// leastStep is the least motion of the tool, mm, that is taken for a dial's finest setting: a nanometre, which no slide
// makes.
const leastStep = 1e-6

// check returns what cannot be so in how a cut is to be corrected.
func (o CorrectOptions) check() error {
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

// Correct returns the corrections of a cut: the ladder ([Rung]) and the list of the rung that is to be taken. Where a
// tolerance is asked and can be promised ([Rung.Keeps]), that is the one with fewest settings that does. Otherwise it
// is the one with fewest settings whose limit lies within a tenth of the ladder's least, as long as it lies a twentieth
// under those of all with fewer. Only sound ones count ([Rung.Sound]), unless none but others promise the tolerance.
// [CorrectOptions] may ask otherwise. The error is one of [Machine.Curve]'s, an [AllowError], or a [work.Problem] where
// the dial or the allowance cannot be so.
func (m Machine) Correct(cut Cut, o CorrectOptions) (*Correction, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	rungs, err := m.ladder(cut, o)
	if err != nil {
		return nil, err
	}
	chosen, err := o.choose(rungs, cut.Tolerance)
	if err != nil {
		return nil, err
	}
	r := rungs[chosen]
	// Nothing dialled is told of the same feed as the list: where the diameter is measured hardly changes it.
	rungs[0].curve, rungs[0].feed, rungs[0].Spread = r.curve, r.feed, r.curve.Spread()
	c := &Correction{Curve: r.curve, Feed: r.feed, Ladder: rungs, Chosen: chosen, Before: r.curve.Spread(),
		Moves: slices.Clone(r.moves)}
	c.Limit = math.Min(c.Before, o.Dial.Limit())
	start, end := cut.ends(c.Feed)
	low, high := c.finish(c.Moves, start, end, o.Dial)
	c.MovesSpread, c.Allow = high-low, (high-low)/2
	middle := 0.0
	if s := cut.Size; s != nil {
		middle = (s.Lower + s.Upper) / 2
	}
	c.Aim = -(low + high) / 2
	if o.Shown > 0 {
		aimed := cut.Diameter + middle
		c.Aim = math.Round((aimed+c.Aim)/o.Shown)*o.Shown - aimed
	}
	c.table(o)
	for _, list := range [][]Move{c.Moves, c.Table} {
		for i := range list {
			list[i].Left = c.left(list, i, end, o.Dial.Step())
		}
	}
	c.Aim += middle
	return c, nil
}

// ends returns where a cut starts and where it ends.
func (c Cut) ends(feed Feed) (start, end float64) {
	if feed == TowardTailstock {
		return c.From, c.To
	}
	return c.To, c.From
}

// ladder returns the rungs, from nothing dialled on.
func (m Machine) ladder(cut Cut, o CorrectOptions) ([]Rung, error) {
	feeds := []Feed{o.Feed}
	if o.Feed == EitherFeed {
		feeds = []Feed{TowardHeadstock, TowardTailstock}
	}
	var rungs []Rung
	for _, f := range feeds {
		one := cut
		if o.SetAtStart {
			one.SetAt, _ = cut.ends(f)
		}
		curve, err := m.Curve(one)
		if err != nil {
			return nil, err
		}
		for i, l := range curve.lists(o, f) {
			r := Rung{Settings: i, Spread: l.spread, moves: l.moves, feed: f, curve: curve}
			switch {
			case i == len(rungs):
				rungs = append(rungs, r)
			case o.prefers(r, rungs[i]):
				rungs[i] = r
			}
		}
	}
	out := rungs[:1]
	for _, r := range rungs[1:] {
		if r.Spread < out[len(out)-1].Spread-alike {
			out = append(out, r)
		}
	}
	if m.Wear.Stated() && !o.Computed {
		promise(out, o.Dial.Step(), cut.Tolerance)
	}
	return out, nil
}

// prefers says whether a rung is better than that of the other feed, which is taken otherwise. Of two that leave about
// the same it is the one that turns back less: readings that hardly differ are to give lists that hardly do. What is
// asked for exactly is answered exactly.
func (o CorrectOptions) prefers(r, than Rung) bool {
	much := Lowers
	if o.Allow > 0 {
		much = 1
	}
	switch {
	case r.Spread < much*than.Spread-alike:
		return true
	case than.Spread < much*r.Spread-alike:
		return false
	}
	return r.list().turnsBack() < than.list().turnsBack()
}

// list returns the rung as the correction that it is.
func (r Rung) list() *Correction { return &Correction{Curve: r.curve, Feed: r.feed, Moves: r.moves} }

// alike, mm: spreads nearer than that are the same.
const alike = 1e-5

// list is settings in the order of cutting, and the spread that they leave, mm.
type list struct {
	moves  []Move
	spread float64
}

// lists returns for 0, 1, … settings the list that leaves least with a feed. It goes on for as long as further
// settings gain anything, or until the finest setting's worth is reached, as a list that turns the dial leaves no less.
func (c *Curve) lists(o CorrectOptions, feed Feed) []list {
	const asGood, hardly = 1.03, 0.01
	start, end := c.ends(feed)
	made := func(moves []Move) list {
		k := Correction{Curve: c, Feed: feed}
		low, high := k.finish(moves, start, end, o.Dial)
		return list{moves, high - low}
	}
	lists := []list{made(nil)}
	if lists[0].spread <= asGood*o.Dial.Limit() {
		return lists
	}
	at, parts := edges(c.From, c.To, o.Round)
	fine, ruled := newLadder(c, o.Dial, feed, at, parts)
	_, before := ruled.list(math.Inf(-1), math.Inf(1))
	left, more := before, true
	// Halving what is left may take twice the settings, and two more where the list has to turn back.
	for n, until, asked := 1, 4, 0; n <= min(until, mostRungs) && left > asGood*2*fine.unit; n++ {
		this := lists[n-1]
		if more {
			moves, spread := ruled.best(n, left)
			switch most := min(until, mostRungs); {
			case moves == nil && asked < most: // what the most settings do not gain, no fewer do
				asked, more = most, ruled.gains(most, left)
			case moves != nil && spread < (1-hardly)*left:
				until = 2*n + 2
				fallthrough
			case moves != nil:
				this, left = made(moves), spread
			}
		}
		lists = append(lists, this)
	}
	if parts == 1 {
		return lists
	}
	// A list at other places is taken where those of the rule cost more than a twentieth of the gain.
	const cost = 1. / 20
	for n, l := range lists[1:] {
		gain := math.Max(0, before-l.spread)
		if other, _ := fine.best(n+1, l.spread-cost/(1-cost)*gain-fine.near); other != nil {
			lists[n+1] = made(other)
		}
	}
	return lists
}

// promise fills in what can be promised of each rung, all by the same draws of the wear.
func promise(rungs []Rung, step, tolerance float64) {
	curve := rungs[0].curve
	lists := make([][]Spot, len(rungs))
	for i, r := range rungs {
		lists[i] = r.list().Under(curve.Spaced(), step)
	}
	for i, s := range curve.promiseEach(lists, tolerance) {
		rungs[i].Promise, rungs[i].Stated = s, true
	}
}

// choose returns which rung is to be taken of a cut with a tolerance, mm; 0: none.
func (o CorrectOptions) choose(rungs []Rung, tolerance float64) (int, error) {
	last := len(rungs) - 1
	switch {
	case o.Allow > 0:
		if k := slices.IndexFunc(rungs, func(r Rung) bool { return r.Spread <= 2*o.Allow+alike }); k >= 0 {
			return k, nil
		}
		return 0, AllowError{o.Allow, rungs[last].Spread / 2}
	case o.Settings > 0:
		for i, r := range rungs {
			if r.Settings > o.Settings {
				return i - 1, nil
			}
		}
		return last, nil
	}
	if tolerance > 0 {
		for _, sure := range []func(Rung) bool{func(r Rung) bool { return r.Sound() && r.Keeps() }, Rung.Keeps} {
			if k := slices.IndexFunc(rungs, sure); k >= 0 {
				return k, nil
			}
		}
	}
	var sound []int
	least := math.Inf(1)
	for i, r := range rungs {
		if r.Sound() {
			sound = append(sound, i)
			least = math.Min(least, r.Limit())
		}
	}
	const within = 1.1 // of the least
	k := slices.IndexFunc(sound, func(i int) bool { return rungs[i].Limit() <= within*least })
	for _, i := range sound[:k] {
		if rungs[sound[k]].Limit() > Lowers*rungs[i].Limit() {
			return i, nil
		}
	}
	return sound[k], nil
}

// finish fills in the changes of a list and returns the least and the greatest diameter error that it leaves over the
// whole cut, both settings counted at the place of a move.
func (c *Correction) finish(moves []Move, start, end float64, d Dial) (least, greatest float64) {
	least, greatest = math.Inf(1), math.Inf(-1)
	at, setting := start, 0
	hold := func(to float64) {
		lo, hi := c.Curve.Extremes(min(at, to), max(at, to), float64(setting)*d.Step())
		least, greatest = math.Min(least, lo.Value), math.Max(greatest, hi.Value)
		at = to
	}
	for i := range moves {
		m := &moves[i]
		if m.Position != start { // nothing is cut under the setting before a move that is made at the start
			hold(m.Position)
		}
		m.Change = m.Setting - setting
		m.TakeUp = d.Backlash != 0 && turnsBack(m.Change, c.Curve.Bore)
		setting = m.Setting
	}
	hold(end)
	return least, greatest
}

// left returns the diameter error that is greatest in size from the i-th row of a list to the next, the aim counted.
func (c *Correction) left(rows []Move, i int, end, step float64) Extreme {
	a, b := rows[i].Position, end
	if i+1 < len(rows) {
		b = rows[i+1].Position
	}
	worst, greatest := c.Curve.Extremes(min(a, b), max(a, b), float64(rows[i].Setting)*step)
	if worst.Value += c.Aim; math.Abs(worst.Value) < math.Abs(greatest.Value+c.Aim) {
		worst = Extreme{greatest.Position, greatest.Value + c.Aim}
	}
	return worst
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

// Settings counts the moves as the ladder does: one that turns back is two.
func (c *Correction) Settings() int { return len(c.Moves) + c.turnsBack() }

// OneWay says whether all moves go the way in which the tool comes to its work.
func (c *Correction) OneWay() bool { return c.turnsBack() == 0 }

// MovesAt returns where to compare errors when the moves are made: both settings at the place of a move.
func (c *Correction) MovesAt(step float64) []Spot { return c.places(c.Curve.Spaced(), step) }

// Under returns places of the cut with the settings under which they are cut, and after them the places of the moves,
// each with the setting before it and its own.
func (c *Correction) Under(at []Spot, step float64) []Spot { return c.places(at, step) }

func (c *Correction) places(spaced []Spot, step float64) []Spot {
	var at []Spot
	for _, h := range spaced {
		at = append(at, Spot{h.Position, float64(c.settingAt(h.Position)) * step})
	}
	start := c.Curve.To
	if c.Feed == TowardTailstock {
		start = c.Curve.From
	}
	before := 0
	for _, m := range c.Moves {
		if m.Position != start { // nothing is cut under the setting before a move that is made at the start
			at = append(at, Spot{m.Position, float64(before) * step})
		}
		at = append(at, Spot{m.Position, float64(m.Setting) * step})
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

// table writes the list at even steps: each move is made at the row that is nearest to it, but for the first, where the
// diameter is measured, and the last, where nothing is left to cut.
func (c *Correction) table(o CorrectOptions) {
	rows := slices.Clone(o.Every)
	if c.Feed != TowardTailstock {
		slices.Reverse(rows)
	}
	for i, z := range rows {
		m := Move{Position: z}
		switch {
		case i == 0:
			m.Setting = c.settingAt(z)
		case i+1 < len(rows):
			m.Setting = c.settingAt((z + rows[i+1]) / 2)
		default:
			m.Setting = c.Table[i-1].Setting
		}
		c.Table = append(c.Table, m)
	}
	if len(rows) > 0 {
		low, high := c.finish(c.Table, rows[0], rows[len(rows)-1], o.Dial)
		c.TableSpread = high - low
	}
}
