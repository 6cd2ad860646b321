package estimate_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"wornway/profile/bed"
	"wornway/profile/estimate"
)

// micrometers are two invented surveys of the rear way with a micrometer, there and back. The second finds the hollow
// deeper by so many thou; slip is added to its sixth reading, mm.
func micrometers(deeper, slip float64) string {
	text, _ := bench("mm")
	var b strings.Builder
	b.WriteString(text)
	for i, more := range []float64{0, deeper} {
		b.WriteString("[[survey]]\nmethod = \"way-micrometer\"\non = \"rear\"\ncolumns = [\"position\", \"reading\", " +
			"\"back\"]\nrows = [")
		for k := range 10 {
			z := -150 + 100*float64(k)
			d := (z - 250) / 150
			r := 25 - (3+more)*thou*math.Exp(-d*d)
			if i == 1 && k == 5 {
				r += slip
			}
			fmt.Fprintf(&b, "[%g, %.5f, %.5f], ", z, r, r)
		}
		b.WriteString("]\n")
	}
	return b.String()
}

func named(r *estimate.Result) (n int) {
	for _, s := range r.Surveys {
		n += len(s.Outliers)
	}
	return n
}

// Two surveys of one way that contradict each other by 0, 1, 3 and 10 thou widen the ± by more and more, lie either
// side of the estimate, and their readings are named.
func TestContradictionWidens(t *testing.T) {
	rear := bed.At(bed.Rear, 0)
	before := 0.0
	for _, deeper := range []float64{0, 1, 3, 10} {
		r := estimated(t, micrometers(deeper, 0))
		v, pm := r.Wear.Value(rear, 250)/thou, 2*standard(r, rear, 250)/thou
		t.Logf("deeper by %g thou: %.2f ± %.2f thou, %d readings named", deeper, v, pm, named(r))
		if !(pm > 1.3*before) {
			t.Errorf("deeper by %g thou: ± %.3f thou after ± %.3f", deeper, pm, before)
		}
		if v < 3-pm || v > 3+deeper+pm {
			t.Errorf("deeper by %g thou: %.2f ± %.2f thou lies outside both", deeper, v, pm)
		}
		if n := named(r); (n > 0) != (deeper >= 1) {
			t.Errorf("deeper by %g thou: %d readings named", deeper, n)
		}
		before = pm
	}
}

// One reading that is 10 thou off is the only one that is named, with its sign, and is left out: it moves the curve by
// less than half of its ±, and widens that a little, as a reading is lost.
func TestSlipIsNamed(t *testing.T) {
	rear := bed.At(bed.Rear, 0)
	clean, slipped := estimated(t, micrometers(0, 0)), estimated(t, micrometers(0, 10*thou))
	if named(clean) > 0 {
		t.Errorf("without a slip %d readings are named", named(clean))
	}
	if len(slipped.Surveys[1].Outliers) == 0 {
		t.Fatal("the slip is not named")
	}
	worst := slipped.Surveys[1].Outliers[0]
	if worst.Row != 6 || worst.Position != 350 || !(worst.Sigma > 10) {
		t.Errorf("named first: %+v", worst)
	}
	if !worst.Aside || named(slipped) != 1 {
		t.Errorf("%d are named, the first %+v", named(slipped), worst)
	}
	for _, z := range []float64{250, 350} {
		a, b := standard(clean, rear, z), standard(slipped, rear, z)
		if b < a || b > 1.5*a {
			t.Errorf("at %g: ± %.4f mm without the slip, ± %.4f with it", z, 2*a, 2*b)
		}
		if moved := math.Abs(clean.Wear.Value(rear, z) - slipped.Wear.Value(rear, z)); moved > a {
			t.Errorf("at %g: the slip moves the curve by %.4f mm, with ± %.4f", z, moved, 2*a)
		}
	}
}

// The two runs of common practice, differing by 0, 1.5 (what they say), 3 and 6 thou about the same mean. What they say
// of themselves is less than their ±, which covers both; tailstock ways that are not parallel and worn a little, and
// wear between the three stations, explain it, and of 6 thou still the most.
func TestTwoRunsWidenAsTheyDiffer(t *testing.T) {
	agreed, widest := map[bed.Curve]float64{}, map[bed.Curve]float64{}
	for _, differ := range []float64{0, 1.5, 3, 6} {
		h := differ / 2
		run := fromChuck(-6.25-h, 6.25-h, -4.25-h, 4.25-h)
		r := estimated(t, twoRuns(run[0], run[1], run[2], run[3]))
		for c, mean := range map[bed.Curve]float64{bed.Rear: 6.25, bed.Front: 4.25} {
			v, pm := fall(r, c)
			t.Logf("differ by %g thou, %s: %.3f ± %.4f thou", differ, c, v, pm)
			if differ == 0 {
				agreed[c] = pm
			}
			// Runs that differ more leave less of the wear, and where metal is only lost less wear leaves less open: it
			// is the ± beside the drop that grows, and by itself it does not shrink by more than a tenth.
			if pm/v < widest[c] || pm < 0.89*agreed[c] {
				t.Errorf("differ by %g thou, %s: %.3f ± %.3f thou, and ± %.3f where they agree", differ, c, v, pm, agreed[c])
			}
			widest[c] = pm / v
			if differ <= 1.5 && math.Abs(v-mean)+h > pm {
				t.Errorf("differ by %g thou, %s: %.3f ± %.3f thou does not cover both runs", differ, c, v, pm)
			}
		}
	}
}
