package estimate_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/estimate"
	"wornway/profile/survey"
	"wornway/profile/wear"
	"wornway/testdata/steady"
)

// sound says what is wrong with an estimate as numbers: nothing where every value and every ± is finite.
func sound(r *estimate.Result) error {
	finite := func(what string, v float64) error {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%s is %v", what, v)
		}
		return nil
	}
	var errs []error
	from, to := r.Wear.Range()
	for c := range bed.Curves {
		for i := range 9 {
			z := from + (to-from)*float64(i)/8
			var w wear.Weights
			r.Wear.Weigh(&w, bed.At(c, 0), z, 1)
			u, ok := r.Wear.Uncertainty(&w)
			if !ok {
				return errors.New("no uncertainty")
			}
			errs = append(errs, finite(c.String(), r.Wear.Value(bed.At(c, 0), z)), finite("its uncertainty", u))
		}
	}
	for _, c := range r.Wear.Cases() {
		var w wear.Weights
		r.Wear.Weigh(&w, bed.At(bed.Front, 0), (from+to)/2, 1)
		if c.Shift == nil {
			return errors.New("no cases could be made")
		}
		errs = append(errs, finite("a case's variance", c.Covariance.Between(&w, &w)), finite("its shift", c.Shift(&w)))
	}
	errs = append(errs, finite("twist", r.Twist), finite("its uncertainty", r.TwistU))
	for _, s := range r.Surveys {
		errs = append(errs, finite("rms", s.RMS), finite("expected rms", s.Expected))
		for _, o := range s.Outliers {
			errs = append(errs, finite("outlier", o.Sigma))
		}
	}
	return errors.Join(errs...)
}

func lathe(bedFrom, bedTo float64, unworn, tables string) string {
	return fmt.Sprintf("format = 1\nunit = \"mm\"\n[lathe]\ncentre_height = 150\nway_span = 200\nbed = [%.17g, "+
		"%.17g]\n%s\n[lathe.front_way]\nouter_angle = 50\ninner_angle = 40\n[lathe.saddle]\nbearing_length = "+
		"280\ntool_offset = -25\n%s\n",
		bedFrom, bedTo, unworn, tables)
}

const (
	tailTable = "[lathe.tailstock]\nfront_way_setback = 60\nrear_way_setback = 160\nbase_length = 150\n"
	barSide   = "[[survey]]\nmethod = \"bar-side\"\ncolumns = [\"position\", \"reading\"]\n"
)

