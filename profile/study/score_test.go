package study

import (
	"fmt"
	"math"
	"math/rand/v2"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/wear"
)

// sample is one diameter error: the estimate's less the true one, and the estimate's standard uncertainty. Lengths mm.
type sample struct {
	off, u float64
	bend   float64 // how sharply the true error bends there: second difference over 30 mm
	long   bool    // in a length that only the surveys to mid-bed cover
	small  bool    // on work of a quarter inch
}

func (s sample) within() bool { return math.Abs(s.off) <= 1.96*s.u }

// promise is a stated probability that a length's spread keeps a tolerance, and whether it did.
type promise struct {
	stated float64
	kept   bool
}

// score is one bed under one plan.
type score struct {
	kind     string
	samples  []sample
	promises []promise
}

// length is one part: its place, mm from the spindle nose, and diameter.
type length struct {
	from, to, diameter float64
	long               bool
}

// lengths returns the parts tried at a bed: three near the chuck, where every plan has read, one of them slender, and
// two to mid-bed.
func lengths(r *rand.Rand) []length {
	var out []length
	for _, l := range []float64{50, 100, 180} {
		a := uniform(r, 50, 245-l)
		out = append(out, length{a, a + l, 25.4, false})
	}
	out = append(out, length{out[1].from, out[1].to, 6.35, false})
	for _, l := range []float64{150, 300} {
		a := uniform(r, 60, 550-l)
		out = append(out, length{a, a + l, 25.4, true})
	}
	return out
}

// estimated reads a profile's text and returns the machine that the tool believes in.
func estimated(text string) (compensate.Machine, error) {
	p, err := profile.Parse(nil, "study.toml", []byte(text))
	if err != nil {
		return compensate.Machine{}, err
	}
	e, err := p.Estimate()
	if err != nil {
		return compensate.Machine{}, err
	}
	return machineOf(p, e.Wear), nil
}

func machineOf(p *profile.Profile, w *wear.Wear) compensate.Machine {
	return compensate.Machine{Lathe: p.Lathe.Bed, Wear: w, Axis: compensate.SpindleAxis()}
}

// judge compares what the tool says of the lengths with the truth. Where no reading saw the spindle's lean the tool's
// ± is of the bed alone, as it says itself: the truth is then that of a spindle without lean.
func judge(m *machine, tool compensate.Machine, p plan, at []length, r *rand.Rand, promises bool) (score, error) {
	s := score{kind: m.kind}
	leanOut, leanUp := m.leanOut, m.leanUp
	if !p.lean {
		leanOut, leanUp = 0, 0
	}
	for i, l := range at {
		if l.long && !p.far {
			continue
		}
		c, err := tool.Curve(compensate.Cut{Feature: work.Feature{From: l.from, To: l.to, Diameter: l.diameter},
			SetAt: l.to})
		if err != nil {
			return s, err
		}
		truth := func(z float64) float64 { return m.diameterError(z, l.to, l.diameter, leanOut, leanUp) }
		for k := range 3 {
			z := l.from + (l.to-l.from)*float64(k)/3
			st := c.Station(z)
			if !st.Stated {
				return s, fmt.Errorf("no ± is stated")
			}
			s.samples = append(s.samples, sample{off: st.DiameterError - truth(z), u: st.Uncertainty,
				bend: math.Abs(truth(z-15) - 2*truth(z) + truth(z+15)), long: l.long, small: l.diameter < 10})
		}
		if promises && i == 1 {
			s.promises = append(s.promises, promised(c, l, truth, r))
		}
	}
	return s, nil
}

// promised asks for the probability of keeping a tolerance that is chosen by what the tool believes, so that it may be
// anything between 0 and 1.
func promised(c *compensate.Curve, l length, truth func(z float64) float64, r *rand.Rand) promise {
	at := c.Spaced()
	tolerance := math.Max(0.002, c.Taper().Spread+uniform(r, -1, 2.5)*c.Station(l.from).Uncertainty)
	got, _ := c.Sample(at, tolerance)
	least, most := math.Inf(1), math.Inf(-1)
	for z := l.from; z <= l.to; z += (l.to - l.from) / 200 {
		least, most = math.Min(least, truth(z)), math.Max(most, truth(z))
	}
	return promise{got.Within, most-least <= tolerance}
}

// try makes up the bed of that number and judges every plan on it. The same number gives the same bed and readings
// whatever else is run.
func try(seed uint64, number int, of []plan, l leave, promises bool) ([]score, error) {
	return tryBy(seed, number, of, l, promises, estimated)
}

// tryBy is try with an estimate of the caller's.
func tryBy(seed uint64, number int, of []plan, l leave, promises bool,
	estimated func(text string) (compensate.Machine, error)) ([]score, error) {
	r := rand.New(rand.NewPCG(seed, uint64(number)))
	m := newMachine(r, kinds[number%len(kinds)], uniform(r, 0.05, 0.18))
	at := lengths(r)
	out := make([]score, len(of))
	for i, p := range of {
		if number/len(kinds)%p.every() > 0 {
			continue // too dear for every bed
		}
		b := newBench(m, rand.New(rand.NewPCG(seed+uint64(len(p.name))<<32+uint64(p.name[0]), uint64(number))), l)
		p.read(b, l)
		tool, err := estimated(b.text.String())
		if err != nil {
			return nil, fmt.Errorf("bed %d, %s: %w", number, p.name, err)
		}
		if out[i], err = judge(m, tool, p, at, r, promises); err != nil {
			return nil, fmt.Errorf("bed %d, %s: %w", number, p.name, err)
		}
	}
	return out, nil
}
