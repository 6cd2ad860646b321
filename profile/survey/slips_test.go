package survey_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"wornway/profile/survey"
)

// Each slip, made in a survey's text by hand, is undone by the slip of its name: the equations are then those of the
// right text.
func TestSlipsUndo(t *testing.T) {
	const two = "[[survey]]\nmethod = 'carriage-indicator'\ntouch = 'tail-front'\nreading_unit = 'thou'\n"
	indicator := func(keys, rows string) string {
		return two + keys + "columns = ['position', 'reading', 'back']\nrows = [" + rows + "]\n"
	}
	level := func(rows string) string {
		return "[[survey]]\nmethod = 'level-along'\non = 'rear'\nper_division = 0.00002\ncolumns = ['from', 'to', " +
			"'reading']\nrows = [" + rows + "]\n"
	}
	cut := func(rows string) string {
		return "[[survey]]\nmethod = 'test-cut'\ncolumns = ['position', 'diameter']\nrows = [" + rows + "]\n"
	}
	drops := func(columns, rows string) string {
		return "[[survey]]\nmethod = 'stated'\ncolumns = [" + columns + "]\nrows = [" + rows + "]\n"
	}
	right := indicator("", "[4, 1, 1.2], [6, 3, 3.4], [8, 2, 2.2]")
	for _, c := range []struct{ slip, wrong, right string }{
		{"sign", indicator("", "[4, -1, -1.2], [6, -3, -3.4], [8, -2, -2.2]"), right},
		{"tenth", indicator("", "[4, 10, 12], [6, 30, 34], [8, 20, 22]"), right},
		{"tenfold", indicator("", "[4, 0.1, 0.12], [6, 0.3, 0.34], [8, 0.2, 0.22]"), right},
		{"mm", indicator("", "[4, 0.0254, 0.03048], [6, 0.0762, 0.08636], [8, 0.0508, 0.05588]"), right},
		{"um", indicator("uncertainty = 2.54\n", "[4, 25.4, 30.48], [6, 76.2, 86.36], [8, 50.8, 55.88]"),
			indicator("uncertainty = 0.1\n", "[4, 1, 1.2], [6, 3, 3.4], [8, 2, 2.2]")},
		{"step-on", indicator("", "[2, 1, 1.2], [4, 3, 3.4], [6, 2, 2.2]"), right},
		{"step-back", indicator("", "[6, 1, 1.2], [8, 3, 3.4], [10, 2, 2.2]"), right},
		// the tool stands an inch nearer to the headstock than the saddle's middle
		{"middle", indicator("", "[5, 1, 1.2], [7, 3, 3.4], [9, 2, 2.2]"), right},
		{"reversed", indicator("", "[8, 1, 1.2], [6, 3, 3.4], [4, 2, 2.2]"), right},
		{"offset", indicator("tip_offset = -2\n", "[4, 1, 1.2], [6, 3, 3.4], [8, 2, 2.2]"),
			indicator("tip_offset = 2\n", "[4, 1, 1.2], [6, 3, 3.4], [8, 2, 2.2]")},
		{"tail-front", strings.Replace(right, "tail-front", "tail-rear", 1), right},
		{"sign", level("[0, 4, 1.5], [4, 8, -2]"), level("[0, 4, -1.5], [4, 8, 2]")},
		{"front", strings.Replace(level("[0, 4, 1.5]"), "rear", "rear", 1),
			strings.Replace(level("[0, 4, 1.5]"), "rear", "front", 1)},
		{"radius", cut("[10, 1.003], [6, 1.001], [2, 1.002]"), cut("[10, 1.004], [6, 1.000], [2, 1.002]")},
		{"diameter", cut("[10, 1.004], [6, 1.000], [2, 1.002]"), cut("[10, 1.003], [6, 1.001], [2, 1.002]")},
		{"exchanged", drops("'position', 'front', 'rear'", "[4, 0.001, 0.003]"),
			drops("'position', 'front', 'rear'", "[4, 0.003, 0.001]")},
		{"sign", drops("'position', 'front', 'shift'", "[4, -0.001, 0.003]"),
			drops("'position', 'front', 'shift'", "[4, 0.001, -0.003]")},
		{"shift", drops("'position', 'front', 'shift'", "[4, 0.001, 0.003]"),
			drops("'position', 'front', 'shift'", "[4, 0.001, -0.003]")},
	} {
		want := parse(t, head("", tailstock)+c.right)
		slips := parse(t, head("", tailstock)+c.wrong).Slips()
		i := slices.IndexFunc(slips, func(s survey.Slip) bool { return s.Name == c.slip })
		if i < 0 {
			t.Errorf("%s: not among %d slips of\n%s", c.slip, len(slips), c.wrong)
			continue
		}
		same(t, c.slip, slips[i].Set, want)
	}
}

