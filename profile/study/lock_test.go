package study

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// The feel of the lock is all that was noted, in steps of half to twice a thou that are read to the nearest: the ±
// covers what the tool then does to the work. Feels taken as values with errors of their own covered 80 %, since many
// that are alike then say that there is no wear. Wear that bends sharply, a plateau or two humps, is not felt through
// the saddle: of those twenty beds some 74 % are covered, and one (number 20), whose feels say that it falls on, is out
// by six u and makes half of the scatter. So all are held to less than 95 %, and the other forms, two thirds of the
// beds, to that. The ordinary run has twelve beds of the sixty, two of each form, and the same bounds.
func TestLockAlone(t *testing.T) {
	number := cases(6, 12, 60)
	p := plan{name: "lock", far: true}
	all := beds(t, number, func(i int) (score, error) {
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
	})
	felt := count(slices.DeleteFunc(slices.Clone(all), func(s score) bool {
		return s.kind == "plateau" || s.kind == "two humps"
	}))
	t.Logf("forms that are felt: coverage %.3f, scatter %.2f", felt.coverage, felt.scatter)
	if felt.coverage < 0.93 || felt.scatter > 1.2 {
		t.Errorf("where it is felt %.1f %% of the errors lie within 1.96 u; they scatter by %.2f u", 100*felt.coverage,
			felt.scatter)
	}
	c := count(all)
	t.Logf("coverage %.3f (%.3f to %.3f), scatter %.2f, u %.1f µm", c.coverage, c.band[0], c.band[1], c.scatter,
		1000*c.medianU)
	if c.coverage < 0.86 || c.scatter > 1.6 {
		t.Errorf("%.1f %% of the errors lie within 1.96 u; they scatter by %.2f u", 100*c.coverage, c.scatter)
	}
}
