package compensate_test

import (
	"errors"
	"flag"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
)

// study makes the tests against brute force run their full count.
var study = flag.Bool("study", false, "run the long comparisons in full")

func cases(short, full int) int {
	if *study {
		return full
	}
	return short
}

// brute returns how many cases are compared with brute force: all of them, but for a short run.
func brute(short, full int) int {
	if testing.Short() {
		return short
	}
	return full
}

// fewest returns the least number of changes of setting that keeps |error| within allow at every one of the samples, in
// order: dynamic programming over all settings. A start under another setting than 0 counts as a change. It returns −1
// where no settings do it.
func fewest(samples []func(setting float64) float64, step, allow float64) int {
	const most = 80
	const never = 1 << 30
	best := make([]int, 2*most+1)
	for i := range best {
		best[i] = 1
	}
	best[most] = 0
	for _, f := range samples {
		least := slices.Min(best)
		open := false
		for i := range best {
			if math.Abs(f(float64(i-most)*step)) > allow {
				best[i] = never
				continue
			}
			best[i] = min(best[i], least+1)
			open = true
		}
		if !open {
			return -1
		}
	}
	return slices.Min(best)
}

// quick returns error functions of the setting at even positions along the cut, and how much the error at most changes
// from one to the next.
func quick(p plain, cut compensate.Cut, feed compensate.Feed, n int) (samples []func(float64) float64, change float64) {
	x0 := math.Sqrt(cut.Diameter*cut.Diameter/4 - cut.ToolHeight*cut.ToolHeight)
	out0, down0 := p.tool(cut.SetAt, cut.Diameter)
	before := math.NaN()
	for i := range n + 1 {
		z := cut.From + (cut.To-cut.From)*float64(i)/float64(n)
		if feed == compensate.TowardHeadstock {
			z = cut.To + (cut.From-cut.To)*float64(i)/float64(n)
		}
		out, down := p.tool(z, cut.Diameter)
		x, y := x0+out-out0, cut.ToolHeight-(down-down0)
		f := func(setting float64) float64 { return 2*math.Sqrt((x-setting)*(x-setting)+y*y) - cut.Diameter }
		samples = append(samples, f)
		if i > 0 {
			change = math.Max(change, math.Abs(f(0)-before))
		}
		before = f(0)
	}
	return samples, change
}

func TestMovesAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 1))
	exact, refused := 0, 0
	for i := range brute(150, 500) {
		b := randomBench(r, 3+r.IntN(25))
		cut := b.randomCut(r, 50+r.Float64()*400)
		dial := compensate.Dial{Diameter: r.IntN(2) == 0, Division: []float64{0.01, 0.02, 0.025}[r.IntN(3)],
			Finest: 0.5}
		allow := dial.Limit() * (0.45 + r.Float64())
		feed := []compensate.Feed{compensate.TowardHeadstock, compensate.TowardTailstock}[r.IntN(2)]
		c, err := b.machine(t).Correct(cut, compensate.Correcting{Dial: dial, Allow: allow, Feed: feed,
			Every: []float64{cut.From, cut.To}})

		samples, change := quick(b.plain(), cut, feed, 1500)
		loose := fewest(samples, dial.Step(), allow+1e-7)
		tight := fewest(samples, dial.Step(), allow-change*1.05)
		if err != nil {
			if _, ok := errors.AsType[compensate.AllowError](err); !ok {
				t.Fatal(err)
			}
			refused++
			if tight >= 0 {
				t.Errorf("case %d: refused (%v), but %d moves do it", i, err, tight)
			}
			continue
		}
		n := len(c.Moves)
		if loose < 0 || n < loose || tight >= 0 && n > tight {
			t.Errorf("case %d: %d moves; brute force between %d and %d", i, n, loose, tight)
		}
		if loose == tight {
			exact++
		}
	}
	if exact < brute(60, 400) || refused == 0 {
		t.Errorf("too few telling cases: %d exact, %d refused", exact, refused)
	}
}

// held returns the setting in force on the stretch between neighbouring moves: position, next position and setting, in
// order of cutting.
func held(c *compensate.Correction, moves []compensate.Move) (stretches [][2]float64, settings []int) {
	start, end := c.Curve.To, c.Curve.From
	if c.Feed == compensate.TowardTailstock {
		start, end = end, start
	}
	at, setting := start, 0
	for _, m := range moves {
		if m.Position != start {
			stretches, settings = append(stretches, [2]float64{at, m.Position}), append(settings, setting)
		}
		at, setting = m.Position, m.Setting
	}
	return append(stretches, [2]float64{at, end}), append(settings, setting)
}

