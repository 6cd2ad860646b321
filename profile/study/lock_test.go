package study

import (
	"math/rand/v2"
	"testing"
)

// The feel of the lock is all that was noted, in steps of half to twice a thou that are read to the nearest: the ±
// covers what the tool then does to the work. Feels taken as values with errors of their own covered 80 %, since many
// that are alike then say that there is no wear. Wear that bends sharply is not felt through the saddle; so a little
// less than 95 % is asked. One bed of the sixty, a plateau (number 20) whose feels say that it falls on, is out by six
// u, and makes half of the scatter.
func TestLockAlone(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds")
	}
	p := plan{name: "lock", far: true}
	c := count(beds(t, 60, func(i int) (score, error) {
		r := rand.New(rand.NewPCG(seed+15, uint64(i)))
		m := newMachine(r, kinds[i%len(kinds)], uniform(r, 0.03, 0.15))
		at := lengths(r)
		b := newBench(m, r, leave{})
		b.carriageLock()
		tool, err := estimated(b.text.String())
		if err != nil {
			return score{}, err
		}
		return judge(m, tool, p, at, r, false)
	}))
	t.Logf("coverage %.3f (%.3f to %.3f), scatter %.2f, u %.1f µm", c.coverage, c.band[0], c.band[1], c.scatter,
		1000*c.medianU)
	if c.coverage < 0.88 || c.scatter > 1.5 {
		t.Errorf("%.1f %% of the errors lie within 1.96 u; they scatter by %.2f u", 100*c.coverage, c.scatter)
	}
}
