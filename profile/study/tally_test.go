package study

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
)

// two is how many beds are worked on at once.
const two = 2

// beds runs a function for the numbers below n, two at a time, and returns what it made of each.
func beds[T any](t *testing.T, n int, of func(number int) (T, error)) []T {
	t.Helper()
	out := make([]T, n)
	errs := make([]error, n)
	var next atomic.Int64
	var wait sync.WaitGroup
	for range two {
		wait.Add(1)
		go func() {
			defer wait.Done()
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				out[i], errs[i] = of(i)
			}
		}()
	}
	wait.Wait()
	for _, err := range errs {
		if err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// tally is what is counted of one plan over beds.
type tally struct {
	coverage  float64    // share of errors within ±1.96 u
	band      [2]float64 // 95 % of the coverage when the beds are drawn again
	sharp     float64    // coverage where the error bends most: the upper tenth
	small     float64    // coverage on slender work
	long      float64    // coverage of the lengths to mid-bed; NaN without
	scatter   float64    // root mean square of error over u: 1 where u is right
	median    float64    // of the error's size near the chuck, mm
	medianU   float64    // of u there, mm
	medianAll float64    // of the error's size to mid-bed, mm; NaN without
}

func count(of []score) tally {
	var c, sharp, small, long, sizes, us, longs []float64
	var bends []float64
	var hits, totals []float64
	squares, n := 0.0, 0.0
	for _, s := range of {
		for _, k := range s.samples {
			bends = append(bends, k.bend)
		}
	}
	slices.Sort(bends)
	sharpest := math.Inf(1)
	if len(bends) > 0 {
		sharpest = bends[len(bends)*9/10]
	}
	for _, s := range of {
		hit := 0.0
		for _, k := range s.samples {
			in := 0.0
			if k.within() {
				in = 1
			}
			hit += in
			c = append(c, in)
			squares += math.Pow(k.off/k.u, 2)
			n++
			if k.bend >= sharpest {
				sharp = append(sharp, in)
			}
			switch {
			case k.long:
				long, longs = append(long, in), append(longs, math.Abs(k.off))
			case k.small:
				small = append(small, in)
			default:
				sizes, us = append(sizes, math.Abs(k.off)), append(us, k.u)
			}
		}
		hits, totals = append(hits, hit), append(totals, float64(len(s.samples)))
	}
	return tally{coverage: mean(c), band: bootstrap(hits, totals), sharp: mean(sharp), small: mean(small),
		long:    mean(long),
		scatter: math.Sqrt(squares / n), median: median(sizes), medianU: median(us), medianAll: median(longs)}
}

// bootstrap returns the middle 95 % of the ratio of two sums when the beds are drawn again with repetition. Source: B.
// Efron, "Bootstrap methods: another look at the jackknife", Ann. Statist. 7 (1979) 1-26, from memory.
func bootstrap(hits, totals []float64) [2]float64 {
	r := rand.New(rand.NewPCG(1979, uint64(len(hits))))
	const draws = 1000
	out := make([]float64, draws)
	for k := range out {
		h, t := 0.0, 0.0
		for range hits {
			i := r.IntN(len(hits))
			h += hits[i]
			t += totals[i]
		}
		out[k] = h / t
	}
	slices.Sort(out)
	return [2]float64{out[draws*25/1000], out[draws*975/1000-1]}
}

// bin is one fifth of stated probabilities: how many, their mean, how many were kept, and how far that is from what was
// stated in standard errors.
type bin struct {
	count        int
	stated, kept float64
	sigma        float64
}

func bins(of []promise) [5]bin {
	var b [5]bin
	var variance [5]float64
	for _, p := range of {
		i := min(int(p.stated*5), 4)
		b[i].count++
		b[i].stated += p.stated
		variance[i] += p.stated * (1 - p.stated)
		if p.kept {
			b[i].kept++
		}
	}
	for i := range b {
		if n := float64(b[i].count); n > 0 {
			// A bin whose probabilities are all next to 0 or 1 has a standard error of next to nothing; one case in a
			// thousand is allowed for.
			b[i].sigma = (b[i].kept - b[i].stated) / math.Sqrt(variance[i]+n*0.001)
			b[i].stated /= n
			b[i].kept /= n
		}
	}
	return b
}

func mean(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	s := 0.0
	for _, x := range v {
		s += x
	}
	return s / float64(len(v))
}

func median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	v = slices.Sorted(slices.Values(v))
	return v[len(v)/2]
}