// What is left when the corrections are made, reckoned anew by sampling.
func TestCorrectionsLeaveWhatTheySay(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 2))
	for i := range 120 {
		b := randomBench(r, 3+r.IntN(25))
		cut := b.randomCut(r, 50+r.Float64()*400)
		dial := compensate.Dial{Diameter: r.IntN(2) == 0, Division: 0.02, Finest: 0.5,
			Backlash: []float64{0, 0.1}[r.IntN(2)]}
		o := compensate.Correcting{Dial: dial, Feed: compensate.Feed(r.IntN(3)), SetAtStart: r.IntN(2) == 0,
			Every: compensate.Stations(cut.From, cut.To, 17)}
		if r.IntN(2) == 0 {
			o.Allow = dial.Limit() * (0.7 + r.Float64())
		}
		if r.IntN(2) == 0 {
			o.Round = 1
		}
		c, err := b.machine(t).Correct(cut, o)
		if err != nil {
			t.Fatal(err)
		}
		cut = c.Curve.Cut
		p := b.plain()
		f := p.errors(cut)
		toward := -1.0
		if c.Feed == compensate.TowardTailstock {
			toward = 1
		}
		if o.SetAtStart && cut.SetAt != map[float64]float64{-1: cut.To, 1: cut.From}[toward] {
			t.Fatalf("case %d: set at %g", i, cut.SetAt)
		}
		lo, hi := sampled(cut.From, cut.To, 3000, func(z float64) float64 { return f(z, 0) })
		near(t, "before", c.Before, hi-lo, 1e-5)
		near(t, "limit", c.Limit, min(c.Before, dial.Limit()), 0)
		wantAllow := o.Allow
		if wantAllow == 0 {
			wantAllow = 2 * dial.Step()
		}
		near(t, "allow", c.Allow, wantAllow, 0)

		for _, list := range []struct {
			moves  []compensate.Move
			spread float64
		}{{c.Moves, c.MovesSpread}, {c.Table, c.TableSpread}} {
			stretches, settings := held(c, list.moves)
			least, greatest := math.Inf(1), math.Inf(-1)
			var worst []float64
			for j, s := range stretches {
				if (s[1]-s[0])*toward < 0 {
					t.Fatalf("case %d: moves out of the order of cutting: %v", i, stretches)
				}
				lo, hi := sampled(s[0], s[1], 800, func(z float64) float64 {
					return f(z,
						float64(settings[j])*dial.Step())
				})
				least, greatest = math.Min(least, lo), math.Max(greatest, hi)
				worst = append(worst, math.Max(-lo, hi))
			}
			near(t, "spread left", list.spread, greatest-least, 1e-5)
			skip := len(stretches) - len(list.moves)
			before := 0
			for j, m := range list.moves {
				near(t, "worst left", math.Abs(m.Left.Value), worst[j+skip], 1e-5)
				near(t, "error at the worst place", f(m.Left.Position, float64(m.Setting)*dial.Step()), m.Left.Value,
					1e-6)
				if m.Change != m.Setting-before || m.TakeUp != (dial.Backlash > 0 && (m.Change < 0 != cut.Bore) &&
					m.Change != 0) {
					t.Errorf("case %d: %+v after setting %d (bore %v)", i, m, before, cut.Bore)
				}
				before = m.Setting
			}
		}
		stretches, settings := held(c, c.Moves)
		for j, s := range stretches {
			lo, hi := sampled(s[0], s[1], 800, func(z float64) float64 {
				return f(z,
					float64(settings[j])*dial.Step())
			})
			if lo < -c.Allow-1e-6 || hi > c.Allow+1e-6 {
				t.Errorf("case %d: ± %g allowed, %g to %g left from %g to %g", i, c.Allow, lo, hi, s[0], s[1])
			}
		}
		// Each row of the table is the best that a dial can do until the next, but for the first where the dial was set
		// there.
		stretches, settings = held(c, c.Table)
		for j, s := range stretches[:len(stretches)-1] {
			if j == 0 && s[0] == cut.SetAt {
				near(t, "setting where it was set", float64(settings[0]), 0, 0)
				continue
			}
			part := cut
			part.From, part.To = min(s[0], s[1]), max(s[0], s[1])
			samples, _ := quick(p, part, compensate.TowardTailstock, 300)
			reach := func(k int) float64 {
				worst := 0.0
				for _, f := range samples {
					worst = math.Max(worst, math.Abs(f(float64(k)*dial.Step())))
				}
				return worst
			}
			got := reach(settings[j])
			for k := settings[j] - 10; k <= settings[j]+10; k++ {
				if reach(k) < got-1e-5 {
					t.Errorf("case %d: from %g setting %d leaves %g, %d would leave %g", i, s[0], settings[j], got, k,
						reach(k))
				}
			}
		}
		// What is compared for the probability are the places of the moves under both settings.
		spread := [2]float64{math.Inf(1), math.Inf(-1)}
		for _, h := range c.MovesAt(dial.Step()) {
			v := f(h.Position, h.Setting)
			spread[0], spread[1] = math.Min(spread[0], v), math.Max(spread[1], v)
		}
		if spread[1]-spread[0] > c.MovesSpread+1e-6 {
			t.Errorf("case %d: the compared places spread over %g, the cut over %g", i, spread[1]-spread[0],
				c.MovesSpread)
		}
	}
}

