package plan

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"wornway/compensate/setup"
	"wornway/compensate/work"
)

// ends are two seats at the two ends of a part that no chuck can turn in one set-up, on a bed without wear whose size
// is no matter: what is left is how true they run to each other.
func ends(t testing.TB, held []work.Holding, runout float64) Question {
	t.Helper()
	j := shaft(150, held, seat("left", 5, 30, 30, -500, 500), seat("right", 120, 145, 28, -500, 500))
	j.Part.EndForEnd = true
	j.Features[1].Runout, j.Features[1].RunoutTo, j.Features[0].Datum = runout, "left", true
	return Question{Measuring: 0.002, Lathes: []setup.Lathe{lathe(t, 0.0005)}, Job: j}
}

// twice is the best plan with two set-ups in a way of holding.
func twice(t testing.TB, q Question, way work.Holding) *Plan {
	t.Helper()
	for _, p := range search(t, q).Plans {
		if len(p.SetUps) == 2 && p.SetUps[0].Way == way {
			return &p
		}
	}
	return nil
}

// Parts are made one by one and laid on vee blocks under an indicator: the second seat's circle lies off the first
// one's axis by what the chuck and the centre leave, and the dial's total reading is read off a turn in steps of a
// degree. The share of them that keeps within what is asked is the probability of the plan.
func TestRunoutOfMadeParts(t *testing.T) {
	const made = 20000
	var turn [360]struct{ sin, cos float64 }
	for deg := range turn {
		turn[deg].sin, turn[deg].cos = math.Sincos(float64(deg) * math.Pi / 180)
	}
	for _, c := range []struct {
		way   work.Holding
		jaws  work.Jaws
		asked float64
		// limits of the total reading, mm: common practice, no source. The centre's hole lay in the jaws before.
		near, far float64
	}{
		{work.Chuck, work.ThreeJaw, 0.030, 0.0762, 0.0762},
		{work.Chuck, work.FourJaw, 0.008, 0.0127, 0.0127},
		{work.ChuckAndCentre, work.ThreeJaw, 0.020, 0.0762, 0.0762},
		{work.ChuckAndCentre, work.SoftJaws, 0.006, 0.0127, 0.0127},
		{work.Centres, "", 0.002, 0.00508, 0.00508},
	} {
		q := ends(t, []work.Holding{c.way}, c.asked)
		q.Job.Part.Jaws = c.jaws
		k := twice(t, q, c.way)
		if k == nil {
			t.Fatalf("%s: no plan with two set-ups", c.way)
		}
		r := rand.New(rand.NewPCG(3, 18))
		kept := 0
		second := k.SetUps[1]
		number := second.Features[0]
		f := second.Mounting.Features[number]
		share := ((f.From+f.To)/2 - second.At) / 150 // from the end that lies toward the headstock
		for range made {
			point := func(limit float64) (x, y float64) {
				e, a := limit/2*r.Float64(), 2*math.Pi*r.Float64()
				return e * math.Cos(a), e * math.Sin(a)
			}
			x, y := point(c.near)
			if c.way != work.Chuck {
				fx, fy := point(c.far)
				x, y = x+(fx-x)*share, y+(fy-y)*share
			}
			least, most := math.Inf(1), math.Inf(-1)
			for _, d := range turn {
				// where a circle of 14 mm about (x, y) stands in the direction of the plunger
				along, across := x*d.cos+y*d.sin, -x*d.sin+y*d.cos
				reads := along + math.Sqrt(14*14-across*across)
				least, most = math.Min(least, reads), math.Max(most, reads)
			}
			if most-least <= c.asked {
				kept++
			}
		}
		got := float64(kept) / made
		t.Logf("%s %s: stated %.3f, made %.3f", c.way, c.jaws, k.Probability, got)
		if math.Abs(got-k.Probability) > 0.015 { // ten and twenty thousand draws: 0.005 and 0.0035 standard
			t.Errorf("%s %s: stated %.3f, made %.3f", c.way, c.jaws, k.Probability, got)
		}
		if len(k.HeldBack) > 0 && k.HeldBack[0].Cause != ByHolding {
			t.Errorf("%s: held back by %s", c.way, k.HeldBack[0].Cause)
		}
	}
}

