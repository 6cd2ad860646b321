package exercise

import (
	"slices"
	"testing"
)

// The keys by hand, from what the trade's look-alikes show: a twisted bed and a leaning spindle cut the same taper from
// the chuck and none between centres, so that the level alone, which sees the saddle and not the spindle, separates
// them; and no key takes every answer.
func TestKeySeparatesThePair(t *testing.T) {
	for _, c := range []struct {
		n    Number
		want []string
	}{
		{Number{2, 1}, []string{"saddle-level"}}, // a spindle that leans, taken for a twist
		{Number{4, 1}, []string{"saddle-level"}}, // a twist, taken for a spindle that leans
	} {
		a, err := made(t, c.n).Answer()
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(a.Telling, c.want) {
			t.Errorf("%s hides %v, looks like %s, and is told by %v, not %v", c.n, a.Hidden, a.Alike, a.Telling, c.want)
		}
	}
}
