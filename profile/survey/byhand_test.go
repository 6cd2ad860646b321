package survey_test

import (
	"fmt"
	"math"
	"testing"

	"wornway/profile/bed"
)

// The bed of the hand-worked numbers. A saddle 11 long carries its tool at position 20, one before its middle, which
// therefore stands at 21 and bears at 15.5 and 26.5. Carried 2 after the middle, an indicator's tip at 20 has the
// saddle at 18, bearing at 12.5 and 23.5. The tailstock's base, 6 long and carrying its tip over its middle, bears at
// 17 and 23. Derived here:
//
//	means over the ends          front 0.004, rear 0.00125, shift −0.0005
//	roll                         (0.004 − 0.00125)/8                     = 3.4375e-4
//	front line, 1 before middle  0.004 − 1·(0.002 − 0.006)/11            = 0.00436364
//	shift line, the same place   −0.0005 − 1·(0.001 + 0.002)/11          = −0.00077273
//	base: mean front, rear, roll 0.0003, 0.00015, (0.0003 − 0.00015)/4   = 3.75e-5
const (
	roll      = (0.004 - 0.00125) / 8
	frontLine = 0.004 + 0.004/11
	shiftLine = -0.0005 - 0.003/11
	baseRoll  = (0.0003 - 0.00015) / 4
)

func handBed(left, right float64) map[bed.Curve]points {
	return map[bed.Curve]points{
		bed.Front:     {left: 0.006, right: 0.002, 20: 0.005, 22: 0.0045},
		bed.Rear:      {left: 0.002, right: 0.0005, 20: 0.001},
		bed.Shift:     {left: -0.002, right: 0.001, 20: -0.001},
		bed.TailFront: {20: 0.0001, 17: 0.0002, 23: 0.0004},
		bed.TailRear:  {20: 0.0002, 17: 0.0001, 23: 0.0002},
	}
}

// The scalars of the hand-worked numbers, per length: at position 20 the twist adds 2e-6 rad/in · 20 to the roll, the
// leans 20·3e-5 and 20·1e-5, the tailstock ways' slopes 20·1e-6 and 20·2e-6.
var handScalars = map[bed.Scalar]float64{bed.Twist: 2e-6 / inch, bed.LeanOut: 3e-5, bed.LeanUp: 1e-5,
	bed.TailFrontSlope: 1e-6, bed.TailRearSlope: 2e-6}

const twist = 20 * 2e-6

