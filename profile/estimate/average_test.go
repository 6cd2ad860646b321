package estimate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"wornway/profile/bed"
	"wornway/profile/wear"
)

// moments2 are mean and variance of a sum of curves over points of a mixture.
func moments2(t *testing.T, p *problem, points []point, s bed.Sum, z float64) (mean, variance float64) {
	t.Helper()
	whole, square := 0.0, 0.0
	for _, x := range points {
		q, err := x.space.posterior(x.at)
		if err != nil {
			t.Fatal(err)
		}
		f := fixed{p, x, q}
		w := f.weigh(s, z)
		m := f.value(w)
		whole += x.weight
		mean += x.weight * m
		square += x.weight * (m*m + f.covariance(w, w))
	}
	mean /= whole
	return mean, square/whole - mean*mean
}

// The few points over which strengths and reach are averaged, against brute force, bed by bed: thousands of strengths
// drawn from what is known of them beforehand, for each reach, weighted by how probable they make the readings. Beds
// and readings are drawn from the prior. One point per reach leaves a tenth of the ± out, and a cubature whose weights
// are not a normal density's (e^(r²/4) for e^(r²/2)) a twentieth. What is asked of a length is that of smooth wear, up
// to what steep places add to it: the mixture with room for an edge is half as unsure again between readings, and more.
// On a bed worn by little more than its readings are unsure by, the ± of a place may be a tenth off.
func TestAverageAgainstBruteForce(t *testing.T) {
	const draws = 6000 // a third of them strays by more than what is asked
	beds := uint64(4)
	if testing.Short() {
		beds = 1
	}
	off, size := 0.0, 0.0
	for k := range beds {
		r := rand.New(rand.NewPCG(1517, k))
		p := mustProblem(t, sights[3].input()) // each way
		truth := fromPrior(r, p, lengthShare)
		truth.read(r, p)
		best, err := mostProbable(p, point{at: priorCentre()})
		if err != nil {
			t.Fatal(err)
		}
		both, err := average(p, best.at)
		if err != nil {
			t.Fatal(err)
		}
		sys := newSystem(p)
		var all []point
		for _, reach := range reaches {
			s := newSpace(p, sys, manner{reach, lengthShare})
			for range draws {
				var at strengths
				for i, q := range priors() {
					at[i] = q[0] + q[1]*r.NormFloat64()
				}
				all = append(all, point{space: s, at: at, score: s.score(at) - at.prior(), weight: 1})
			}
		}
		if all, err = weigh(all); err != nil {
			t.Fatal(err)
		}
		smooth := asRead(t, p)
		for _, z := range []float64{110, 230} { // between readings
			v := ofCases(smooth.Wear, bed.At(bed.Front, 0), z)
			_, want := moments2(t, p, all, bed.At(bed.Front, 0), z)
			edges := standard(smooth.Wear, bed.At(bed.Front, 0), z)
			t.Logf("bed %d at %g: of a length %.3f of that by brute force, with room for an edge %.3f", k, z,
				math.Sqrt(v/want), edges/math.Sqrt(want))
			if r := math.Sqrt(v / want); r < 0.9 || r > 1.35 {
				t.Errorf("bed %d at %g: %.3f of the standard uncertainty of smooth wear by brute force", k, z, r)
			}
		}
		for _, z := range []float64{130, 330} {
			m, v := moments2(t, p, both.length, bed.At(bed.Front, 0), z)
			wantM, wantV := moments2(t, p, all, bed.At(bed.Front, 0), z)
			ratio := math.Sqrt(v / wantV)
			t.Logf("bed %d at %g: %.5f ± %.5f, by brute force %.5f ± %.5f of %d: ratio %.3f", k, z, m, math.Sqrt(v),
				wantM, math.Sqrt(wantV), len(all), ratio)
			if math.Abs(ratio-1) > 0.12 {
				t.Errorf("bed %d at %g: %.3f of the standard uncertainty by brute force", k, z, ratio)
			}
			off += math.Log(ratio)
			size++
		}
	}
	if mean := math.Exp(off / size); math.Abs(mean-1) > 0.035*math.Sqrt(8/size) {
		t.Errorf("%.3f of the standard uncertainty by brute force in the mean", mean)
	}
}

// asRead estimates the readings of a problem.
func asRead(t *testing.T, p *problem) *Result {
	t.Helper()
	in := p.in
	in.Surveys = slices.Clone(in.Surveys)
	for k := range in.Surveys {
		in.Surveys[k].Equations = slices.Clone(in.Surveys[k].Equations)
	}
	for _, q := range p.rows {
		in.Surveys[q.survey].Equations[q.equation].Reading = q.y * q.u
	}
	e, err := Estimate(in)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// ofCases is the variance of a sum of curves over a wear's cases together.
func ofCases(w *wear.Wear, s bed.Sum, z float64) float64 {
	var g wear.Weights
	w.Weigh(&g, s, z, 1)
	mean, square := 0.0, 0.0
	for _, c := range w.Cases() {
		off := c.Shift(&g)
		mean += c.Weight * off
		square += c.Weight * (off*off + c.Covariance.Between(&g, &g))
	}
	return square - mean*mean
}

// edged is each way read every 60 mm, sunk by 0.1 mm from one reading to the next and even elsewhere.
func edged(t *testing.T) *Result {
	t.Helper()
	in := sights[3].input()
	for k := range 2 {
		for i, e := range in.Surveys[k].Equations {
			if e.Position > 120 {
				in.Surveys[k].Equations[i].Reading = 0.1
			}
		}
	}
	r, err := Estimate(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Between two readings the ± is greater where an edge lies than where the way is even: wear changes over a short reach
// where it changes at all (steep.go).
func TestEdgeIsLessSure(t *testing.T) {
	r := edged(t)
	edge, even := standard(r.Wear, bed.At(bed.Front, 0), 110), standard(r.Wear, bed.At(bed.Front, 0), 230)
	if edge < 1.15*even {
		t.Errorf("± %.4f at the edge, %.4f where it is even", 2*edge, 2*even)
	}
}

// Of how much better than stated readings are they say nothing, as they never count as better: from any such start, and
// with any step, the prior's top is found, which is at zero.
func TestSilentAxis(t *testing.T) {
	f := fix(t, mustProblem(t, mixedSurveys(t, 8)), 200, 0.06, 0.03, 0.02)
	for _, start := range []float64{-0.9, -0.73, -0.591, -0.4345, -0.4467, -0.31} {
		for _, step := range []float64{0.6 / 1.5 / 1.5, 0.25, 0.1} {
			k := peak{at: f.point.at}
			k.at[3] = start
			k.score = f.point.space.score(k.at)
			k.along(f.point.space, 3, step)
			near(t, fmt.Sprintf("from %g by %g", start, step), k.at[3], 0, 1e-6)
		}
	}
}
