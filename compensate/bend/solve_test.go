package bend_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"wornway/compensate/bend"
)

// elements calculates a shaft a second time in another way: stiffnesses of beam elements between nodes at steps,
// supports and the load, held by springs that nothing moves. It returns displacements at the nodes, for a unit force at
// load and, where rest is 0 or greater, for that rest moved by one instead.
func elements(s bend.Shaft, places []float64, load float64, rest int) map[float64]float64 {
	nodes := append([]float64{load}, places...)
	for _, p := range s.Sections {
		nodes = append(nodes, p.From, p.To)
	}
	nodes = append(nodes, s.Rests...)
	if s.Clamp != nil {
		nodes = append(nodes, s.Clamp.At)
	}
	slices.Sort(nodes)
	nodes = slices.Compact(nodes)
	k, f := mat.NewDense(2*len(nodes), 2*len(nodes), nil), mat.NewVecDense(2*len(nodes), nil)
	const unit = 100 // mm: slopes are taken as motions over that length
	stiffest := 0.0
	for i, a := range nodes[:len(nodes)-1] {
		l := (nodes[i+1] - a) / unit
		d := 0.0
		for _, p := range s.Sections {
			if p.From <= a && a < p.To {
				d = p.Diameter
			}
		}
		ei := s.Modulus * math.Pi * math.Pow(d, 4) / 64 / (unit * unit * unit)
		for r, row := range [][]float64{{12, 6 * l, -12, 6 * l}, {6 * l, 4 * l * l, -6 * l, 2 * l * l},
			{-12, -6 * l, 12, -6 * l}, {6 * l, 2 * l * l, -6 * l, 4 * l * l}} {
			for c, v := range row {
				k.Set(2*i+r, 2*i+c, k.At(2*i+r, 2*i+c)+v*ei/(l*l*l))
			}
		}
		stiffest = math.Max(stiffest, ei/(l*l*l))
	}
	// What is held has its row taken out of the system and set to its motion.
	fix := func(row int, motion float64) {
		for c := range 2 * len(nodes) {
			k.Set(row, c, 0)
		}
		k.Set(row, row, stiffest)
		f.SetVec(row, motion*stiffest)
	}
	at := func(z float64) int { return 2 * slices.Index(nodes, z) }
	if rest < 0 {
		f.SetVec(at(load), 1)
	}
	if c := s.Clamp; c != nil {
		if i := at(c.At) + 1; c.Turning > 0 {
			k.Set(i, i, k.At(i, i)+1/(c.Turning*unit*unit))
		} else {
			fix(i, 0)
		}
		fix(at(c.At), 0)
	}
	for i, z := range s.Rests {
		motion := 0.0
		if i == rest {
			motion = 1
		}
		fix(at(z), motion)
	}
	var u mat.VecDense
	_ = u.SolveVec(k, f) // an ill-conditioned system is solved all the same
	out := map[float64]float64{}
	for i, z := range nodes {
		out[z] = u.AtVec(2 * i)
	}
	return out
}

