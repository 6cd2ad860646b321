package plan

import (
	"math"
	"slices"
	"testing"

	"wornway/compensate/setup"
	"wornway/compensate/work"
)

// Six parts that a turner would know, each with the holding that he would choose and why; and the same part with that
// reason taken away, where he would choose another. That such work is held so is common practice, no source; every
// reason can be broken by the second half of its test.

// tells is the best plan in a few words, for a failing test.
func tells(p Plan) (of []string) {
	for _, s := range p.SetUps {
		w := string(s.Way)
		if s.EndForEnd {
			w += ", turned"
		}
		if s.Steady != nil {
			w += ", steady"
		}
		if s.SetOver != 0 {
			w += ", set over"
		}
		of = append(of, w)
	}
	return of
}

func best(t testing.TB, q Question) Plan {
	t.Helper()
	r := search(t, q)
	if len(r.Plans) == 0 {
		t.Fatalf("no plan: %+v, %+v", r.Lacks, r.Change)
	}
	return r.Plans[0]
}

func some(p Plan, of func(s Clamping) bool) bool { return slices.ContainsFunc(p.SetUps, of) }

// A bearing spindle has a seat at either end, true to each other within 6 µm. No set-up reaches both, and no chuck
// holds it as true a second time: between centres, turned end for end. Were 0.1 mm enough, chucking it twice would be
// less work than dog and centres.
func TestBearingSpindle(t *testing.T) {
	j := shaft(260, work.AllHoldings(), seat("front bearing", 4, 28, 30, -11, 2),
		seat("rear bearing", 232, 256, 30, -11, 2))
	j.Part.EndForEnd = true
	j.Features[1].Runout, j.Features[1].RunoutTo, j.Features[0].Datum = 0.006, "front bearing", true
	q := Question{Measuring: 0.001, Lathes: []setup.Lathe{lathe(t, 0.0005, hollow{0.03, 200, 90})}, Job: j}
	q.Lathes[0].Dials[0].Division = 0.005
	if p := best(t, q); some(p, func(s Clamping) bool { return s.Way != work.Centres }) || len(p.SetUps) != 2 {
		t.Errorf("%v, %.3f", tells(p), p.Probability)
	}
	q.Job.Features[1].Runout = 0.1
	if p := best(t, q); some(p, func(s Clamping) bool { return s.Way == work.Centres }) {
		t.Errorf("not particular: %v, %.3f", tells(p), p.Probability)
	}
}

// A pulley shaft with three seats: of stock that is 60 mm longer all three stand out of the jaws at once, the far end
// on the centre, and run true to each other since they are turned in one set-up. Of stock as long as the part the seat
// at the headstock's end lies in the jaws: it is turned in two set-ups.
func TestPulleyShaft(t *testing.T) {
	j := shaft(300, work.AllHoldings(), seat("left", 6, 26, 25, -21, 0), seat("pulley", 120, 150, 30, 2, 41),
		seat("right", 274, 294, 25, -21, 0))
	j.Part.EndForEnd, j.Part.StockLength = true, 360
	for _, f := range []int{0, 1} {
		j.Features[f].Runout, j.Features[f].RunoutTo, j.Features[2].Datum = 0.02, "right", true
	}
	q := Question{Measuring: 0.002, Lathes: []setup.Lathe{lathe(t, 0.0005, hollow{0.01, 200, 90})}, Job: j}
	if p := best(t, q); len(p.SetUps) != 1 || p.SetUps[0].Way != work.ChuckAndCentre {
		t.Errorf("%v, %.3f", tells(p), p.Probability)
	}
	part := *j.Part
	part.StockLength = part.Length
	q.Job.Part = &part
	if p := best(t, q); len(p.SetUps) != 2 {
		t.Errorf("of short stock: %v, %.3f", tells(p), p.Probability)
	}
}

// A blank for a long leadscrew: 700 mm of 32 mm stock, 30 mm even along its length. It hangs out by 20 diameters, so
// that the tailstock carries its end; and the bed that wears toward the headstock tapers it, which setting the
// tailstock over takes out. On a bed without wear nothing is set over; and a piece of 90 mm needs no tailstock.
func TestLeadscrewBlank(t *testing.T) {
	blank := work.Feature{Name: "blank", From: 40, To: 690, Diameter: 30, Tolerance: 0.03}
	j := shaft(700, work.AllHoldings(), blank)
	j.Part.Cut = work.Finish{}
	worn := lathe(t, 0.001, hollow{0.06, 60, 330})
	worn.Dials = nil
	q := Question{Measuring: 0.002, Lathes: []setup.Lathe{worn}, Job: j}
	if p := best(t, q); p.SetUps[0].Way != work.Centres || p.SetUps[0].SetOver == 0 {
		t.Errorf("%v, %.3f", tells(p), p.Probability)
	}
	q.Lathes = []setup.Lathe{lathe(t, 0.001)}
	if p := best(t, q); some(p, func(s Clamping) bool { return !s.Way.Tailed() || s.SetOver != 0 }) {
		t.Errorf("unworn: %v, %.3f", tells(p), p.Probability)
	}
	short := shaft(110, work.AllHoldings(),
		work.Feature{Name: "blank", From: 35, To: 100, Diameter: 30, Tolerance: 0.03})
	short.Part.Cut = work.Finish{}
	q.Job = short
	if p := best(t, q); p.SetUps[0].Way != work.Chuck {
		t.Errorf("short: %v, %.3f", tells(p), p.Probability)
	}
}

