package exercise

import (
	"crypto/sha256"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wornway/compensate/cause"
	_ "wornway/testdata/steady"
)

var (
	update = flag.Bool("update", false, "write the sums of the sheets anew")
	study  = flag.Bool("study", false, "make every exercise whose sums are kept")
)

const sums = "../../testdata/exercise/sheets.txt"

// kept are exercises that tests have made so far: one takes half a second, and several tests look at it.
var kept = map[Number]*Exercise{}

// made makes an exercise, once.
func made(t *testing.T, n Number) *Exercise {
	t.Helper()
	if kept[n] == nil {
		e, err := New(n)
		if err != nil {
			t.Fatal(n, err)
		}
		kept[n] = e
	}
	return kept[n]
}

// numbers is how many exercises of each level are made: the first three of those whose sums are kept, all with -study.
// A change of how they are drawn, read or rounded changes every one of them.
func numbers() int {
	if *study || *update {
		return 10
	}
	return 3
}

// everything is all of an exercise that people see.
func everything(t *testing.T, n Number) string {
	t.Helper()
	e := made(t, n)
	a, err := e.Answer()
	if err != nil {
		t.Fatal(n, err)
	}
	text := e.Text
	for _, r := range e.Readings {
		text += r.Text
	}
	for _, h := range a.Hidden {
		text += fmt.Sprintf("%s %.6g\n", h.Kind, h.Size)
	}
	return text + fmt.Sprintln(a.Sure, a.Alike, a.Telling)
}

