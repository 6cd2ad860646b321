package estimate

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"wornway/profile/abreast"
	"wornway/profile/bed"
	"wornway/profile/survey"
)

// Whether the averaging over strengths and reach is computed rightly is asked of beds that are as the prior has them:
// strengths, reach and noise drawn from it, the curves drawn for these, readings made of the curves with nothing free
// but the wear. Over many such beds the rank of the true value among draws of the answer is uniform, whatever the prior
// is. That the prior is right is another question, which package study asks.
//
// Source: S. Talts, M. Betancourt, D. Simpson, A. Vehtari and A. Gelman, Validating Bayesian inference algorithms with
// simulation-based calibration, arXiv 1804.06788 (2018).

var (
	calibrating    = flag.Bool("study", false, "calibrate on many beds and write testdata/study/calibration.md")
	calibratedBeds = flag.Int("beds", 5000, "beds for each kind of readings with -study")
	calibratedSeed = flag.Uint64("seed", 18040, "of the beds")
)

// Long says whether the long forms of tests are asked for.
func Long() bool { return *calibrating }

const calibration = "../../testdata/study/calibration.md"

// ranks is how many values a rank may have, and rankBins into how many bins they are sorted.
const (
	ranks    = 100
	rankBins = 10
)

// sight is a kind of readings, with nothing free: sums of the wear at places, each with its uncertainty.
type sight struct {
	name string
	sees []seen
}

type seen struct {
	sum   bed.Sum
	u     float64
	every float64 // mm
}

var sights = []sight{
	{"level on the saddle", []seen{{usual.RollAt(-25), 4e-6, 25}}},
	{"bar", []seen{{usual.ToolOut(), 0.003, 20}}},
	{"bar, level", []seen{{usual.ToolOut(), 0.003, 20}, {usual.RollAt(-25), 4e-6, 50}}},
	{"each way", []seen{{bed.At(bed.Front, 0), 0.004, 60}, {bed.At(bed.Rear, 0), 0.004, 60},
		{bed.At(bed.Shift, 0), 0.004, 60}}},
}

// input is readings of zero; the bed is short, so that many of them take little time.
func (s sight) input() Input {
	in := Input{Bed: [2]float64{-200, 420}, Unworn: [][2]float64{{-200, -150}, {370, 420}}, TwistU: 5e-8}
	for _, o := range s.sees {
		var set survey.Set
		for z := 20.0; z <= 240; z += o.every {
			set.Equations = append(set.Equations, survey.Equation{Position: z,
				Parts: []bed.Addend{{Sum: o.sum, At: z, Factor: 1}}, U: o.u})
		}
		in.Surveys = append(in.Surveys, set)
	}
	return in
}

// believed is a bed drawn from the prior: the curves at the knots and the scalars, in the unknowns' order, and how much
// worse its readings are than stated.
type believed struct {
	values []float64
	noise  float64
}

// fromPrior draws a bed of a share of change over a short reach.
func fromPrior(r *rand.Rand, p *problem, share float64) believed {
	m := manner{reachOf(r), share}
	var at strengths
	for i, q := range priors() {
		at[i] = q[0] + q[1]*r.NormFloat64()
	}
	n := len(p.knots)
	rough := lower(kernelOn(p.places(p.knots), p.places(datumOf(p.in.Unworn)), m))
	between := mat.NewDense(len(p.curves), len(p.curves), nil)
	for c, one := range p.curves {
		for d, other := range p.curves {
			between.Set(c, d, p.between(at, one, other))
		}
	}
	together := lower(between)
	free := mat.NewDense(len(p.curves), n, nil)
	for c := range p.curves {
		for k := range n {
			free.Set(c, k, r.NormFloat64())
		}
	}
	var curves mat.Dense
	curves.Product(together, free, rough.T())
	out := believed{noise: at.noise()}
	for c := range p.curves {
		out.values = append(out.values, curves.RawRowView(c)...)
	}
	for k, u := range p.scalar {
		out.values = append(out.values, p.mean[k]+u*r.NormFloat64())
	}
	return out
}

// read makes the problem's readings those of the bed.
func (b believed) read(r *rand.Rand, p *problem) {
	for i, q := range p.rows {
		v := 0.0
		for _, e := range q.known {
			v += e.weight * b.values[e.column]
		}
		p.rows[i].y = v + b.noise*r.NormFloat64()
	}
}

// reachOf draws one of the reaches.
func reachOf(r *rand.Rand) float64 {
	var sums []float64
	sum := 0.0
	for _, reach := range reaches {
		sum += math.Exp(manner{reach: reach}.prior())
		sums = append(sums, sum)
	}
	i, _ := slices.BinarySearch(sums, sum*r.Float64())
	return reaches[i]
}

// lower returns a factor L of a covariance, L·Lᵀ, by its eigenvectors: one that may be singular.
func lower(of *mat.Dense) *mat.Dense {
	n, _ := of.Dims()
	s := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			s.SetSym(i, j, of.At(i, j))
		}
	}
	var e mat.EigenSym
	if !e.Factorize(s, true) {
		panic("no eigenvalues")
	}
	var v mat.Dense
	e.VectorsTo(&v)
	for j, x := range e.Values(nil) {
		for i := range n {
			v.Set(i, j, v.At(i, j)*math.Sqrt(math.Max(0, x)))
		}
	}
	return &v
}