// Rounded moves lie on round positions where the allowance has room: ± 0.0135 is 2.7 settings wide, a change takes at
// most two, and the rest is room.
func TestRoundedMoves(t *testing.T) {
	var z, shift []float64
	for i := range 81 {
		p := float64(i) * 5
		z, shift = append(z, p), append(shift, 0.04*(1-p/400)*(1-p/400))
	}
	m := guided(t, z, shift)
	cut := compensate.Cut{Feature: work.Feature{From: 3, To: 397, Diameter: 30}, SetAt: 397}
	o := compensate.Correcting{Dial: compensate.Dial{Division: 0.01, Finest: 0.5, Backlash: 0.1}, Allow: 0.0135,
		Feed: compensate.TowardHeadstock, Round: 1}
	c, err := m.Correct(cut, o)
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Moves) == 0 || !c.OneWay() {
		t.Fatalf("%d moves, one way %v", len(c.Moves), c.OneWay())
	}
	for _, k := range c.Moves {
		if k.Position != math.Round(k.Position) {
			t.Errorf("a move at %g", k.Position)
		}
		if k.TakeUp {
			t.Errorf("a move at %g takes up, though corrections only go in", k.Position)
		}
	}
	// Fed the other way, the same work needs the tool out, and each move takes up.
	o.Feed, o.SetAtStart = compensate.TowardTailstock, true
	if c, err = m.Correct(cut, o); err != nil {
		t.Fatal(err)
	}
	if c.OneWay() || !c.Moves[0].TakeUp || c.Moves[0].Change >= 0 {
		t.Errorf("toward the tailstock: %+v", c.Moves)
	}
	// Left to itself it is fed so that corrections go one way; for a bore that is the other one.
	o.Feed = compensate.EitherFeed
	if c, err = m.Correct(cut, o); err != nil || c.Feed != compensate.TowardHeadstock || !c.OneWay() {
		t.Errorf("fed %v, one way %v, %v", c.Feed, c.OneWay(), err)
	}
	cut.Bore = true
	if c, err = m.Correct(cut, o); err != nil || c.Feed != compensate.TowardTailstock || !c.OneWay() {
		t.Errorf("a bore fed %v, one way %v, %v", c.Feed, c.OneWay(), err)
	}
}

// A part that the wear does not touch needs nothing.
func TestNothingToCorrect(t *testing.T) {
	cut := compensate.Cut{Feature: work.Feature{From: 0, To: 400, Diameter: 30}, SetAt: 400}
	c, err := guided(t, []float64{0, 400}, []float64{0, 0}).Correct(cut,
		compensate.Correcting{Dial: compensate.Dial{Division: 0.01, Finest: 0.5}, Every: []float64{0, 200, 400}})
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Moves) != 0 || c.MovesSpread != 0 || c.TableSpread != 0 || c.Before != 0 || c.Limit != 0 ||
		len(c.Table) != 3 {
		t.Errorf("%+v", c)
	}
}

