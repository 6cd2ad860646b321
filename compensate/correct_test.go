package compensate_test

import (
	"errors"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// study makes the tests against brute force run their full count.
var study = flag.Bool("study", false, "run the long comparisons in full")

// cases returns how many cases are tried: in an ordinary run, half of that with -short, in full with -study.
func cases(ordinary, full int) int {
	switch {
	case *study:
		return full
	case testing.Short():
		return (ordinary + 1) / 2
	}
	return ordinary
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

// least returns the least spread that so many settings leave, by trying all lists: each strip is cut under the setting
// of the one before or under another; one that goes against the tool's way in counts as two.
func least(low, high [][]float64, zero, most int, bore bool) float64 {
	best := math.Inf(1)
	var try func(strip, k, used int, lo, hi float64)
	try = func(strip, k, used int, lo, hi float64) {
		lo, hi = math.Min(lo, low[strip][k]), math.Max(hi, high[strip][k])
		if hi-lo >= best || used > most {
			return
		}
		if strip+1 == len(low) {
			best = hi - lo
			return
		}
		for next := range low[strip] {
			price := 1
			switch {
			case next == k:
				price = 0
			case (next < k) != bore:
				price = 2
			}
			try(strip+1, next, used+price, lo, hi)
		}
	}
	try(0, zero, 0, math.Inf(1), math.Inf(-1))
	return best
}

// The ladder against all lists there are, on few places for the dial to be turned, 0 to 6 settings. The errors are
// calculated by the written-out equations, sampled.
func TestLadderAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 1))
	gained, back := 0, 0
	for i := range cases(100, 1000) {
		b := randomBench(r, 3+r.IntN(25))
		cut := b.randomCut(r, 50+r.Float64()*400)
		feed := []compensate.Feed{compensate.TowardHeadstock, compensate.TowardTailstock}[r.IntN(2)]
		cut.SetAt = map[compensate.Feed]float64{compensate.TowardHeadstock: cut.To,
			compensate.TowardTailstock: cut.From}[feed]
		c := mustCurve(t, b.machine(t), cut)
		dial := compensate.Dial{Division: c.Spread() / 2 / (1 + 2*r.Float64()), Finest: 1}
		places := 5 + r.IntN(3)
		at := []float64{cut.From}
		for k := 1; k < places; k++ {
			at = append(at, cut.From+(cut.To-cut.From)*float64(k)/float64(places))
		}
		at = append(at, cut.To)
		got, near := compensate.LadderOn(c, dial, feed, at, 6)

		const reach, per = 4, 300 // settings to either side that are tried, and samples of a strip
		samples, change := quick(b.plain(), cut, feed, places*per)
		low, high := make([][]float64, places), make([][]float64, places)
		for n := range places {
			for k := -reach; k <= reach; k++ {
				lo, hi := math.Inf(1), math.Inf(-1)
				for _, f := range samples[n*per : (n+1)*per+1] {
					v := f(float64(k) * dial.Step())
					lo, hi = math.Min(lo, v), math.Max(hi, v)
				}
				low[n], high[n] = append(low[n], lo), append(high[n], hi)
			}
		}
		for n, left := range got {
			want := least(low, high, reach, n, cut.Bore)
			if math.Abs(left-want) > 2.01*near+change/4 {
				t.Errorf("case %d: %d settings leave %g, all lists tried %g (± %g)", i, n, left, want, 2*near)
			}
		}
		if got[1] < got[0] {
			gained++
		}
		if got[2] < got[1] {
			back++
		}
	}
	if gained < 20 || back < 10 {
		t.Errorf("too few telling cases: one setting gains in %d, a second in %d", gained, back)
	}
}

// Nothing is advised that makes the spread larger than with nothing dialled, on the predicted curve, and no rung leaves
// more than the one before.
func TestNeverWorseThanNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 2))
	for i := range cases(100, 1000) {
		b := randomBench(r, 3+r.IntN(25))
		cut := b.randomCut(r, 30+r.Float64()*300)
		dial := compensate.Dial{Diameter: r.IntN(2) == 0, Division: []float64{0.01, 0.02, 0.05}[r.IntN(3)], Finest: 0.5}
		c, err := b.machine(t).Correct(cut, compensate.Correcting{Dial: dial, SetAtStart: r.IntN(2) == 0,
			Round: []float64{0, 1, 25.4 / 16}[r.IntN(3)]})
		if err != nil {
			t.Fatal(err)
		}
		samples, _ := quick(b.plain(), c.Curve.Cut, compensate.TowardTailstock, 800)
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, f := range samples {
			lo, hi = math.Min(lo, f(0)), math.Max(hi, f(0))
		}
		if c.MovesSpread > hi-lo+1e-4 {
			t.Errorf("case %d: %g left, %g with nothing dialled", i, c.MovesSpread, hi-lo)
		}
		for n := 1; n < len(c.Ladder); n++ {
			if c.Ladder[n].Spread >= c.Ladder[n-1].Spread || c.Ladder[n].Settings <= c.Ladder[n-1].Settings {
				t.Errorf("case %d: %v after %v", i, c.Ladder[n], c.Ladder[n-1])
			}
		}
	}
}

