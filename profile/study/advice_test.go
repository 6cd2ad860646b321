package study

import (
	"math/rand/v2"
	"slices"
	"testing"

	"wornway/compensate"
)

// adviceStudy goes the whole way on made-up beds: bed, survey, estimate, list of settings, hand, part. The saddle sits
// on each as it happens to, from springy to stiff.
func adviceStudy(t *testing.T, p plan, number, parts int) (k byAdvice) {
	of := beds(t, number, func(i int) (byAdvice, error) {
		var k byAdvice
		m, tool, r, err := p.surveyed(23, i)
		if err != nil {
			return k, err
		}
		for range parts {
			length := uniform(r, 60, 200)
			from := uniform(r, 45, 250-length)
			if err := k.part(m, tool, from, from+length, func(float64) float64 { return 0 }, r); err != nil {
				return k, err
			}
		}
		return k, nil
	})
	for _, o := range of {
		k.add(o)
	}
	return k
}

// surveyed makes up the machine of a number, whose saddle sits as it happens to, and returns it with what the tool
// makes of its survey by a plan, and what it was made up from. Seeds: seed+of and seed+of+1, with the number.
func (p plan) surveyed(of uint64, number int) (*machine, compensate.Machine, *rand.Rand, error) {
	r := rand.New(rand.NewPCG(seed+of, uint64(number)))
	m := newMachine(r, kinds[number%len(kinds)], uniform(r, 0.03, 0.15))
	m.stiff = r.Float64()
	b := newBench(m, rand.New(rand.NewPCG(seed+of+1+uint64(len(p.name)), uint64(number))), leave{})
	p.read(b, leave{})
	tool, err := estimated(b.text.String())
	if !p.lean { // the spindle is then taken to stand true, for the part too
		m.leanOut, m.leanUp = 0, 0
	}
	return m, tool, r, err
}

// add counts the parts of another bed in.
func (k *byAdvice) add(o byAdvice) {
	k.parts, k.worse, k.covered = k.parts+o.parts, k.worse+o.worse, k.covered+o.covered
	k.gained, k.least, k.possible = k.gained+o.gained, k.least+o.least, k.possible+o.possible
	k.before, k.after = k.before+o.before, k.after+o.after
}

// What correct advises is worth turning: of the gain that the dial could have made with the truth known a part is
// taken, and hardly a part comes out worse than with nothing dialled. Judged once, on beds of -seed 20270811 that were
// not looked at before: 31 % of the possible gain and 1.2 % worse by indicators and level, 70 and 0.3 % by bar and
// level; that is 61 and 91 % of what the list of least computed spread gains, which makes up to a fifth of the parts
// worse. Seeds: seed+23 and seed+24 with the bed's number. The ordinary run has four parts on one bed and catches a
// list that is dialled the wrong way.
func TestAdvice(t *testing.T) {
	number := cases(1, 1, 80)
	floors := []float64{0.2, 0.6}
	for n, name := range []string{"indicators, level", "bar, level"} {
		p := plans[slices.IndexFunc(plans, func(p plan) bool { return p.name == name })]
		k := adviceStudy(t, p, number, 4)
		gained, worse := k.gained/k.possible, float64(k.worse)/float64(k.parts)
		t.Logf("%s: %d parts, gain %.0f %% of possible, %.0f %% of what the best list takes; worse %.1f %%; "+
			"spread %.1f to %.1f µm", name, k.parts, 100*gained, 100*k.gained/k.least, 100*worse,
			1000*k.before/float64(k.parts), 1000*k.after/float64(k.parts))
		if *full && (gained < floors[n] || worse > 0.02) || !(gained >= 0) || worse > 0.25 { // NaN: no list gains
			t.Errorf("%s: %.0f %% of the gain, %.1f %% of the parts worse", name, 100*gained, 100*worse)
		}
	}
}
