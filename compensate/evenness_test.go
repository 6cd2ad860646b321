package compensate_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/wear"
)

// known returns a bed of two knots, 100 mm apart, whose shift differs by half of diff, mm on diameter, between them:
// every value was known to before and is known to after, standard. cases: how many cases of equal weight say the same.
func known(t testing.TB, diff, before, after float64, cases int) compensate.Machine {
	m := guided(t, []float64{0, 100}, []float64{diff / 2, 0})
	m.Wear = m.Wear.WithCovariance(rowsOf(2, after))
	var of []wear.Case
	for range cases {
		of = append(of, wear.Case{Weight: 1 / float64(cases), Covariance: rowsOf(2, after), Prior: rowsOf(2, before)})
	}
	m.Wear = m.Wear.WithCases(func() []wear.Case { return of })
	return m
}

// The error between two places is one number y. Before anything is read it is normal about nothing, with the bed's own
// standard deviation times 1, 0.35, 0.2, 0.05 or 1.5; what the readings say of it is the density after, over the
// density before, of the bed's own strength. The product, summed up by the trapezium rule, is how probable each share
// is by Bayes' rule, and what y is with it; y then has Student's distribution of five degrees of freedom with that
// scale, and the drawn share within a tolerance has to be the same within three standard errors of 4,000 draws.
func TestEvennessAgainstQuadrature(t *testing.T) {
	const freedom = 5
	const before = 0.01 // mm, each knot; the difference on diameter: 2·√2 times as much
	normal := func(y, mean, u float64) float64 { return math.Exp(-(y-mean)*(y-mean)/(2*u*u)) / u }
	for _, c := range []struct{ diff, after, tolerance float64 }{
		{0, 0.001, 0.0004}, {0, 0.001, 0.003}, {0.002, 0.001, 0.002}, {0.01, 0.002, 0.004}, {0.01, 0.002, 0.012},
		{0.03, 0.004, 0.02}, {0.08, 0.004, 0.078}, {0.005, 0.0095, 0.003},
	} {
		const root8, step = 2 * math.Sqrt2, 1e-6
		within, all := 0.0, 0.0
		plain := distuv.StudentsT{Mu: c.diff, Sigma: root8 * c.after, Nu: freedom}
		for _, s := range []struct{ share, probability float64 }{{1, 0.63}, {0.35, 0.09}, {0.2, 0.15}, {0.05, 0.05},
			{1.5, 0.08}} {
			mass, first, second := 0.0, 0.0, 0.0
			for y := -0.3; y < 0.3; y += step {
				p := normal(y, c.diff, root8*c.after) / normal(y, 0, root8*before) * normal(y, 0, s.share*root8*before)
				mass, first, second = mass+p, first+p*y, second+p*y*y
			}
			mean := first / mass
			of := distuv.StudentsT{Mu: mean, Sigma: math.Sqrt(second/mass - mean*mean), Nu: freedom}
			all += s.probability * mass
			within += s.probability * mass * (of.CDF(c.tolerance) - of.CDF(-c.tolerance))
		}
		want := within / all
		k := mustCurve(t, known(t, c.diff, before, c.after, 3),
			compensate.Cut{Feature: work.Feature{From: 0, To: 100, Diameter: 1000}, SetAt: 100})
		got, _ := k.Sample(k.Ends(), c.tolerance)
		t.Logf("%+v: %.4f, by one strength %.4f", c, want, plain.CDF(c.tolerance)-plain.CDF(-c.tolerance))
		near(t, "probability", got.Within, want, 3*math.Sqrt(want*(1-want)/4000)+0.002)
	}
}

// A length that is asked about twice has the same errors twice in every draw, and one that stands beside another on the
// same bed has on the whole those that it has alone.
func TestEvennessOfSeveralLengths(t *testing.T) {
	m := known(t, 0.01, 0.01, 0.002, 2)
	curve := func(from, to float64) *compensate.Curve {
		return mustCurve(t, m, compensate.Cut{Feature: work.Feature{From: from, To: to, Diameter: 1000}, SetAt: to})
	}
	a, b := curve(0, 60), curve(70, 100)
	j := compensate.NewJoint(m.Wear)
	j.Add(a, a.Ends())
	j.Add(a, a.Ends())
	j.Add(b, b.Ends())
	const tolerance = 0.004
	within, draws := [2]float64{}, 0.0
	j.Draw(10000, func(v []float64) {
		draws++
		near(t, "the same length", v[2], v[0], 1e-12)
		near(t, "where it is set", v[1], 0, 1e-12)
		for i, x := range []float64{v[0], v[4]} {
			if math.Abs(x) <= tolerance {
				within[i]++
			}
		}
	})
	for i, c := range []*compensate.Curve{a, b} {
		alone, _ := c.Sample(c.Ends(), tolerance)
		near(t, "beside another", within[i]/draws, alone.Within, 0.02)
	}
}

// Without what was known before the readings, as of stated drops, no share can be weighed, and nothing changes.
func TestEvennessNeedsThePrior(t *testing.T) {
	m := known(t, 0.01, 0.01, 0.002, 1)
	cut := compensate.Cut{Feature: work.Feature{From: 0, To: 100, Diameter: 1000}, SetAt: 100}
	c := mustCurve(t, m, cut)
	with, _ := c.Sample(c.Ends(), 0.01)
	m.Wear = m.Wear.WithCovariance(rowsOf(2, 0.002))
	c = mustCurve(t, m, cut)
	without, _ := c.Sample(c.Ends(), 0.01)
	// By hand: y is normal about 0.01 with a standard deviation of 2·√2·0.002, so that half of it less
	// Φ(−0.02/0.00566) lies within.
	near(t, "by the ± alone", without.Within, 0.5, 0.015)
	if with.Within < without.Within+0.02 {
		t.Errorf("with the shares %.3f lie within, without them %.3f: a length that may be even keeps more often",
			with.Within, without.Within)
	}
}