// Two ends that are to run true within 10 µm: no chuck that grips them again holds that (a three-jaw repeats to 76, so
// that one part in eight does), between centres every part does (5 µm). The turner's answer is between centres.
func TestTrueEndsGoBetweenCentres(t *testing.T) {
	k := search(t, ends(t, work.AllHoldings(), 0.010)).Plans[0]
	if k.rechucked() || !k.Holds || len(k.SetUps) != 2 {
		t.Errorf("%+v with %.3f comes first", k.SetUps, k.Probability)
	}
	if k := twice(t, ends(t, []work.Holding{work.Chuck}, 0.010), work.Chuck); math.Abs(k.Probability-10/76.2) > 0.015 {
		t.Errorf("chucked twice: %.3f, by hand %.3f", k.Probability, 10/76.2)
	}
}

// Where the job does not say how true the ends are to run, no plan that grips the part twice stands before one that
// does not, however well it holds the sizes.
func TestNoRunoutNoSecondChucking(t *testing.T) {
	q := ends(t, work.AllHoldings(), 0)
	q.Job.Features[1].RunoutTo, q.Job.Features[0].Datum = "", false
	for i := range q.Job.Features {
		q.Job.Features[i].Size = &work.Limits{Lower: -0.004, Upper: 0.004}
	}
	plans := search(t, q).Plans
	last := slices.IndexFunc(plans, func(p Plan) bool { return p.rechucked() })
	if last < 0 || plans[0].rechucked() {
		t.Fatalf("the first that grips twice is number %d of %d", last, len(plans))
	}
	for _, p := range plans[last:] {
		if !p.rechucked() || !p.Untold {
			t.Errorf("a plan that grips once stands behind one that grips twice")
		}
	}
}

// In one set-up features run true to each other: what is asked costs nothing, and the seats are kept together.
func TestOneSetUpRunsTrue(t *testing.T) {
	j := shaft(150, []work.Holding{work.Chuck}, seat("a", 60, 80, 30, -20, 20), seat("b", 100, 120, 30, -20, 20))
	j.Part.EndForEnd = true
	j.Features[0].Runout, j.Features[0].RunoutTo, j.Features[1].Datum = 0.001, "b", true
	k := search(t, Question{Measuring: 0.002, Lathes: []setup.Lathe{lathe(t, 0.0005)}, Job: j}).Plans[0]
	if len(k.SetUps) != 1 || k.Features[0].Runs == nil || k.Features[0].Runs.Limit != 0 || !k.Holds {
		t.Errorf("%d set-ups, %+v, %.3f", len(k.SetUps), k.Features[0].Runs, k.Probability)
	}
}

// Without a ± of the wear a runout holds where its limit does.
func TestRunoutUnstated(t *testing.T) {
	for asked, holds := range map[float64]bool{0.08: true, 0.07: false} {
		q := ends(t, []work.Holding{work.Chuck}, asked)
		q.Lathes[0] = lathe(t, -1)
		if k := twice(t, q, work.Chuck); k.Holds != holds {
			t.Errorf("%v mm asked of 0.0762: holds %v", asked, k.Holds)
		}
	}
}

// Less than 5 µm, to which a tailstock is surely set, is no set-over; more is.
func TestSmallSetOver(t *testing.T) {
	j := shaft(300, []work.Holding{work.Centres}, seat("seat", 40, 290, 30, -20, 20))
	for _, c := range []struct {
		deep float64
		over bool
	}{{0.001, false}, {0.04, true}} {
		l := lathe(t, 0.0005, hollow{c.deep, 100, 120})
		q := Question{Measuring: 0.002, Lathes: []setup.Lathe{l}, Job: j}
		q.Job.Part.Cut = work.Finish{}
		found := false
		for _, p := range search(t, q).Plans {
			for _, s := range p.SetUps {
				found = found || s.SetOver != 0
				if s.SetOver != 0 && math.Abs(s.SetOver) < 0.005 {
					t.Errorf("set over by %v mm", s.SetOver)
				}
			}
		}
		if found != c.over {
			t.Errorf("%v mm of wear: set over %v", c.deep, found)
		}
	}
}
