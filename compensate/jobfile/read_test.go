package jobfile

import (
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"wornway/compensate/bend"
	"wornway/compensate/work"
	"wornway/profile/document"
	"wornway/profile/length"
)

const whole = `format = 1
unit = "in"
[job]
name = "Pulley shaft (invented)"
length = 12.0
stock_diameter = 1.75
stock_length = 14.0
held = ["chuck-and-centre", "centres"]
grip = 1.5
end_for_end = true
tool_height = -0.005
material = "@steel"
[job.cut]
depth = 0.01
feed = 0.004
approach = 90
radial_force = "9 lbf"
radial_force_uncertainty = 5
spring_passes = 2
[[feature]]
name = "left seat"
from = 0.0
to = 1.0
diameter = 1.25
fit = "k6"
taper = 0.0003
sized = "once"
[[feature]]
name = "pulley seat"
from = 5.0
to = 7.0
diameter = 1.5
upper = 0.0007
lower = -0.0001
spread = 0.0004
[[feature]]
name = "oil hole"
from = 9.0
to = 12.0
diameter = 0.5
bore = true
fit = "H7"
`

// filled puts a material's name into a text.
func filled(s string) string { return strings.ReplaceAll(s, "@steel", example()) }

func parsed(t *testing.T, text string) *File {
	t.Helper()
	f, err := Parse("shaft.toml", []byte(filled(text)))
	if err != nil {
		t.Fatalf("%v\nof\n%s", err, text)
	}
	return f
}

// Every value by hand: an inch is 25.4 mm, a pound-force 4.4482216152605 N; the limits of k6 and H7 are those of
// package work, which has tests of its own.
func TestReadEveryKey(t *testing.T) {
	f := parsed(t, whole)
	steel, _ := bend.FindMaterial(example())
	limits := func(name string, mm float64) *work.Limits {
		fit, err := work.ParseFit(name, mm)
		if err != nil {
			t.Fatal(err)
		}
		return &fit.Limits
	}
	k6, _ := work.ParseFit("k6", 31.75)
	h7, _ := work.ParseFit("H7", 12.7)
	const inch = 25.4
	want := work.Job{
		Name: "Pulley shaft (invented)", ToolHeight: -0.005 * inch,
		Features: []work.Feature{
			{Name: "left seat", From: 0, To: 1 * inch, Diameter: 1.25 * inch, Fit: "k6", Size: limits("k6", 31.75),
				Recalled: k6.FromMemory, Taper: 0.0003 * inch, Sized: work.Once},
			{Name: "pulley seat", From: 5 * inch, To: 7 * inch, Diameter: 1.5 * inch,
				Size: &work.Limits{Lower: -0.0001 * inch, Upper: 0.0007 * inch}, Tolerance: 0.0004 * inch},
			{Name: "oil hole", From: 9 * inch, To: 12 * inch, Diameter: 0.5 * inch, Bore: true, Fit: "H7",
				Size: limits("H7", 12.7), Recalled: h7.FromMemory},
		},
		Part: &work.Part{
			Length: 12 * inch, Stock: 1.75 * inch, StockLength: 14 * inch,
			Held: []work.Holding{work.ChuckAndCentre, work.Centres}, HeldStated: true, Grip: 1.5 * inch,
			EndForEnd: true,
			Material:  example(), Modulus: steel.Modulus,
			Cut: work.Finish{Depth: 0.01 * inch, Feed: 0.004 * inch, Radial: 9 * 4.4482216152605, URadial: 5,
				Source: pushed + "as the job file states it", SpringPasses: 2},
		},
	}
	if !alike(reflect.ValueOf(f.Job), reflect.ValueOf(want)) {
		t.Errorf("read is\n%+v\n%+v\nexpected was\n%+v\n%+v", f.Job, *f.Job.Part, want, *want.Part)
	}
	if f.Unit != length.Inch || f.Name != "shaft.toml" || len(f.Warnings) > 0 {
		t.Errorf("unit %v, name %q, warnings %v", f.Unit, f.Name, f.Warnings)
	}
}

