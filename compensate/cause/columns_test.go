package cause

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"wornway/profile"
	"wornway/profile/survey"
)

// plain is a flat lathe without wear but a hollow in the front way, deepest at 100 mm, its saddle a point at the tool:
// H 150, S 200, so that a drop d moves the tool out by 0.75·d.
const plain = `format = 1
unit = "mm"
[lathe]
centre_height = 150
way_span = 200
axis_setback = 100
bed = [-200, 1000]
[lathe.saddle]
bearing_length = 0
[wear]
columns = ["position", "front", "rear", "shift"]
uncertainty = 0.0005
rows = [[-200, 0, 0, 0], [0, 0, 0, 0], [50, 0.02, 0, 0], [100, 0.04, 0, 0],
  [200, 0, 0, 0], [300, 0, 0, 0], [400, 0, 0, 0], [1000, 0, 0, 0]]
`

// taken reads a profile and readings since.
func taken(t *testing.T, text string, later ...string) Question {
	t.Helper()
	p, err := profile.Parse(nil, "plain.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	e, err := p.Estimate()
	if err != nil {
		t.Fatal(err)
	}
	q := Question{Bed: Bed{Lathe: p.Lathe.Bed, Wear: e.Wear, Headstock: math.NaN()}}
	for _, text := range later {
		c, err := p.ReadLater(nil, "later.toml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		q.Readings = append(q.Readings, c.Set)
	}
	return q
}

// cut writes a cut of a diameter of 20 mm and what is given, 1 µm sure.
func cut(keys string, off func(z float64) float64, at ...float64) string {
	var b strings.Builder
	fmt.Fprintf(&b, "[[survey]]\nmethod = \"test-cut\"\n%suncertainty = 0.001\ncolumns = [\"position\", "+
		"\"diameter\"]\nrows = [\n", keys)
	for _, z := range at {
		fmt.Fprintf(&b, "[%g, %.6f],\n", z, 20+off(z))
	}
	b.WriteString("]\n")
	return b.String()
}

func none(float64) float64 { return 0 }

// What each cause makes of the same bar, by hand from the geometry, as differences to the first collar: chucked with
// the jaws at 0, light (0.1 mm) and three times as deep, and between centres, and of a level on the saddle. The
// look-alikes (common practice, no source): lean and twist both make a straight taper from the chuck and nothing
// between centres; a level tells them apart. Set-over makes one between centres only. Push-off bends, grows with the
// depth, and bulges between centres. Wear is the same in all of them.
func TestLookAlikes(t *testing.T) {
	at := []float64{50, 100, 200}
	q := taken(t, plain, cut("held_at = 0\ndepth = 0.1\n", none, at...), cut("held_at = 0\ndepth = 0.3\n", none, at...),
		cut("held = \"centres\"\nheld_at = 0\ncentre_at = 300\ndepth = 0.1\n", none, 100, 200, 300),
		"[[survey]]\nmethod = \"saddle-level\"\nper_division = \"0.02 mm/m\"\ncolumns = [\"position\", "+
			"\"reading\"]\nrows = [[50, 0], [100, 0], [200, 0]]\n")
	g, err := gather(q.Bed, q.Readings, len(q.Readings))
	if err != nil {
		t.Fatal(err)
	}
	hollow := 2 * 0.75 * 0.04 // diameter at 100 mm
	half := hollow / 2        // at 50 mm, where the front way is half as deep
	cube := func(z float64) float64 { return z * z * z / (200 * 200 * 200) }
	bulge := func(z float64) float64 { return z * z * (300 - z) * (300 - z) / 300 / (200 * 200 * 200) }
	for _, c := range []struct {
		kind Kind
		want [4][3]float64
	}{
		{WornOn, [4][3]float64{{half, hollow, 0}, {half, hollow, 0}, {hollow, 0, 0}, {-0.02 / 200, -0.04 / 200, 0}}},
		// 1 mm toward the operator in 300: the work comes nearer to the tool by z/300, the diameter is smaller by twice
		// that.
		{Lean, [4][3]float64{{-100. / 300, -200. / 300, -400. / 300}, {-100. / 300, -200. / 300, -400. / 300}, {}, {}}},
		// 1 rad in 300 mm rolls the tool out by 150·z/300.
		{Twist, [4][3]float64{{50, 100, 200}, {50, 100, 200}, {}, {-50. / 300, -100. / 300, -200. / 300}}},
		{SetOver, [4][3]float64{{}, {}, {-200. / 300, -400. / 300, -600. / 300}, {}}},
		// an axis 1 mm low at 300 is low by z/300 at z: √(10² + h²) − 10 is h²/20 on radius, h²/10 on diameter.
		{TailHeight, [4][3]float64{{}, {}, {1. / 9 / 10, 4. / 9 / 10, 1. / 10}, {}}},
		// one third of the deep cut's in the light one.
		{PushOff, [4][3]float64{{cube(50) / 3, cube(100) / 3, 1. / 3}, {cube(50), cube(100), 1},
			{bulge(100) / 3, bulge(200) / 3, 0}, {}}},
	} {
		got := g.column(c.kind)
		for i := range got {
			if want := c.want[i/3][i%3]; math.Abs(got[i]-want) > 1e-9*math.Max(1, math.Abs(want)) {
				t.Errorf("%s: reading %d of survey %d is %g, not %g", c.kind, i%3+1, i/3+1, got[i], want)
			}
		}
	}
}

// In the chuck from 0 and on a centre at 300 a bar follows the centre by a²(3l − a)/2l³ (beam tables, from memory):
// by 4/27 at 100 and 14/27 at 200. It leans only by what the centre does not take along.
func TestChuckAndCentre(t *testing.T) {
	q := taken(t, plain, cut("held = \"chuck-and-centre\"\nheld_at = 0\ncentre_at = 300\n", none, 100, 200))
	g, err := gather(q.Bed, q.Readings, len(q.Readings))
	if err != nil {
		t.Fatal(err)
	}
	near, far := 4./27, 14./27
	for kind, want := range map[Kind][2]float64{
		SetOver:    {-2 * near, -2 * far},
		TailHeight: {2 * near * near / 20, 2 * far * far / 20},
		Lean:       {-2 * (100./300 - near), -2 * (200./300 - far)},
		Twist:      {2 * 150 * (100./300 - near), 2 * 150 * (200./300 - far)},
	} {
		for i, got := range g.column(kind) {
			if math.Abs(got-want[i]) > 1e-9*math.Max(1, math.Abs(want[i])) {
				t.Errorf("%s: reading %d is %g, want %g", kind, i+1, got, want[i])
			}
		}
	}
}

// Causes put into made-up cuts, by hand, are found, with their sizes; and what a chuck alone cannot tell is said.
func TestFind(t *testing.T) {
	chucked := []float64{40, 80, 120, 160, 200}
	centres := []float64{50, 110, 170, 230, 290}
	rough := func(z float64) float64 { return 0.0007 * math.Sin(z) } // readings are never smooth
	flat := strings.NewReplacer("[50, 0.02,", "[50, 0,", "[100, 0.04,", "[100, 0,").Replace(plain)
	take := func(lean, set, push float64) Question {
		off := func(depth float64) func(float64) float64 {
			return func(z float64) float64 {
				return rough(z+depth) - 2*lean*z/300 + push*depth/0.8*math.Pow(z/200, 3)
			}
		}
		return taken(t, flat, cut("held_at = 0\ndepth = 0.1\n", off(0.1), chucked...),
			cut("held_at = 0\ndepth = 0.8\n", off(0.8), chucked...),
			cut("held = \"centres\"\ndepth = 0.1\n", func(z float64) float64 { return rough(z) - 2*set*z/300 },
				centres...))
	}
	for _, c := range []struct {
		lean, set, push float64
		want            Kind
		size            float64
		// a lean is told from a twist by nothing but its strength, so that it is no more than likely
		decided bool
	}{{0.05, 0, 0, Lean, 0.05, false}, {0, -0.1, 0, SetOver, -0.1, true}, {0, 0, 0.03, PushOff, 0.03, true}} {
		r, err := Find(take(c.lean, c.set, c.push))
		if err != nil {
			t.Fatal(err)
		}
		f := r.Causes[0]
		if f.Kind != c.want || r.Decided != c.decided || f.Probability < 0.8 || math.Abs(f.Size-c.size) > 2*f.U {
			t.Errorf("%s, %g: found %s with %.3f, %g ± %g", c.want, c.size, f.Kind, f.Probability, f.Size, 2*f.U)
		}
		sum := 0.0
		for _, e := range r.Explanations {
			sum += e.Probability
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Errorf("the explanations add up to %g", sum)
		}
		alike := false
		for _, a := range r.Alike {
			alike = alike || a == [2]Kind{Twist, Lean}
		}
		if !alike {
			t.Errorf("nothing tells lean from twist in these cuts, but %v is said to be alike", r.Alike)
		}
	}
	r, err := Find(take(0, 0, 0))
	if err != nil {
		t.Fatal(err)
	}
	if r.Causes[0].Kind != AsSurveyed {
		t.Errorf("nothing is wrong, and %s is found", r.Causes[0].Kind)
	}
}

// A taper of one cut from the chuck may be lean or twist, and a level on the saddle is worth more than one more cut
// like it.
func TestTell(t *testing.T) {
	flat := strings.NewReplacer("[50, 0.02,", "[50, 0,", "[100, 0.04,", "[100, 0,").Replace(plain)
	taper := func(z float64) float64 { return -0.02 * z / 200 }
	p, err := profile.Parse(nil, "plain.toml", []byte(flat))
	if err != nil {
		t.Fatal(err)
	}
	q := taken(t, flat, cut("held_at = 0\ndepth = 0.1\n", taper, 40, 80, 120, 160, 200),
		cut("held_at = 0\ndepth = 0.8\n", taper, 40, 80, 120, 160, 200))
	r, err := Find(q)
	if err != nil {
		t.Fatal(err)
	}
	if r.Decided {
		t.Fatalf("%v is taken as decided", r.Causes[0])
	}
	further, err := p.Further(profile.Practice{From: 40, To: 200, Diameter: 20, U: 0.001, HeldAt: 0, Light: 0.1,
		Deep: 0.8, Feed: math.NaN()})
	if err != nil {
		t.Fatal(err)
	}
	separation := map[string]float64{}
	for _, f := range further {
		told, err := r.Tell([]Proposal{{f.Name, f.Set}})
		if err != nil {
			t.Fatal(err)
		}
		separation[f.Name] = told[0].Separation
	}
	for name, s := range separation {
		if name != "saddle-level" && s >= separation["saddle-level"] {
			t.Errorf("%s is worth %g, a level %g", name, s, separation["saddle-level"])
		}
	}
}

// The evidence in closed form, against sums over the sizes: plain quadrature on a grid.
func TestEvidence(t *testing.T) {
	w := &whiteWorld{y: []float64{1.2, -0.4, 2.1}, log: -3}
	a, b := share{[]float64{1, 0.5, 0.2}, true}, share{[]float64{-0.3, 0.8, 1.1}, true}
	density := func(x, z float64) float64 {
		s := 0.0
		for i, y := range w.y {
			d := y - x*a.x[i] - z*b.x[i]
			s += y*y - d*d
		}
		return math.Exp(w.log + s/2 - x*x/2 - z*z/2)
	}
	const step, far = 0.01, 8.0
	for _, c := range []struct{ one, other bool }{{false, false}, {true, false}, {false, true}, {true, true}} {
		a.one, b.one = c.one, c.other
		sum, norm := 0.0, 2*math.Pi
		if c.one {
			norm /= 2
		}
		if c.other {
			norm /= 2
		}
		for x := -far + step/2; x < far; x += step {
			for z := -far + step/2; z < far; z += step {
				if (x > 0 || !c.one) && (z > 0 || !c.other) {
					sum += density(x, z) * step * step / norm
				}
			}
		}
		if got := w.fit(a, b).log; math.Abs(got-math.Log(sum)) > 1e-4 {
			t.Errorf("%v: the evidence is %g, by quadrature %g", c, got, math.Log(sum))
		}
	}
	for _, one := range []bool{false, true} {
		a.one = one
		sum, norm := 0.0, math.Sqrt(2*math.Pi)
		if one {
			norm /= 2
		}
		for x := -far + step/2; x < far; x += step {
			if x > 0 || !one {
				sum += density(x, 0) * step / norm
			}
		}
		if got := w.fit(a).log; math.Abs(got-math.Log(sum)) > 1e-4 {
			t.Errorf("one %v: the evidence is %g, by quadrature %g", one, got, math.Log(sum))
		}
	}
}

// What cannot be weighed is refused.
func TestRefused(t *testing.T) {
	if _, err := Find(taken(t, strings.Replace(plain, "uncertainty = 0.0005\n", "", 1),
		cut("", none, 10, 20, 30))); err != ErrNotStated {
		t.Error(err)
	}
	if _, err := Find(taken(t, plain, cut("", none, 10))); err != ErrFew {
		t.Error(err)
	}
	if _, err := Find(Question{Bed: taken(t, plain).Bed, Readings: []survey.Set{}}); err != ErrFew {
		t.Error(err)
	}
}