// The same number gives the same sheet and the same answer, today as when the sums were kept, on this processor as on
// others: the file was made on amd64, and the test was run once as an arm64 program under qemu-user with the same
// result.
func TestSameNumberSameSheet(t *testing.T) {
	var b strings.Builder
	b.WriteString("# SHA-256 of profile, readings and answer of each exercise. Made on amd64; the same under " +
		"qemu-aarch64 (qemu-user).\n")
	for level := 1; level <= Hardest; level++ {
		for seed := range uint64(numbers()) {
			n := Number{seed, level}
			fmt.Fprintf(&b, "%s %x\n", n, sha256.Sum256([]byte(everything(t, n))))
		}
	}
	if *update {
		if err := os.WriteFile(sums, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(sums)
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(b.String()) {
		if strings.Contains(string(want), line) {
			continue
		}
		t.Errorf("the sheets are not those of %s: a number that somebody has on paper must give the same sheet; if "+
			"it has to change, -update: %s", sums, line)
	}
}

// What a level promises holds: the first two levels hide one cause, whatever is hidden on levels 1 and 3 is found for
// certain, but for nothing at all, and every cause comes up.
func TestLevels(t *testing.T) {
	came := map[cause.Kind]int{}
	look := func(n Number) {
		e := made(t, n)
		for _, h := range e.Hidden {
			came[h.Kind]++
		}
		if n.Level < Hardest && len(e.Hidden) != 1 {
			t.Errorf("%s hides %d causes", n, len(e.Hidden))
		}
		first := e.Found().Causes[0]
		if n.Level != 2 && first.Kind != cause.AsSurveyed && (!e.Found().Decided || !e.hides(first.Kind)) {
			t.Errorf("%s hides %v and shows %s", n, e.Hidden, first.Kind)
		}
		if want := map[int]int{1: 4, 2: 2, 3: 4}[n.Level]; len(e.Readings) != want {
			t.Errorf("%s has %d cuts and readings", n, len(e.Readings))
		}
	}
	for level := 1; level <= Hardest; level++ {
		for seed := range uint64(numbers()) {
			look(Number{seed, level})
		}
	}
	for _, k := range Causes() { // what is seldom is looked for by what a number hides at the first attempt
		for seed := uint64(numbers()); came[k] == 0 && seed < 1000; seed++ {
			if n := (Number{seed, 1}); hide(source(n, 0), 1)[0] == k {
				look(n)
			}
		}
		if came[k] == 0 {
			t.Errorf("%s was never hidden", k)
		}
	}
}

// difference is the first collar's diameter less the last's, mm, on a page.
func difference(e *Exercise, name string) float64 {
	for _, r := range e.Readings {
		if r.Name == name {
			return e.Profile.Unit.ToMM(r.Readings[0] - r.Readings[len(r.Readings)-1])
		}
	}
	return math.NaN()
}

// The readings show what is hidden, by hand from the geometry, within four times the errors of reading that go into it.
// Push-off: the deep cut is ten times as deep (8 times in inches), both see the same bed, so that their difference is
// the size less a tenth of it, less what the first collar gives way, by the cube of the distance from the jaws.
// Set-over: h over 300 mm moves the axis by h·z/300 toward the tool, and what is turned between centres is smaller by
// twice that; the wear is on it as well, so that two exercises that differ in the tailstock alone are compared.
func TestReadingsByHand(t *testing.T) {
	seen := 0
	for seed := uint64(0); seed < 400 && seen < 3; seed++ {
		n := Number{seed, 1}
		if kinds := hide(source(n, 0), 1); kinds[0] != cause.PushOff {
			continue
		}
		seen++
		e, err := New(n)
		if err != nil {
			t.Fatal(err)
		}
		m := machine{unit: e.Profile.Unit}
		c := m.cutting()
		first := math.Pow((c.first-c.jaws)/(c.last-c.jaws), 3)
		want := -e.Hidden[0].Size * (1 - c.light/c.deep) * (1 - first)
		got := difference(e, "chucked-deep") - difference(e, "chucked-light")
		if within := 4 * 2 * e.Profile.Unit.ToMM(math.Hypot(c.u, c.step/math.Sqrt(12))); math.Abs(got-want) > within {
			t.Errorf("%s: the deep cut differs by %.4f mm more, not %.4f ± %.4f", n, got, want, within)
		}
	}
	if seen < 3 {
		t.Errorf("push-off came %d times", seen)
	}
	kinds := []cause.Kind{cause.SetOver}
	n := Number{7, 1}
	with, err := attempt(n, kinds, source(n, 1))
	if err != nil {
		t.Fatal(err)
	}
	m := machine{unit: with.Profile.Unit}
	c, mm := m.cutting(), with.Profile.Unit.ToMM
	// The same draws without the tailstock: the size is drawn all the same, and nothing is made of it.
	none, err := attempt(n, []cause.Kind{cause.Twist}, source(n, 1))
	if err != nil {
		t.Fatal(err)
	}
	got := difference(with, "centres") - difference(none, "centres") // an even twist is not seen between centres
	want := 2 * with.Hidden[0].Size * mm(c.centred-c.first) / 300
	if math.Abs(got-want) > 2*mm(c.step) {
		t.Errorf("set over by %.4f mm in 300 the collars differ by %.4f mm, not %.4f", with.Hidden[0].Size, got, want)
	}
}

func TestParseNumber(t *testing.T) {
	for _, c := range []struct {
		text  string
		level int
		want  Number
		wrong string
	}{
		{"417", 0, Number{417, 1}, ""},
		{"417", 3, Number{417, 3}, ""},
		{" 417-2 ", 0, Number{417, 2}, ""},
		{"417-2", 2, Number{417, 2}, ""},
		{"0-1", 0, Number{0, 1}, ""},
		{"417-2", 1, Number{}, "is of level 2, not 1"},
		{"417-4", 0, Number{}, "there is no level 4"},
		{"417", 9, Number{}, "there is no level 9"},
		{"417-0", 0, Number{}, "there is no level 0"},
		{"-2", 0, Number{}, "is not the number of an exercise"},
		{"417-", 0, Number{}, "is not the number of an exercise"},
		{"four", 0, Number{}, "is not the number of an exercise"},
		{"4.5", 0, Number{}, "is not the number of an exercise"},
		{"99999999999999999999", 0, Number{}, "is not the number of an exercise"},
	} {
		got, err := ParseNumber(c.text, c.level)
		switch {
		case c.wrong != "" && (err == nil || !strings.Contains(err.Error(), c.wrong)):
			t.Errorf("%q at level %d: %v, not %q", c.text, c.level, err, c.wrong)
		case c.wrong == "" && (err != nil || got != c.want):
			t.Errorf("%q at level %d is %v, %v", c.text, c.level, got, err)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		n := Number{uint64(rapid.Uint32().Draw(t, "seed")), rapid.IntRange(1, Hardest).Draw(t, "level")}
		if back, err := ParseNumber(n.String(), 0); err != nil || back != n {
			t.Errorf("%s is read as %v, %v", n, back, err)
		}
	})
	if _, err := New(Number{1, 4}); err == nil || errors.Is(err, errNone) {
		t.Errorf("level 4: %v", err)
	}
}

// Marks by hand: two for each cause, one off for a wrong one beside it, one for a strength within a third or so, one
// for what tells.
func TestMarks(t *testing.T) {
	one := Answer{Hidden: []HiddenCause{{cause.PushOff, 0.03}}, Sure: true, Telling: []string{"chucked-deep"}}
	unsure := one
	unsure.Sure = false
	two := Answer{Hidden: []HiddenCause{{cause.Lean, 0.04}, {cause.SetOver, -0.1}}, Sure: true,
		Telling: []string{"centres", "saddle-level"}}
	radius := Answer{Hidden: []HiddenCause{{cause.Radius, math.NaN()}}, Sure: true, Telling: []string{"centres"}}
	none := Answer{Hidden: []HiddenCause{{cause.AsSurveyed, math.NaN()}}}
	for _, c := range []struct {
		what          string
		a             Answer
		g             Reply
		total, of     int
		missed, wrong int
	}{
		{"all right", one, Reply{[]cause.Kind{cause.PushOff}, []float64{1.2}, "chucked-deep"}, 4, 4, 0, 0},
		{"the cause alone", one, Reply{[]cause.Kind{cause.PushOff}, []float64{0}, ""}, 2, 4, 0, 0},
		{"twice as strong", one, Reply{[]cause.Kind{cause.PushOff}, []float64{2}, "centres"}, 2, 4, 0, 0},
		{"half as strong", one, Reply{[]cause.Kind{cause.PushOff}, []float64{0.5}, "chucked-deep"}, 3, 4, 0, 0},
		{"another", one, Reply{[]cause.Kind{cause.WornOn}, []float64{1}, "chucked-deep"}, 1, 4, 1, 1},
		{"both, one of them wrong", one, Reply{[]cause.Kind{cause.PushOff, cause.WornOn}, []float64{1, 1}, ""}, 2, 4, 0,
			1},
		{"cannot tell, where it can", one, Reply{[]cause.Kind{CannotTell}, []float64{0}, "chucked-deep"}, 1, 4, 1, 1},
		{"cannot tell, where it cannot", unsure, Reply{[]cause.Kind{CannotTell}, []float64{0}, "chucked-deep"}, 3, 3, 0,
			0},
		{"the cause, where it is not sure", unsure, Reply{[]cause.Kind{cause.PushOff}, []float64{1}, "chucked-deep"}, 4,
			4, 0, 0},
		{"two, in the other order", two, Reply{[]cause.Kind{cause.SetOver, cause.Lean}, []float64{1, 0.8},
			"saddle-level"}, 7, 7, 0, 0},
		{"one of two", two, Reply{[]cause.Kind{cause.Lean}, []float64{1}, "centres"}, 4, 7, 1, 0},
		{"one of two and a wrong one", two, Reply{[]cause.Kind{cause.Lean, cause.Twist}, []float64{0, 0}, ""}, 1, 7, 1,
			1},
		{"a cause without a size", radius, Reply{[]cause.Kind{cause.Radius}, []float64{0}, "centres"}, 3, 3, 0, 0},
		{"nothing", none, Reply{[]cause.Kind{cause.AsSurveyed}, []float64{0}, "centres"}, 2, 2, 0, 0},
		{"something where there is nothing", none, Reply{[]cause.Kind{cause.Twist}, []float64{0}, ""}, 0, 2, 1, 1},
		{"cannot tell where there is nothing", none, Reply{[]cause.Kind{CannotTell}, []float64{0}, ""}, 0, 2, 1, 1},
	} {
		m := c.a.Mark(c.g)
		if m.Total() != c.total || m.Of != c.of || len(m.Missed) != c.missed || len(m.Wrong) != c.wrong {
			t.Errorf("%s: %d of %d, missed %v, wrong %v; not %d of %d, %d, %d", c.what, m.Total(), m.Of, m.Missed,
				m.Wrong, c.total, c.of, c.missed, c.wrong)
		}
	}
}

// Nobody can have more marks than there are, nor fewer than none.
func TestMarksAreBounded(t *testing.T) {
	kinds := append(slices.Clone(Causes()), CannotTell)
	rapid.Check(t, func(t *rapid.T) {
		var a Answer
		for _, k := range rapid.SliceOfNDistinct(rapid.SampledFrom(Causes()), 1, 2, rapid.ID[cause.Kind]).Draw(t,
			"hidden") {
			size := rapid.SampledFrom([]float64{math.NaN(), 0.1, -2}).Draw(t, "size")
			a.Hidden = append(a.Hidden, HiddenCause{k, size})
		}
		a.Sure, a.Telling = rapid.Bool().Draw(t, "sure"), rapid.SliceOf(rapid.SampledFrom(Names())).Draw(t, "telling")
		g := Reply{Causes: rapid.SliceOfNDistinct(rapid.SampledFrom(kinds), 0, 2, rapid.ID[cause.Kind]).Draw(t,
			"given"), Telling: rapid.SampledFrom(append(Names(), "")).Draw(t, "told by")}
		g.Times = rapid.SliceOfN(rapid.Float64Range(0, 3), len(g.Causes), len(g.Causes)).Draw(t, "times")
		if m := a.Mark(g); m.Total() < 0 || m.Total() > m.Of {
			t.Errorf("%d marks of %d", m.Total(), m.Of)
		}
	})
}