// However a shaft is held, what it gives and how it follows its rests is what element stiffnesses say.
func TestHeldAsElementsSay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// All on multiples of 5 mm: shorter elements cost the other way its digits.
		s := bend.Shaft{Modulus: 206000}
		at := 0.0
		for range rapid.IntRange(1, 6).Draw(t, "sections") {
			to := at + 5*float64(rapid.IntRange(2, 24).Draw(t, "length"))
			s.Sections = append(s.Sections, bend.Section{From: at, To: to,
				Diameter: rapid.Float64Range(6, 80).Draw(t, "diameter")})
			at = to
		}
		l := at
		place := func(name string, from, to float64) float64 {
			return 5 * float64(rapid.IntRange(int(math.Ceil(from*l/5)), int(to*l/5)).Draw(t, name))
		}
		if rapid.Bool().Draw(t, "in the chuck") {
			s.Clamp = &bend.Clamp{}
			if rapid.Bool().Draw(t, "gives") {
				s.Clamp.Turning = math.Exp(rapid.Float64Range(-22, -10).Draw(t, "turning"))
			}
		} else {
			s.Rests = append(s.Rests, place("first centre", 0, 0.2))
		}
		if rapid.Bool().Draw(t, "with a steady") && l >= 50 {
			s.Rests = append(s.Rests, place("steady", 0.3, 0.7))
		}
		if s.Clamp == nil && len(s.Rests) == 1 || rapid.Bool().Draw(t, "tail centre") {
			s.Rests = append(s.Rests, place("last centre", 0.75, 1))
		}
		if s.Clamp == nil && rapid.Bool().Draw(t, "backwards") {
			slices.Reverse(s.Rests)
		}
		b := solve(t, s)
		z, load := place("z", 0, 1), place("load", 0, 1)
		size := math.Max(b.Under(z), b.Under(load))
		if got, expected := b.At(z, load), elements(s, []float64{z}, load,
			-1)[z]; math.Abs(got-expected) > 1e-5*size+1e-14 {
			t.Fatalf("%v at %v under %v, elements say %v", got, z, load, expected)
		}
		// Thin necks between supports cost digits: of 400,000 shafts drawn like these the worst was 8e-8 of the size
		// out, and forty that were beyond 1e-9 lay within 2e-13 mm/N of a calculation with 300 bits.
		if a, o := b.At(z, load), b.At(load, z); math.Abs(a-o) > 1e-6*size+1e-14 {
			t.Fatalf("%v at %v under %v, but %v the other way", a, z, load, o)
		}
		if b.Under(z) < -1e-15 {
			t.Fatalf("gives %v at %v: toward the tool", b.Under(z), z)
		}
		shift, turn := 0.0, 0.0
		for r, at := range s.Rests {
			got := b.Follow(r, z)
			if expected := elements(s, []float64{z}, load, r)[z]; math.Abs(got-expected) > 1e-5*(1+math.Abs(expected)) {
				t.Fatalf("follows rest %d by %v at %v, elements say %v", r, got, z, expected)
			}
			for o, there := range s.Rests {
				if own := map[bool]float64{true: 1}[o == r]; math.Abs(b.Follow(r, there)-own) > 1e-12 {
					t.Fatalf("follows rest %d by %v at rest %d", r, b.Follow(r, there), o)
				}
			}
			shift, turn = shift+got, turn+got*at
		}
		// Rests that all move alike, or like a straight line, carry a shaft along that nothing else holds.
		if s.Clamp == nil && (math.Abs(shift-1) > 1e-9 || math.Abs(turn-z) > 1e-9*l) {
			t.Fatalf("at %v rests moved by one move it by %v, turned by one by %v", z, shift, turn)
		}
		if s.Clamp != nil && math.Abs(b.Under(0)) > 1e-15 {
			t.Fatalf("gives %v at the jaws", b.Under(0))
		}
	})
}

// A stretch of a hair's breadth between two features, a thin neck or a narrow flange is calculated as exactly as any
// other: against the integral of the moments, to nine digits.
func TestNarrowStretches(t *testing.T) {
	const l = 1000.0
	for _, width := range []float64{20, 1, 0.1, 1e-3, 1e-6, 1e-9, 1e-12} {
		for _, diameter := range []float64{6, 30, 250} {
			s := []bend.Section{{0, 300, 30}, {300, 300 + width, diameter}, {300 + width, l, 30}}
			free := func(x float64) float64 { return l - x }
			centred := func(x float64) float64 { return math.Min(x*(l-400), 400*(l-x)) / l }
			for _, c := range []struct {
				shaft           bend.Shaft
				moment          func(float64) float64
				at, load, kinks float64
			}{
				{bend.Shaft{Sections: s, Modulus: 206000, Clamp: &bend.Clamp{}}, free, l, l, l},
				{bend.Shaft{Sections: s, Modulus: 206000, Rests: []float64{0, l}}, centred, 400, 400, 400},
			} {
				expected := moments(s, 206000, c.moment, c.moment, c.kinks)
				if got := solve(t, c.shaft).At(c.at, c.load); math.Abs(got/expected-1) > 1e-9 {
					t.Errorf("%v mm of %v mm diameter: %.12g, the integral is %.12g", width, diameter, got, expected)
				}
			}
		}
	}
	// A steady a nanometre from a step, and a hundred steps.
	var many []bend.Section
	for i := range 100 {
		many = append(many, bend.Section{From: 10 * float64(i), To: 10 * float64(i+1),
			Diameter: []float64{20, 60}[i%2]})
	}
	beside := solve(t, bend.Shaft{Sections: many, Modulus: 206000, Rests: []float64{0, 500 + 1e-6, l}})
	on := solve(t, bend.Shaft{Sections: many, Modulus: 206000, Rests: []float64{0, 500, l}})
	if a, o := beside.Under(250), on.Under(250); math.Abs(a/o-1) > 1e-6 {
		t.Errorf("with a steady beside a step %v, on it %v", a, o)
	}
}