// No list promises less than what is said to be the least that any can: and where the dial is fine, the best comes near
// it. What a list leaves of a wear that is known but for its ± is the ± alone at best.
func TestPromisable(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 5))
	near := 0
	for i := range cases(12, 200) {
		n := 3 + r.IntN(12)
		b := randomBench(r, n)
		m := b.machine(t)
		m.Wear = m.Wear.WithCovariance(rowsOf(n, 0.001+0.004*r.Float64()))
		cut := b.randomCut(r, 50+r.Float64()*300)
		dial := compensate.Dial{Division: []float64{0.002, 0.02}[i%2], Finest: 0.5}
		c, err := m.Correct(cut, compensate.Correcting{Dial: dial})
		if err != nil {
			t.Fatal(err)
		}
		least := c.Curve.Promisable()
		const chance = 0.06 // of a limit by a thousand draws
		for _, k := range c.Ladder {
			if k.Limit() < (1-chance)*least {
				t.Errorf("case %d: %d settings promise %g, the least is said to be %g", i, k.Settings, k.Limit(), least)
			}
		}
		if best := c.Ladder[len(c.Ladder)-1]; best.Limit() < 1.2*least {
			near++
		}
	}
	if near < 4 {
		t.Errorf("only %d best lists come near the least", near)
	}
}

// A spindle that leans, known to a ±, turns a cone; how likely a list leaves a greater spread than nothing dialled is
// then an integral over one number, written out here. A list is advised where that is at most one in twenty, or where
// it alone promises the tolerance.
func TestListIsSound(t *testing.T) {
	const from, to, lean, step = 100.0, 300.0, 5e-5, 0.01
	mean := 2 * lean * (to - from) // the spread of the cone on diameter: 0.02 mm
	advised, refused, promised := 0, 0, 0
	for _, tt := range []struct{ share, tolerance float64 }{
		{0.05, 0}, {0.15, 0}, {0.3, 0}, {0.5, 0}, {0.8, 0}, {1.2, 0}, {0.4, 0.028}, {0.5, 0.028}, {1.2, 0.025},
	} {
		w := mustWear(t, []float64{-200, 800}, nil).WithScalar(bed.LeanOut, lean)
		m := compensate.Machine{Lathe: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100},
			Axis: compensate.SpindleAxis()}
		cov := mat.NewSymDense(1, []float64{lean * lean * tt.share * tt.share})
		m.Wear = w.WithCovariance(wear.NewFull(2, []wear.Unknown{{Knot: -1, Scalar: bed.LeanOut}}, cov))
		c, err := m.Correct(compensate.Cut{SetAt: to, Feature: work.Feature{From: from, To: to, Diameter: 30,
			Tolerance: tt.tolerance}}, compensate.Correcting{Dial: compensate.Dial{Division: step, Finest: 0.5},
			Feed: compensate.TowardHeadstock})
		if err != nil {
			t.Fatal(err)
		}
		// the normal distribution in ten thousand slices of the cone, in shares of its mean
		const slices = 10000
		spread := func(cone float64, moves []compensate.Move) float64 {
			least, greatest, turned := 0.0, 0.0, 0.0
			take := func(z float64) {
				e := cone*(to-z)/(to-from) - 2*turned
				least, greatest = math.Min(least, e), math.Max(greatest, e)
			}
			for _, v := range moves {
				take(v.Position)
				turned = math.Abs(float64(v.Setting)) * step / 2
				take(v.Position)
			}
			take(from)
			return greatest - least
		}
		for _, k := range c.Ladder {
			moves := k.List()
			worse := 0
			for i := range slices {
				cone := mean * (1 + tt.share*distuv.UnitNormal.Quantile((float64(i)+0.5)/slices))
				if spread(cone, moves) > spread(cone, nil)+1e-9 {
					worse++
				}
			}
			const chance = 0.02 // of a share of four thousand draws
			what := fmt.Sprintf("±%g: probability that %d settings make it worse", tt.share, k.Settings)
			near(t, what, k.Promise.Worse, float64(worse)/slices, chance)
		}
		chosen, bare := c.Ladder[c.Chosen].Promise, c.Ladder[0].Promise
		alone := chosen.Within >= compensate.Promised && bare.Within < compensate.Promised
		switch {
		case chosen.Worse <= 1-compensate.Promised && c.Chosen > 0:
			advised++
		case c.Chosen == 0:
			refused++
		case alone:
			promised++
		default:
			t.Errorf("±%g: a list is advised that makes it worse with %g", tt.share, chosen.Worse)
		}
	}
	if advised < 2 || refused < 2 || promised < 1 {
		t.Errorf("too few telling cases: %d advised, %d refused, %d for the tolerance", advised, refused, promised)
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

// What is left when the corrections are made, calculated anew by sampling.
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
	o := compensate.Correcting{Dial: compensate.Dial{Division: 0.01, Finest: 0.5, Backlash: 0.1},
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
		c, err := m.Correct(cut, compensate.Correcting{Dial: compensate.Dial{Division: 0.01, Finest: 0.5}, Round: 1,
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
	// 0.1 on diameter evenly along it, in steps of 0.01: where a step is made both settings count, so that ± 0.005 is the
	// least, and what the places cost, 256 of them, comes on top
	m := guided(t, []float64{0, 400}, []float64{0.05, 0})
	cut := compensate.Cut{Feature: work.Feature{From: 0, To: 400, Diameter: 30}, SetAt: 400}
	dial := compensate.Dial{Division: 0.01, Finest: 0.5}
	_, err := m.Correct(cut, compensate.Correcting{Dial: dial, Allow: 0.0049})
	refused, ok := errors.AsType[compensate.AllowError](err)
	if !ok || refused.Error() == "" {
		t.Fatalf("%v", err)
	}
	near(t, "least", refused.Least, 0.005, 0.1/256)
	if _, err = m.Correct(cut, compensate.Correcting{Dial: dial, Allow: 0.0054}); err != nil {
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