// same holds two surveys' equations against each other.
func same(t *testing.T, what string, got, want survey.Set) {
	t.Helper()
	if len(got.Equations) != len(want.Equations) || len(got.Terms) != len(want.Terms) {
		t.Errorf("%s: %d equations and %d terms, want %d and %d", what, len(got.Equations), len(got.Terms),
			len(want.Equations), len(want.Terms))
		return
	}
	// A diameter's equation counts from one collar, so that readings are compared but for a constant.
	zero := got.Equations[0].Reading - want.Equations[0].Reading
	if got.Method.Name != "test-cut" {
		zero = 0
	}
	for i, e := range want.Equations {
		g := got.Equations[i]
		near(t, what+": reading", g.Reading-zero, e.Reading, 1e-12)
		near(t, what+": uncertainty", g.U, e.U, 1e-12)
		near(t, what+": position", g.Position, e.Position, 1e-9)
		for k, p := range e.Parts {
			q := g.Parts[k]
			near(t, what+": place", q.At, p.At, 1e-9)
			near(t, what+": factor", q.Factor, p.Factor, 1e-12)
			for n, term := range p.Sum.Terms {
				o := q.Sum.Terms[n]
				if o.Curve != term.Curve || math.Abs(o.Mean-term.Mean) > 1e-12 || math.Abs(o.From-term.From) > 1e-9 ||
					math.Abs(o.To-term.To) > 1e-9 {
					t.Errorf("%s: term %d is %+v, want %+v", what, n, o, term)
				}
			}
		}
	}
}

// What a slip gains is the density of the readings as written: the product of the factors by which it multiplies them.
// Ten times as great a reading lies in a density ten times less.
func TestSlipGain(t *testing.T) {
	s := parse(t, head("", tailstock)+"[[survey]]\nmethod = 'carriage-indicator'\ntouch = 'tail-front'\nreading_unit "+
		"= 'thou'\ncolumns = ['position', 'reading']\nrows = [[4, 1], [6, 3], [8, 2]]\n")
	want := map[string]float64{"sign": 0, "tenfold": 3 * math.Log(10), "tenth": -3 * math.Log(10),
		"in": 3 * math.Log(1000), "mm": 3 * math.Log(1/0.0254), "um": 3 * math.Log(1/25.4)}
	odds := 0.0
	for _, k := range s.Slips() {
		if g, ok := want[k.Name]; ok {
			near(t, k.Name, k.Gain, g, 1e-9)
			delete(want, k.Name)
		}
		odds += k.Odds
	}
	if len(want) > 0 {
		t.Errorf("not tried: %v", want)
	}
	near(t, "odds of all", odds, 1, 1e-12)
}

// A single reading: what brings it to 3 ± 0.1 thou.
func TestMisread(t *testing.T) {
	indicator, _ := survey.Find("carriage-indicator")
	level, _ := survey.Find("saddle-level")
	cut, _ := survey.Find("test-cut")
	const thou = 0.0254
	for _, c := range []struct {
		m       survey.Method
		reading float64 // thou
		words   string
	}{
		{indicator, -3, "its sign is changed"}, {indicator, 30.4, "it is a tenth of what is written"},
		{indicator, 0.3, "it is ten times what is written"},
		{indicator, 103, "a hand that goes round in 100 thou was read a turn wrong"},
		{indicator, -97, "a hand that goes round in 100 thou was read a turn wrong"},
		{cut, 28.05, "a thimble that goes round in 25 thou was read a turn wrong"}, {cut, -3, ""}, {indicator, 11, ""},
		{indicator, 3.4, ""}, {level, 103, ""},
	} {
		if got := c.m.Misread(c.reading*thou, (c.reading-3)*thou, 0.1*thou); got != c.words {
			t.Errorf("%s, %g thou: %q, want %q", c.m.Name, c.reading, got, c.words)
		}
	}
}
