package study

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/estimate"
)

// cutting is what came of a bed that was surveyed, cut, checked, and whose profile learnt from the cut.
type cutting struct {
	sigma         []float64 // differences over their standard uncertainty: twice E_n, which is at k = 2
	agrees        bool
	chi, freedom  float64 // of all differences together, by their covariance
	before, after outcome // where it learns
}

// outcome is the ± and the error over the cut's length, mm: root mean squares.
type outcome struct{ u, off float64 }

// ways are how the bar of a cut is held, and whether it bends.
var ways = []string{"stiff", "bends", "centred"}

// cutEach surveys the bed of a number by a plan that sees the lean, and in each of the ways cuts collars there, checks
// and, where it is to learn, adds them to the profile as it was surveyed.
func cutEach(number int, p plan, learns bool) ([]cutting, error) {
	r := rand.New(rand.NewPCG(seed+11, uint64(number)))
	m := newMachine(r, kinds[number%len(kinds)], uniform(r, 0.05, 0.18))
	var before *profile.Profile
	var known *estimate.Result
	var out []cutting
	for _, held := range ways {
		b := newBench(m, rand.New(rand.NewPCG(seed+12, uint64(number))), leave{})
		p.read(b, leave{})
		text := b.text.String()
		if before == nil { // the survey is the same each time
			var err error
			if before, known, err = readProfile(text); err != nil {
				return nil, fmt.Errorf("bed %d: %w", number, err)
			}
		}
		b.text.Reset()
		// A ± that rests on what is stated of push-off beforehand (GUM, JCGM 100, 4.3) comes true over bars that are
		// drawn from just that: 20 µm on diameter, standard, either way. With bars that bend less, as most do, E_n
		// would be too small, and the code not tried.
		switch held {
		case "stiff":
			b.testCut(0.002, 5, nil)
		case "bends":
			b.testCut(0.002, 5, func() float64 { return b.normal(0.020) })
		case "centred":
			b.centredCut(0.002, 7)
		}
		cut, err := before.ReadCut(nil, "cut.toml", []byte(b.text.String()))
		if err != nil {
			return nil, err
		}
		tool := machineOf(before, known.Wear)
		k, err := tool.Check(turned(cut))
		if err != nil {
			return nil, err
		}
		c := cutting{agrees: k.Verdict == compensate.Agrees, chi: k.Whole.ChiSquare, freedom: float64(k.Whole.Freedom)}
		for n, s := range k.Stations {
			if n != k.Set && held != "centred" { // there a single difference says nothing: the centre is free
				c.sigma = append(c.sigma, 2*s.En)
			}
		}
		if !learns {
			out = append(out, c)
			continue
		}
		after, learnt, err := readProfile(text + cut.Block(before.Unit))
		if err != nil {
			return nil, fmt.Errorf("bed %d: %w", number, err)
		}
		if c.before, err = outcomeOf(tool, m); err != nil {
			return nil, err
		}
		if c.after, err = outcomeOf(machineOf(after, learnt.Wear), m); err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	return out, nil
}

// outcomeOf compares what the tool says of the cut's length with the truth.
func outcomeOf(tool compensate.Machine, m *machine) (o outcome, err error) {
	const from, to, diameter, places = 45.0, 250.0, 25.4, 8
	c, err := tool.Curve(compensate.Cut{Feature: work.Feature{From: from, To: to, Diameter: diameter}, SetAt: to})
	if err != nil {
		return o, err
	}
	for n := range places {
		z := from + (to-from)*float64(n)/places
		s := c.Station(z)
		o.u += s.Uncertainty * s.Uncertainty / places
		o.off += math.Pow(s.DiameterError-m.diameterError(z, to, diameter, m.leanOut, m.leanUp), 2) / places
	}
	return outcome{math.Sqrt(o.u), math.Sqrt(o.off)}, nil
}

// turned puts a cut together for the comparison.
func turned(cut *profile.Cut) compensate.TestCut {
	u, _ := cut.Set.StatesUncertainty()
	t := compensate.TestCut{At: cut.As.Positions, Diameter: cut.As.Diameters, HeldAt: cut.As.HeldAt, SetAt: math.NaN(),
		U: u}
	for _, o := range cut.Set.Open() {
		if o.Flat {
			t.Loose = append(t.Loose, o.Of)
			continue
		}
		t.Shared = append(t.Shared, compensate.Influence{Of: o.Of, U: o.U})
	}
	return t
}

// learnt is what is counted of cuts over beds.
type learnt struct {
	spread        float64 // root mean square of difference over its standard uncertainty
	whole         float64 // root of chi-square over its degrees of freedom: each of its directions counts alike
	agree         float64
	before, after outcome // means, of those that learn
}

func (l learnt) String() string {
	um := func(o outcome) string { return fmt.Sprintf("u %.2f µm, error %.2f µm", 1000*o.u, 1000*o.off) }
	return fmt.Sprintf("2·E_n scatters by %.3f, all together by %.3f, %.3f agree; before %s; after %s", l.spread,
		l.whole, l.agree, um(l.before), um(l.after))
}

func tallyCuts(of []cutting) (l learnt) {
	n, count, freedom, learn := float64(len(of)), 0.0, 0.0, 0.0
	for _, c := range of {
		l.whole += c.chi
		freedom += c.freedom
		if c.after.u > 0 {
			learn++
		}
		for _, s := range c.sigma {
			l.spread += s * s
			count++
		}
		if c.agrees {
			l.agree += 1 / n
		}
		l.before.u += c.before.u
		l.before.off += c.before.off
		l.after.u += c.after.u
		l.after.off += c.after.off
	}
	l.spread, l.whole = math.Sqrt(l.spread/count), math.Sqrt(l.whole/freedom)
	for _, x := range []*float64{&l.before.u, &l.before.off, &l.after.u, &l.after.off} {
		*x /= learn
	}
	return l
}

// A bed that is surveyed, cut, checked, and whose profile learns from the cut. What E_n should be: it is the difference
// over an uncertainty at k = 2, so that it scatters by a half, and twice E_n by 1. The differences of one cut hang
// together by the one that all are counted from, so that a bed tells of little more than one: by a dozen of them
// twice E_n is told to 20 %. By their covariance all count, which tells it to 10 %, but a direction in which much is
// unknown counts no more than the others. The ordinary run catches an uncertainty that is stated half as great again
// as it is, or twice as great in the direction that makes most of it, one cut of four that does not agree, and, by three
// beds, a cut that teaches nothing. The long run tells it to a few per cent, and 10 % are asked for.
func TestCutChecked(t *testing.T) {
	n, learning := cases(3, 12, *number/4), cases(1, 3, *number/4)
	off := func(within float64) float64 { return room(within, 12, float64(n)) }
	within, whole, most := off(0.45), off(0.30), off(0.17)
	if *full {
		within, whole, most = 0.10, 0.30, 0.08
	}
	all := beds(t, n, func(i int) ([]cutting, error) { return cutEach(i, plans[3], i < learning) })
	for k, held := range ways {
		var of []cutting
		for _, c := range all {
			of = append(of, c[k])
		}
		got := tallyCuts(of)
		t.Logf("%s, %s: %v", plans[3].name, held, got)
		if held != "centred" && math.Abs(got.spread-1) > within {
			t.Errorf("twice E_n scatters by %.3f", got.spread)
		}
		if math.Abs(got.whole-1) > whole {
			t.Errorf("by their covariance the differences scatter by %.3f", got.whole)
		}
		if got.agree < 0.95-most {
			t.Errorf("%.3f of the cuts agree", got.agree)
		}
		// of a single bed the errors are chance
		if got.after.u >= got.before.u || got.after.off >= got.before.off && learning > 1 {
			t.Errorf("the cut has taught nothing: before %v, after %v", got.before, got.after)
		}
	}
	if !strings.Contains(plans[3].name, "bar") {
		t.Error("the plan is another now: one is needed that sees the spindle's lean")
	}
}

// Two surveys of one bed that has not changed are called changed in one case of twenty; of one that has worn on the
// growth is found, within its ±, and most often called so. The ordinary run catches one unchanged bed called worn on,
// one worn one that is not, and a growth beyond its ±, by two ways to read a bed.
func TestBedCompared(t *testing.T) {
	n, wear, most, least := cases(1, 1, *number/10), cases(1, 1, *number/20), 3.0/10, 3.0/5
	if *full {
		most, least = 0.085, 0.8
	}
	for _, p := range changes[:cases(1, 2, len(changes))] {
		same := tallyChanges(beds(t, n, func(i int) (compared, error) { return again(i+1000, p, 0) }))
		t.Logf("%s, unchanged: %v", p.name, same)
		if same.called > most {
			t.Errorf("%s: %.3f of the unchanged beds are called worn on", p.name, same.called)
		}
		worn := tallyChanges(beds(t, wear, func(i int) (compared, error) { return again(i, p, 0.5) }))
		t.Logf("%s, worn on by half: %v", p.name, worn)
		if worn.called < least {
			t.Errorf("%s: %.3f of the beds that wore on are called so", p.name, worn.called)
		}
		if worn.coverage < 0.93 {
			t.Errorf("%s: %.3f of the growth lies within its 95 %%", p.name, worn.coverage)
		}
		if worn.twist > 1.4 { // a single one is within 1.4 in five cases of six
			t.Errorf("%s: the twist between the two scatters by %.2f of its uncertainty", p.name, worn.twist)
		}
	}
}
