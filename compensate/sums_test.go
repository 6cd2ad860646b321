package compensate_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"wornway/compensate"
	"wornway/profile/bed"
)

// The sums of a cut are the derivative of its error. A curve through knots grows in proportion when all its values do,
// so that the derivative by the size of one curve, or of one scalar, is the sums' value with nothing else there; it is
// held against a central difference of the exact error.
func TestSumsAreTheDerivative(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 15))
	const h = 1e-4
	for i := range 60 {
		b := randomBench(r, 14)
		cut := b.randomCut(r, 200)
		curve := func(b bench) *compensate.Curve {
			k, err := b.machine(t).Curve(cut)
			if err != nil {
				t.Fatal(err)
			}
			return k
		}
		k := curve(b)
		z := cut.From + r.Float64()*(cut.To-cut.From)
		sums := k.Sums(z)
		by := func(alone bench) float64 {
			w := alone.machine(t).Wear
			v := 0.0
			for _, s := range sums {
				v += s.Factor * w.Value(s.Sum, s.At)
			}
			return v
		}
		check := func(what string, more, less, alone bench) {
			t.Helper()
			want := (curve(more).At(z, 0) - curve(less).At(z, 0)) / (2 * h)
			if got := by(alone); math.Abs(got-want) > 1e-9+1e-5*math.Abs(want) {
				t.Errorf("bench %d: by %s the sums give %.9g mm, the difference %.9g", i, what, got, want)
			}
		}
		for _, c := range []bed.Curve{bed.Front, bed.Shift, bed.Rear} {
			check(c.String(), b.grown(c, 1+h), b.grown(c, 1-h), b.only(c))
		}
		for s := range bed.Scalars {
			more, less, alone := b, b, bench{lathe: b.lathe, z: b.z, values: b.only(-1).values}
			more.scalars[s] *= 1 + h
			less.scalars[s] *= 1 - h
			alone.scalars[s] = b.scalars[s]
			check("a scalar", more, less, alone)
		}
	}
}

// grown returns the bench with one curve so many times as great.
func (b bench) grown(c bed.Curve, times float64) bench {
	out := b
	out.values = map[bed.Curve][]float64{}
	for k, v := range b.values {
		out.values[k] = v
		if k == c {
			out.values[k] = nil
			for _, x := range v {
				out.values[k] = append(out.values[k], x*times)
			}
		}
	}
	return out
}

// only returns the bench with one curve and nothing else.
func (b bench) only(c bed.Curve) bench {
	out := bench{lathe: b.lathe, z: b.z, values: map[bed.Curve][]float64{}}
	for k, v := range b.values {
		out.values[k] = make([]float64, len(v))
		if k == c {
			out.values[k] = v
		}
	}
	return out
}