func TestEachMethodByHand(t *testing.T) {
	cos := func(d float64) float64 { return math.Cos(d * degree) }
	sin := func(d float64) float64 { return math.Sin(d * degree) }
	// Metal lost from the flanks at 20, where the drop is 0.005 and the shift −0.001: drop·cos ∓ shift·sin.
	outer, inner := 0.005*cos(60)+0.001*sin(60), 0.005*cos(30)-0.001*sin(30)
	// The base over the front way, 2.5 before its front way, over the rear, and the slopes of its ways at 20 (they tilt
	// and sink it too).
	slopes := func(behind float64) float64 { return 20*1e-6 - (20*1e-6-20*2e-6)/4*(behind-2.5) }
	baseFront := 0.0003 + 2.5*baseRoll + slopes(0)
	baseRear := 0.0003 - 5.5*baseRoll + slopes(8)

	for _, c := range []struct {
		name   string
		way    string // the front way
		keys   string // of the survey
		ends   [2]float64
		want   float64 // of the model, inches or radians
		read   float64 // of the equation, inches or radians
		u      float64 // mm, or radians for a level
		shares string
	}{
		// Saddle over the front tailstock way, less that way's own drop; the tip at the tool's place where no
		// tip_offset is given.
		{"carriage-indicator on tail-front", "", "method = 'carriage-indicator'\ntouch = 'tail-front'\ncolumns = " +
			"['position', 'reading']\nrows = [[20, 0.0031]]",
			[2]float64{15.5, 26.5}, frontLine - 2.5*roll - 0.0001 - 20*1e-6, 0.0031, 0.003, "zero F*1, drift 0.001*0"},
		{"carriage-indicator on tail-rear", "", "method = 'carriage-indicator'\ntouch = 'tail-rear'\ncolumns = " +
			"['position', 'reading']\nrows = [[20, 0.0031]]",
			[2]float64{15.5, 26.5}, frontLine - 6.5*roll - 0.0002 - 20*2e-6, 0.0031, 0.003, "zero F*1, drift 0.001*0"},
		// The same with the tip 2 after the middle: the front line there is 0.004 − 2·0.004/11.
		{"carriage-indicator, tip 2 from the middle", "", "method = 'carriage-indicator'\ntip_offset = 2\ntouch = " +
			"'tail-front'\ncolumns = ['position', 'reading']\nrows = [[20, 0]]",
			[2]float64{12.5, 23.5}, 0.004 - 0.008/11 - 2.5*roll - 0.0001 - 20*1e-6, 0, 0.003,
			"zero F*1, drift 0.001*0"},
		// The base over the way, less the way's drop.
		{"tailstock-indicator on front", "", "method = 'tailstock-indicator'\ntouch = 'front'\ncolumns = " +
			"['position', 'reading']\nrows = [[20, 0]]",
			[2]float64{15.5, 26.5}, baseFront - 0.005, 0, 0.003, "zero F*1, drift 0.001*0"},
		{"tailstock-indicator on rear", "", "method = 'tailstock-indicator'\ntouch = 'rear'\ncolumns = ['position', " +
			"'reading']\nrows = [[20, 0]]",
			[2]float64{15.5, 26.5}, baseRear - 0.001, 0, 0.003, "zero F*1, drift 0.001*0"},
		{"tailstock-indicator in a vee block", vee, "method = 'tailstock-indicator'\ntouch = 'front'\ncolumns = " +
			"['position', 'reading']\nrows = [[20, 0]]",
			[2]float64{15.5, 26.5}, baseFront - 0.005, 0, 0.003, "zero F*1, drift 0.001*0"},
		{"tailstock-indicator square to the outer flank", vee,
			"method = 'tailstock-indicator'\ntouch = 'outer'\ncolumns = ['position', 'reading']\nrows = [[20, 0]]",
			[2]float64{15.5, 26.5}, baseFront*cos(60) - outer, 0, 0.003, "zero F*1, drift 0.001*0"},
		{"tailstock-indicator upright on the outer flank", vee,
			"method = 'tailstock-indicator'\ntouch = 'outer'\nplunger = 'vertical'\ncolumns = ['position', " +
				"'reading']\nrows = [[20, 0]]",
			[2]float64{15.5, 26.5}, baseFront - outer/cos(60), 0, 0.003, "zero F*1, drift 0.001*0"},
		{"tailstock-indicator square to the inner flank", vee,
			"method = 'tailstock-indicator'\ntouch = 'inner'\nplunger = 'square'\ncolumns = ['position', " +
				"'reading']\nrows = [[20, 0]]",
			[2]float64{15.5, 26.5}, baseFront*cos(30) - inner, 0, 0.003, "zero F*1, drift 0.001*0"},
		{"tailstock-indicator upright on the inner flank", vee,
			"method = 'tailstock-indicator'\ntouch = 'inner'\nplunger = 'vertical'\ncolumns = ['position', " +
				"'reading']\nrows = [[20, 0]]",
			[2]float64{15.5, 26.5}, baseFront - inner/cos(30), 0, 0.003, "zero F*1, drift 0.001*0"},
		// A level along: from 20 to 22 the way rises 0.0005, the tailstock side is the higher: plus 0.0005/2.
		{"level-along", "", "method = 'level-along'\non = 'front'\nper_division = 5e-5\ncolumns = ['from', 'to', " +
			"'reading']\nrows = [[20, 22, 5]]",
			[2]float64{15.5, 26.5}, 0.0005 / 2, 5 * 5e-5, 0.2 * 5e-5, "zero F*1"},
		// A level across both ways: the front 0.004 lower than the rear, so that the operator's side is low: minus.
		{"level-across", "", "method = 'level-across'\nper_division = 5e-5\ncolumns = ['position', 'reading']\nrows " +
			"= [[20, -10]]",
			[2]float64{15.5, 26.5}, -0.004/8 - twist, -10 * 5e-5, 0.2 * 5e-5, "zero F*1"},
		// A level on the saddle reads the roll, top toward the operator, as the operator's side low: minus.
		{"saddle-level", "", "method = 'saddle-level'\nper_division = 5e-5\ncolumns = ['position', 'reading']\nrows " +
			"= [[20, -7]]",
			[2]float64{15.5, 26.5}, -roll - twist, -7 * 5e-5, 0.2 * 5e-5, "zero F*1"},
		// The saddle leaves the bar on its operator's side by the shift and 6 times the roll; the bar leans after it.
		{"bar-side", "", "method = 'bar-side'\ncolumns = ['position', 'reading']\nrows = [[20, -0.001]]",
			[2]float64{15.5, 26.5}, -(shiftLine + 6*(roll+twist)) + 20*3e-5, -0.001, 0.003,
			fmt.Sprintf("zero F*1, drift 0.001*0, tilt 1*%.6g", 3e-5*20*inch)},
		{"bar-side, half a turn", "", "method = 'bar-side'\nturned = true\ncolumns = ['position', 'reading', " +
			"'back']\nrows = [[20, -0.001, -0.002]]",
			[2]float64{15.5, 26.5}, -(shiftLine + 6*(roll+twist)) + 20*3e-5, -0.0015, 0.003 / math.Sqrt2, "zero F*1"},
		{"bar-side between centres", "", "method = 'bar-side'\nheld = 'centres'\ncolumns = ['position', " +
			"'reading']\nrows = [[20, -0.001]]",
			[2]float64{15.5, 26.5}, -(shiftLine + 6*(roll+twist)), -0.001, 0.003,
			"zero F*1, drift 0.001*0, slope F*0.508"},
		// On a V the roll turns about the point where the normals meet, 0.5/(tan 60° + tan 30°) below the contacts.
		{"bar-side on a V", vee, "method = 'bar-side'\nturned = true\ncolumns = ['position', 'reading']\nrows = " +
			"[[20, -0.001]]",
			[2]float64{15.5, 26.5}, -(shiftLine + (6+0.5/(math.Tan(60*degree)+math.Tan(30*degree)))*(roll+twist)) +
				20*3e-5, -0.001, 0.003, "zero F*1, drift 0.001*0"},
		// Over the spindle axis, 4 behind the front way, the saddle has sunk the front line less 4 rolls.
		{"bar-top", "", "method = 'bar-top'\ncolumns = ['position', 'reading']\nrows = [[20, 0.002]]",
			[2]float64{15.5, 26.5}, frontLine - 4*(roll+twist) + 20*1e-5, 0.002, 0.003,
			fmt.Sprintf("zero F*1, drift 0.001*0, tilt 1*%.6g", 3e-5*20*inch)},
		{"bar-top between centres", "", "method = 'bar-top'\nheld = 'centres'\ncolumns = ['position', 'reading', " +
			"'back']\nrows = [[20, 0.002, 0.002]]",
			[2]float64{15.5, 26.5}, frontLine - 4*(roll+twist), 0.002, 0.003 / math.Sqrt2, "zero F*1, slope F*0.508"},
		// On diameter twice the tool's way out, less twice the axis's lean after it. The only collar is its own
		// reference.
		{"test-cut", "", "method = 'test-cut'\ncolumns = ['position', 'diameter']\nrows = [[20, 1.0]]",
			[2]float64{15.5, 26.5}, 2 * (shiftLine + 6*(roll+twist) - 20*3e-5), 0, 0.002, "zero F*1"},
		{"test-cut, rear post", "tool_post = 'rear'", "method = 'test-cut'\ncolumns = ['position', 'diameter']\nrows " +
			"= [[20, 1.0]]",
			[2]float64{15.5, 26.5}, -2 * (shiftLine + 6*(roll+twist) - 20*3e-5), 0, 0.002, "zero F*1"},
		{"test-cut between centres", "", "method = 'test-cut'\nheld = 'centres'\ncolumns = ['position', " +
			"'diameter']\nrows = [[20, 1.0]]",
			[2]float64{15.5, 26.5}, 2 * (shiftLine + 6*(roll+twist)), 0, 0.002,
			// a bar of 1.0, held half of that before the only collar and a whole one beyond it
			fmt.Sprintf("zero F*1, centre F*%.6g", 0.5/1.5)},
		// Clamped at its near end the bar follows a centre by a²(3l − a)/2l³, and a light cut of 60 N bends it by
		// a³b²(3l + b)/12EIl³ to a side (beam tables, from memory).
		{"test-cut in chuck and centre", "", "method = 'test-cut'\nheld = 'chuck-and-centre'\ncolumns = ['position', " +
			"'diameter']\nrows = [[20, 1.0]]",
			[2]float64{15.5, 26.5}, 2 * (shiftLine + 6*(roll+twist) - 20*3e-5), 0, 0.002,
			fmt.Sprintf("zero F*1, centre F*%.6g, lean %.6g*%.6g, push-off %.6g*1", 0.25*4/(2*3.375),
				0.02/300/math.Sqrt(3), 2*(20-0.25*4/(2*3.375)*21)*inch,
				2*60*(0.125*1*(3*1.5+1)/(12*3.375))/(206e3*math.Pi/64*inch))},
		// A rear way 0.001 thinner; its thickness and its taper as made are open.
		{"way-micrometer", "", "method = 'way-micrometer'\non = 'rear'\ncolumns = ['position', 'reading']\nrows = " +
			"[[20, 0.999]]",
			[2]float64{15.5, 26.5}, -0.001, 0.999, 0.003, "zero F*1, slope F*0.508"},
		{"way-micrometer on tail-front", "", "method = 'way-micrometer'\non = 'tail-front'\ncolumns = ['position', " +
			"'reading', 'back']\nrows = [[20, 0.999, 1.001]]",
			[2]float64{15.5, 26.5}, -0.0001 - 20*1e-6, 1, 0.003 / math.Sqrt2, "zero F*1, slope F*0.508"},
		// The saddle as a whole has sunk by the mean of its bearings on both ways; drag 2 is 2 thou of rise, told to
		// 0.35 of a step, and what a step is, is open.
		{"carriage-lock", "", "method = 'carriage-lock'\ntightened_at = 30\ncolumns = ['position', 'feel']\nrows = " +
			"[[20, 2]]",
			[2]float64{15.5, 26.5}, -(0.004 + 0.00125) / 2, 0.002, 0.35 * 0.0254,
			fmt.Sprintf("zero F*1, scale %.6g*%.6g", math.Ln2/math.Sqrt(3), -2*0.001*inch)},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := parse(t, head(c.way, tailstock)+"[[survey]]\n"+c.keys+"\n")
			e := one(t, s)
			scale := inch
			if s.Method.Level {
				scale = 1
			}
			w := worn(t, handBed(c.ends[0], c.ends[1]), handScalars)
			near(t, "the model", model(e, w)/scale, c.want, 1e-12)
			near(t, "the reading", e.Reading/scale, c.read, 1e-12)
			near(t, "its uncertainty", e.U, c.u, 1e-12)
			if got := terms(s, e); got != c.shares {
				t.Errorf("left open: %q, want %q", got, c.shares)
			}
		})
	}
}

