package compensate_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
)

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

// What is left when the corrections are made, calculated anew by sampling.
func TestCorrectionsLeaveWhatTheySay(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 2))
	for i := range 120 {
		b := randomBench(r, 3+r.IntN(25))
		cut := b.randomCut(r, 50+r.Float64()*400)
		dial := compensate.Dial{Diameter: r.IntN(2) == 0, Division: 0.02, Finest: 0.5,
			Backlash: []float64{0, 0.1}[r.IntN(2)]}
		o := compensate.CorrectOptions{Dial: dial, Feed: compensate.Feed(r.IntN(3)), SetAtStart: r.IntN(2) == 0,
			Every: compensate.Stations(cut.From, cut.To, 17)}
		if r.IntN(2) == 0 {
			o.Settings = 1 + r.IntN(4)
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
		near(t, "allow", c.Allow, c.MovesSpread/2, 1e-12)

		setting := func(z float64) int { // by the list, in the order of cutting
			k := 0
			for _, m := range c.Moves {
				if (z-m.Position)*toward >= 0 {
					k = m.Setting
				}
			}
			return k
		}
		for j := range c.Table {
			if z := c.Table[j].Position; j > 0 && j+1 < len(c.Table) && c.Table[j].Setting !=
				setting((z+c.Table[j+1].Position)/2) {
				t.Errorf("case %d: row %d shows %d halfway to the next one, the list another", i, j, c.Table[j].Setting)
			}
		}
		stretches, settings := held(c, c.Moves)
		least, greatest := math.Inf(1), math.Inf(-1)
		for j, s := range stretches {
			if (s[1]-s[0])*toward < 0 {
				t.Fatalf("case %d: moves out of the order of cutting: %v", i, stretches)
			}
			in := float64(settings[j]) * dial.Step()
			lo, hi := sampled(s[0], s[1], 800, func(z float64) float64 { return f(z, in) })
			least, greatest = math.Min(least, lo), math.Max(greatest, hi)
		}
		near(t, "spread left", c.MovesSpread, greatest-least, 1e-5)
		near(t, "aim", c.Aim, -(least+greatest)/2, 1e-5)
		for which, list := range [][]compensate.Move{c.Moves, c.Table} {
			before := 0
			for j, m := range list {
				near(t, "error at the worst place, aimed off",
					f(m.Left.Position, float64(m.Setting)*dial.Step())+c.Aim, m.Left.Value, 1e-6)
				if which == 0 && math.Abs(m.Left.Value) > c.MovesSpread/2+1e-6 {
					t.Errorf("case %d: %g left of a spread of %g", i, m.Left.Value, c.MovesSpread)
				}
				if which == 0 && m.Setting != setting(m.Position) {
					t.Errorf("case %d: row %d shows %d, the list %d", i, j, m.Setting, setting(m.Position))
				}
				if m.Change != m.Setting-before || m.TakeUp != (dial.Backlash > 0 && (m.Change < 0 != cut.Bore) &&
					m.Change != 0) {
					t.Errorf("case %d: %+v after setting %d (bore %v)", i, m, before, cut.Bore)
				}
				before = m.Setting
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

// Moves lie on the marks of a rule where that costs little; a bed that falls evenly costs nothing to speak of.
func TestRoundedMoves(t *testing.T) {
	var z, shift []float64
	for i := range 81 {
		p := float64(i) * 5
		z, shift = append(z, p), append(shift, 0.04*(1-p/400)*(1-p/400))
	}
	m := guided(t, z, shift)
	cut := compensate.Cut{Feature: work.Feature{From: 3, To: 397, Diameter: 30}, SetAt: 397}
	o := compensate.CorrectOptions{Dial: compensate.Dial{Division: 0.01, Finest: 0.5, Backlash: 0.1},
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

// A hollow is cut as well from either end: a tilt of a fifth of a micrometre, which no reading tells, does not turn the
// list round. One that is greater than the hollow does: then one feed turns only in.
func TestNearTieKeepsTheFeed(t *testing.T) {
	feed := func(tilt float64) compensate.Feed {
		var z, shift []float64
		for i := range 81 {
			p := float64(i) * 5
			z, shift = append(z, p), append(shift, 0.02*math.Pow(1-p/200, 2)+tilt*p/400)
		}
		m := guided(t, z, shift)
		cut := compensate.Cut{Feature: work.Feature{From: 3, To: 397, Diameter: 30}, SetAt: 397}
		c, err := m.Correct(cut, compensate.CorrectOptions{Dial: compensate.Dial{Division: 0.01, Finest: 0.5}, Round: 1,
			Settings: 3, SetAtStart: true})
		if err != nil {
			t.Fatal(err)
		}
		return c.Feed
	}
	for _, tilt := range []float64{-2e-4, 0, 2e-4} {
		if f := feed(tilt); f != compensate.TowardHeadstock {
			t.Errorf("tilted by %g mm it is fed %v", tilt, f)
		}
	}
	if a, b := feed(-0.05), feed(0.05); a == b {
		t.Errorf("tilted by 50 µm either way it is fed %v", a)
	}
}

// A part that the wear does not touch needs nothing.
func TestNothingToCorrect(t *testing.T) {
	cut := compensate.Cut{Feature: work.Feature{From: 0, To: 400, Diameter: 30}, SetAt: 400}
	c, err := guided(t, []float64{0, 400}, []float64{0, 0}).Correct(cut,
		compensate.CorrectOptions{Dial: compensate.Dial{Division: 0.01, Finest: 0.5}, Every: []float64{0, 200, 400}})
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Moves) != 0 || c.MovesSpread != 0 || c.TableSpread != 0 || c.Before != 0 || c.Limit != 0 ||
		len(c.Table) != 3 {
		t.Errorf("%+v", c)
	}
}

func TestAllowTooFine(t *testing.T) {
	// 0.1 on diameter evenly along it, in steps of 0.01: where a step is made both settings count, so that ± 0.005 is
	// the least, and what the places cost, 256 of them, comes on top
	m := guided(t, []float64{0, 400}, []float64{0.05, 0})
	cut := compensate.Cut{Feature: work.Feature{From: 0, To: 400, Diameter: 30}, SetAt: 400}
	dial := compensate.Dial{Division: 0.01, Finest: 0.5}
	_, err := m.Correct(cut, compensate.CorrectOptions{Dial: dial, Allow: 0.0049})
	refused, ok := errors.AsType[compensate.AllowError](err)
	if !ok || refused.Error() == "" {
		t.Fatalf("%v", err)
	}
	near(t, "least", refused.Least, 0.005, 0.1/256)
	if _, err = m.Correct(cut, compensate.CorrectOptions{Dial: dial, Allow: 0.0054}); err != nil {
		t.Error(err)
	}
	for what, o := range map[string]compensate.CorrectOptions{
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
		o := compensate.CorrectOptions{Dial: compensate.Dial{Division: division, Finest: 0.5},
			Every: []float64{0, 150, 300}}
		o.Allow = 0.5
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