// A stub with a bore that is to run true to the seat outside: the centre would stand in the boring tool's way, so that
// it is held in the chuck alone, and both are turned in one set-up. Where the chuck is not allowed it cannot be made,
// and that is what is said; without the bore the centre is no hindrance.
func TestStubWithBore(t *testing.T) {
	j := shaft(90, work.AllHoldings(), seat("seat", 50, 85, 30, -16, 0),
		work.Feature{Name: "bore", From: 60, To: 90, Diameter: 18, Bore: true, Size: &work.Limits{Upper: 0.018},
			Runout: 0.01, RunoutTo: "seat"})
	j.Features[0].Datum = true
	j.Part.EndForEnd = true
	q := Question{Measuring: 0.002, Lathes: []setup.Lathe{lathe(t, 0.0005, hollow{0.01, 200, 90})}, Job: j}
	if p := best(t, q); len(p.SetUps) != 1 || p.SetUps[0].Way != work.Chuck || len(p.SetUps[0].Features) != 2 {
		t.Errorf("%v, %.3f", tells(p), p.Probability)
	}
	part := *j.Part
	part.Held = []work.Holding{work.ChuckAndCentre, work.Centres}
	q.Job.Part = &part
	q.Lathes[0].Travel[0] = 100
	r := search(t, q)
	if len(r.Plans) != 0 || len(r.Lacks) != 1 || r.Lacks[0].Feature != 1 || r.Change == nil ||
		r.Change.Held != work.Chuck {
		t.Errorf("without the chuck: %d plans, %+v, %+v", len(r.Plans), r.Lacks, r.Change)
	}
	q.Job.Features = q.Job.Features[:1:1]
	if r := search(t, q); len(r.Plans) == 0 {
		t.Error("without the bore the centre is no hindrance")
	}
}

// A disc is thick and short: it is gripped with its rim close to the jaws, since the push of the cut does nothing to it
// and a centre would be work for nothing. A bar of the same length in diameters as three discs, thin under a hard push,
// earns its centre.
func TestDisc(t *testing.T) {
	j := shaft(25, work.AllHoldings(), seat("rim", 12, 25, 118, -35, 0))
	j.Part.Stock, j.Part.Grip = 120, 7
	q := Question{Measuring: 0.003, Lathes: []setup.Lathe{lathe(t, 0.0005, hollow{0.01, 200, 90})}, Job: j}
	p := best(t, q)
	if len(p.SetUps) != 1 || p.SetUps[0].Way != work.Chuck || p.SetUps[0].Steady != nil {
		t.Errorf("%v, %.3f", tells(p), p.Probability)
	}
	if at := 80 + setup.JawsClear - 12; math.Abs(p.SetUps[0].At-at) > 5 {
		t.Errorf("it lies at %v, close to the jaws is %v", p.SetUps[0].At, at)
	}
	bar := shaft(130, work.AllHoldings(), seat("rim", 30, 125, 20, -35, 0))
	bar.Part.Stock, bar.Part.Cut.Radial, bar.Part.Cut.URadial = 22, 150, 30
	q.Job = bar
	q.Lathes[0].Travel[0] = 100
	if p := best(t, q); !some(p, func(s Clamping) bool { return s.Way.Tailed() }) {
		t.Errorf("thin: %v, %.3f", tells(p), p.Probability)
	}
}

// A slender pin, 12 mm thick and 300 long, is pushed away in its middle though both ends are held: a steady carries it.
// One of 40 mm needs none.
func TestSlenderPin(t *testing.T) {
	pin := func(d float64) Question {
		j := shaft(300, work.AllHoldings(), seat("near", 100, 140, d, -20, 0), seat("far", 190, 230, d, -20, 0))
		j.Part.Stock, j.Part.Cut.Radial, j.Part.Cut.URadial = d+1, 50, 10
		l := lathe(t, 0.0005, hollow{0.005, 200, 90})
		l.Steady = true
		return Question{Measuring: 0.001, Lathes: []setup.Lathe{l}, Job: j}
	}
	if p := best(t, pin(12)); !some(p, func(s Clamping) bool { return s.Steady != nil }) {
		t.Errorf("%v, %.3f", tells(p), p.Probability)
	}
	if p := best(t, pin(40)); some(p, func(s Clamping) bool { return s.Steady != nil }) {
		t.Errorf("thick: %v, %.3f", tells(p), p.Probability)
	}
	alone := pin(12)
	alone.Lathes[0].Steady = false
	r := search(t, alone)
	if i := slices.IndexFunc(r.Helps, func(h Help) bool { return h.Steady }); i < 0 ||
		r.Helps[i].Plan.Probability < r.Plans[0].Probability {
		t.Errorf("without a steady %.3f, and %+v would help", r.Plans[0].Probability, r.Helps)
	}
}