// Further cases of beams, in units of F·L³/EI. From memory; any table of beams has them.
func TestMoreHandbookCases(t *testing.T) {
	const l, modulus = 200.0, 206000.0
	ei := modulus * math.Pi * 25 * 25 * 25 * 25 / 64
	bar := func(length float64) []bend.Section { return []bend.Section{{To: length, Diameter: 25}} }
	for name, c := range map[string]struct {
		shaft    bend.Shaft
		at       float64
		expected float64
	}{
		"two equal spans, load in the middle of one: 23/1536": {bend.Shaft{Sections: bar(2 * l),
			Modulus: modulus, Rests: []float64{0, l, 2 * l}}, l / 2, 23.0 / 1536},
		"overhang a beyond two supports, load at its end: a²(L + a)/3": {bend.Shaft{Sections: bar(1.25 * l),
			Modulus: modulus, Rests: []float64{0, l}}, 1.25 * l, 0.25 * 0.25 * 1.25 / 3},
		"overhang a before two supports, load at its end": {bend.Shaft{Sections: bar(1.25 * l),
			Modulus: modulus, Rests: []float64{0.25 * l, 1.25 * l}}, 0, 0.25 * 0.25 * 1.25 / 3},
		"overhang beyond a rest in front of the jaws: a²(3L + 4a)/12": {bend.Shaft{Sections: bar(1.5 * l),
			Modulus: modulus, Clamp: &bend.Clamp{}, Rests: []float64{l}}, 1.5 * l, 0.25 * 5 / 12},
		"jaws and a centre, load at x from the jaws: x³(L − x)²(4L − x)/12L³": {bend.Shaft{Sections: bar(l),
			Modulus: modulus, Clamp: &bend.Clamp{}, Rests: []float64{l}}, 0.7 * l, 0.343 * 0.09 * 3.3 / 12},
		"a chuck that is a hinge, and a centre: 1/48": {bend.Shaft{Sections: bar(l),
			Modulus: modulus, Clamp: &bend.Clamp{Turning: 1e6}, Rests: []float64{l}}, l / 2, 1.0 / 48},
		"jaws not at the beginning, 1/3": {bend.Shaft{Sections: bar(2 * l),
			Modulus: modulus, Clamp: &bend.Clamp{At: l}}, 2 * l, 1.0 / 3},
	} {
		if got := solve(t, c.shaft).Under(c.at) * ei / (l * l * l); math.Abs(got-c.expected) > 1e-9 {
			t.Errorf("%s: %.9f, expected %.9f", name, got, c.expected)
		}
	}
	// Two supports on one beam on which a third one in the middle moves by one: its elastic curve is that of a beam
	// bent by a force in the middle, x(3L² − 4x²)/L³ up to there.
	b := solve(t, bend.Shaft{Sections: bar(l), Modulus: modulus, Rests: []float64{0, l / 2, l}})
	for x := 0.0; x <= l/2; x += 10 {
		if got, expected := b.Follow(1, x), x*(3*l*l-4*x*x)/(l*l*l); math.Abs(got-expected) > 1e-12 {
			t.Errorf("a steady moved by one moves it by %v at %v, expected %v", got, x, expected)
		}
	}
}

// A 1 in steel bar 5 in out of the jaws, pushed with 20 lbf, comes out 0.0011 in bigger: calculated apart from this
// code (30,000,000 psi). A chuck that gives to a moment adds its turn times the length, at the load and beyond.
func TestPushOffAtTheEnd(t *testing.T) {
	b := solve(t, bend.Shaft{Sections: []bend.Section{{To: 5, Diameter: 1}}, Modulus: 30e6, Clamp: &bend.Clamp{}})
	if got := 2 * 20 * b.Under(5); math.Abs(got-0.0011) > 0.00005 {
		t.Errorf("%v in on diameter", got)
	}
	s := []bend.Section{{0, 60, 40}, {60, 150, 25}}
	stiff := solve(t, bend.Shaft{Sections: s, Modulus: 206000, Clamp: &bend.Clamp{}})
	loose := solve(t, bend.Shaft{Sections: s, Modulus: 206000, Clamp: &bend.Clamp{Turning: 3e-9}})
	for _, z := range []float64{0, 30, 60, 110, 150} {
		if got, expected := loose.At(z, 110)-stiff.At(z, 110), 3e-9*z*110; math.Abs(got-expected) > 1e-15 {
			t.Errorf("at %v the chuck adds %v, expected %v", z, got, expected)
		}
	}
}

