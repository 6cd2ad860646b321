package estimate

import (
	"fmt"
	"math"
	"testing"

	"wornway/profile/bed"
	"wornway/profile/survey"
)

// within returns the logarithm of the probability that a normal error of standard deviation u takes x to between low
// and high.
func within(x, low, high, u float64) float64 {
	p, q := (low-x)/u, (high-x)/u
	if p+q < 0 {
		p, q = -q, -p
	}
	upper, lower := logTail(p), logTail(q)
	return upper + math.Log1p(-math.Exp(lower-upper))
}

// logTail returns the logarithm of the probability of a normal deviate above t. Out in the tail it is the asymptotic
// series, to better than 10⁻⁹.
func logTail(t float64) float64 {
	if t < 25 {
		return math.Log(math.Erfc(t/math.Sqrt2) / 2)
	}
	if math.IsInf(t, 1) {
		return math.Inf(-1)
	}
	i := 1 / (t * t)
	return -t*t/2 - math.Log(t*math.Sqrt(2*math.Pi)) + math.Log1p(-i*(1-i*(3-i*(15-105*i))))
}

// integrated returns mean and standard deviation of what is known as mean ± u once it lies between soft limits, by
// Simpson's rule about the peak of the product; logarithms keep it from underflow.
func integrated(mean, u, low, high, soft float64) (m, sd float64) {
	log := func(x float64) float64 { return within(x, low, high, soft) - (x-mean)*(x-mean)/(2*u*u) }
	// Both factors have one peak, so that theirs lies between: thirds are cut off until it is found.
	nearest := math.Max(low, math.Min(high, mean))
	from, to := math.Min(mean, nearest), math.Max(mean, nearest)
	for range 300 {
		a, b := from+(to-from)/3, to-(to-from)/3
		if log(a) < log(b) {
			from = a
		} else {
			to = b
		}
	}
	peak := (from + to) / 2
	best := log(peak)
	// Outward to where the product is 10⁻¹⁶ of its peak.
	edge := func(sign float64) float64 {
		far := 1e-12
		for log(peak+sign*far)-best > -37 {
			far *= 2
		}
		near := far / 2
		for range 60 {
			if h := (near + far) / 2; log(peak+sign*h)-best > -37 {
				near = h
			} else {
				far = h
			}
		}
		return peak + sign*far
	}
	from, to = edge(-1), edge(1)
	// In pieces about the limits, where it may turn sharply.
	cuts := []float64{from}
	for _, l := range []float64{low - 9*soft, low, low + 9*soft, high - 9*soft, high, high + 9*soft, to} {
		if l > cuts[len(cuts)-1] && l <= to {
			cuts = append(cuts, l)
		}
	}
	var sum, first, second float64
	for k := 1; k < len(cuts); k++ {
		const n = 1200
		a, h := cuts[k-1], (cuts[k]-cuts[k-1])/n
		for i := range n + 1 {
			w := h
			switch {
			case i == 0 || i == n:
			case i%2 == 1:
				w *= 4
			default:
				w *= 2
			}
			x := a + h*float64(i)
			d := w * math.Exp(log(x)-best)
			sum, first, second = sum+d, first+d*(x-peak), second+d*(x-peak)*(x-peak)
		}
	}
	m = first / sum
	return peak + m, math.Sqrt(second/sum - m*m)
}

// What limits leave of what is known, against integrating it numerically: means in the middle, at and near the limits,
// outside, and so far outside that all densities underflow; limits as sharp as a nanometre and softer than they are
// apart.
func TestCutAgainstIntegration(t *testing.T) {
	const reading = 0.05
	for _, mean := range []float64{0.05, 0.046, 0.0565, 0.06, 0.07, 0, 0.13, 0.36, -0.3, 5, -40} {
		for _, u := range []float64{0.05, 0.01, 0.001} {
			for _, soft := range []float64{0.01, 0.002, 1e-6} {
				for _, e := range []survey.Equation{
					{Side: survey.Between, Half: 0.0185}, {Side: survey.Between, Half: 0.00635},
					{Side: survey.Between, Half: 1e-4},
					{Side: survey.AtMost}, {Side: survey.AtLeast},
				} {
					e.U = soft
					low, high := reading-e.Half, reading+e.Half
					switch e.Side {
					case survey.AtMost:
						low = math.Inf(-1)
					case survey.AtLeast:
						high = math.Inf(1)
					}
					what := fmt.Sprintf("%g ± %g, side %d, half %g, limits ± %g", mean, u, e.Side, e.Half, soft)
					wantMean, wantU := integrated(mean, u, low, high, soft)
					m, v := cutTo(e, reading, mean, u*u)
					near(t, what+": mean", m, wantMean, 1e-6*wantU)
					near(t, what+": uncertainty", math.Sqrt(v), wantU, 1e-6*wantU)
				}
			}
		}
	}
}

