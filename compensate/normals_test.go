package compensate

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// A stream's numbers are those of math/rand for its seed, the first time and once they are kept, also where more are
// wanted than are kept.
func TestNumbers(t *testing.T) {
	s := stream{7, 11}
	for _, wanted := range []int{5, 5, 3, 40, 40, 1} {
		fresh, got := rand.New(rand.NewPCG(7, 11)), s.numbers(wanted)
		for i := range wanted {
			if a, b := got.next(), fresh.NormFloat64(); a != b {
				t.Fatalf("number %d of %d is %g, drawn anew %g", i, wanted, a, b)
			}
		}
	}
}

// The value at each place is the one that sorting puts there, with many equal ones too.
func TestRanked(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for n := 1; n <= 60; n++ {
		values := make([]float64, n)
		for i := range values {
			values[i] = float64(r.IntN(1 + n/2))
		}
		sorted := slices.Sorted(slices.Values(values))
		for place := range n {
			if got := ranked(slices.Clone(values), place); got != sorted[place] {
				t.Fatalf("place %d of %v: %g", place, values, got)
			}
		}
	}
}
