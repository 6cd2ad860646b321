package estimate_test

import (
	"fmt"
	"testing"

	"wornway/profile/bed"
	"wornway/profile/estimate"
	"wornway/profile/wear"
)

func standard(r *estimate.Result, s bed.Sum, z float64) float64 {
	var w wear.Weights
	r.Wear.Weigh(&w, s, z, 1)
	u, _ := r.Wear.Uncertainty(&w)
	return u
}

// twoRuns is a much-worn lathe read both ways: an indicator on the saddle over a tailstock way falls by a from the
// chuck to the far end, an indicator on the tailstock over the front carriage way rises by b, in thou. The two ends are
// common practice, no source; the readings midway, at a fifth of the way back to zero, are invented, and so are the
// lathe's measures and its unworn ends. Inches.
func twoRuns(flatA, flatB, veeA, veeB string) string {
	return `format = 1
unit = "in"
[lathe]
centre_height = 6.0
way_span = 8.0
axis_setback = 4.0
bed = [-6, 44]
unworn = [[-6, -4], [38, 44]]
[lathe.front_way]
outer_angle = 45
inner_angle = 45
[lathe.saddle]
bearing_length = 11
tool_offset = -1
[lathe.tailstock]
front_way_setback = 2.5
rear_way_setback = 6.5
base_length = 6
` + flatA + flatB + veeA + veeB
}

func indicator(method, touch string, near, midway, far float64) string {
	return fmt.Sprintf("[[survey]]\nmethod = %q\ntouch = %q\nreading_unit = \"thou\"\nuncertainty = 0.3\ncolumns = "+
		"[\"position\", \"reading\"]\nrows = [[6, %v], [20, %v], [36, %v]]\n",
		method, touch, near, midway, far)
}

// fromChuck are the runs on the flat ways and on the V ways, the saddle's before the tailstock's, by what each reads at
// the far end, thou; midway it is four fifths of that.
func fromChuck(far ...float64) (runs [4]string) {
	names := []string{"carriage-indicator", "tailstock-indicator", "carriage-indicator", "tailstock-indicator"}
	touch := []string{"tail-rear", "rear", "tail-front", "front"}
	for i := range runs {
		runs[i] = indicator(names[i], touch[i], 0, 0.8*far[i], far[i])
	}
	return runs
}

const thou = 0.0254

// fall returns the drop near the chuck against the far end, thou, with its ±.
func fall(r *estimate.Result, c bed.Curve) (v, expanded float64) {
	var w wear.Weights
	r.Wear.Weigh(&w, bed.At(c, 0), 6*25.4, 1)
	r.Wear.Weigh(&w, bed.At(c, 0), 36*25.4, -1)
	u, _ := r.Wear.Uncertainty(&w)
	return (r.Wear.Value(bed.At(c, 0), 6*25.4) - r.Wear.Value(bed.At(c, 0), 36*25.4)) / thou, 2 * u / thou
}

// What must come of them: one wear, deepest near the chuck on both ways, that the 7 and the 5.5 thou fit within their
// ±, and a ± that is greater than what the runs differ by. Runs which agree have about the same ±: three stations
// leave more open than the two differ by.
func TestTwoRunsOfCommonPractice(t *testing.T) {
	run := fromChuck(-7, 5.5, -5, 3.5)
	both := estimated(t, twoRuns(run[0], run[1], run[2], run[3]))
	saddle := estimated(t, twoRuns(run[0], "", run[2], ""))
	tail := estimated(t, twoRuns("", run[1], "", run[3]))

	for _, c := range []struct {
		way        bed.Curve
		less, more float64 // thou, as the two runs say
	}{{bed.Rear, 5.5, 7}, {bed.Front, 3.5, 5}} {
		v, pm := fall(both, c.way)
		if v-pm > c.less || v+pm < c.more || v < c.less/2 || v > 1.5*c.more {
			t.Errorf("%s: %.2f ± %.2f thou, which the runs give as %g and %g", c.way, v, pm, c.less, c.more)
		}
		if pm < c.more-c.less {
			t.Errorf("%s: ± %.2f thou, where the two runs differ by %g", c.way, pm, c.more-c.less)
		}
		// Either run alone says that the way is worn near the chuck: opposite signs of the readings are one sign of the
		// wear.
		for name, r := range map[string]*estimate.Result{"the saddle's": saddle, "the tailstock's": tail} {
			if alone, _ := fall(r, c.way); alone < c.less/2 {
				t.Errorf("%s: %s runs alone give %.2f thou", c.way, name, alone)
			}
		}
		if _, alone := fall(saddle, c.way); !(pm < alone) {
			t.Errorf("%s: both runs have ± %.2f, the saddle's alone ± %.2f thou", c.way, pm, alone)
		}
		t.Logf("%s: %.2f ± %.2f thou from the chuck to the far end", c.way, v, pm)
	}
	at, most := both.Wear.Deepest(bed.Rear)
	pm := 2 * standard(both, bed.At(bed.Rear, 0), at)
	if most-pm > 5*thou || most+pm < 7*thou {
		t.Errorf("the rear way's greatest drop is %.2f ± %.2f thou", most/thou, pm/thou)
	}
	t.Logf("rear way's greatest drop: %.2f ± %.2f thou", most/thou, pm/thou)
	for _, s := range both.Surveys {
		if len(s.Outliers) > 0 {
			t.Errorf("%s has outliers: %v", s.Method, s.Outliers)
		}
	}
}
