package study

import (
	"regexp"
	"testing"

	"wornway/profile/estimate"
)

// A stretch that the profile states as unworn though the bed is worn there by a third or more of its depth: everything
// that was read contradicts it, and it is named rather than a slip with a survey. Where the stretches are unworn none
// is named.
func TestWornDatumIsNamed(t *testing.T) {
	n := cases(1, 2, *number/50)
	second := regexp.MustCompile(`, \[[^\]]*\]\]\n`)
	for _, wrong := range []bool{true, false} {
		named := share(beds(t, n, func(i int) (finding, error) {
			doubt := undoubted
			if wrong {
				doubt = func(i int) (*estimate.Diagnosis, error) {
					_, e, err := readProfile(second.ReplaceAllString(disputed(i, nil), ", [300, 380]]\n"))
					if err != nil {
						return nil, err
					}
					return e.Slips()
				}
			}
			d, err := doubt(i)
			if err != nil {
				return finding{}, err
			}
			p, first := likely(d)
			t.Logf("%d: %+v, slips %.3f %s", i, d.Worn, p, first)
			return finding{named: d.Worn != nil && d.Worn.Probability > 0.5 && !d.Sure}, nil
		}), func(f finding) bool { return f.named })
		if wrong && named < 0.6 || !wrong && named > 0 {
			t.Errorf("unworn stated wrongly %v: named at %.2f of %d beds", wrong, named, n)
		}
	}
}