// asked are the values that are ranked: weighted sums of the unknowns.
func asked(f fixed) (names []string, weights [][]float64) {
	const middle, other = 130, 60
	add := func(name string, w []float64) { names, weights = append(names, name), append(weights, w) }
	for _, c := range []bed.Curve{bed.Front, bed.Shift, bed.Rear} {
		add(c.String(), f.weigh(bed.At(c, 0), middle))
	}
	out := f.weigh(usual.ToolOut(), middle)
	axpy(-1, f.weigh(usual.ToolOut(), other), out)
	add("tool out, between two places", out)
	beyond := f.weigh(bed.At(bed.Front, 0), 330)
	add("front, beyond the readings", beyond)
	return names, weights
}

// calibrated draws a bed, has it read and estimated, and returns the ranks of what is asked among draws of the answer.
func calibrated(s sight, share float64, seed, number uint64) (names []string, rank []int, err error) {
	r := rand.New(rand.NewPCG(seed, number))
	in := s.input()
	p, err := newProblem(in)
	if err != nil {
		return nil, nil, err
	}
	truth := fromPrior(r, p, share)
	truth.read(r, p)
	best, err := mostProbable(p, point{at: priorCentre()})
	if err != nil {
		return nil, nil, err
	}
	both, err := average(p, best.at)
	if err != nil {
		return nil, nil, err
	}
	points := both.edges
	if share == lengthShare {
		points = both.length
	}
	var weights [][]float64
	means := make([][]float64, len(points))
	us := make([][]float64, len(points))
	for i, t := range points {
		q, err := t.space.posterior(t.at)
		if err != nil {
			return nil, nil, err
		}
		f := fixed{p, t, q}
		if i == 0 {
			names, weights = asked(f)
		}
		for _, w := range weights {
			means[i] = append(means[i], f.value(w))
			us[i] = append(us[i], math.Sqrt(math.Max(0, f.covariance(w, w))))
		}
	}
	for k, w := range weights {
		v, below := dot(w, truth.values), 0
		for range ranks - 1 {
			i, left := 0, r.Float64()
			for i < len(points)-1 && left > points[i].weight {
				left -= points[i].weight
				i++
			}
			if means[i][k]+us[i][k]*r.NormFloat64() < v {
				below++
			}
		}
		rank = append(rank, below)
	}
	return names, rank, nil
}

// histogram is how often ranks fall into each bin.
type histogram [rankBins]int

// chance is the probability that uniform ranks are as uneven, by chi-square.
func (h histogram) chance() float64 {
	n := 0
	for _, c := range h {
		n += c
	}
	want, chi2 := float64(n)/rankBins, 0.0
	for _, c := range h {
		chi2 += (float64(c) - want) * (float64(c) - want) / want
	}
	return 1 - distuv.ChiSquared{K: rankBins - 1}.CDF(chi2)
}

// outer is the share of ranks in the two outermost bins, 0.2 where ranks are uniform: more where the ± is too small.
func (h histogram) outer() float64 {
	n := 0
	for _, c := range h {
		n += c
	}
	return float64(h[0]+h[rankBins-1]) / float64(n)
}

func calibrate(t *testing.T, s sight, share float64, seed uint64, n int) (names []string, of []histogram) {
	t.Helper()
	var lock sync.Mutex
	var failed error
	abreast.Do(n, func(i int) {
		called, rank, err := calibrated(s, share, seed, uint64(i))
		lock.Lock()
		defer lock.Unlock()
		if err != nil {
			failed = err
			return
		}
		names = called
		if of == nil {
			of = make([]histogram, len(rank))
		}
		for k, v := range rank {
			of[k][v*rankBins/ranks]++
		}
	})
	if failed != nil {
		t.Fatal(failed)
	}
	return names, of
}

// rankChance is the probability, by chi-square, under which ranks are not taken as uniform. With forty histograms of
// the ordinary run one falls below it by chance in one seed of twenty-five.
const rankChance = 1e-3

// The averaging is computed rightly: ranks are uniform but for chance. The long run sees what the few points of the
// average leave out (TestAverageAgainstBruteForce: some two hundredths of the ±), and only reports.
func TestCalibrated(t *testing.T) {
	n, seed := 60, uint64(18040)
	if *calibrating {
		n, seed = *calibratedBeds, *calibratedSeed
	}
	var b strings.Builder
	fmt.Fprintf(&b, "# Ranks of the truth among draws of the answer, on beds drawn from the prior\n\nMade by `go test "+
		"./profile/estimate -run Calibrated -study`, seed %d, %d beds each. All data are invented. Ten bins, uniform "+
		"where the averaging is computed rightly (S. Talts and others, arXiv 1804.06788); the probability of ranks as "+
		"uneven by chance, and the share in the two outermost bins, which is 20 %% there.\n\n| readings | share of "+
		"sharp changes | of | ranks | by chance | outermost |\n|---|---|---|---|---|---|\n", seed, n)
	for i, s := range sights {
		if testing.Short() && i > 0 {
			break
		}
		for j, share := range []float64{edgeShare, lengthShare} {
			names, of := calibrate(t, s, share, seed+uint64(2*i+j), n) // each its own beds
			for k, h := range of {
				if p := h.chance(); p < rankChance && !*calibrating {
					t.Errorf("%s, %g, %s: ranks %v, by chance in %.2g", s.name, share, names[k], h, p)
				}
				fmt.Fprintf(&b, "| %s | %g | %s | %v | %.2g | %.1f |\n", s.name, share, names[k], h, h.chance(),
					100*h.outer())
			}
		}
	}
	t.Log("\n" + b.String())
	if *calibrating {
		if err := os.WriteFile(calibration, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
