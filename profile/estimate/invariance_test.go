package estimate_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"

	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/estimate"
)

// bench is an invented lathe, lengths in mm; f writes one in the file's unit.
func bench(unit string) (text string, f func(mm float64) string) {
	f = func(mm float64) string { return fmt.Sprintf("%.17g", mm) }
	if unit == "in" {
		f = func(mm float64) string { return fmt.Sprintf("%.17g", mm/25.4) }
	}
	return fmt.Sprintf(`format = 1
unit = %q
[lathe]
centre_height = %s
way_span = %s
axis_setback = %s
bed = [%s, %s]
unworn = [[%s, %s], [%s, %s]]
[lathe.saddle]
bearing_length = %s
tool_offset = %s
[lathe.tailstock]
front_way_setback = %s
rear_way_setback = %s
base_length = %s
`, unit, f(150), f(200), f(100), f(-203.2), f(812.8), f(-203.2), f(-152.4), f(762),
		f(812.8), f(279.4), f(-25.4), f(60), f(160), f(150)), f
}

type reading struct{ z, there, back float64 } // mm

// wornAway is the drop of the front way of the invented bed.
func wornAway(z float64) float64 { d := (z - 150) / 120; return 0.09 * math.Exp(-d*d) }

// runs are the readings of four invented surveys, in mm and, for the level, in divisions.
func runs(n int) map[string][]reading {
	r := rand.New(rand.NewPCG(3, 5))
	out := map[string][]reading{}
	for _, m := range []struct {
		name string
		f    func(z float64) float64
		u    float64
	}{
		{"carriage-indicator", func(z float64) float64 { return 0.7 * wornAway(z) }, 0.002},
		{"bar-side", func(z float64) float64 { return -0.4 * wornAway(z) }, 0.002},
		{"saddle-level", func(z float64) float64 { return 1 - 0.5*wornAway(z)/200/2e-5 }, 0.2},
		{"way-micrometer", func(z float64) float64 { return 25 - 0.5*wornAway(z) }, 0.002},
	} {
		for i := range n {
			z := -100 + 800*float64(i)/float64(n-1)
			v := m.f(z)
			out[m.name] = append(out[m.name], reading{z, v + m.u*r.NormFloat64(), v + m.u*r.NormFloat64()})
		}
	}
	return out
}

// written writes the surveys in this order.
func written(unit string, order []string, surveys map[string][]reading) string {
	text, f := bench(unit)
	var b strings.Builder
	b.WriteString(text)
	for _, name := range order {
		fmt.Fprintf(&b, "[[survey]]\nmethod = %q\ncolumns = [\"position\", \"reading\", \"back\"]\n", name)
		number := f
		switch name {
		case "carriage-indicator":
			b.WriteString("touch = \"tail-front\"\n")
		case "way-micrometer":
			b.WriteString("on = \"rear\"\n")
		case "saddle-level":
			b.WriteString("per_division = \"0.02 mm/m\"\n")
			number = func(x float64) string { return fmt.Sprintf("%.17g", x) }
		case "bar-side":
			b.WriteString("held = \"centres\"\n")
		}
		b.WriteString("rows = [\n")
		for _, r := range surveys[name] {
			fmt.Fprintf(&b, "[%s, %s, %s],\n", f(r.z), number(r.there), number(r.back))
		}
		b.WriteString("]\n")
	}
	return b.String()
}

// estimated returns the estimate of a profile. Several tests ask about the same ones: each is estimated once.
func estimated(t testing.TB, text string) *estimate.Result {
	t.Helper()
	made, _ := estimates.LoadOrStore(text, sync.OnceValues(func() (*estimate.Result, error) {
		p, err := profile.Parse(nil, "bed.toml", []byte(text))
		if err != nil {
			return nil, err
		}
		return p.Estimate()
	}))
	r, err := made.(func() (*estimate.Result, error))()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

var estimates sync.Map // by the profile's text

// differ returns the greatest difference of two estimates' curves and of their uncertainties, mm.
func differ(a, b *estimate.Result) (value, u float64) {
	for c := range bed.Curves {
		for z := -200.0; z <= 810; z += 25 {
			s := bed.At(c, 0)
			value = math.Max(value, math.Abs(a.Wear.Value(s, z)-b.Wear.Value(s, z)))
			u = math.Max(u, math.Abs(standard(a, s, z)-standard(b, s, z)))
		}
	}
	return value, u
}

var order = []string{"carriage-indicator", "bar-side", "saddle-level", "way-micrometer"}

// What a survey leaves open is open: a constant more on every reading, and where slope is free as well a slope more,
// change nothing beside the wear's 0.09 mm. Nor does the order of surveys or rows (runs are read back, so that no drift
// follows the rows), nor the unit of the file.
func TestInvariance(t *testing.T) {
	surveys := runs(9)
	want := estimated(t, written("mm", order, surveys))
	check := func(name, text string) {
		t.Helper()
		v, u := differ(estimated(t, text), want)
		if !(v <= 1e-9*0.09 && u <= 1e-9*0.09) {
			t.Errorf("%s: values differ by %.3g mm, uncertainties by %.3g mm", name, v, u)
		}
	}
	shifted := map[string][]reading{}
	for name, rows := range surveys {
		slope := 0.0
		if name == "way-micrometer" || name == "bar-side" {
			slope = 2e-4
		}
		for _, r := range rows {
			add := -0.31 + slope*r.z
			shifted[name] = append(shifted[name], reading{r.z, r.there + add, r.back + add})
		}
	}
	check("a straight line more", written("mm", order, shifted))

	turned := map[string][]reading{}
	r := rand.New(rand.NewPCG(1, 2))
	for name, rows := range surveys {
		for _, i := range r.Perm(len(rows)) {
			turned[name] = append(turned[name], rows[i])
		}
	}
	check("rows in another order", written("mm", order, turned))
	check("surveys in another order", written("mm", []string{"way-micrometer", "saddle-level", "bar-side",
		"carriage-indicator"}, turned))
	check("inches", written("in", order, surveys))
}

// Collars in another order: one dial setting for all, whichever is written first.
func TestCollarsInAnyOrder(t *testing.T) {
	text, _ := bench("mm")
	cut := func(rows string) *estimate.Result {
		return estimated(t, text+"[[survey]]\nmethod = \"test-cut\"\nheld_at = 20\ncolumns = [\"position\", "+
			"\"diameter\"]\nrows = ["+rows+"]\n")
	}
	a := cut("[40, 8.055], [80, 8.048], [120, 8.03], [160, 8.01], [200, 8.0]")
	b := cut("[160, 8.01], [40, 8.055], [200, 8.0], [120, 8.03], [80, 8.048]")
	if v, u := differ(a, b); !(v <= 1e-10 && u <= 1e-10) {
		t.Errorf("values differ by %.3g mm, uncertainties by %.3g mm", v, u)
	}
}
