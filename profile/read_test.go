package profile

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"wornway/profile/bed"
	"wornway/profile/length"
	"wornway/profile/wear"
)

// whole is a profile with every key of a lathe, in inches. 25.4 mm to the inch and π/180 to the degree give what must
// become of it.
const whole = `
format = 1
unit = "in"
[lathe]
name = "Bench lathe (invented)"
centre_height = 6.0
way_span = 8.0
axis_setback = 3.5
tool_post = "rear"
bed = [-8.0, 44.0]
unworn = [[-8.0, -4.0], [40.0, 44.0]]
twist_uncertainty = 2.54e-6
[lathe.front_way]
outer_angle = 60
inner_angle = 30
contact_spacing = 0.5
[lathe.saddle]
bearing_length = 11.0
bearing = "full"
tool_offset = -1.0
seating = 0
[lathe.cross_slide]
dial = "diameter"
division = 0.001
finest = 0.25
backlash = 0.008
[lathe.compound]
dial = "radius"
division = 0.002
[lathe.tailstock]
front_way_setback = 2.5
rear_way_setback = 6.5
base_length = 6.0
centre_offset = -4.0
aligned_at = 20.0
[lathe.spindle]
lean_out = 1e-5
lean_up = -2e-5
lean_uncertainty = 3e-5
[lathe.holding]
jaws_front = 3.5
jaws_depth = 4.0
headstock_centre = 3.0
longest_overhang = 2.5
tailstock_travel = [10.0, 40.0]
greatest_set_over = 0.5
steady = true
[[damage]]
way = "tail-front"
from = 6.0
to = 6.5
note = "scar"
[[damage]]
way = "rear"
from = 7.0
to = 8.0
[wear]
columns = ["position", "outer", "inner"]
uncertainty = 0.0002
rows = [[-8.0, 0.0, 0.0], [6.0, 0.005, 0.002], [44.0, 0.0, 0.0]]
`

func TestReadEveryKey(t *testing.T) {
	p, err := Parse(nil, "bench.toml", []byte(whole))
	if err != nil {
		t.Fatal(err)
	}
	const inch, deg = 25.4, math.Pi / 180
	want := Lathe{
		Name: "Bench lathe (invented)",
		Bed: bed.Lathe{
			CentreHeight: 6 * inch, Span: 8 * inch, Setback: 3.5 * inch, RearPost: true,
			V:      &bed.V{Outer: 60 * deg, Inner: 30 * deg, ContactSpacing: 0.5 * inch},
			Saddle: bed.Saddle{BearingLength: 11 * inch, Bearing: bed.Full, ToolOffset: -1 * inch},
		},
		Ways:             Range{-8 * inch, 44 * inch},
		Unworn:           []Range{{-8 * inch, -4 * inch}, {40 * inch, 44 * inch}},
		UnwornStated:     true,
		TwistUncertainty: 1e-7, // 2.54e-6 per inch
		TwistStated:      true,
		Seating:          new(float64),
		CrossSlide:       &Slide{Diameter: true, Division: 0.001 * inch, Finest: 0.25, Backlash: 0.008 * inch},
		Tailstock: &Tailstock{FrontSetback: 2.5 * inch, RearSetback: 6.5 * inch, BaseLength: 6 * inch,
			CentreOffset: -4 * inch, AlignedAt: 20 * inch},
		Spindle: Spindle{1e-5, -2e-5, 3e-5},
		Holding: &Workholding{JawsFront: 3.5 * inch, JawsDepth: 4 * inch, HeadstockCentre: 3 * inch,
			LongestOverhang: 2.5, TailstockTravel: Range{10 * inch, 40 * inch}, TravelStated: true,
			GreatestSetOver: 0.5 * inch, Steady: true}, // ChuckTurning: see TestChuckTurning
	}
	got := p.Lathe
	if c := got.Compound; c == nil || c.Diameter || math.Abs(c.Division-0.002*inch) > 1e-15 || c.Finest != 0.5 ||
		!math.IsNaN(c.Backlash) {
		t.Errorf("compound: %+v; its finest setting is half a division and its backlash is not given", c)
	}
	got.Compound = nil
	if !alike(reflect.ValueOf(got), reflect.ValueOf(want)) {
		t.Errorf("read is\n%+v\nexpected was\n%+v", got, want)
	}
	if p.Unit != length.Inch || p.File != "bench.toml" || len(p.Warnings) > 0 {
		t.Errorf("unit %v, file %q, warnings %v", p.Unit, p.File, p.Warnings)
	}
	damage := []Damage{{Way: "tail-front", Range: Range{6 * inch, 6.5 * inch}, Note: "scar"},
		{Way: "rear", Range: Range{7 * inch, 8 * inch}}}
	if !alike(reflect.ValueOf(p.Damage), reflect.ValueOf(damage)) {
		t.Errorf("damage: %+v", p.Damage)
	}
}

