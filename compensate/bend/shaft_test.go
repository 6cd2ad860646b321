package bend_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"wornway/compensate/bend"
)

func solve(t interface{ Fatal(args ...any) }, s bend.Shaft) *bend.Beam {
	b, err := s.Solve()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Handbook cases of round bars. Each value is printed, or follows from a printed formula, as the source says; forces
// times compliance. E is 206,000 N/mm², or 30,000,000 psi in the inch cases, where lengths are inches and forces
// pounds.
func TestHandbookCases(t *testing.T) {
	bar := func(length, diameter, modulus float64, clamp *bend.Clamp, rests ...float64) bend.Shaft {
		return bend.Shaft{Sections: []bend.Section{{To: length, Diameter: diameter}}, Modulus: modulus, Clamp: clamp,
			Rests: rests}
	}
	jaws := &bend.Clamp{}
	for _, c := range []struct {
		source            string
		shaft             bend.Shaft
		force, at, load   float64
		expected, allowed float64
	}{
		{"cantilever FL³/3EI, 15 in × 5 in, 20 lbf, a web calculator's worked example (meracalculator.com)",
			bar(15, 5, 30e6, jaws), 20, 15, 15, 2.44462e-5, 1e-10},
		{"between centres FL³/48EI, 30 in, r 0.394 in, 20 lbf, worked in a machinists' forum with I = 0.0189",
			bar(30, 0.788, 30e6, nil, 0, 30), 20, 15, 15, 0.019813, 1e-6},
		{"cantilever, end", bar(100, 25, 206000, jaws), 100, 100, 100, 0.008438817, 1e-9},
		{"cantilever, load at L, free end b beyond: WL²(2L+3b)/6EI (Machinery's Handbook 31st ed., beam case 12)",
			bar(150, 25, 206000, jaws), 100, 150, 100, 0.014767931, 1e-9},
		{"cantilever, long", bar(300, 25, 206000, jaws), 100, 300, 300, 0.227848, 1e-6},
		{"centres, middle", bar(300, 25, 206000, nil, 0, 300), 100, 150, 150, 0.014241, 1e-6},
		{"centres, load at 75", bar(300, 25, 206000, nil, 0, 300), 100, 75, 75, 0.008010, 1e-6},
		{"centres, load at 200", bar(300, 25, 206000, nil, 0, 300), 100, 200, 200, 0.011252, 1e-6},
		{"cantilever of twice the diameter", bar(300, 50, 206000, jaws), 100, 300, 300, 0.014241, 1e-6},
		{"centres of twice the diameter", bar(300, 50, 206000, nil, 0, 300), 100, 150, 150, 0.000890, 1e-6},
		// One end held fast, the other propped, load in the middle: 7FL³/(768EI). From memory, found in any table of
		// beams.
		{"propped cantilever, middle", bar(300, 25, 206000, jaws, 300), 100, 150, 150,
			7 * 100 * 27e6 / (768 * 206000 * 19174.7598), 1e-9},
		// A chuck that gives adds F·L²·turning at the end.
		{"cantilever in a chuck that gives", bar(100, 25, 206000, &bend.Clamp{Turning: 1e-9}), 100, 100, 100,
			0.008438817 + 100*1e4*1e-9, 1e-9},
	} {
		b := solve(t, c.shaft)
		if got := c.force * b.At(c.at, c.load); math.Abs(got-c.expected) > c.allowed {
			t.Errorf("%s: %.9g, expected %.9g", c.source, got, c.expected)
		}
	}
}

// The greatest sag under a load off the middle lies beyond it: Wb(L²−b²)^1.5/(9√3·EIL), from a machine design
// handbook's table.
func TestGreatestOffTheLoad(t *testing.T) {
	b := solve(t, bend.Shaft{Sections: []bend.Section{{To: 300, Diameter: 25}}, Modulus: 206000,
		Rests: []float64{0, 300}})
	for load, expected := range map[float64]float64{75: 0.009951, 200: 0.012249} {
		most := 0.0
		for z := 0.0; z <= 300; z += 0.25 {
			most = math.Max(most, 100*b.At(z, load))
		}
		if math.Abs(most-expected) > 1e-6 {
			t.Errorf("load at %v: %.6f, expected %.6f", load, most, expected)
		}
	}
}

// stepped draws a shaft of a few sections.
func stepped(t *rapid.T) []bend.Section {
	var out []bend.Section
	at := 0.0
	for range rapid.IntRange(1, 6).Draw(t, "sections") {
		to := at + rapid.Float64Range(5, 120).Draw(t, "length")
		out = append(out, bend.Section{From: at, To: to, Diameter: rapid.Float64Range(6, 80).Draw(t, "diameter")})
		at = to
	}
	return out
}

// moments integrates m(x)·n(x)/EI over the shaft: the unit-load method, which knows nothing of elements. Both are
// straight between the kinks and the steps, so that Simpson's rule is exact there.
func moments(sections []bend.Section, modulus float64, m, n func(x float64) float64, kinks ...float64) float64 {
	sum := 0.0
	for _, s := range sections {
		ei := modulus * math.Pi * math.Pow(s.Diameter, 4) / 64
		ends := []float64{s.From, s.To}
		for _, k := range kinks {
			if k > s.From && k < s.To {
				ends = append(ends, k)
			}
		}
		slices.Sort(ends)
		for i, a := range ends[1:] {
			b := ends[i]
			c := (a + b) / 2
			sum += (a - b) / 6 * (m(a)*n(a) + 4*m(c)*n(c) + m(b)*n(b)) / ei
		}
	}
	return sum
}

// What a stepped shaft gives equals the integral of the moments, in the jaws and between centres; a force and the place
// it is asked at may change places (Maxwell); the shaft turned round gives the same in its mirror.
func TestSteppedShafts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := stepped(t)
		l := s[len(s)-1].To
		z, load := rapid.Float64Range(0, l).Draw(t, "z"), rapid.Float64Range(0, l).Draw(t, "load")
		const modulus = 206000
		cantilever := func(p float64) func(x float64) float64 {
			return func(x float64) float64 { return math.Max(0, p-x) }
		}
		simple := func(p float64) func(x float64) float64 {
			return func(x float64) float64 { return math.Min(x*(l-p), p*(l-x)) / l }
		}
		jaws := bend.Shaft{Sections: s, Modulus: modulus, Clamp: &bend.Clamp{}}
		centres := bend.Shaft{Sections: s, Modulus: modulus, Rests: []float64{0, l}}
		for name, c := range map[string]struct {
			shaft  bend.Shaft
			moment func(p float64) func(x float64) float64
		}{"jaws": {jaws, cantilever}, "centres": {centres, simple}} {
			b := solve(t, c.shaft)
			expected := moments(s, modulus, c.moment(z), c.moment(load), z, load)
			// A short thick piece beside a long thin one costs the linear system some digits.
			if got := b.At(z, load); math.Abs(got-expected) > 1e-6*math.Max(b.Under(z), b.Under(load))+1e-15 {
				t.Fatalf("%s: %.9g at %v under %v, the integral is %.9g", name, got, z, load, expected)
			}
			if a, o := b.At(z, load), b.At(load, z); math.Abs(a-o) > 1e-9*(math.Abs(a)+b.Under(z))+1e-15 {
				t.Fatalf("%s: %v at %v under %v, but %v the other way", name, a, z, load, o)
			}
		}
		var mirrored []bend.Section
		for i := len(s) - 1; i >= 0; i-- {
			mirrored = append(mirrored, bend.Section{From: l - s[i].To, To: l - s[i].From, Diameter: s[i].Diameter})
		}
		for i := range mirrored { // so that they join to the last digit
			if i > 0 {
				mirrored[i].From = mirrored[i-1].To
			}
		}
		end := mirrored[len(mirrored)-1].To
		turned := solve(t, bend.Shaft{Sections: mirrored, Modulus: modulus, Rests: []float64{0, end}})
		b := solve(t, centres)
		if a, o := b.At(z, load), turned.At(end-z, end-load); math.Abs(a-o) > 1e-7*(math.Abs(a)+b.Under(l/2)) {
			t.Fatalf("%v, turned end for end %v", a, o)
		}
	})
}

