package estimate

import (
	"math"
	"testing"

	"wornway/profile/bed"
	"wornway/profile/survey"
)

// direct is a survey that reads one sum of the wear as it stands.
func direct(equations ...survey.Equation) survey.Set {
	m, _ := survey.Find("stated")
	for i := range equations {
		equations[i].Row = i + 1
	}
	return survey.Set{Method: m, Equations: equations, Scale: 1, Rows: len(equations)}
}

func frontAt(z, reading, u float64, side survey.Side) survey.Equation {
	return survey.Equation{Position: z, Parts: []bed.Addend{{Sum: bed.At(bed.Front, 0), At: z, Factor: 1}},
		Reading: reading, U: u, Side: side}
}

const (
	sideReach, sideStrength = 150.0, 0.05
	sideAt                  = 127.0 // a quarter of the bed, where wear is usually strongest: 1 of its strength
)

// limited is what is known of the front at one place for known strengths, from these equations; limits are taken again
// and again until nothing changes.
func limited(t *testing.T, equations ...survey.Equation) (mean, u float64) {
	t.Helper()
	p := mustProblem(t, Input{Bed: [2]float64{0, 508}, Surveys: []survey.Set{direct(equations...)}})
	s := newSides(p)
	var f fixed
	for range 30 {
		f = fix(t, p, sideReach, sideStrength, sideStrength, sideStrength)
		if !s.any() {
			break
		}
		if err := s.update(f.point); err != nil {
			t.Fatal(err)
		}
	}
	w := f.weigh(bed.At(bed.Front, 0), sideAt)
	return f.value(w), math.Sqrt(f.covariance(w, w))
}

// truncated integrates numerically a normal density times soft steps: each limit is passed with the probability that an
// error of its uncertainty allows.
func truncated(mean, u float64, limits ...survey.Equation) (m, sd float64) {
	var sum, first, second float64
	const n = 200000
	for i := range n {
		x := mean + u*(float64(i)/n*24-12)
		d := math.Exp(-(x - mean) * (x - mean) / (2 * u * u))
		for _, l := range limits {
			z := (x - l.Reading) / l.U
			if l.Side == survey.AtMost {
				z = -z
			}
			d *= math.Erfc(-z/math.Sqrt2) / 2
		}
		sum += d
		first += d * x
		second += d * x * x
	}
	m = first / sum
	return m, math.Sqrt(second/sum - m*m)
}

// A limit beside a reading, and beside nothing, at one place: a normal density cut by a soft step, here integrated
// numerically.
func TestLimitAgainstTruncatedNormal(t *testing.T) {
	for _, c := range []struct {
		name  string
		limit survey.Equation
	}{
		{"violated from above", frontAt(sideAt, 0.03, 0.005, survey.AtMost)},
		{"violated from below", frontAt(sideAt, 0.07, 0.005, survey.AtLeast)},
		{"at the estimate", frontAt(sideAt, 0.05, 0.005, survey.AtMost)},
		{"kept, but near", frontAt(sideAt, 0.06, 0.005, survey.AtMost)},
		{"sharp", frontAt(sideAt, 0.045, 0.0005, survey.AtMost)},
		{"dull", frontAt(sideAt, 0.03, 0.05, survey.AtMost)},
	} {
		reading := frontAt(sideAt, 0.05, 0.01, survey.Value)
		mean, u := limited(t, reading)
		wantMean, wantU := truncated(mean, u, c.limit)
		gotMean, gotU := limited(t, reading, c.limit)
		near(t, c.name+": mean", gotMean, wantMean, 2e-7)
		near(t, c.name+": uncertainty", gotU, wantU, 2e-7)

		wantMean, wantU = truncated(0, sideStrength, c.limit)
		gotMean, gotU = limited(t, c.limit)
		near(t, c.name+", alone: mean", gotMean, wantMean, 2e-6)
		near(t, c.name+", alone: uncertainty", gotU, wantU, 2e-6)
	}
}

