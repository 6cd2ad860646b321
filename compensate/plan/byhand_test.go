package plan

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"wornway/compensate"
	"wornway/compensate/setup"
	"wornway/compensate/work"
)

// twoSeats are two seats on a bed without wear, the part stiff, so that size alone is open: measured to 2.5 µm
// standard and set by a dial of 10 µm on the diameter.
func twoSeats(t testing.TB, sized [2]work.Sizing, limit float64) Question {
	t.Helper()
	j := shaft(180, []work.Holding{work.Centres}, seat("one", 60, 90, 30, -limit, limit),
		seat("two", 140, 170, 26, -limit, limit))
	j.Features[0].Sized, j.Features[1].Sized = sized[0], sized[1]
	j.Part.Cut = work.Finish{}
	l := lathe(t, 0)
	l.SetOver = 0
	l.Machine.Axis = compensate.Axis{}
	return Question{Measuring: 0.0025, Lathes: []setup.Lathe{l}, Job: j}
}

// uncorrected is the best plan in which nothing is dialled along the features.
func uncorrected(t testing.TB, q Question) Plan {
	t.Helper()
	for _, p := range search(t, q).Plans {
		if !p.Corrected {
			return p
		}
	}
	t.Fatal("nothing was drawn without corrections")
	return Plan{}
}

// By hand: a setting of the dial is somewhere within 10 µm, standard 10/√12 = 2.887 µm, and a measurement is good
// to 2.5 µm. Whatever is measured where it is set has √(2.5² + 2.887²) = 3.819 µm, ± 7.6 at k = 2, the first of
// the features that are sized once among them; the dial goes on to the other with a second setting: √(2.5² +
// 2·2.887²) = 4.787, ± 9.6. Between centres, aligned to 2.5 µm over 180 mm, the axis adds to a feature of 30 mm
// 2·2.5·30/180 = 0.833 at its end, and to one that is set 80 and 110 mm away 2.222 and 3.056.
func TestSettingsOfTheDial(t *testing.T) {
	one, two := math.Hypot(2.5, 10/math.Sqrt(12)), math.Hypot(2.5, 10/math.Sqrt(6))
	if math.Abs(one-3.819) > 1e-3 || math.Abs(two-4.787) > 1e-3 {
		t.Fatalf("by hand: %v, %v", one, two)
	}
	const near, far = 2 * 2.5 * 30 / 180., 2 * 2.5 * 110 / 180.
	for _, c := range []struct {
		sized    [2]work.Sizing // the headstock's, the tailstock's
		expected [2]float64     // µm, standard
	}{
		{[2]work.Sizing{work.InPlace, work.InPlace}, [2]float64{math.Hypot(one, near), math.Hypot(one, near)}},
		{[2]work.Sizing{work.Once, work.Once}, [2]float64{math.Hypot(two, far), math.Hypot(one, near)}},
		{[2]work.Sizing{work.Once, work.InPlace}, [2]float64{math.Hypot(two, far), math.Hypot(one, near)}},
		{[2]work.Sizing{work.InPlace, work.Once}, [2]float64{math.Hypot(one, near), math.Hypot(one, near)}},
	} {
		k := uncorrected(t, twoSeats(t, c.sized, 15))
		for i, f := range k.Features {
			if math.Abs(1000*f.Uncertainty-c.expected[i]) > 0.01 {
				t.Errorf("%v: %s has %.3f µm, expected %.3f", c.sized, f.Name, 1000*f.Uncertainty, c.expected[i])
			}
			if byDial := i == 0 && c.sized[0] == work.Once; f.ByDial != byDial {
				t.Errorf("%v: %s goes on by the dial: %v", c.sized, f.Name, f.ByDial)
			}
		}
	}
}