func TestOddInputs(t *testing.T) {
	many := func(n int, f func(i int) string) string {
		var b strings.Builder
		for i := range n {
			b.WriteString(f(i) + ", ")
		}
		return "rows = [" + b.String() + "]\n"
	}
	for name, text := range map[string]string{
		"one reading":  lathe(-200, 900, "", "") + barSide + "rows = [[100, 0.05]]\n",
		"two readings": lathe(-200, 900, "", "") + barSide + "rows = [[100, 0.05], [200, 0.03]]\n",
		"all at one position": lathe(-200, 900, "", "") + barSide +
			many(50, func(i int) string { return fmt.Sprintf("[100, %g]", 0.001*float64(i%7)) }),
		"all at one position of a long bed": lathe(-200, 7800, "", "") + barSide +
			many(50, func(i int) string { return fmt.Sprintf("[100, %g]", 0.001*float64(i%7)) }),
		"an outlier of a metre": lathe(-200, 900, "", "") + barSide + many(20, func(i int) string {
			if i == 7 {
				return "[250, 1000]"
			}
			return fmt.Sprintf("[%d, 0.01]", 30*i)
		}),
		"nothing read but zeros": lathe(-200, 900, "", "") + barSide +
			many(20, func(i int) string { return fmt.Sprintf("[%d, 0]", 30*i) }),
		"contradictory surveys": lathe(-200, 900, "", "") + barSide + "uncertainty = 0.0001\n" +
			many(9, func(i int) string { return fmt.Sprintf("[%d, %g]", 100*i, 0.1*math.Sin(float64(i))) }) +
			barSide + "uncertainty = 0.0001\n" + many(9, func(i int) string {
			return fmt.Sprintf("[%d, %g]", 100*i,
				-0.1*math.Sin(float64(i)))
		}),
		"no unworn stretch": lathe(-200, 900, "unworn = []", "") + barSide +
			"rows = [[100, 0.05], [200, 0.03], [300, 0]]\n",
		"unworn all along": lathe(-200, 900, "unworn = [[-200, 900]]", "") + barSide +
			"rows = [[100, 0.05], [200, 0.03], [300, 0]]\n",
		"unworn twice": lathe(-200, 900, "unworn = [[-200, -100], [-200, -100], [-150, 0]]", "") + barSide +
			"rows = [[100, 0.05], [200, 0.03], [300, 0]]\n",
		"tiny bed":       lathe(0, 1, "", "") + barSide + "rows = [[0, 0.05], [1, 0.03]]\n",
		"bed of a hair":  lathe(1, 1.0000000000000002, "", "") + barSide + "rows = [[1, 0.05]]\n",
		"bed of a tenth": lathe(0, 1e-10, "", "") + barSide + "rows = [[0, 0.05]]\n",
		"a bed of 8 m": lathe(-200, 7800, "", "") + barSide +
			many(60, func(i int) string { return fmt.Sprintf("[%d, %g]", 130*i, 0.001*float64(i%5)) }),
		"a bed of 1 km": lathe(-200, 1e6, "", "") + barSide +
			"rows = [[100, 0.05], [90000, 0.03], [300, 0]]\n",
		"read a hair inside": lathe(-200, 7800, "", "") +
			"[[survey]]\nmethod = \"way-micrometer\"\non = \"rear\"\ncolumns = [\"position\", \"reading\"]\nrows = " +
			"[[-199.9999999999, 20], [0, 20], [7799.9999999999, 20]]\n",
		"without a tailstock": lathe(-200, 900, "", "") +
			"[[survey]]\nmethod = \"straightedge\"\non = \"tail-front\"\ncontacts = [100, 400]\ncolumns = " +
			"[\"position\", \"goes\", \"stops\"]\nrows = [[200, 0.04, 0.05]]\n",
		"the lock alone": lathe(-200, 900, "", "") +
			"[[survey]]\nmethod = \"carriage-lock\"\ntightened_at = 600\ncolumns = [\"position\", \"feel\"]\nrows = " +
			"[[200, 0], [300, 3]]\n",
		"the lock, upside down": lathe(-200, 900, "", "") +
			"[[survey]]\nmethod = \"carriage-lock\"\nuncertainty = 1e-6\ntightened_at = 600\ncolumns = " +
			"[\"position\", \"feel\"]\nrows = [[200, 0], [200, 3], [200, 1], [210, 0]]\n",
		"very sharp readings": lathe(-200, 900, "", tailTable) +
			"[[survey]]\nmethod = \"carriage-indicator\"\ntouch = \"tail-front\"\nuncertainty = 1e-6\ncolumns = " +
			"[\"position\", \"reading\"]\n" + many(40, func(i int) string {
			return fmt.Sprintf("[%d, %g]", 20*i,
				0.05*math.Exp(-float64(i*i)/50))
		}),
		"the sharpest readings": lathe(-200, 900, "", "") + barSide + "uncertainty = 1e-9\n" +
			many(40, func(i int) string { return fmt.Sprintf("[%d, %g]", 20*i, 0.05*math.Exp(-float64(i*i)/50)) }),
		"very dull readings": lathe(-200, 900, "", "") + barSide +
			"uncertainty = 1000\nrows = [[100, 0.05], [200, 0.03], [300, 0]]\n",
		"twist and lean are known": lathe(-200, 900, "twist_uncertainty = 0", "") +
			"[[survey]]\nmethod = \"level-across\"\nper_division = 2e-5\ncolumns = [\"position\", \"reading\"]\nrows " +
			"= [[0, 0], [400, 1], [800, 0]]\n",
	} {
		t.Run(name, func(t *testing.T) {
			p, err := profile.Parse(nil, "bed.toml", []byte(text))
			if err != nil {
				t.Logf("refused: %v", err)
				return
			}
			r, err := p.Estimate()
			if err != nil {
				t.Logf("no estimate: %v", err)
				return
			}
			if err := sound(r); err != nil {
				t.Error(err)
			}
		})
	}
}