// Two limits about one value: expectation propagation is not exact there, but near.
func TestLimitsFromBothSides(t *testing.T) {
	reading := frontAt(sideAt, 0.05, 0.03, survey.Value)
	low, high := frontAt(sideAt, 0.02, 0.004, survey.AtLeast), frontAt(sideAt, 0.04, 0.004, survey.AtMost)
	mean, u := limited(t, reading)
	wantMean, wantU := truncated(mean, u, low, high)
	gotMean, gotU := limited(t, reading, low, high)
	near(t, "mean", gotMean, wantMean, 0.05*wantU)
	near(t, "uncertainty", gotU, wantU, 0.1*wantU)
}

// A limit far from what is read changes nothing. One that is violated by a long way pulls as a reading at the limit
// would.
func TestLimitFarAway(t *testing.T) {
	reading := frontAt(sideAt, 0.05, 0.01, survey.Value)
	mean, u := limited(t, reading)
	for _, l := range []survey.Equation{frontAt(sideAt, 0.3, 0.005, survey.AtMost),
		frontAt(sideAt, -0.3, 0.005, survey.AtLeast)} {
		gotMean, gotU := limited(t, reading, l)
		near(t, "mean", gotMean, mean, 1e-9)
		near(t, "uncertainty", gotU, u, 1e-9)
	}
	// 30 standard deviations off, with a limit that is sharp beside what is known: what remains is a soft edge of the
	// limit.
	for _, limitU := range []float64{0.005, 0.0003} {
		l := frontAt(sideAt, mean-30*u, limitU, survey.AtMost)
		wantMean, _ := truncatedTail(mean, u, l)
		gotMean, gotU := limited(t, reading, l)
		near(t, "violated: mean", gotMean, wantMean, 0.003*math.Abs(mean-wantMean))
		if !(gotU < 0.6*u) {
			t.Errorf("a violated limit with ± %g leaves the uncertainty %g of %g", limitU, gotU, u)
		}
	}
}

// What others say of a limit is the same whether the readings with a value are condensed or not.
func TestLimitBesideALongRun(t *testing.T) {
	in := mixedSurveys(t, 120)
	in.Surveys = append(in.Surveys, read(t, usual, "method = 'carriage-lock'\ntightened_at = 600\ncolumns = "+
		"['position', 'feel']", [][]float64{{100, 0}, {200, 1}, {300, 3}}))
	p := mustProblem(t, in)
	s := newSides(p)
	f := fix(t, p, 200, 0.06, 0.03, 0.02)
	for range 2 {
		few, err := s.others(f.point)
		if err != nil {
			t.Fatal(err)
		}
		all, err := leaveOneOut(p, f.point)
		if err != nil {
			t.Fatal(err)
		}
		for k, i := range s.rows {
			near(t, "mean, mm", few[k].mean*p.rows[i].u, all[i].mean*p.rows[i].u, 1e-6)
			near(t, "uncertainty, mm", math.Sqrt(few[k].variance-1)*p.rows[i].u,
				math.Sqrt(all[i].variance-1)*p.rows[i].u, 1e-5)
		}
		if err := s.update(f.point); err != nil {
			t.Fatal(err)
		}
	}
}

// truncatedTail is truncated for a limit out in the tail, where the densities underflow: it integrates about the
// product's peak with logarithms.
func truncatedTail(mean, u float64, l survey.Equation) (m, sd float64) {
	log := func(x float64) float64 {
		z := (l.Reading - x) / l.U
		soft := 0.0
		if z > -30 {
			soft = math.Log(math.Erfc(-z/math.Sqrt2) / 2)
		} else {
			soft = -z*z/2 - math.Log(-z*math.Sqrt(2*math.Pi)) - 1/(z*z)
		}
		return -(x-mean)*(x-mean)/(2*u*u) + soft
	}
	const n = 400000
	from, to := l.Reading-30*l.U, mean
	best := math.Inf(-1)
	for i := range n {
		best = math.Max(best, log(from+(to-from)*float64(i)/n))
	}
	var sum, first, second float64
	for i := range n {
		x := from + (to-from)*float64(i)/n
		d := math.Exp(log(x) - best)
		sum, first, second = sum+d, first+d*x, second+d*x*x
	}
	m = first / sum
	return m, math.Sqrt(second/sum - m*m)
}