// The first pass counts as many settings: of limits of ± a about what is expected, Φ(a/u)² is held by its rough
// view.
func TestSettingsInTheFirstPass(t *testing.T) {
	const limit = 6.0
	q := twoSeats(t, [2]work.Sizing{work.Once, work.Once}, limit)
	k := q.ways(0)[0]
	if _, err := q.survey(k); err != nil {
		t.Fatal(err)
	}
	m := manner{dial: &q.Lathes[0].Dials[0], sizing: work.Once}
	one, two := math.Hypot(2.5, 10/math.Sqrt(12)), math.Hypot(2.5, 10/math.Sqrt(6))
	for i, u := range []float64{math.Hypot(two, 2*2.5*110/180), math.Hypot(one, 2*2.5*30/180)} {
		p := distuv.UnitNormal.CDF(limit / u)
		s := k.sights[0]
		if got := s.score(i, s.held.Features[i].Feature, m, q.Measuring); math.Abs(got-p*p) > 1e-3 {
			t.Errorf("feature %d: %.4f, by hand %.4f", i, got, p*p)
		}
	}
}

// The settings are drawn as they are: with nothing else open, limits of ± 4 µm hold one setting of 10 µm with 4/5,
// and the sum of two, which is distributed as a triangle over ± 10 µm, with 1 − (6/10)² = 0.64.
func TestSettingsDrawn(t *testing.T) {
	j := shaft(150, []work.Holding{work.Chuck}, seat("one", 60, 80, 30, -4, 4), seat("two", 110, 140, 26, -4, 4))
	for i := range j.Features {
		j.Features[i].Sized = work.Once
	}
	j.Part.Cut = work.Finish{}
	k := uncorrected(t, Question{Lathes: []setup.Lathe{lathe(t, 0)}, Job: j})
	for i, expected := range []float64{0.64, 0.8} {
		if f := k.Features[i]; math.Abs(f.Probability-expected) > 0.015 { // ten thousand draws: 0.005 standard
			t.Errorf("%s: %.3f, by hand %.2f", f.Name, f.Probability, expected)
		}
	}
}

// A bore that ends where a seat does is not measured with it: it is set by the dial though both are set at one place.
func TestBoreEndsWithTheSeat(t *testing.T) {
	j := shaft(100, []work.Holding{work.Chuck}, seat("seat", 60, 100, 30, -15, 15), seat("bore", 70, 100, 20, -15, 15))
	j.Features[1].Bore = true
	for i := range j.Features {
		j.Features[i].Sized = work.Once
	}
	j.Part.Cut = work.Finish{}
	k := uncorrected(t, Question{Measuring: 0.0025, Lathes: []setup.Lathe{lathe(t, 0)}, Job: j})
	seat, bore := k.Features[0], k.Features[1]
	if seat.ByDial || !bore.ByDial || math.Abs(1000*seat.Uncertainty-3.819) > 1e-3 ||
		math.Abs(1000*bore.Uncertainty-4.787) > 1e-3 {
		t.Errorf("the seat has %v (by the dial: %v), the bore %v (%v), expected 3.819 and 4.787 µm",
			1000*seat.Uncertainty, seat.ByDial, 1000*bore.Uncertainty, bore.ByDial)
	}
}

// The feature that is measured holds with its measurement whoever goes on from it by the dial: where the first is sized
// in place and the second once, they have one measurement between them, not two. By hand, on a dial without error and
// with limits of ± 2.5 µm, one standard uncertainty of the measurement: Φ(1) − Φ(−1) = 0.683 for both at once,
// where two measurements would give 0.466. The features are short and near to each other, so that the axis counts for
// nothing.
func TestOneMeasurementForBoth(t *testing.T) {
	for _, sized := range [][2]work.Sizing{{work.Once, work.Once}, {work.Once, work.InPlace}} {
		j := shaft(180, []work.Holding{work.Centres}, seat("one", 100, 101, 30, -2.5, 2.5),
			seat("two", 101, 102, 30, -2.5, 2.5))
		j.Features[0].Sized, j.Features[1].Sized = sized[0], sized[1]
		j.Part.Cut = work.Finish{}
		l := lathe(t, 0)
		l.Dials, l.SetOver = nil, 0
		k := uncorrected(t, Question{Measuring: 0.0025, Lathes: []setup.Lathe{l}, Job: j})
		expected := 2*distuv.UnitNormal.CDF(1) - 1
		if math.Abs(k.Probability-expected) > 0.015 { // ten thousand draws: 0.005 standard
			t.Errorf("%v: %.3f, by hand %.3f", sized, k.Probability, expected)
		}
	}
}