// alike compares values of one type, floats to 15 digits.
func alike(a, b reflect.Value) bool {
	switch a.Kind() {
	case reflect.Float64:
		return math.Abs(a.Float()-b.Float()) <= 1e-14*math.Max(1, math.Abs(b.Float()))
	case reflect.Pointer:
		if a.IsNil() || b.IsNil() {
			return a.IsNil() == b.IsNil()
		}
		return alike(a.Elem(), b.Elem())
	case reflect.Struct:
		for i := range a.NumField() {
			if !alike(a.Field(i), b.Field(i)) {
				return false
			}
		}
		return true
	case reflect.Slice:
		if a.Len() != b.Len() {
			return false
		}
		for i := range a.Len() {
			if !alike(a.Index(i), b.Index(i)) {
				return false
			}
		}
		return true
	}
	return a.Equal(b)
}

// What is taken where a file says nothing.
func TestReadDefaults(t *testing.T) {
	p, err := Parse(nil, "bench.toml", []byte("format = 1\nunit = \"mm\"\n[lathe]\ncentre_height = 150\nway_span = "+
		"200\nbed = [0, 1000]\n[lathe.saddle]\nbearing_length = 280\n"))
	if err != nil {
		t.Fatal(err)
	}
	want := Lathe{
		Bed: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100,
			Saddle: bed.Saddle{BearingLength: 280, Bearing: bed.Ends}},
		Ways:   Range{0, 1000},
		Unworn: []Range{{0, 50}, {950, 1000}},
	}
	if !alike(reflect.ValueOf(p.Lathe), reflect.ValueOf(want)) {
		t.Errorf("read is\n%+v\nexpected was\n%+v", p.Lathe, want)
	}
	if _, err := p.Estimate(); !errors.Is(err, ErrNoWear) {
		t.Errorf("the estimate of nothing: %v", err)
	}
}

// How far apart places are off alike is read in the file's unit, 75 mm where it is not given, and must lie between a
// millimetre and the bed's length. Places that far apart have errors of correlation 0.03, as [wear.Reach] says.
func TestReadReach(t *testing.T) {
	state := func(line string) (*Profile, error) {
		return Parse(nil, "bench.toml", []byte("format = 1\nunit = \"in\"\n[lathe]\ncentre_height = 6\nway_span = 8\n"+
			"bed = [0, 40]\n[lathe.saddle]\nbearing_length = 0\n[wear]\ncolumns = [\"position\", \"front\"]\n"+
			"uncertainty = 0.001\nrows = [[0, 0], [40, 0]]\n"+line))
	}
	for line, mm := range map[string]float64{"": 75, "reach = 4": 101.6, "reach = 40": 1016} {
		p, err := state(line)
		if err != nil {
			t.Fatal(err)
		}
		est, err := p.Estimate()
		if err != nil {
			t.Fatal(err)
		}
		var a, b wear.Weights
		est.Wear.Weigh(&a, bed.At(bed.Front, 0), 300, 1)
		est.Wear.Weigh(&b, bed.At(bed.Front, 0), 300+mm, 1)
		got, _ := est.Wear.CovarianceOf(&a, &b)
		if u := 0.0254; math.Abs(got/(u*u)-0.03) > 0.007 {
			t.Errorf("%q: a reach apart the correlation is %v", line, got/(u*u))
		}
	}
	for line, want := range map[string]string{"reach = 0": "must not be less than 0.04 in",
		"reach = 75": "is longer than the bed", "reach = -1": "must not be less",
		"reach = \"3 in\"": "must be a number"} {
		if _, err := state(line); err == nil || !strings.Contains(err.Error(), "wear.reach") ||
			!strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v", line, err)
		}
	}
}

