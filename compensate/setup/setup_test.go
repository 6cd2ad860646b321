package setup_test

import (
	"math"
	"testing"

	"wornway/compensate"
	"wornway/compensate/bend"
	"wornway/compensate/setup"
	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// bench is an invented lathe with a point saddle, H = 150 and S = 200 mm, the given curves at the given knots.
func bench(t testing.TB, knots []float64, values map[bed.Curve][]float64) setup.Lathe {
	t.Helper()
	w, err := wear.New(knots, values)
	if err != nil {
		t.Fatal(err)
	}
	return setup.Lathe{
		Name: "invented", JawsFront: 80, JawsDepth: math.Inf(1), Headstock: 0, Overhang: 5,
		Travel: [2]float64{100, 900}, SetOver: 20,
		Machine: compensate.Machine{Lathe: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100},
			Wear: w.WithCovariance(wear.Stationary{Reach: 75}), Axis: compensate.SpindleAxis()},
	}
}

// bar is an invented steel bar of 40 mm with one feature of 40 mm.
func bar(length, from, to float64) work.Job {
	return work.Job{Features: []work.Feature{{Name: "length", From: from, To: to, Diameter: 40, Tolerance: 0.01}},
		Part: &work.Part{Length: length, Stock: 40, StockLength: length, Grip: 20, Modulus: 206000,
			Held: work.AllHoldings()}}
}