func TestAllowTooFine(t *testing.T) {
	m := guided(t, []float64{0, 400}, []float64{0.05, 0})
	cut := compensate.Cut{Feature: work.Feature{From: 0, To: 400, Diameter: 30}, SetAt: 400}
	dial := compensate.Dial{Division: 0.01, Finest: 0.5}
	_, err := m.Correct(cut, compensate.Correcting{Dial: dial, Allow: 0.0049}) // steps of 0.01 on diameter reach ±0.005
	refused, ok := errors.AsType[compensate.AllowError](err)
	if !ok || refused.Error() == "" {
		t.Fatalf("%v", err)
	}
	near(t, "least", refused.Least, 0.005, 1e-5)
	if _, err = m.Correct(cut, compensate.Correcting{Dial: dial, Allow: 0.0051}); err != nil {
		t.Error(err)
	}
	for what, o := range map[string]compensate.Correcting{
		"no division": {}, "finest below zero": {Dial: compensate.Dial{Division: 0.01, Finest: -1}},
		"a compound along the bed":    {Dial: compensate.Dial{Division: 0.01, Finest: 1, Angle: math.Pi}, Allow: 0.1},
		"allowance below zero":        {Dial: dial, Allow: -0.1},
		"allowance that is no number": {Dial: dial, Allow: math.NaN()},
	} {
		if c, err := m.Correct(cut, o); err == nil {
			t.Errorf("%s was taken: %+v", what, c.Moves)
		}
	}
}

// Where the point has sunk further from the axis than the work's radius, no setting of the cross slide makes the
// diameter: that is said, not passed over. Work of 1 and a bed 2 down: the least radius is 2.
func TestSunkOutOfReach(t *testing.T) {
	m := compensate.Machine{Lathe: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100},
		Axis: compensate.SpindleAxis(),
		Wear: mustWear(t, []float64{0, 100, 200, 300}, map[bed.Curve][]float64{bed.Front: {2, 2, 0, 0},
			bed.Rear: {2, 2, 0, 0}})}
	cut := compensate.Cut{Feature: work.Feature{From: 0, To: 300, Diameter: 1}, SetAt: 300}
	for _, division := range []float64{0.01, 0.013} {
		o := compensate.Correcting{Dial: compensate.Dial{Division: division, Finest: 0.5},
			Every: []float64{0, 150, 300}}
		if _, err := m.Correct(cut, o); err == nil {
			t.Error("a diameter was held that no setting makes")
		}
		// ± 3.1 takes the least diameter, 4, in; and an allowance greater than the work itself is no reason to turn
		// anything.
		for _, allow := range []float64{3.2, 50, 1e6} {
			o.Allow = allow
			c, err := m.Correct(cut, o)
			if err != nil || len(c.Moves) > 1 || allow > 4 && len(c.Moves) > 0 {
				t.Errorf("± %g: %v, %v", allow, c, err)
			}
		}
	}
}

// Under a setting made at the very start nothing is cut as the dial was set, and nothing is compared there.
func TestMoveAtTheStart(t *testing.T) {
	m := guided(t, []float64{0, 100, 300, 400}, []float64{0.05, 0.05, 0, 0})
	cut := compensate.Cut{Feature: work.Feature{From: 0, To: 400, Diameter: 30}, SetAt: 0}
	o := compensate.Correcting{Dial: compensate.Dial{Division: 0.01, Finest: 0.5}, Feed: compensate.TowardHeadstock,
		Every: []float64{0, 400}}
	c, err := m.Correct(cut, o)
	if err != nil || len(c.Moves) == 0 || c.Moves[0].Position != 400 {
		t.Fatalf("%+v, %v", c, err)
	}
	spread := [2]float64{math.Inf(1), math.Inf(-1)}
	for _, h := range c.MovesAt(o.Dial.Step()) {
		v := c.Curve.At(h.Position, h.Setting)
		spread[0], spread[1] = math.Min(spread[0], v), math.Max(spread[1], v)
	}
	if spread[1]-spread[0] > c.MovesSpread+1e-6 || c.MovesSpread > 2*c.Allow+1e-6 {
		t.Errorf("the compared places spread over %g, the cut over %g", spread[1]-spread[0], c.MovesSpread)
	}
}