// What is in the jaws and behind them changes nothing in front, and does not move; places beyond the shaft are its
// ends.
func TestBehindTheJaws(t *testing.T) {
	long := solve(t, bend.Shaft{Sections: []bend.Section{{-400, -50, 8}, {-50, 120, 20}, {120, 200, 35}},
		Modulus: 206000, Clamp: &bend.Clamp{}, Rests: []float64{200}})
	short := solve(t, bend.Shaft{Sections: []bend.Section{{0, 120, 20}, {120, 200, 35}}, Modulus: 206000,
		Clamp: &bend.Clamp{}, Rests: []float64{200}})
	for z := 0.0; z <= 200; z += 10 {
		if a, o := long.At(z, 130), short.At(z, 130); math.Abs(a-o) > 1e-18 {
			t.Errorf("at %v with stock behind the jaws %v, without %v", z, a, o)
		}
		if a, o := long.Follow(0, z), short.Follow(0, z); math.Abs(a-o) > 1e-12 {
			t.Errorf("at %v follows by %v, without stock behind the jaws by %v", z, a, o)
		}
	}
	for _, z := range []float64{-400, -200, -50, -10} {
		if long.At(z, 130) != 0 || long.Under(z) != 0 || long.Follow(0, z) != 0 {
			t.Errorf("behind the jaws, at %v, it gives %v and %v", z, long.At(z, 130), long.Under(z))
		}
	}
	if short.At(250, 130) != short.At(200, 130) || short.Under(-5) != short.Under(0) {
		t.Error("places beyond the shaft do not count as its ends")
	}
	if got := fmt.Sprint(long.Breaks(), long.Rests()); got != "[-400 -50 0 120 200] 1" {
		t.Error(got)
	}
}

// Why a shaft cannot be calculated is said.
func TestRefusalsSayWhy(t *testing.T) {
	s := []bend.Section{{0, 100, 20}}
	for says, shaft := range map[string]bend.Shaft{
		"nothing holds it":     {Sections: s, Modulus: 2e5},
		"keeps it from":        {Sections: s, Modulus: 2e5, Rests: []float64{0}},
		"nothing of it":        {Sections: s, Modulus: 2e5, Rests: []float64{0, 120}},
		"held twice at 100 mm": {Sections: s, Modulus: 2e5, Rests: []float64{0, 100, 100}},
		"held twice at 0 mm":   {Sections: s, Modulus: 2e5, Clamp: &bend.Clamp{}, Rests: []float64{0}},
		"behind the jaws":      {Sections: s, Modulus: 2e5, Clamp: &bend.Clamp{At: 50}, Rests: []float64{20}},
		"-1e-09 rad":           {Sections: s, Modulus: 2e5, Clamp: &bend.Clamp{Turning: -1e-9}},
		"NaN rad":              {Sections: s, Modulus: 2e5, Clamp: &bend.Clamp{Turning: math.NaN()}},
		"+Inf rad": {Sections: s, Modulus: 2e5, Clamp: &bend.Clamp{Turning: math.Inf(1)},
			Rests: []float64{100}},
		"modulus":   {Sections: s, Modulus: math.Inf(1), Clamp: &bend.Clamp{}},
		"too small": {Sections: []bend.Section{{0, 100, 1e-90}}, Modulus: 2e5, Clamp: &bend.Clamp{}},
		"does not begin where": {Sections: []bend.Section{{0, 50, 20}, {40, 100, 20}}, Modulus: 2e5,
			Clamp: &bend.Clamp{}},
		"no diameter": {Sections: []bend.Section{{0, 50, 20}, {50, 100, -20}}, Modulus: 2e5,
			Clamp: &bend.Clamp{}},
	} {
		if _, err := shaft.Solve(); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v", says, err)
		}
	}
}

// Whatever numbers come, nothing panics, and what is solved is finite.
func TestWildShafts(t *testing.T) {
	wild := rapid.OneOf(rapid.Float64(), rapid.SampledFrom([]float64{0, 1, 100, 1e-300, 1e300, math.Inf(1),
		math.Inf(-1), math.NaN()}), rapid.Float64Range(0, 200))
	rapid.Check(t, func(t *rapid.T) {
		s := bend.Shaft{Modulus: wild.Draw(t, "modulus")}
		at := wild.Draw(t, "from")
		for range rapid.IntRange(0, 3).Draw(t, "sections") {
			to := wild.Draw(t, "to")
			s.Sections = append(s.Sections, bend.Section{From: at, To: to, Diameter: wild.Draw(t, "diameter")})
			at = to
		}
		if rapid.Bool().Draw(t, "clamp") {
			s.Clamp = &bend.Clamp{At: wild.Draw(t, "at"), Turning: wild.Draw(t, "turning")}
		}
		s.Rests = rapid.SliceOfN(wild, 0, 3).Draw(t, "rests")
		b, err := s.Solve()
		if err != nil {
			return
		}
		for _, z := range append(s.Rests, b.Breaks()...) {
			if v := b.Under(z); math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%v at %v", v, z)
			}
			for r := range b.Rests() {
				if v := b.Follow(r, z); math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatalf("follows by %v at %v", v, z)
				}
			}
		}
	})
}