// A centre that moves carries work between centres along in a straight line, and bends work in the jaws as the cubic of
// a held end does: x²(3L − x)/(2L³), from any table of beams.
func TestFollow(t *testing.T) {
	s := []bend.Section{{0, 120, 20}, {120, 200, 35}, {200, 300, 15}}
	between := solve(t, bend.Shaft{Sections: s, Modulus: 206000, Rests: []float64{0, 300}})
	plain := solve(t, bend.Shaft{Sections: []bend.Section{{0, 300, 20}}, Modulus: 206000, Clamp: &bend.Clamp{},
		Rests: []float64{300}})
	loose := solve(t, bend.Shaft{Sections: []bend.Section{{0, 300, 20}}, Modulus: 206000,
		Clamp: &bend.Clamp{Turning: 1}, Rests: []float64{300}})
	for z := 0.0; z <= 300; z += 12.5 {
		if got := between.Follow(1, z); math.Abs(got-z/300) > 1e-9 {
			t.Errorf("between centres at %v: %v", z, got)
		}
		if got, expected := plain.Follow(0, z), z*z*(900-z)/(2*300*300*300); math.Abs(got-expected) > 1e-9 {
			t.Errorf("in the jaws at %v: %v, expected %v", z, got, expected)
		}
		if got := loose.Follow(0, z); math.Abs(got-z/300) > 1e-4 { // a chuck that does not hold is a hinge
			t.Errorf("in loose jaws at %v: %v", z, got)
		}
	}
}