// Metal lost square to the flanks moves the V by d = (n_o·sinθi + n_i·sinθo)/sin(θo+θi) down and e = (n_i·cosθo
// − n_o·cosθi)/sin(θo+θi) toward the operator: for flanks of 60° and 30°, d = n_o/2 + n_i·√3/2 and e = n_i/2
// − n_o·√3/2. Independent n_o and n_i of one uncertainty u then give d and e that uncertainty too, without a
// covariance: √(1/4 + 3/4) = 1, and 1/2·√3/2 − √3/2·1/2 = 0.
func TestStatedFlanks(t *testing.T) {
	p, err := Parse(nil, "bench.toml", []byte(whole))
	if err != nil {
		t.Fatal(err)
	}
	est, err := p.Estimate()
	if err != nil {
		t.Fatal(err)
	}
	const inch, z = 25.4, 6 * 25.4
	d, e := (0.005/2+0.002*math.Sqrt(3)/2)*inch, (0.002/2-0.005*math.Sqrt(3)/2)*inch
	for _, tt := range []struct {
		what   string
		sum    bed.Sum
		value  float64
		spread float64
	}{
		{"drop", bed.At(bed.Front, 0), d, 0.0002 * inch},
		{"shift", bed.At(bed.Shift, 0), e, 0.0002 * inch},
		{"rear", bed.At(bed.Rear, 0), 0, 0},
		{"drop and shift together", bed.At(bed.Front, 0).Plus(bed.At(bed.Shift, 0)), d + e, 0.0002 * inch * math.Sqrt2},
	} {
		if got := est.Wear.Value(tt.sum, z); math.Abs(got-tt.value) > 1e-12 {
			t.Errorf("%s: %v, expected %v", tt.what, got, tt.value)
		}
		var w wear.Weights
		est.Wear.Weigh(&w, tt.sum, z, 1)
		if u, ok := est.Wear.Uncertainty(&w); !ok || math.Abs(u-tt.spread) > 1e-12 {
			t.Errorf("%s: ± %v, %v, expected %v", tt.what, u, ok, tt.spread)
		}
	}
	for _, tt := range []struct {
		scalar bed.Scalar
		want   float64
	}{{bed.LeanOut, 1e-5}, {bed.LeanUp, -2e-5}, {bed.Twist, 0}} {
		if got := est.Wear.Scalar(tt.scalar); got != tt.want {
			t.Errorf("%v is %v, expected %v", tt.scalar, got, tt.want)
		}
	}
}

// Drops of one lathe in inches and in millimetres, in the file or in a CSV file, are the same wear.
func TestStatedUnitsAndFiles(t *testing.T) {
	head := func(unit string, mm float64) string {
		return fmt.Sprintf("format = 1\nunit = %q\n[lathe]\ncentre_height = %v\nway_span = %v\nbed = [%v, "+
			"%v]\n[lathe.saddle]\nbearing_length = 0\n[wear]\n", unit, 152.4/mm, 203.2/mm, -203.2/mm, 1117.6/mm)
	}
	const columns = `columns = ["position", "front", "rear", "shift"]` + "\n"
	inline := head("in", 25.4) + columns + "rows = [[-8.0, 0.0, 0.0, 0.0], [6.0, 0.005, 0.002, -0.001], [44.0, 0.0, " +
		"0.0, 0.0]]\n"
	folder := fstest.MapFS{"logs/wear.csv": {Data: []byte(
		"Position;Rear;Front;Shift\n-203,2;0;0;0\n152,4;0,0508;0,127;-0,0254\n1117,6;0;0;0\n")}}
	a, err := Parse(nil, "a.toml", []byte(inline))
	if err != nil {
		t.Fatal(err)
	}
	b, err := Parse(folder, "b.toml", []byte(head("mm", 1)+"file = \"logs/wear.csv\"\n"))
	if err != nil {
		t.Fatal(err)
	}
	if b.Stated.File != "logs/wear.csv" || a.Stated.File != "" || a.Stated.Uncertainty != nil {
		t.Errorf("files %q and %q, uncertainty %v", a.Stated.File, b.Stated.File, a.Stated.Uncertainty)
	}
	ea, err := a.Estimate()
	if err != nil {
		t.Fatal(err)
	}
	eb, err := b.Estimate()
	if err != nil {
		t.Fatal(err)
	}
	for z := -203.2; z < 1117.6; z += 33 {
		for _, c := range []bed.Curve{bed.Front, bed.Rear, bed.Shift} {
			if x, y := ea.Wear.Value(bed.At(c, 0), z), eb.Wear.Value(bed.At(c, 0), z); math.Abs(x-y) > 1e-12 {
				t.Errorf("%v at %v: %v and %v", c, z, x, y)
			}
		}
	}
	if got := ea.Wear.Value(bed.At(bed.Front, 0), 152.4); math.Abs(got-0.127) > 1e-12 {
		t.Errorf("front at 6 in is %v mm, written is 0.005 in", got)
	}
}