// alike compares values of one type, floats to 13 digits.
func alike(a, b reflect.Value) bool {
	switch a.Kind() {
	case reflect.Float64:
		return math.Abs(a.Float()-b.Float()) <= 1e-13*math.Max(math.Abs(a.Float()), math.Abs(b.Float()))
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

const bare = "format = 1\nunit = \"mm\"\n[job]\nlength = 300\nstock_diameter = 45\n"
const seat = "[[feature]]\nname = \"seat\"\nfrom = 10\nto = 60\ndiameter = 40\nspread = 0.01\n"

// What is taken where a file says nothing, by the README's table.
func TestReadDefaults(t *testing.T) {
	f := parsed(t, bare+seat)
	want := work.Job{
		Features: []work.Feature{{Name: "seat", From: 10, To: 60, Diameter: 40, Tolerance: 0.01}},
		Part: &work.Part{Length: 300, Stock: 45, StockLength: 300, Held: work.AllHoldings(), Grip: 45,
			Cut: work.Finish{Source: NotCalculated}},
	}
	if !alike(reflect.ValueOf(f.Job), reflect.ValueOf(want)) {
		t.Errorf("read is\n%+v\n%+v", f.Job, *f.Job.Part)
	}
	// Of short stock a third is held.
	if f = parsed(t, strings.Replace(bare, "length = 300", "length = 30", 1)+strings.Replace(seat, "to = 60", "to = 20",
		1)); f.Job.Part.Grip != 10 {
		t.Errorf("grip of a disc: %v", f.Job.Part.Grip)
	}
	if f = parsed(t, strings.Replace(bare, "[job]\n", "[job]\nheld = \"centres\"\n", 1)+seat); !f.Job.Part.HeldStated ||
		len(f.Job.Part.Held) != 1 || f.Job.Part.Held[0] != work.Centres {
		t.Errorf("held: %+v", f.Job.Part)
	}
	// A stated force is known to a tenth of itself.
	f = parsed(t, bare+"material = \"@steel\"\n[job.cut]\nradial_force = 40\n"+seat)
	if c := f.Job.Part.Cut; c.Radial != 40 || c.URadial != 4 || c.Depth != 0 || c.Feed != 0 {
		t.Errorf("stated force: %+v", c)
	}
}

// A force that is calculated is a share of the cutting force. Kienzle's law by hand for a square edge: specific force
// · feed^(1−mc) · depth; 2500 N/mm², as it is stated for the chip at hand, times 0.1 mm and 0.25 mm is 62.5 N, of
// which 0.4 are 25 N and 0.3 are 18.75 N, each known to a quarter (bend.RadialShare).
func TestForceCalculated(t *testing.T) {
	for text, want := range map[string]float64{
		"modulus = 206000\nspecific_force = 2500\n[job.cut]\ndepth = 0.25\nfeed = 0.1\n":                     25,
		"modulus = 206000\nspecific_force = 2500\n[job.cut]\ndepth = 0.25\nfeed = 0.1\nradial_share = 0.3\n": 18.75,
		"modulus = 206000\nspecific_force = 2500\n[job.cut]\ndepth = 0.25\nfeed = 0.1\nspring_passes = 1\n":  25,
	} {
		f := parsed(t, bare+text+seat)
		c := f.Job.Part.Cut
		if math.Abs(c.Radial-want) > 1e-9 || math.Abs(c.URadial-want/4) > 1e-9 || f.Job.Part.Modulus != 206000 ||
			f.Job.Part.Material != "" {
			t.Errorf("%s: %+v, want %v N", text, c, want)
		}
	}
	steel, _ := bend.FindMaterial(example())
	want, u := bend.Radial(steel.Cutting(0.25, 0.1, math.Pi/2))
	if c := parsed(t, bare+"material = \"@steel\"\n[job.cut]\ndepth = 0.25\nfeed = "+
		"0.1\n"+seat).Job.Part.Cut; c.Radial != want || c.URadial != u {
		t.Errorf("named material: %+v, want %v ± %v", c, want, u)
	}
	// At 45 degrees the chip is thinner and wider by the same factor: with a specific force that does not change the
	// force stays.
	if c := parsed(t, bare+"modulus = 206000\nspecific_force = 2500\n[job.cut]\ndepth = 0.25\nfeed = 0.1\napproach = "+
		"45\n"+seat).Job.Part.Cut; math.Abs(c.Radial-25) > 1e-9 {
		t.Errorf("at 45 degrees: %+v", c)
	}
}

// Two collars, forwards by hand: a bar of 25 mm and 206000 N/mm², 125 mm out, gives L³/(3EI) =
// 125³/(3·206000·π·25⁴/64) = 1.648209e-4 mm per N. With 160 N per mm of depth r = 0.02637134, and of a cut set
// to a the work springs away a·r/(1 + r): 0.1 and 0.5 mm leave collars that differ by 2·0.4·r/(1 + r) = 0.02055506
// mm. Reading that back, a cut of 0.25 mm has 40 N.
func TestForceFromCollars(t *testing.T) {
	give := 125. * 125 * 125 / (3 * 206000 * math.Pi * math.Pow(25, 4) / 64)
	r := give * 160
	oversize := 2 * 0.4 * r / (1 + r)
	if math.Abs(give-1.648209e-4) > 1e-9 || math.Abs(oversize-0.02055506) > 1e-7 {
		t.Fatalf("the calculation by hand: %v mm per N, %v mm", give, oversize)
	}
	c := parsed(t, bare+"modulus = 206000\n[job.cut]\ndepth = 0.25\n[job.cut.collars]\ndistance = 125\ndiameter = "+
		"25\ndepths = [0.1, 0.5]\noversize = "+
		length.Fixed(oversize, 12)+"\nuncertainty = 0.001\n"+seat).Job.Part.Cut
	force, uForce, err := c.Force(0)
	if err != nil || math.Abs(force-40) > 1e-6 {
		t.Errorf("%v N, %v, want 40", force, err)
	}
	// To first order in the oversize: u/oversize, stretched by 1 + r.
	if want := 40 * 0.001 / oversize * (1 + r); math.Abs(uForce/want-1) > 1e-6 {
		t.Errorf("± %v N, want %v", uForce, want)
	}
	if !strings.Contains(c.Source, "two collars") {
		t.Errorf("source %q", c.Source)
	}
}

// A byte order mark and the line ends of Windows make no difference; another encoding is told of.
func TestReadBytes(t *testing.T) {
	for _, text := range []string{"\uFEFF" + bare + seat, strings.ReplaceAll(bare+seat, "\n", "\r\n")} {
		f, err := Parse("a.toml", []byte(text))
		if err != nil || len(f.Job.Features) != 1 {
			t.Errorf("%v", err)
		}
	}
	var faults document.Faults
	if _, err := Parse("a.toml", []byte("\xff\xfef\x00")); !errors.As(err, &faults) {
		t.Errorf("%v", err)
	}
}