// What is left uncut settles where force and give agree: the depth less what is left, times the stiffness of the cut,
// pushes the work by what is left.
func TestPushed(t *testing.T) {
	const force, depth, compliance = 80.0, 0.25, 0.0006
	left := bend.Pushed(force, depth, compliance, 0)
	if pushes := force / depth * (depth - left) * compliance; math.Abs(pushes-left) > 1e-15 {
		t.Errorf("left %v, pushed %v", left, pushes)
	}
	again := bend.Pushed(force, depth, compliance, 1)
	if pushes := force / depth * (left - again) * compliance; math.Abs(pushes-again) > 1e-15 {
		t.Errorf("left after a spring pass %v, pushed %v", again, pushes)
	}
	if got := bend.Pushed(force, 0, compliance, 3); math.Abs(got-0.048) > 1e-15 {
		t.Errorf("of unknown depth: %v", got)
	}
}

func TestNotHeld(t *testing.T) {
	s := []bend.Section{{0, 100, 20}}
	for name, shaft := range map[string]bend.Shaft{
		"nothing holds it": {Sections: s, Modulus: 2e5},
		"one centre":       {Sections: s, Modulus: 2e5, Rests: []float64{0}},
		"held in the air":  {Sections: s, Modulus: 2e5, Rests: []float64{0, 120}},
		"no length":        {Modulus: 2e5, Rests: []float64{0, 100}},
		"no modulus":       {Sections: s, Rests: []float64{0, 100}},
		"a gap": {Sections: []bend.Section{{0, 50, 20}, {60, 100, 20}}, Modulus: 2e5,
			Rests: []float64{0, 100}},
		"a section of no length": {Sections: []bend.Section{{0, 50, 20}, {50, 50, 20}}, Modulus: 2e5,
			Rests: []float64{0, 50}},
		"not a number": {Sections: []bend.Section{{0, math.NaN(), 20}}, Modulus: 2e5,
			Rests: []float64{0, 50}},
	} {
		if _, err := shaft.Solve(); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func BenchmarkSolve(b *testing.B) {
	s := bend.Shaft{Modulus: 206000, Clamp: &bend.Clamp{}, Rests: []float64{400}}
	for i := range 8 {
		s.Sections = append(s.Sections, bend.Section{From: float64(50 * i), To: float64(50 * (i + 1)),
			Diameter: 20 + float64(i%3)})
	}
	for b.Loop() {
		if _, err := s.Solve(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkUnder(b *testing.B) {
	x := solve(b, bend.Shaft{Sections: []bend.Section{{0, 100, 20}, {100, 300, 30}}, Modulus: 206000,
		Clamp: &bend.Clamp{}})
	for b.Loop() {
		x.Under(250)
	}
}
