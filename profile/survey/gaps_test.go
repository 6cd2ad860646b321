package survey_test

import (
	"fmt"
	"math"
	"testing"

	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/survey"
)

// An edge on contacts at 10 and 30, read at 15, a quarter of the way. Front drops 0.001, 0.003 and there 0.004: chord
// 0.75·0.001 + 0.25·0.003 = 0.0015, gap 0.0025: midway between the leaves of 0.002 and 0.003, half a thou from
// either. How sure a leaf is, is counted apart. By the default the edge may bow 2 µm + 508/250 000 mm, standard a √3
// of it, and a quarter along a parabola stands at 4·0.25·0.75 of its height.
func TestStraightedgeByHand(t *testing.T) {
	limit := 0.002 + 20*inch/250000
	curves := map[bed.Curve]points{
		bed.Front: {10: 0.001, 30: 0.003, 15: 0.004}, bed.Rear: {10: 0, 30: 0.0004, 15: 0.0006},
		bed.Shift:     {10: 0.0002, 30: 0.0006, 15: -0.0004},
		bed.TailFront: {10: 0.0001, 30: 0.0001, 15: 0.0003}, bed.TailRear: {10: 0, 30: 0, 15: 0.0002},
	}
	w := worn(t, curves, handScalars)
	front, shift := 0.004-0.0015, -0.0004-0.0003
	for _, c := range []struct {
		name, way, on string
		gap           float64
	}{
		{"front", "", "front", front},
		{"rear", "", "rear", 0.0006 - 0.0001},
		// A flank's gap is that of the metal lost from it: drop·cos ∓ shift·sin, each less its chord.
		{"outer", vee, "outer", front*math.Cos(60*degree) - shift*math.Sin(60*degree)},
		{"inner", vee, "inner", front*math.Cos(30*degree) + shift*math.Sin(30*degree)},
		// A slope of the whole tailstock way is a straight line and cancels.
		{"tail-front", "", "tail-front", 0.0002},
		{"tail-rear", "", "tail-rear", 0.0002},
	} {
		keys := "on = '" + c.on + "'\ncontacts = [10, 30]\n"
		s := parse(t, head(c.way, "")+"[[survey]]\nmethod = 'straightedge'\n"+keys+"columns = ['position', 'goes', "+
			"'stops']\nrows = [[15, 0.002, 0.003]]\n")
		e := one(t, s)
		near(t, c.name+": gap", model(e, w)/inch, c.gap, 1e-12)
		near(t, c.name+": middle of the leaves", e.Reading/inch, 0.0025, 1e-12)
		near(t, c.name+": half of the step between them", e.Half/inch, 0.0005, 1e-12)
		near(t, c.name+": uncertainty of a leaf", e.U, 0.002, 1e-12)
		if e.Side != survey.Between {
			t.Errorf("%s: the gap is on side %d", c.name, e.Side)
		}
		want := fmt.Sprintf("bow 1*%.6g", 0.75*limit/math.Sqrt(3))
		if got := terms(s, e); got != want {
			t.Errorf("%s left open: %q, want %q", c.name, got, want)
		}

		s = parse(t, head(c.way, "")+"[[survey]]\nmethod = 'light-gap'\nedge_error = 0.0001\n"+keys+
			"columns = ['position', 'light']\nrows = [[15, 'none'], [15, 'some'], [15, 'wide']]\n")
		// Common practice, no source: no light under 3 µm, some up to 40, wide up to 200. Without light there is no
		// lower limit: where the wear stands proud of its chord the gap is less than nothing to the model, and still
		// nothing to the eye.
		for i, l := range []struct {
			side          survey.Side
			reading, half float64
		}{{survey.AtMost, 0.003, 0}, {survey.Between, 0.0215, 0.0185}, {survey.Between, 0.120, 0.080}} {
			e := s.Equations[i]
			near(t, c.name+": gap by light", model(e, w)/inch, c.gap, 1e-12)
			near(t, c.name+": middle of the light", e.Reading, l.reading, 1e-12)
			near(t, c.name+": half of the light", e.Half, l.half, 1e-12)
			near(t, c.name+": uncertainty of the eye", e.U, 0.001, 1e-12)
			if e.Side != l.side {
				t.Errorf("%s: light %d is on side %d, want %d", c.name, i, e.Side, l.side)
			}
			if got, want := terms(s, e), fmt.Sprintf("bow 1*%.6g", 0.75*0.0001*inch/math.Sqrt(3)); got != want {
				t.Errorf("%s left open by light: %q, want %q", c.name, got, want)
			}
		}
	}
}