// asWorn is the diameter's error at z against that at set, calculated plainly: on a point saddle whose front way alone
// has sunk by d, the roll is d/200, the tool has gone out by 150 of it and down by d less what it lies behind the front
// way.
func asWorn(diameter, z, set float64, worn ...hollow) float64 {
	move := func(z float64) (out, down float64) {
		d := 0.0
		for _, h := range worn {
			d += h.drop(z)
		}
		roll := d / 200
		return 150 * roll, d - roll*(100-diameter/2)
	}
	out, down := move(z)
	out0, down0 := move(set)
	return 2*math.Hypot(diameter/2+out-out0, down-down0) - diameter
}

// Of a feature with a hollow in it the taper is what its two ends differ by, neither the range of the diameters nor
// what two places within it differ by. Its ends lie on rows of the wear, between centres at one place, 60 mm from the
// spindle nose: what they differ by is known by hand, and just more is held, just less not. The first pass sees the
// same.
func TestTaperIsBetweenTheEnds(t *testing.T) {
	for _, worn := range [][]hollow{{{0.05, 160, 40}}, {{0.05, 190, 40}}, {{-0.03, 150, 30}, {0.04, 230, 60}}} {
		const from, to, diameter = 100.0, 250.0, 30.0
		l := lathe(t, -1, worn...)
		l.Dials, l.SetOver = nil, 0
		expected := asWorn(diameter, from, to, worn...)
		f := work.Feature{Name: "taper", From: from - l.Headstock, To: to - l.Headstock, Diameter: diameter}
		for _, c := range []struct {
			times float64
			holds bool
		}{{1.001, true}, {0.999, false}} {
			f.Taper = c.times * math.Abs(expected)
			j := shaft(300, []work.Holding{work.Centres}, f)
			j.Part.Cut = work.Finish{}
			q := Question{Lathes: []setup.Lathe{l}, Job: j}
			if k := search(t, q).Plans[0]; k.Holds != c.holds {
				t.Errorf("%v: the ends differ by %.4f mm, and %.4f is held: %v", worn, expected, f.Taper, k.Holds)
			}
			k := q.ways(0)[0]
			if _, err := q.survey(k); err != nil {
				t.Fatal(err)
			}
			if got := k.sights[0].inHere[0].ends; math.Abs(got-expected) > 1e-6 {
				t.Errorf("%v: the first pass sees %.5f between the ends, by hand %.5f", worn, got, expected)
			}
		}
	}
}