// Under the two ends the front has sunk 0.004 and 0.0015 more than the rear: the corner of a stiff saddle goes down by
// the 0.0025 between, that of one half as stiff by half of it, and of one that gives by nothing. The roll under the
// level moves from the mean by half of that over the span.
func TestSaddleRockByHand(t *testing.T) {
	rock := one(t, parse(t, head("", tailstock)+"[[survey]]\nmethod = 'saddle-rock'\nreading_unit = 'thou'\ncolumns = "+
		"['position', 'reading']\nrows = [[20, 1.5]]\n"))
	level := one(t, parse(t, head("", tailstock)+"[[survey]]\nmethod = 'saddle-level'\nper_division = 5e-5\ncolumns = "+
		"['position', 'reading']\nrows = [[20, 0]]\n"))
	for sits, want := range map[float64]float64{0: 0, 0.5: 0.00125, 1: 0.0025} {
		w := worn(t, handBed(15.5, 26.5), nil).WithScalar(bed.Seating, sits)
		near(t, "goes down", model(rock, w)/inch, want, 1e-12)
		near(t, "level", model(level, w), -3.4375e-4-want/2/8, 1e-12)
	}
	near(t, "the reading", rock.Reading/inch, 0.0015, 1e-12)
	near(t, "its uncertainty", rock.U, 0.005, 1e-12)
}