// An edge past its contacts still is a straight line, and its bow goes on as the parabola: at 35, 5 beyond the far
// contact, t = 1.25, the bow −1.25 of its height.
func TestStraightedgeBeyondContacts(t *testing.T) {
	s := parse(t, head("", "")+"[[survey]]\nmethod = 'straightedge'\non = 'rear'\nedge_error = 0.0001\ncontacts = "+
		"[10, 30]\ncolumns = ['position', 'goes', 'stops']\nrows = [[35, 0, 0.0015]]\n")
	e := one(t, s)
	w := worn(t, map[bed.Curve]points{bed.Rear: {10: 0.001, 30: 0.003, 35: 0.004}}, nil)
	near(t, "gap", model(e, w)/inch, 0.004-0.0035, 1e-12)
	// No leaf goes: at most the thinnest one.
	near(t, "reading", e.Reading/inch, 0.0015, 1e-12)
	near(t, "uncertainty", e.U, 0.002, 1e-12)
	if e.Side != survey.AtMost || e.Half != 0 {
		t.Errorf("on side %d, half %g", e.Side, e.Half)
	}
	if got, want := terms(s, e), fmt.Sprintf("bow 1*%.6g", -1.25*0.0001*inch/math.Sqrt(3)); got != want {
		t.Errorf("left open: %q, want %q", got, want)
	}
}

func TestLongEdgeIsWarnedOf(t *testing.T) {
	p, err := profile.Parse(nil, "bed.toml", []byte(head("",
		"")+"[[survey]]\nmethod = 'straightedge'\non = 'rear'\ncontacts = [10, 30]\ncolumns = ['position', 'goes', "+
		"'stops']\nrows = [[15, 0, 0.0015]]\n"))
	if err != nil || len(p.Warnings) != 1 {
		t.Fatal(err, p)
	}
	want := "bed.toml:16:12: survey[1].contacts: an edge resting 20 in apart sags under its own weight; only its bow " +
		"of ± 0.16 thou is counted"
	if got := p.Warnings[0].Error(); got != want {
		t.Errorf("warned %q, want %q", got, want)
	}
}

// A 25 mm steel bar standing 300 mm out of the spindle sinks 0.0096863 mm at its end under its own weight (7850 kg/m³,
// g 9.80665, E 206 000 N/mm²; closed form wL⁴/8EI, worked apart). Midway it is 17/48 of that: x²(6L² − 4Lx +
// x²)/24 at x = L/2 is L⁴·4.25/96. The bar hangs away from the tip, so that what the saddle says is the reading and
// the sag.
func TestSagOfTheBar(t *testing.T) {
	text := `format = 1
unit = "mm"
lathe = { centre_height = 150, way_span = 200, bed = [-200, 900], saddle = { bearing_length = 0 } }
[[survey]]
method = "bar-top"
bar_diameter = 25
bar_overhang = 300
columns = ["position", "reading", "back"]
rows = [[300, 0.05, 0.05], [150, 0.05, 0.05], [0, 0.05, 0.05], [-20, 0.05, 0.05]]
`
	s := parse(t, text)
	for i, sag := range []float64{0.0096863, 0.0096863 * 17 / 48, 0, 0} {
		near(t, "reading and sag", s.Equations[i].Reading, 0.05+sag, 5e-8)
	}
}

