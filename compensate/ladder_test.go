package compensate_test

import (
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

// cases returns how many cases are tried: in an ordinary run, a third of that with -short, in full with -study.
func cases(ordinary, full int) int {
	switch {
	case *study:
		return full
	case testing.Short():
		return (ordinary + 2) / 3
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
		c, err := b.machine(t).Correct(cut, compensate.CorrectOptions{Dial: dial, SetAtStart: r.IntN(2) == 0,
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
	near, tried := 0, cases(12, 200)
	for i := range tried {
		n := 3 + r.IntN(12)
		b := randomBench(r, n)
		m := b.machine(t)
		m.Wear = m.Wear.WithCovariance(rowsOf(n, 0.001+0.004*r.Float64()))
		cut := b.randomCut(r, 50+r.Float64()*300)
		dial := compensate.Dial{Division: []float64{0.002, 0.02}[i%2], Finest: 0.5}
		c, err := m.Correct(cut, compensate.CorrectOptions{Dial: dial})
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
	if near < min(4, (tried+2)/3) {
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
			Tolerance: tt.tolerance}}, compensate.CorrectOptions{Dial: compensate.Dial{Division: step, Finest: 0.5},
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