// What work costs, by the list in the README (common practice, no source): a plan for a part held once in the chuck
// with one feature costs nothing, and each thing more what the list says of it.
func TestEffortByHand(t *testing.T) {
	steady, far := 200.0, 1.0
	up := func(s setup.Setup) Clamping { return Clamping{Mounting: &setup.Mounting{Setup: s}} }
	in := func(us ...Clamping) []Clamping { return us }
	chuck := up(setup.Setup{Way: work.Chuck})
	measured, byDial := Outcome{}, Outcome{ByDial: true}
	for name, c := range map[string]struct {
		plan Plan
		want int
	}{
		"nothing":    {Plan{SetUps: in(chuck), Features: []Outcome{measured}}, 0},
		"three once": {Plan{SetUps: in(chuck), Features: []Outcome{measured, byDial, byDial}}, 0},
		"three in place": {Plan{SetUps: in(chuck), Features: []Outcome{measured, measured, measured}},
			2},
		"three settings": {Plan{SetUps: in(chuck), Features: []Outcome{measured}, Moves: 3}, 3},
		"compound": {Plan{SetUps: in(chuck), Features: []Outcome{measured}, Dial: &setup.Dial{Compound: true}},
			3},
		"cross slide": {Plan{SetUps: in(chuck), Features: []Outcome{measured}, Dial: &setup.Dial{}}, 0},
		"one centre": {Plan{SetUps: in(up(setup.Setup{Way: work.ChuckAndCentre})), Features: []Outcome{measured}},
			2},
		"between centres": {Plan{SetUps: in(up(setup.Setup{Way: work.Centres})), Features: []Outcome{measured}}, 4},
		"set over": {Plan{SetUps: in(up(setup.Setup{Way: work.Centres, SetOver: -far})), Features: []Outcome{measured}},
			4 + 4},
		"steady": {Plan{SetUps: in(up(setup.Setup{Way: work.Chuck, Steady: &steady})), Features: []Outcome{measured}},
			6},
		"two set-ups": {Plan{SetUps: in(chuck, chuck), Features: []Outcome{measured, byDial, measured}}, 8 + 1},
		"everything, twice": {Plan{SetUps: in(up(setup.Setup{Way: work.Centres, SetOver: far, Steady: &steady}),
			up(setup.Setup{Way: work.ChuckAndCentre, Steady: &steady})), Features: []Outcome{measured, measured},
			Moves: 2, Dial: &setup.Dial{Compound: true}}, 4 + 4 + 6 + 2 + 6 + 8 + 1 + 2 + 3},
	} {
		if got := c.plan.effort(); got != c.want {
			t.Errorf("%s: %d, expected %d", name, got, c.want)
		}
	}
}

// A plan costs what its own set-ups and features make it cost: the steady and the set-over that a search comes to are
// in its effort. The set-over makes up for the wear along the seat; without the steady the part would hang out too far.
func TestEffortOfWhatIsFound(t *testing.T) {
	l := lathe(t, 0, hollow{0.05, 100, 80})
	l.Dials = nil
	q := Question{Lathes: []setup.Lathe{l},
		Job: shaft(300, []work.Holding{work.Centres}, seat("one", 60, 200, 30, -4, 4))}
	found := map[int]bool{}
	for _, k := range search(t, q).Plans {
		want := 4
		if k.SetUps[0].SetOver != 0 {
			want = 8
		}
		found[want] = true
		if k.Effort != want {
			t.Errorf("set over by %v: effort %d, expected %d", k.SetUps[0].SetOver, k.Effort, want)
		}
	}
	l.Steady = true
	q = Question{Lathes: []setup.Lathe{l},
		Job: shaft(300, []work.Holding{work.Chuck}, seat("one", 230, 260, 30, -40, 40))}
	q.Job.Part.StockLength = 400
	for _, k := range search(t, q).Plans {
		want := 0
		if k.SetUps[0].Steady != nil {
			want = 6
		}
		found[want] = true
		if k.Effort != want {
			t.Errorf("steady %v: effort %d, expected %d", k.SetUps[0].Steady, k.Effort, want)
		}
	}
	if !found[4] || !found[8] || !found[6] {
		t.Errorf("of plans between centres, set over and in a steady there are those that cost %v", found)
	}
}

// As many plans are said to be drawn as are. By hand, between centres at their one place: with a dial that may be moved
// along the one feature or not there are two ways, as sizing one feature once is sizing it in place; without a dial
// one.
func TestDrawnAreCounted(t *testing.T) {
	for dials, want := range map[int]int{1: 2, 0: 1} {
		l := lathe(t, 0.001)
		l.SetOver, l.Dials = 0, l.Dials[:dials]
		r := search(t, Question{Measuring: 0.002, Lathes: []setup.Lathe{l},
			Job: shaft(180, []work.Holding{work.Centres}, seat("one", 60, 90, 30, -20, 20))})
		if r.Drawn != want || r.Looked != 1 {
			t.Errorf("%d dials: %d drawn of %d positions, expected %d of 1", dials, r.Drawn, r.Looked, want)
		}
	}
}