// What a collar reads beyond the first order: a tool 0.005 lower than at the reference collar cuts 0.25 bigger by
// 2(√(0.125² + 0.005²) − 0.125) = 0.00019992; with the first order alone there would be nothing. Arithmetic,
// beside the motions out, which are counted in full at both collars.
func TestSecondOrderOfACut(t *testing.T) {
	text := `format = 1
unit = "in"
lathe = { centre_height = 6, way_span = 8, axis_setback = 4, bed = [-8, 44], saddle = { bearing_length = 0 } }
[[survey]]
method = "test-cut"
columns = ["position", "diameter"]
rows = [[12, 0.25], [4, 0.2502]]
`
	s := parse(t, text)
	far, near4 := s.Equations[0], s.Equations[1]
	level := worn(t, map[bed.Curve]points{bed.Front: {12: 0.001, 4: 0.006}, bed.Rear: {12: 0.001, 4: 0.006},
		bed.Shift: {12: 0, 4: 0}}, nil)
	near(t, "reading of the reference", far.Reading, 0, 0)
	near(t, "reading", near4.Reading/inch, 0.0002, 1e-12)
	near(t, "linear part", model(near4, level), 0, 1e-12)
	near(t, "exact, at the reference", far.Exact(level), 0, 1e-12)
	near(t, "exact, sunk 0.005", near4.Exact(level)/inch, 2*(math.Hypot(0.125, 0.005)-0.125), 1e-12)

	// Shifts of 0.001 and 0.004 as well: twice the first is common to both, the rest moves the point out by 0.003.
	moved := worn(t, map[bed.Curve]points{bed.Front: {12: 0.001, 4: 0.006}, bed.Rear: {12: 0.001, 4: 0.006},
		bed.Shift: {12: 0.001, 4: 0.004}}, nil)
	near(t, "exact, at the reference, moved", far.Exact(moved)/inch, 0.002, 1e-12)
	near(t, "exact, moved and sunk", near4.Exact(moved)/inch, 0.002+2*(math.Hypot(0.125+0.003, 0.005)-0.125), 1e-12)

	// An axis that rises 1e-4 per length lifts the work by 0.0008 from 4 to 12 as well: at 4 it stands that much lower,
	// and the tool sinks less beside it.
	rising := level.WithScalar(bed.LeanUp, 1e-4)
	near(t, "exact under a rising axis", near4.Exact(rising)/inch, 2*(math.Hypot(0.125, 0.005-0.0008)-0.125), 1e-12)
}

// Work that stands out of the chuck bends away as the cube of the distance from held_at: at the furthest collar by the
// term itself, halfway by an eighth. In whatever order the collars are written.
func TestPushOff(t *testing.T) {
	for _, rows := range []string{"[[6, 1.0], [3.5, 1.0]]", "[[3.5, 1.0], [6, 1.0]]"} {
		s := parse(t, head("", "")+"[[survey]]\nmethod = 'test-cut'\nheld_at = 1\ncolumns = ['position', "+
			"'diameter']\nrows = "+rows+"\n")
		got := map[float64]string{}
		for _, e := range s.Equations {
			got[math.Round(e.Position/inch*10)/10] = terms(s, e)
		}
		want := map[float64]string{6: "zero F*1, push-off 0.02*1", 3.5: "zero F*1, push-off 0.02*0.125"}
		if fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("rows %s: left open %v, want %v", rows, got, want)
		}
	}
}

// Free means bigger drag is less wear; 0 and 3 are limits half a step beyond the last that can be told, 0.5 and 2.5
// steps. The others are two limits, half of a step that may be two thou away. A factor between a half and two, all of
// it alike, has the logarithm's standard deviation ln 2/√3 (GUM, 4.3.7).
func TestCarriageLockLimits(t *testing.T) {
	s := parse(t, head("", "")+"[[survey]]\nmethod = 'carriage-lock'\ntightened_at = 30\ncolumns = ['position', "+
		"'feel']\nrows = [[20, 0], [20, 1], [20, 2], [20, 3]]\n")
	for i, c := range []struct {
		side        survey.Side
		steps, half float64
	}{{survey.AtMost, 0.5, 0}, {survey.Between, 1, 1}, {survey.Between, 2, 1}, {survey.AtLeast, 2.5, 0}} {
		e := s.Equations[i]
		if e.Side != c.side {
			t.Errorf("feel %d is on side %d, want %d", i, e.Side, c.side)
		}
		near(t, "rise", e.Reading/inch, c.steps*0.001, 1e-12)
		near(t, "from middle to limit", e.Half/inch, c.half*0.001, 1e-12)
		if got, want := terms(s, e), fmt.Sprintf("zero F*1, scale %.6g*%.6g", math.Ln2/math.Sqrt(3),
			-c.steps*0.0254); got != want {
			t.Errorf("left open %q, want %q", got, want)
		}
	}
}
