package length

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Expected values by hand, with 25.4 mm to the inch.
func TestPrint(t *testing.T) {
	for _, c := range []struct{ name, got, want string }{
		{"position", Position(101.6, Inch), "4"},
		{"position", Position(133.35, Inch), "5.25"},
		{"position", Position(-203.2, Inch), "-8"},
		{"position", Position(10, Inch), "0.394"},
		{"position", Position(100, Millimetre), "100"},
		{"position", Position(75.5, Millimetre), "75.5"},
		{"position", Position(75.126, Millimetre), "75.13"},
		{"position", Position(-0.001, Millimetre), "0"},
		{"position", Position(0, Inch), "0"},
		{"position", Position(2540, Inch), "100"},
		{"position", Position(0.0254, Thou), "1"},
		{"diameter", Diameter(25.4, Inch), "1"},
		{"diameter", Diameter(19.05254, Inch), "0.7501"},
		{"diameter", Diameter(20.0104, Millimetre), "20.01"},
		{"diameter", Diameter(-0.00001, Inch), "0"},
		{"small", Small(0.00254, Inch), "0.10"},
		{"small", Small(-0.00254, Inch), "-0.10"},
		{"small", Small(-0.0000254, Inch), "0.00"},
		{"small", Small(-0.00012, Millimetre), "-0.1"},
		{"small", Small(-0.00004, Millimetre), "0.0"},
		{"small", Small(0.0133, Micrometre), "13.3"},
		{"± thou", PlusMinus(0.21*0.0254, Inch), "± 0.42 thou"},
		{"± thou", PlusMinus(2.113*0.0254, Inch), "± 4.2 thou"},
		{"± thou", PlusMinus(4.98*0.0254, Inch), "± 10 thou"},
		{"± thou", PlusMinus(0.498*0.0254, Inch), "± 1.0 thou"},
		{"± thou", PlusMinus(61.3*0.0254, Inch), "± 120 thou"},
		{"± thou", PlusMinus(0.0001*0.0254, Inch), "± 0.01 thou"},
		{"± thou", PlusMinus(0, Inch), "± 0.00 thou"},
		{"± µm", PlusMinus(0.00621, Millimetre), "± 12 \u00b5m"},
		{"± µm", PlusMinus(0.0021, Millimetre), "± 4.2 \u00b5m"},
		{"± µm", PlusMinus(0.00021, Millimetre), "± 0.4 \u00b5m"},
		{"± µm", PlusMinus(0.00001, Millimetre), "± 0.1 \u00b5m"},
		{"± nothing", PlusMinus(math.NaN(), Inch), "± not stated"},
		{"± nothing", PlusMinus(-1, Inch), "± not stated"},
		{"± nothing", PlusMinus(math.Inf(1), Inch), "± unlimited"},
		{"fixed", Fixed(-0.004, 2), "0.00"},
		{"fixed", Fixed(-0.006, 2), "-0.01"},
		{"fixed", Fixed(math.Copysign(0, -1), 0), "0"},
		{"fixed", Fixed(-10, 0), "-10"},
	} {
		if c.got != c.want {
			t.Errorf("%s: %q, want %q", c.name, c.got, c.want)
		}
	}
}

// What is printed is what is meant, to half of the last digit, and a negative zero never appears.
func TestPrintIsClose(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := units(t)
		mm := rapid.Float64Range(-2000, 2000).Draw(t, "mm") * math.Pow10(rapid.IntRange(-7, 0).Draw(t, "scale"))
		for _, p := range []struct {
			text string
			unit Unit
			last float64
		}{
			{Position(mm, u), u, [...]float64{0.01, 0.001, 1, 1}[u]},
			{Diameter(mm, u), u, [...]float64{0.001, 0.0001, 0.1, 1}[u]},
			{Small(mm, u), u.Small(), map[Unit]float64{Thou: 0.01, Micrometre: 0.1}[u.Small()]},
		} {
			x, err := strconv.ParseFloat(p.text, 64)
			if err != nil || math.Abs(x*p.unit.MM()-mm) > p.last*p.unit.MM()*0.5000001+1e-12 {
				t.Fatalf("%v mm prints as %q %v", mm, p.text, p.unit)
			}
			if strings.HasPrefix(p.text, "-") && strings.Trim(p.text, "-0.") == "" {
				t.Fatalf("%v mm prints as %q", mm, p.text)
			}
		}
	})
}

// The ± shown lies within a twentieth of the expanded uncertainty (two digits: 10 to 99), or within half of the finest
// digit shown, or is that finest digit itself.
func TestPlusMinusIsClose(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := units(t)
		standard := rapid.Float64Range(0, 10).Draw(t, "standard") * math.Pow10(rapid.IntRange(-6, 0).Draw(t, "scale"))
		text := PlusMinus(standard, u)
		fields := strings.Fields(text)
		if len(fields) != 3 || fields[0] != "±" || fields[2] != u.Small().String() {
			t.Fatalf("%v mm prints as %q", standard, text)
		}
		x, err := strconv.ParseFloat(fields[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		want := 2 * standard / u.Small().MM()
		finest := math.Pow10(-u.smallDecimals())
		if d := math.Abs(x - want); d > want/20*1.000001 && d > finest*0.500001 && (x != finest || want >= finest) {
			t.Fatalf("%v mm prints as %q, but expanded it is %v %v", standard, text, want, u.Small())
		}
		if standard > 0 && x == 0 {
			t.Fatalf("%v mm prints as %q, as if it were known exactly", standard, text)
		}
	})
}