// Whatever equations there are, in whatever number, an estimate is finite or an error.
func TestNoEquationsBreakTheEstimate(t *testing.T) {
	m, _ := survey.Find("stated")
	if !estimate.Long() {
		steady.Some(t, 50)
	}
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.Float64Range(-500, 0).Draw(t, "from")
		in := estimate.Input{
			Bed:    [2]float64{from, from + math.Pow(10, rapid.Float64Range(-3, 4).Draw(t, "bed"))},
			TwistU: rapid.SampledFrom([]float64{0, 5e-8, 1e-3}).Draw(t, "twist"),
			LeanU:  [2]float64{rapid.SampledFrom([]float64{0, 2e-4}).Draw(t, "lean")},
		}
		if rapid.Bool().Draw(t, "unworn") {
			in.Unworn = [][2]float64{{from, from + (in.Bed[1]-from)*rapid.Float64Range(0, 1).Draw(t, "stretch")}}
		}
		s := survey.Set{Method: m, Scale: 1, Terms: []survey.Term{{Name: "zero", Flat: true},
			{Name: "slope", Flat: true}, {Name: "bow", U: 1}}}
		for i := range rapid.IntRange(1, 25).Draw(t, "rows") {
			e := survey.Equation{Row: i + 1, U: math.Pow(10, rapid.Float64Range(-6, 1).Draw(t, "u")),
				Side: rapid.SampledFrom([]survey.Side{0, 0, 0, 1, 2, 3}).Draw(t, "side"),
				Reading: rapid.Float64Range(-1, 1).Draw(t, "reading") * math.Pow(10,
					rapid.Float64Range(-3, 3).Draw(t, "size"))}
			if e.Side == survey.Between {
				e.Half = math.Pow(10, rapid.Float64Range(-9, 2).Draw(t, "half"))
			}
			at := from + (in.Bed[1]-from)*rapid.Float64Range(-0.1, 1.1).Draw(t, "at")
			for range rapid.IntRange(0, 3).Draw(t, "parts") {
				c := bed.Curve(rapid.IntRange(0, int(bed.Curves)-1).Draw(t, "curve"))
				sum := bed.At(c, rapid.Float64Range(-100, 100).Draw(t,
					"offset")).Plus(bed.Of(bed.Scalar(rapid.IntRange(0, int(bed.Slopes)-1).Draw(t, "scalar"))))
				e.Parts = append(e.Parts, bed.Addend{Sum: sum, At: at,
					Factor: rapid.Float64Range(-3, 3).Draw(t, "factor")})
			}
			for k := range s.Terms {
				if rapid.Bool().Draw(t, "share") {
					e.Shares = append(e.Shares, survey.Share{Term: k,
						Factor: rapid.Float64Range(-2, 2).Draw(t, "factor")})
				}
			}
			s.Equations = append(s.Equations, e)
		}
		s.Rows = len(s.Equations)
		in.Surveys = []survey.Set{s}
		r, err := estimate.Estimate(in)
		if err != nil {
			return
		}
		if err := sound(r); err != nil {
			t.Fatal(err)
		}
	})
}

// Readings sharp to a nanometre are followed: the curve passes through what was stated.
func TestSharpReadingsAreFollowed(t *testing.T) {
	text := lathe(0, 889, "unworn = []", "") + "[[survey]]\nmethod = \"stated\"\nuncertainty = 1e-6\ncolumns = " +
		"[\"position\", \"front\"]\nrows = [[127, 0.02], [254, 0.05], [381, 0.03], [635, 0.001]]\n"
	r := estimated(t, text)
	for z, want := range map[float64]float64{127: 0.02, 254: 0.05, 381: 0.03, 635: 0.001} {
		if got := r.Wear.Value(bed.At(bed.Front, 0), z); !(math.Abs(got-want) < 1e-5) {
			t.Errorf("at %g the front has dropped %.7f, want %g", z, got, want)
		}
		if u := standard(r, bed.At(bed.Front, 0), z); !(u < 1.2e-6) {
			t.Errorf("at %g its uncertainty is %g", z, u)
		}
	}
}