// Closed forms where limits are sharp: a rectangle (half/√3) where all that is between them is alike, and beyond a
// limit z standard deviations away an exponential tail of length 1/z, with mean 1/z − 2/z³ and variance 1/z² −
// 6/z⁴ (asymptotic series of Mills' ratio, from memory).
func TestCutInTheExtreme(t *testing.T) {
	for _, half := range []float64{1e-9, 1e-6, 1e-3} {
		m, v := cutTo(survey.Equation{Side: survey.Between, Half: half, U: 1e-15}, 0.05, 0.03, 100*100)
		near(t, "rectangle: mean", m, 0.05, 1e-6*half)
		near(t, "rectangle: uncertainty", math.Sqrt(v), half/math.Sqrt(3), 1e-8*half)
	}
	for _, z := range []float64{1e2, 1e4, 1e6, 1e8} {
		m, v := cutNormal(z, math.Inf(1))
		near(t, "tail: mean", (m-z)*z, 1-2/(z*z), 1e-6+z*z*1e-16*2)
		near(t, "tail: variance", v*z*z, 1-6/(z*z), 1e-6)
		low, same := cutNormal(math.Inf(-1), -z)
		near(t, "the other tail: mean", low, -m, 0)
		near(t, "the other tail: variance", same, v, 0)
	}
	if m, v := cutNormal(-10, math.Inf(1)); m != 0 || v != 1 {
		t.Errorf("a limit that nothing comes near makes of 0 ± 1 %g ± √%g", m, v)
	}
	if m, v := cutNormal(3, 3); m != 3 || v != 0 {
		t.Errorf("between 3 and 3 there is %g ± √%g", m, v)
	}
}

// An interval, read beside values and alone, at one place: only what it stands for is integrated.
func TestIntervalAgainstIntegration(t *testing.T) {
	between := func(reading, half, u float64) survey.Equation {
		e := frontAt(sideAt, reading, u, survey.Between)
		e.Half = half
		return e
	}
	for _, e := range []survey.Equation{between(0.05, 0.0185, 0.001), between(0.07, 0.00635, 0.002),
		between(0.12, 0.08, 0.001), between(0.3, 0.00635, 0.002), between(0.05, 1e-5, 0.002)} {
		reading := frontAt(sideAt, 0.05, 0.01, survey.Value)
		mean, u := limited(t, reading)
		wantMean, wantU := integrated(mean, u, e.Reading-e.Half, e.Reading+e.Half, e.U)
		gotMean, gotU := limited(t, reading, e)
		near(t, "mean", gotMean, wantMean, 2e-7)
		near(t, "uncertainty", gotU, wantU, 2e-7)

		wantMean, wantU = integrated(0, sideStrength, e.Reading-e.Half, e.Reading+e.Half, e.U)
		gotMean, gotU = limited(t, e)
		near(t, "alone: mean", gotMean, wantMean, 2e-7)
		near(t, "alone: uncertainty", gotU, wantU, 2e-7)
	}
}

// zeroed gives a survey a free zero that stands at so much.
func zeroed(at float64, equations ...survey.Equation) survey.Set {
	s := direct(equations...)
	s.Terms = []survey.Term{{Name: survey.ZeroName, Flat: true}}
	for i := range s.Equations {
		s.Equations[i].Shares = []survey.Share{{Term: 0, Factor: 1}}
		s.Equations[i].Reading += at
	}
	return s
}

