package study

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"testing"

	"wornway/profile/estimate"
)

// likely is how probable it is that there is a slip at all, and the most probable one.
func likely(d *estimate.Diagnosis) (p float64, first string) {
	for _, s := range d.Slips {
		p += s.Probability
	}
	if len(d.Slips) > 0 {
		first = d.Slips[0].Name
	}
	return p, first
}

// levelled is a bed like the demonstration's, the front way some 0.13 mm deep and the rear one a third of that, read by
// a level on the saddle; change makes of each reading what is written.
func levelled(number int, change func(r *rand.Rand, v float64) float64) (*estimate.Diagnosis, error) {
	r := rand.New(rand.NewPCG(seed+21, uint64(number)))
	m := newMachine(r, kinds[number%len(kinds)], uniform(r, 0.10, 0.16))
	m.scale[2] = greatest(m.front, m.form) * uniform(r, 0.25, 0.45)
	b := newBench(m, r, leave{})
	b.spoil = func(_, _ int, cell []string) {
		v, err := strconv.ParseFloat(cell[1], 64)
		if err == nil {
			cell[1] = fmt.Sprintf("%.3f", change(r, v))
		}
	}
	b.near, b.end = m.from, m.to
	b.saddleLevel(0.2, 50)
	_, e, err := readProfile(b.text.String())
	if err != nil {
		return nil, err
	}
	return e.Slips()
}

// told is the share of the beds of a number at which a slip is asked about, and that at which it is named surely.
func told(t *testing.T, n int, change func(r *rand.Rand, v float64) float64, asked func(d *estimate.Diagnosis) bool,
) (about, sure float64) {
	t.Helper()
	all := beds(t, n, func(i int) (finding, error) {
		d, err := levelled(i, change)
		if err != nil {
			return finding{}, err
		}
		return finding{named: d.Sure, told: asked(d)}, nil
	})
	return share(all, func(f finding) bool { return f.told }), share(all, func(f finding) bool { return f.named })
}

// A level read the wrong way round along the whole bed does not pass in silence, though it is all that was read: it is
// named, or asked about. One that was read rightly is not named, and asked about seldom. The rule was set on 24 beds of
// the usual seed, and mended on 24 of seed 71701.
func TestLevelTurnedRound(t *testing.T) {
	n, least, named, asked := cases(2, 4, *number/20), 0.7, 0.0, 0.26
	if *full {
		least, named, asked = 0.9, 0.05, 0.2
	}
	sign := func(d *estimate.Diagnosis) bool { return len(d.Slips) > 0 && d.Slips[0].Name == "sign" }
	const worthSaying = 0.3 // of any slip; the sign of a lone level is asked about from less on
	turned, _ := told(t, n, func(_ *rand.Rand, v float64) float64 { return -v }, sign)
	about, sure := told(t, n, func(_ *rand.Rand, v float64) float64 { return v },
		func(d *estimate.Diagnosis) bool { p, _ := likely(d); return p > worthSaying || sign(d) })
	t.Logf("of %d: turned round told at %.3f, as read named at %.3f and asked about at %.3f", n, turned, sure, about)
	if turned < least || sure > named || about > asked {
		t.Errorf("of %d: turned round told at %.3f, as read named at %.3f and asked about at %.3f", n, turned, sure,
			about)
	}
}

// A bed that is as good as new is a possible bed: readings of nothing, or of what a bubble does at rest, are no slip.
func TestNewBedIsNoSlip(t *testing.T) {
	n := cases(1, 2, *number/40)
	for _, most := range []float64{0, 0.02, 0.05, 0.2} { // divisions; one reading is good to 0.2
		got, _ := told(t, n, func(r *rand.Rand, _ float64) float64 { return most * (2*r.Float64() - 1) },
			func(d *estimate.Diagnosis) bool { return len(d.Slips) > 0 })
		if got > 0.02 {
			t.Errorf("readings within %g divisions: a slip at %.3f of %d beds", most, got, n)
		}
	}
}
