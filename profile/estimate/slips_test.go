package estimate_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"wornway/profile/bed"
	"wornway/profile/estimate"
)

// The two-run example of common practice (−7 and +5.5 thou on the flat ways, −5 and +3.5 on the V ways; no source)
// with one run's sign entered the wrong way. The two runs with the greater readings are found, as more probable than
// all else together; the third is what is named if anything; three readings of 3.5 thou at most are less than what the
// others leave open, and nothing is sure. Three stations are few, and the saddle's runs and the tailstock's need not
// see the same where wear is short. The ordinary run leaves out the second of the two, and that with none turned nothing
// is sure.
func TestTwoRunsWithOneSignWrong(t *testing.T) {
	of := []int{0, 1, 3}
	if estimate.Long() {
		of = []int{-1, 0, 1, 2, 3}
	} else if testing.Short() {
		of = of[:1]
	}
	for _, wrong := range of {
		far := []float64{-7, 5.5, -5, 3.5}
		if wrong >= 0 {
			far[wrong] = -far[wrong]
		}
		run := fromChuck(far...)
		r := estimated(t, twoRuns(run[0], run[1], run[2], run[3]))
		d, err := r.Slips()
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("run %d: %s", wrong, told(d))
		switch wrong {
		case -1, 3:
			if d.Sure {
				t.Errorf("run %d turned: sure of %s", wrong, told(d))
			}
		case 1:
			if len(d.Slips) == 0 || d.Slips[0].Survey != wrong {
				t.Errorf("run %d turned: %s", wrong, told(d))
			}
		default:
			if len(d.Slips) == 0 || d.Slips[0].Survey != wrong || d.Slips[0].Name != "sign" ||
				d.Slips[0].Probability < 0.5 {
				t.Errorf("run %d turned: %s", wrong, told(d))
			}
		}
	}
}

func told(d *estimate.Diagnosis) string {
	var out []string
	for _, s := range d.Slips {
		out = append(out, fmt.Sprintf("%d %s %.2f (%.1f → %.1f)", s.Survey, s.Name, s.Probability, s.Before, s.After))
	}
	return fmt.Sprintf("sure %v, [%s]", d.Sure, strings.Join(out, ", "))
}

// days are micrometer surveys of the rear way's invented hollow, 3 thou deep, one for each factor by which it was read
// too deep.
func days(factors ...float64) string {
	text, _ := bench("mm")
	var b strings.Builder
	b.WriteString(text)
	for day, f := range factors {
		b.WriteString("[[survey]]\nmethod = \"way-micrometer\"\non = \"rear\"\ncolumns = [\"position\", " +
			"\"reading\"]\nrows = [")
		for k := range 10 {
			z := -150 + 100*float64(k)
			d := (z - 250) / 150
			fmt.Fprintf(&b, "[%g, %.5f], ", z, 25-f*3*thou*math.Exp(-d*d)+0.001*math.Sin(float64(7*k+3*day)))
		}
		b.WriteString("]\n")
	}
	return b.String()
}

// Of three surveys the one that reads three times too deep is doubted, alone, and the estimate follows the other two;
// of two either may be wrong, each is doubted as much as the other, and the ± covers both.
func TestWhichSurveyIsDoubted(t *testing.T) {
	rear := bed.At(bed.Rear, 0)
	three := estimated(t, days(1, 3, 1))
	for i, a := range three.Surveys {
		if want := i == 1; a.Disagrees() != want || (a.Doubt > 0.9) != want {
			t.Errorf("survey %d of three: factor %.2f, doubted with %.2f", i+1, a.Factor, a.Doubt)
		}
	}
	if v, pm := three.Wear.Value(rear, 250)/thou, 2*standard(three, rear, 250)/thou; math.Abs(v-3) > pm || pm > 0.5 {
		t.Errorf("of three: %.2f ± %.2f thou, which is 3", v, pm)
	}
	two := estimated(t, days(1, 3))
	for i, a := range two.Surveys {
		if !a.Disagrees() || math.Abs(a.Doubt-0.5) > 0.2 {
			t.Errorf("survey %d of two: factor %.2f, doubted with %.2f", i+1, a.Factor, a.Doubt)
		}
	}
	if v, pm := two.Wear.Value(rear, 250)/thou, 2*standard(two, rear, 250)/thou; v-pm > 3 || v+pm < 9 {
		t.Errorf("of two: %.2f ± %.2f thou, which are 3 and 9", v, pm)
	}
}

// A micrometer says how deep a hollow is, but a level on the ways, read the wrong way round, says that the way stands
// proud there: metal is only lost, so that it is the level.
func TestMetalIsOnlyLost(t *testing.T) {
	text, _ := bench("mm")
	var b strings.Builder
	b.WriteString(text + "[[survey]]\nmethod = \"level-along\"\non = \"rear\"\nper_division = 0.00002\ncolumns = " +
		"[\"from\", \"to\", \"reading\"]\nrows = [")
	hollow := func(z float64) float64 { d := (z - 250) / 150; return 3 * thou * math.Exp(-d*d) }
	for z := -150.0; z < 650; z += 100 {
		fmt.Fprintf(&b, "[%g, %g, %.2f], ", z, z+100, (hollow(z+100)-hollow(z))/100/0.00002)
	}
	b.WriteString("]\n")
	r := estimated(t, b.String())
	if len(r.Grown) != 1 || r.Grown[0].Curve != bed.Rear || math.Abs(r.Grown[0].Position-250) > 60 ||
		math.Abs(r.Grown[0].Rise-3*thou) > 2*r.Grown[0].U+0.01 {
		t.Errorf("grown: %+v", r.Grown)
	}
	d, err := r.Slips()
	if err != nil {
		t.Fatal(err)
	}
	if !d.Sure || d.Slips[0].Name != "sign" || !math.IsNaN(d.Slips[0].Before) {
		t.Error(told(d))
	}
}

// Of very many surveys those alone are searched that disagree with the others: the slip is found, and where there is
// none nothing is looked for and nothing told.
func TestSlipAmongManySurveys(t *testing.T) {
	of := []int{9, -1}
	if testing.Short() {
		of = of[:1]
	}
	for _, wrong := range of {
		factors := slices.Repeat([]float64{1}, 14)
		if wrong >= 0 {
			factors[wrong] = -1
		}
		d, err := estimated(t, days(factors...)).Slips()
		if err != nil {
			t.Fatal(err)
		}
		if found := d.Sure && d.Slips[0].Survey == wrong; found != (wrong >= 0) || d.Amiss() != found {
			t.Errorf("survey %d read the wrong way round: %s", wrong, told(d))
		}
	}
}