// Intervals about a free zero. Where a sharp reading of the same survey ties the zero to a known place, they say what
// they would without one; for any zero the whole estimate is the same.
func TestIntervalsWithAFreeZero(t *testing.T) {
	const middle = 254.0 // of the bed
	hollow := func() []survey.Equation {
		var out []survey.Equation
		for z := 50.0; z <= 450; z += 25 {
			d := (z - middle) / 120
			e := frontAt(z, 0.0127*(math.Floor(0.08*math.Exp(-d*d)/0.0127)+0.5), 0.001, survey.Between)
			e.Half = 0.00635
			out = append(out, e)
		}
		return out
	}
	in := Input{Bed: [2]float64{-100, 608}, Unworn: [][2]float64{{-100, 0}, {558, 608}}}
	made := func(at float64, plain bool) *Result {
		t.Helper()
		set := zeroed(at, append(hollow(), frontAt(0, 0, 1e-5, survey.Value))...)
		if plain {
			set = direct(hollow()...)
		}
		tied := in
		tied.Surveys = []survey.Set{direct(frontAt(0, 0, 1e-5, survey.Value)), set}
		r, err := Estimate(tied)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	// The one reading that ties the zero moves the strengths a little: hence not to more than 0.2 µm.
	without, with, far := made(0, true), made(0, false), made(-31, false)
	for z := 0.0; z <= 500; z += 50 {
		s := bed.At(bed.Front, 0)
		v, u := with.Wear.Value(s, z), standard(with.Wear, s, z)
		near(t, "without a zero", without.Wear.Value(s, z), v, 2e-4)
		near(t, "without a zero: ±", standard(without.Wear, s, z), u, 2e-4)
		near(t, "another zero", far.Wear.Value(s, z), v, 1e-8)
		near(t, "another zero: ±", standard(far.Wear, s, z), u, 1e-8)
	}
	// The limits hold the truth, and the estimate: 0.08 lies in 0.0762 to 0.0889.
	deep, u := with.Wear.Value(bed.At(bed.Front, 0), middle), standard(with.Wear, bed.At(bed.Front, 0), middle)
	if !(deep > 0.0762-0.001 && deep < 0.0889+0.001 && math.Abs(deep-0.08) < 2*u && u < 1.05*0.0127/math.Sqrt(12)) {
		t.Errorf("the deepest place is %.4f ± %.4f", deep, 2*u)
	}
	for _, a := range far.Surveys {
		if len(a.Outliers) > 0 || a.RMS > 1.5*a.Expected {
			t.Errorf("agreement %+v", a)
		}
	}
}

// A gap between limits counts as its middle with the uncertainty of a rectangle and of the leaf. The others' value is
// sharp here, so that its own uncertainty is all: 0.02/√3 and 0.002.
func TestAgreementOfIntervals(t *testing.T) {
	for _, c := range []struct {
		reading float64
		named   bool
	}{{0.06, false}, {0.10, true}} {
		e := frontAt(sideAt, c.reading, 0.002, survey.Between)
		e.Half = 0.02
		r, err := Estimate(Input{Bed: [2]float64{0, 508}, Surveys: []survey.Set{direct(frontAt(sideAt, 0.05, 1e-6,
			survey.Value)), direct(e)}})
		if err != nil {
			t.Fatal(err)
		}
		a := r.Surveys[1]
		want := math.Sqrt(0.002*0.002 + 0.02*0.02/3)
		near(t, "off", a.RMS, c.reading-0.05, 1e-6)
		near(t, "expected", a.Expected, want, 1e-6)
		if named := len(a.Outliers) > 0; named != c.named {
			t.Errorf("%g: named %v", c.reading, a.Outliers)
		} else if named {
			near(t, "standard deviations", a.Outliers[0].Sigma, 0.05/want, 1e-3)
		}
	}
	// Of two readings about a free zero neither says anything of the other.
	r, err := Estimate(Input{Bed: [2]float64{0, 508}, Surveys: []survey.Set{read(t, usual,
		"method = 'way-micrometer'\non = 'rear'\ncolumns = ['position', 'reading']",
		[][]float64{{100, 25.2}, {300, 25.1}})}})
	if err != nil {
		t.Fatal(err)
	}
	if a := r.Surveys[0]; a.RMS != 0 || a.Expected != 0 || len(a.Outliers) > 0 {
		t.Errorf("two readings agree to %g where %g is expected", a.RMS, a.Expected)
	}
}