func curve(t testing.TB, l setup.Lathe, j work.Job, s setup.Setup) *compensate.Curve {
	t.Helper()
	h, err := l.Set(j, s)
	if err != nil {
		t.Fatal(err)
	}
	c, err := h.Curve(0, h.Features[0].From)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// A tailstock set over by S turns a taper of 2·S over the length between centres; sources: S = L(D − d)/(2l), a
// worked example on the web with L 10, l 4, D 2.0 and d 1.5 in has S = 0.625 in; and 0.05 mm over 500 mm makes 0.020 mm
// on the diameter per 100 mm. Away from the operator makes it small at the tailstock's end with the tool in front.
func TestSetOver(t *testing.T) {
	flat := []float64{-100, 1000}
	l := bench(t, flat, nil)
	j := bar(500, 100, 200)
	// toward the operator is toward the tool: smaller
	for over, expected := range map[float64]float64{0.05: -0.020, -0.05: 0.020} {
		c := curve(t, l, j, setup.Setup{Way: work.Centres, SetOver: over})
		if got := c.At(200, 0); math.Abs(got-expected) > 1e-6 {
			t.Errorf("set over by %v: %v on the diameter over 100 mm, expected %v", over, got, expected)
		}
	}
	// The worked example, in hundredths of an inch so that the tool stays on the work: 10 in between centres, 4 in of
	// taper.
	l.SetOver, l.Travel = 50, [2]float64{0, 1000}
	j = bar(254, 100, 201.6)
	c := curve(t, l, j, setup.Setup{Way: work.Centres, SetOver: 0.00625 * 25.4})
	if got := c.At(201.6, 0); math.Abs(got+0.005*25.4) > 1e-6 {
		t.Errorf("taper of the worked example: %v, expected %v", got, -0.005*25.4)
	}
}

// By hand: a tailstock on ways 50 and 150 mm behind the front carriage way whose front way has sunk by 0.02 mm at the
// tailstock and not where it was aligned. Its base, taken as short, rolls by 0.02/100 = 0.0002; at 150 mm that is 0.03
// mm toward the operator. The tool at 0.4 of the way between the centres then cuts 2·0.4·0.03 = 0.024 mm smaller than
// at the headstock, to first order.
func TestWornTailstockWays(t *testing.T) {
	l := bench(t, []float64{-100, 400, 450, 550, 600, 1000},
		map[bed.Curve][]float64{bed.TailFront: {0, 0, 0.02, 0.02, 0, 0}})
	l.Tail = &setup.Tailstock{AlignedAt: 800, Base: bed.Base{FrontSetback: 50, RearSetback: 150, Length: 1}}
	j := bar(500, 50, 200)
	h, err := l.Set(j, setup.Setup{Way: work.Centres})
	if err != nil {
		t.Fatal(err)
	}
	c, err := h.Machine.Curve(compensate.Cut{Feature: work.Feature{From: 0, To: 400, Diameter: 40}, SetAt: 0})
	if err != nil {
		t.Fatal(err)
	}
	if got := c.At(200, 0); math.Abs(got+0.024) > 1e-6 {
		t.Errorf("%v, expected -0.024", got)
	}
	if s := c.Station(200); math.Abs(s.AxisOut-0.012) > 1e-9 {
		t.Errorf("the axis stands out by %v, expected 0.012", s.AxisOut)
	}
}

// A bed that is twisted evenly carries tool and tailstock alike: between centres from the spindle nose on, aligned
// there, nothing of it is left on the diameter.
func TestEvenTwistCancels(t *testing.T) {
	l := bench(t, []float64{-100, 1000}, nil)
	l.Machine.Wear = l.Machine.Wear.WithScalar(bed.Twist, 2e-7)
	l.Tail = &setup.Tailstock{AlignedAt: 0, Base: bed.Base{FrontSetback: 50, RearSetback: 150, Length: 100}}
	c := curve(t, l, bar(500, 50, 450), setup.Setup{Way: work.Centres})
	for z := 50.0; z <= 450; z += 50 {
		if got := c.At(z, 0); math.Abs(got) > 1e-6 {
			t.Errorf("at %v: %v", z, got)
		}
	}
	chucked := curve(t, l, bar(120, 50, 110), setup.Setup{Way: work.Chuck, At: 40})
	if got, expected := chucked.At(150, 0), 2*150*2e-7*60; math.Abs(got-expected) > 1e-6 { // 2·H·τ·Δz
		t.Errorf("in the chuck: %v, expected %v", got, expected)
	}
}

// Work in the jaws and on a centre that stands aside is bent by it: between the straight line of a loose chuck and the
// cubic of a stiff one.
func TestChuckAndCentre(t *testing.T) {
	l := bench(t, []float64{-100, 1000}, nil)
	l.Machine.Wear = l.Machine.Wear.WithScalar(bed.LeanOut, 1e-4)
	j := bar(400, 100, 300)
	j.Part.StockLength = 440 // the jaws hold what reaches past the part's end
	// The spindle leans and the centre stands where it should, at 480: it is 0.048 mm off the spindle's axis, which the
	// work bends back to. At 280, half way from the jaws, the cubic has 5/16 of it.
	c := curve(t, l, j, setup.Setup{Way: work.ChuckAndCentre, At: 80})
	if got, expected := c.Station(280).AxisOut, 0.028-0.048*5/16; math.Abs(got-expected) > 1e-9 {
		t.Errorf("stiff chuck: the axis stands at %v, expected %v", got, expected)
	}
	l.Turning = 1 // it holds nothing
	c = curve(t, l, j, setup.Setup{Way: work.ChuckAndCentre, At: 80})
	if got, expected := c.Station(280).AxisOut, 0.028-0.048/2; math.Abs(got-expected) > 1e-6 {
		t.Errorf("loose chuck: the axis stands at %v, expected %v", got, expected)
	}
}

// What the push makes on the diameter is twice what the work gives: 100 N on 25 mm steel, 100 mm out, is 0.008439 mm
// (cantilever, FL³/3EI), less at 50 mm. A bore comes out smaller by it.
func TestPushed(t *testing.T) {
	l := bench(t, []float64{-100, 1000}, nil)
	j := bar(160, 100, 159)
	j.Part.Stock, j.Features[0].Diameter = 25, 25
	j.Part.Cut = work.Finish{Radial: 100, URadial: 25}
	h, err := l.Set(j, setup.Setup{Way: work.Chuck, At: 30})
	if err != nil {
		t.Fatal(err)
	}
	for bore, sign := range map[bool]float64{false: 1, true: -1} {
		cut := h.Cut(0, 130)
		cut.From, cut.To, cut.Bore = 130, 180, bore
		c, err := h.Machine.Curve(cut)
		if err != nil {
			t.Fatal(err)
		}
		at := 0.008438817
		expected := sign * 2 * (at - at/8)
		if got := c.At(180, 0); math.Abs(got-expected) > 1e-6 {
			t.Errorf("bore %v: %v, expected %v", bore, got, expected)
		}
		if s := c.Station(180); math.Abs(s.Uncertainty-0.25*math.Abs(expected)) > 1e-6 { // nothing else is unsure here
			t.Errorf("± of the force: %v, expected %v", s.Uncertainty, 0.25*math.Abs(expected))
		}
		if _, bent := c.Shares([]compensate.Spot{{Position: 130},
			{Position: 180}}); math.Abs(bent-math.Abs(expected)) > 1e-6 {
			t.Errorf("the share of bending is %v", bent)
		}
	}
}

// Collars that were cut in a chuck that gives show what chuck and bar gave together, and the force that follows makes
// work in that chuck give as it did. By hand: a bar of 25 mm and 206000 N/mm², 100 mm out, gives
// 100³/(3·206000·π·25⁴/64) = 8.43882e-5 mm per N, a chuck of 1.2e-8 rad per N·mm as much as 1.2e-8·100² =
// 1.2e-4 more, 2.043882e-4 together. With 200 N per mm of depth r = 0.04087764, and of a depth a the part r/(1 + r) =
// 0.03927229 stays on: collars of 0.1 and 0.5 mm differ by 2·0.4·0.03927229 = 0.03141783 mm. Work like that bar, cut
// 0.2 mm deep, then springs away by 0.2·0.03927229 = 0.00785446 mm there, for 40 N; in a rigid chuck the same collars
// would show 96.9 N, and the work sprang away, if that pushed it in the chuck that gives, by 0.0180.
func TestCollarsInTheChuck(t *testing.T) {
	const turning, perDepth, out, depth = 1.2e-8, 200.0, 100.0, 0.2
	bar25 := out * out * out / (3 * 206000 * math.Pi * math.Pow(25, 4) / 64)
	left := func(give, k float64) float64 { return give * k / (1 + give*k) } // of the depth
	for _, c := range []struct{ turning, give float64 }{{0, bar25}, {turning, bar25 + turning*out*out}} {
		q := left(c.give, perDepth)
		if c.turning > 0 && (math.Abs(c.give-2.043882e-4) > 1e-9 || math.Abs(q-0.03927229) > 1e-7) {
			t.Fatalf("by hand: %v mm per N, %v", c.give, q)
		}
		l := bench(t, []float64{-100, 1000}, nil)
		l.Turning = c.turning
		j := bar(160, 100, 159)
		j.Part.Stock, j.Features[0].Diameter = 25, 25
		j.Part.Cut = work.Finish{Depth: depth, Collars: &bend.Trial{Distance: out, Diameter: 25, Modulus: 206000,
			Collars: bend.Collars{Depths: [2]float64{0.1, 0.5}, Oversize: 2 * 0.4 * q, U: 0.001}}}
		h, err := l.Set(j, setup.Setup{Way: work.Chuck, At: 30})
		if err != nil {
			t.Fatal(err)
		}
		for _, z := range []float64{out, out / 2} { // from the jaws
			give := bar25*math.Pow(z/out, 3) + c.turning*z*z
			if got, want := h.Push.By(80+z), depth*left(give, perDepth); math.Abs(got-want) > 1e-9 {
				t.Errorf("a chuck of %v: at %v the work springs away by %v, expected %v", c.turning, z, got, want)
			}
		}
		// u/oversize, stretched by 1 + r, as q/(1 − q) has it
		if want := 0.001 / (2 * 0.4 * q) / (1 - q); math.Abs(h.Push.U-want) > 1e-9 {
			t.Errorf("a chuck of %v: the force is known to %v of itself, expected %v", c.turning, h.Push.U, want)
		}
	}
}

func TestRefusals(t *testing.T) {
	l := bench(t, []float64{-100, 1000}, nil)
	steady := 90.0
	for name, c := range map[string]struct {
		job   work.Job
		setup setup.Setup
		want  string
	}{
		"hangs out": {bar(400, 300, 390), setup.Setup{Way: work.Chuck, At: 20},
			"it would hang out by 8.5 diameters, and longest_overhang is 5.0"},
		"no grip": {bar(100, 50, 90), setup.Setup{Way: work.Chuck, At: 70},
			"only 10 mm of it would be in the jaws, and 20 mm must be held"},
		"in the jaw": {bar(100, 50, 90), setup.Setup{Way: work.Chuck, At: -30}, "nothing of it stands out of the jaws"},
		"no centre": {bar(100, 50, 90), setup.Setup{Way: work.ChuckAndCentre, At: -10},
			"the part's end would lie at 90 mm, and the tailstock's centre reaches from 100 mm to 900 mm"},
		"not there": {bar(300, 50, 90), setup.Setup{Way: work.Centres, At: 20},
			"between centres the part begins at the headstock's centre, at 0 mm"},
		"steady": {bar(150, 100, 140), setup.Setup{Way: work.Chuck, At: 50, Steady: &steady},
			"there is no room for the steady at 90 mm"},
	} {
		_, err := l.Set(c.job, c.setup)
		if err == nil || err.Error() != c.want {
			t.Errorf("%s: %v, expected %q", name, err, c.want)
		}
	}
	h, err := l.Set(bar(150, 10, 40), setup.Setup{Way: work.Chuck, At: 50})
	if err != nil || h.Features[0].Hidden == "" {
		t.Errorf("a feature under the jaws: %v, %+v", err, h.Features)
	}
}

// By hand: jaws at 80 with 5 mm kept clear of them, a feature from 50: the part must lie at 35 or further out. A part
// whose stock gives the jaws too little then lies as far out as they can hold it; between centres there is one place.
func TestNearest(t *testing.T) {
	l := bench(t, []float64{-100, 1000}, nil)
	for name, c := range map[string]struct {
		job     work.Job
		held    work.Holding
		turned  bool
		at      float64
		all, ok bool
	}{
		"chuck":          {bar(150, 50, 140), work.Chuck, false, 35, true, true},
		"too little":     {bar(150, 10, 140), work.Chuck, false, 60, false, false},
		"end for end":    {bar(150, 10, 100), work.Chuck, true, 35, true, true},
		"centres":        {bar(300, 50, 90), work.Centres, false, 0, true, true},
		"none is asked":  {bar(150, 50, 140), work.Chuck, false, 35, true, true},
		"through":        {bar(400, 300, 390), work.Chuck, false, -215, true, true}, // the spindle is hollow
		"hangs out":      {bar(400, 50, 90), work.Chuck, false, 0, false, false},
		"second is near": {bar(150, 50, 140), work.Chuck, false, 60, false, true},
	} {
		switch name {
		case "none is asked":
			c.job.Features[0].Tolerance = 0
		case "second is near":
			c.job.Features = append(c.job.Features, work.Feature{From: 5, To: 15, Diameter: 40, Tolerance: 0.01})
		}
		at, all, ok := l.Nearest(c.job, c.held, c.turned, false)
		if ok != c.ok || ok && (all != c.all || math.Abs(at-c.at) > 1e-9) {
			t.Errorf("%s: at %v, all %v, ok %v; expected %v, %v, %v", name, at, all, ok, c.at, c.all, c.ok)
		}
	}
}

// A steady is set to the running work after the tailstock has been set over: the work turns about the same axis as
// without it. Left on the old axis it would bend the work, and the 40 µm that are asked for would come out as far
// more.
func TestSteadyAfterSetOver(t *testing.T) {
	l := bench(t, []float64{-100, 1000}, nil)
	steady := 250.0
	for _, way := range []work.Holding{work.Centres, work.ChuckAndCentre} {
		s := setup.Setup{Way: way, SetOver: 0.05}
		if way == work.ChuckAndCentre {
			s.At = 20
		}
		without := curve(t, l, bar(500, 300, 450), s)
		s.Steady = &steady
		with := curve(t, l, bar(500, 300, 450), s)
		for z := without.From; z <= without.To; z += 25 {
			if a, b := without.At(z, 0), with.At(z, 0); math.Abs(a-b) > 1e-9 || z == without.To && math.Abs(a) < 0.02 {
				t.Errorf("%s at %v: %v without, %v with the steady", way, z, a, b)
			}
		}
	}
}
