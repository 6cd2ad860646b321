package survey_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/survey"
	"wornway/profile/wear"
)

const (
	inch   = 25.4
	degree = math.Pi / 180
)

// head is the lathe of the hand-worked numbers, in inches; way stands for what describes the front way, tables for more
// of them.
func head(way, tables string) string {
	return `format = 1
unit = "in"
[lathe]
centre_height = 6
way_span = 8
axis_setback = 4
bed = [-8, 44]
` + way + `
[lathe.saddle]
bearing_length = 11
tool_offset = -1
` + tables + "\n"
}

const (
	tailstock = "[lathe.tailstock]\nfront_way_setback = 2.5\nrear_way_setback = 6.5\nbase_length = 6\n"
	vee       = "front_way = { outer_angle = 60, inner_angle = 30, contact_spacing = 0.5 }"
)

// parse reads a profile and returns the first survey as equations.
func parse(t testing.TB, text string) survey.Set {
	t.Helper()
	p, err := profile.Parse(nil, "bed.toml", []byte(text))
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return p.Surveys[0].Set
}

// one returns the only equation of the only row.
func one(t testing.TB, s survey.Set) survey.Equation {
	t.Helper()
	if len(s.Equations) != 1 {
		t.Fatalf("%d equations, want 1", len(s.Equations))
	}
	return s.Equations[0]
}

// points are a curve's values at positions, both in inches.
type points map[float64]float64

// worn is a wear, in inches, that has these values and a wild one at every other position that any curve names: a sum
// that reads a curve where it should not comes out wrong.
func worn(t testing.TB, curves map[bed.Curve]points, scalars map[bed.Scalar]float64) *wear.Wear {
	t.Helper()
	const wild = 0.5
	var knots []float64
	for z := -8.0; z <= 44; z += 0.5 {
		knots = append(knots, z*inch)
	}
	values := map[bed.Curve][]float64{}
	for c := range bed.Curves {
		v := make([]float64, len(knots))
		for i := range v {
			v[i] = wild * float64(1+i%3)
		}
		for z, y := range curves[c] {
			v[int(math.Round((z+8)/0.5))] = y * inch
		}
		values[c] = v
	}
	w, err := wear.New(knots, values)
	if err != nil {
		t.Fatal(err)
	}
	for k, v := range scalars {
		w = w.WithScalar(k, v)
	}
	return w
}

// model is what the equation's parts make of a wear, mm or radians, without what the survey leaves open.
func model(e survey.Equation, w survey.Values) float64 {
	v := 0.0
	for _, p := range e.Parts {
		v += p.Factor * w.Value(p.Sum, p.At)
	}
	return v
}

// terms are the survey's free terms in an equation: name, and its factor times what is known of it beforehand (an F for
// a term of which nothing is).
func terms(s survey.Set, e survey.Equation) string {
	var out []string
	for _, h := range e.Shares {
		t := s.Terms[h.Term]
		if t.Flat {
			out = append(out, fmt.Sprintf("%s F*%.6g", t.Name, h.Factor))
		} else {
			out = append(out, fmt.Sprintf("%s %.6g*%.6g", t.Name, t.U, h.Factor))
		}
	}
	return strings.Join(out, ", ")
}

func near(t testing.TB, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %.12g, want %.12g within %.3g", what, got, want, within)
	}
}
