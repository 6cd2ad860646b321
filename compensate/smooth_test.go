package compensate

import (
	"math"
	"testing"
)

// A part of a fitted polynomial is the function on that part: at its ends, within it, and with the extremes that lie
// there. The function is the integral of (z − 1)(z − 4)², by hand: it is least at 1, and at 4 it only rests.
func TestPartOfAPolynomial(t *testing.T) {
	f := func(z float64) float64 { return z*z*z*z/4 - 3*z*z*z + 12*z*z - 16*z }
	var whole []polynomial
	fit(f, 0, 5, fitDeep, func(p polynomial) { whole = append(whole, p) })
	if len(whole) != 1 {
		t.Fatalf("%d pieces of one polynomial", len(whole))
	}
	for _, c := range []struct{ from, to, least, greatest float64 }{
		{0, 5, 1, 5}, {0, 2, 1, 0}, {0.5, 1.25, 1, 0.5}, {2, 5, 2, 5}, {3, 4.5, 3, 4.5}, {1, 2, 1, 2}, {0, 1, 1, 0},
	} {
		p := whole[0].between(c.from, c.to)
		if p.from != c.from || p.to != c.to {
			t.Errorf("from %g to %g, wanted %g to %g", p.from, p.to, c.from, c.to)
		}
		for _, share := range []float64{0, 0.1, 0.5, 0.8, 1} {
			z := c.from + share*(c.to-c.from)
			if off := math.Abs(bezier(p.c, share) - f(z)); off > 1e-12 {
				t.Errorf("from %g to %g, at %g: off by %g", c.from, c.to, z, off)
			}
		}
		h := newHunt(f)
		h.search(p)
		if math.Abs(h.least.Position-c.least) > 1e-3 || math.Abs(h.least.Value-f(c.least)) > 1e-8 {
			t.Errorf("from %g to %g: least at %g", c.from, c.to, h.least.Position)
		}
		if h.greatest.Position != c.greatest || math.Abs(h.greatest.Value-f(c.greatest)) > 1e-12 {
			t.Errorf("from %g to %g: greatest at %g", c.from, c.to, h.greatest.Position)
		}
	}
}