// The template with the example of every key filled in is a profile without a fault; with none it lacks what is
// required, and nothing else is wrong with it.
func TestTemplate(t *testing.T) {
	for _, u := range []length.Unit{length.Inch, length.Millimetre} {
		all := Answers{"wear.rows": "[[0.0, 0.001, 0.0, 0.0], [20.0, 0.0, 0.0, 0.0]]", "wear.uncertainty": "0.0002"}
		for _, k := range append(Keys(), WearKeys()...) {
			all[k.Path] = k.Example(u)
		}
		p, err := Parse(nil, "new.toml", []byte(Template(u, all)))
		if err != nil {
			t.Errorf("%v: all examples: %v", u, err)
			continue
		}
		if len(p.Warnings) > 0 || p.Unit != u || p.Stated == nil || p.Lathe.CrossSlide == nil || p.Lathe.Bed.V == nil {
			t.Errorf("%v: all examples: %+v", u, p)
		}
		required := map[string]bool{}
		for _, k := range Keys() {
			if k.Required && !strings.HasPrefix(k.Path, "lathe.front_way.") &&
				!strings.HasPrefix(k.Path, "lathe.cross_slide.") && !strings.HasPrefix(k.Path, "lathe.compound.") &&
				!strings.HasPrefix(k.Path, "lathe.holding.") {
				required[k.Path] = true
			}
		}
		_, err = Parse(nil, "new.toml", []byte(Template(u, Answers{})))
		for _, line := range strings.Split(err.Error(), "\n") {
			if strings.HasPrefix(line, "  hint: ") {
				continue
			}
			_, fault, _ := strings.Cut(line, ": ")
			key, message, _ := strings.Cut(fault, ": ")
			if !required[key] || message != "missing" {
				t.Errorf("%v: the empty template: %s", u, line)
			}
			delete(required, key)
		}
		if len(required) > 0 {
			t.Errorf("%v: the empty template does not lack %v", u, required)
		}
		// One key at a time is written where it belongs, and read.
		for _, k := range Keys() {
			text := Template(u, Answers{k.Path: k.Example(u)})
			_, err := Draft(nil, "new.toml", []byte(text))
			if err != nil && strings.Contains(err.Error(), k.Path+":") {
				t.Errorf("%v: %s alone: %v", u, k.Path, err)
			}
			if err != nil && strings.Contains(err.Error(), "unknown key") {
				t.Errorf("%v: %s alone: %v", u, k.Path, err)
			}
		}
	}
}

// Every key says what it is, how it is found, and what is taken without it.
func TestKeys(t *testing.T) {
	seen := map[string]bool{}
	for _, k := range append(Keys(), WearKeys()...) {
		if seen[k.Path] || k.What == "" || k.How == "" || k.Inch == "" || k.MM == "" ||
			k.Required != (k.Default == "") {
			t.Errorf("%+v", k)
		}
		if strings.HasSuffix(k.How, ".") || strings.HasSuffix(k.What, ".") {
			t.Errorf("%s: full stops are set where it is shown", k.Path)
		}
		seen[k.Path] = true
	}
}

// A profile with readings in place of stated wear is read, and estimated.
func TestReadSurvey(t *testing.T) {
	text := strings.Replace(whole[:strings.Index(whole, "[wear]")], `tool_post = "rear"`, "", 1) +
		"[[survey]]\nmethod = \"way-micrometer\"\ndate = 2026-03-14\non = \"rear\"\nuncertainty = 0.0002\n" +
		"columns = [\"position\", \"reading\"]\nrows = [[-6.0, 1.5], [6.0, 1.498], [20.0, 1.4995], [42.0, 1.5]]\n"
	p, err := Parse(nil, "bench.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Surveys) != 1 || p.Surveys[0].Method != "way-micrometer" ||
		p.Surveys[0].Date.Format(time.DateOnly) != "2026-03-14" {
		t.Fatalf("%+v", p.Surveys)
	}
	est, err := p.Estimate()
	if err != nil {
		t.Fatal(err)
	}
	// 2 thou were read to 0.2 thou: the estimate may smooth them a little.
	if drop := est.Wear.Value(bed.At(bed.Rear, 0), 6*25.4) / 25.4; math.Abs(drop-0.002) > 0.0006 {
		t.Errorf("the rear way at 6 in has dropped %v in, read is 0.002", drop)
	}
}