// A tip 2 after the saddle's middle on an unworn way 2.5 behind: 0.00241335, the hand-worked number as printed.
func TestCarriageIndicatorOnUnwornWay(t *testing.T) {
	e := one(t, parse(t, head("", tailstock)+"[[survey]]\nmethod = 'carriage-indicator'\ntip_offset = 2\ntouch = "+
		"'tail-front'\ncolumns = ['position', 'reading']\nrows = [[20, 0]]\n"))
	bedOf := handBed(12.5, 23.5)
	bedOf[bed.TailFront] = points{20: 0}
	near(t, "the model", model(e, worn(t, bedOf, nil))/inch, 0.00241335, 5e-9)
}

// A saddle that bears along its whole length, on a parabola: over a length L about the middle m the mean of z² is m²
// + L²/12 and its least-squares slope 2m (closed form). The roll is the front's mean over the span, the front line the
// mean and −1 times the slope.
func TestSaddleLevelFullBearing(t *testing.T) {
	text := head("", "bearing = 'full'\n") + "[[survey]]\nmethod = 'saddle-level'\nper_division = 5e-5\ncolumns = " +
		"['position', 'reading']\nrows = [[20, -7]]\n"
	e := one(t, parse(t, text))
	mean := 1e-6 * (21*21 + 121.0/12)
	near(t, "saddle-level", model(e, parabola{}), -mean*inch/(8*inch), 1e-12)
	text = head("", "bearing = 'full'\n"+tailstock) + "[[survey]]\nmethod = 'carriage-indicator'\ntouch = " +
		"'tail-front'\ncolumns = ['position', 'reading']\nrows = [[20, 0]]\n"
	e = one(t, parse(t, text))
	near(t, "carriage-indicator", model(e, parabola{})/inch, mean-1*2*21*1e-6-2.5*mean/8, 1e-12)
}

// parabola is a front way whose drop in inches is 1e-6 times the square of the position in inches; nothing else is
// worn.
type parabola struct{}

func (parabola) Value(s bed.Sum, z float64) float64 {
	v := 0.0
	for _, t := range s.Terms {
		if t.Curve != bed.Front {
			continue
		}
		m, length := (2*z+t.From+t.To)/2/inch, (t.To-t.From)/inch
		v += t.Mean*1e-6*(m*m+length*length/12)*inch + t.Slope*1e-6*2*m
	}
	return v
}
