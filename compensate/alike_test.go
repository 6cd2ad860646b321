package compensate_test

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// One question has one answer, wherever it is asked: of a length with nothing dialled, the same is promised by its
// prediction, by the first rung of its ladder, whatever lists stand beside it, and by the place where it lies; and of a
// list, by the ladder and by the list alone. With cases of the wear that know what it was before the readings, and
// without. Where the dial is set changes the errors in the second order alone.
func TestOneQuestionOneAnswer(t *testing.T) {
	r := rand.New(rand.NewPCG(19, 6))
	rungs := 0
	for i := range 12 {
		n := 4 + r.IntN(10)
		b := randomBench(r, n)
		m := b.machine(t)
		m.Wear = m.Wear.WithCovariance(rowsOf(n, 0.001+0.003*r.Float64()))
		if i%2 == 0 {
			m.Wear = m.Wear.WithCases(func() []wear.Case {
				return []wear.Case{
					{Weight: 0.4, Covariance: rowsOf(n, 0.001), Prior: rowsOf(n, 0.02)},
					{Weight: 0.6, Covariance: rowsOf(n, 0.003), Prior: rowsOf(n, 0.01)}}
			})
		}
		cut := b.randomCut(r, 50+r.Float64()*300)
		cut.SetAt = cut.To
		cut.Tolerance = mustCurve(t, m, cut).Spread() * (0.8 + 0.8*r.Float64())
		same := func(of string, got, want compensate.Promise) {
			t.Helper()
			near(t, of+", probability", got.Within, want.Within, 0.0003) // one draw in four thousand may be rounded over
			near(t, of+", limit", got.Limit, want.Limit, 1e-9)
		}
		at := map[compensate.Feed]compensate.Promise{compensate.TowardHeadstock: promiseOf(t, m, cut)}
		cut.SetAt = cut.From
		at[compensate.TowardTailstock] = promiseOf(t, m, cut)
		near(t, "the limit, the dial set at the other end", at[compensate.TowardTailstock].Limit,
			at[compensate.TowardHeadstock].Limit, 0.01*at[compensate.TowardHeadstock].Limit)
		for _, feed := range []compensate.Feed{compensate.TowardHeadstock, compensate.TowardTailstock} {
			k, err := m.Correct(cut, compensate.CorrectOptions{Dial: compensate.Dial{Division: 0.01, Finest: 0.5},
				SetAtStart: true, Feed: feed})
			if err != nil {
				t.Fatal(err)
			}
			same("nothing dialled", k.Ladder[0].Promise, at[feed])
			if k.Chosen > 0 {
				rungs++
				alone, _ := k.Curve.Sample(k.MovesAt(0.005), cut.Tolerance)
				same("its list alone", alone.Promise, k.Ladder[k.Chosen].Promise)
			}
		}
		places, err := m.Place(compensate.PlaceOptions{Length: cut.To - cut.From, Work: cut.Feature,
			ToolHeight: cut.ToolHeight, From: cut.From, To: cut.To, Starts: []float64{cut.From}})
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range []compensate.Place{places.Best, places.Starts[0]} {
			same("lying there", compensate.Promise{Within: p.Within, Limit: p.Limit}, at[compensate.TowardHeadstock])
		}
	}
	if rungs < 8 {
		t.Errorf("only %d lists turn the dial", rungs)
	}
}

func promiseOf(t testing.TB, m compensate.Machine, cut compensate.Cut) compensate.Promise {
	c := mustCurve(t, m, cut)
	s, ok := c.Sample(c.Spaced(), cut.Tolerance)
	if !ok {
		t.Fatal("the wear has a ±")
	}
	return s.Promise
}

// Asked for a tolerance, the list is the shortest that keeps it with 95 %, by the ladder's own probabilities; a sound
// one, as long as there is one. A spindle that leans by a known ± turns a cone of 0.02 mm: the wider the tolerance,
// the fewer settings, none at last, and where no list keeps it the choice is as with none asked.
func TestShortestListThatKeeps(t *testing.T) {
	const from, to, lean = 100.0, 300.0, 5e-5
	w := mustWear(t, []float64{-200, 800}, nil).WithScalar(bed.LeanOut, lean)
	cov := mat.NewSymDense(1, []float64{lean * lean * 0.1 * 0.1})
	m := compensate.Machine{Lathe: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100},
		Axis: compensate.SpindleAxis(),
		Wear: w.WithCovariance(wear.NewFull(2, []wear.Unknown{{Knot: -1, Scalar: bed.LeanOut}}, cov))}
	correct := func(tolerance float64) *compensate.Correction {
		k, err := m.Correct(compensate.Cut{SetAt: to, Feature: work.Feature{From: from, To: to, Diameter: 30,
			Tolerance: tolerance}}, compensate.CorrectOptions{Dial: compensate.Dial{Division: 0.004, Finest: 0.5},
			Feed: compensate.TowardHeadstock})
		if err != nil {
			t.Fatal(err)
		}
		return k
	}
	open := correct(0)
	counts := map[int]bool{}
	last := 1 << 30
	for _, tolerance := range []float64{0.001, 0.005, 0.008, 0.01, 0.013, 0.016, 0.02, 0.03} {
		k := correct(tolerance)
		want := -1
		for i, rung := range k.Ladder {
			if rung.Promise.Worse <= 0.05 && rung.Promise.Within >= 0.95 && want < 0 {
				want = i
			}
		}
		if want < 0 {
			want = open.Chosen
		} else {
			counts[want] = true
		}
		if k.Chosen != want {
			t.Errorf("within %g: %d settings are chosen, not %d", tolerance, k.Chosen, want)
		}
		// By hand: n settings over a cone cut it into n + 1 steps; none keeps less than a step.
		if n := k.Ladder[k.Chosen].Settings; n > last {
			t.Errorf("within %g: %d settings, within less only %d", tolerance, n, last)
		} else if want >= 0 && counts[want] {
			last = n
		}
	}
	if !counts[0] || len(counts) < 4 {
		t.Errorf("lists of only %v settings", counts)
	}
}
