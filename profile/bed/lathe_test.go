package bed_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"wornway/profile/bed"
	_ "wornway/testdata/steady"
)

// take values a sum at a position on analytic curves. A stretch is valued by its definition: the mean, and the slope of
// the least-squares line, of the curve on a fine even grid of midpoints.
func take(s bed.Sum, z float64, curves map[bed.Curve]func(float64) float64, scalars [bed.Scalars]float64) float64 {
	v := 0.0
	for _, t := range s.Terms {
		f := curves[t.Curve]
		if f == nil {
			continue
		}
		if t.From == t.To {
			v += t.Mean * f(z+t.From)
			continue
		}
		mean, slope := lineOf(f, z+t.From, z+t.To)
		v += t.Mean*mean + t.Slope*slope
	}
	for k, per := range s.PerLength {
		v += per * scalars[k] * z
	}
	for _, r := range s.Rocks { // by the definition of a seating: how far the ways' difference differs under the ends
		more := func(z float64) float64 { return of(curves[bed.Front], z) - of(curves[bed.Rear], z) }
		v += r.Per * scalars[bed.Seating] * math.Abs(more(z+r.From)-more(z+r.To))
	}
	return v
}

func of(f func(float64) float64, z float64) float64 {
	if f == nil {
		return 0
	}
	return f(z)
}

func lineOf(f func(float64) float64, a, b float64) (mean, slope float64) {
	const n = 4000
	var sum, moment, square float64
	for i := range n {
		x := (float64(i)+0.5)/n - 0.5
		y := f((a+b)/2 + x*(b-a))
		sum += y
		moment += x * y
		square += x * x
	}
	return sum / n, moment / square / (b - a)
}

// A saddle 11 long with the tool 1 before its middle, bearing on its ends. By hand: the ends' means are 0.004, 0.00125
// and −0.0005, so that the roll is 0.00275/8; the lines fall or rise by (0.002 − 0.006)/11 and (0.001 + 0.002)/11
// and are taken at −1; tool out = shift + 6·roll, tool drop = drop − (4 − 0.5)·roll.
func TestSaddleOnItsEndsByHand(t *testing.T) {
	l := bed.Lathe{CentreHeight: 6, Span: 8, Setback: 4, Saddle: bed.Saddle{BearingLength: 11, ToolOffset: -1}}
	left, right := l.Saddle.Reach()
	near(t, "left bearing", left, 1-5.5, 0)
	near(t, "right bearing", right, 1+5.5, 0)
	step := func(a, b float64) func(float64) float64 {
		return func(z float64) float64 {
			switch {
			case z == 20+left:
				return a
			case z == 20+right:
				return b
			}
			return math.NaN() // read nowhere else
		}
	}
	curves := map[bed.Curve]func(float64) float64{
		bed.Front: step(0.006, 0.002), bed.Rear: step(0.002, 0.0005), bed.Shift: step(-0.002, 0.001)}
	at := func(s bed.Sum) float64 { return take(s, 20, curves, [bed.Scalars]float64{}) }
	near(t, "roll", at(l.Roll()), 3.4375e-4, 1e-15)
	near(t, "tool out", at(l.ToolOut()), 0.00128977, 5e-9)
	near(t, "tool drop", at(l.ToolDrop(1)), 0.00316051, 5e-9)

	// The rolls under the two ends are 0.004/8 and 0.0015/8. A stiff saddle takes the greater, one half as stiff lies
	// midway between that and the mean.
	for sits, want := range map[float64]float64{0: 0.00275 / 8, 0.5: (0.00275 + 0.004) / 2 / 8, 1: 0.004 / 8} {
		near(t, "roll", take(l.Roll(), 20, curves, [bed.Scalars]float64{bed.Seating: sits}), want, 1e-15)
	}
	// Nor does it matter which end it is: mirrored, the other one stands higher.
	mirrored := map[bed.Curve]func(float64) float64{bed.Front: step(0.002, 0.006), bed.Rear: step(0.0005, 0.002)}
	near(t, "roll", take(l.Roll(), 20, mirrored, [bed.Scalars]float64{bed.Seating: 1}), 0.004/8, 1e-15)
	full := l
	full.Saddle.Bearing = bed.Full
	point := l
	point.Saddle.BearingLength = 0
	for _, other := range []bed.Lathe{full, point} {
		if n := len(other.Roll().Rocks); n > 0 {
			t.Errorf("%+v has no two ends to ride on, and %d seatings", other.Saddle, n)
		}
	}

	// A rear post: the same motion toward the operator is in, and the tool stands beyond the axis.
	l.RearPost = true
	near(t, "tool out at a rear post", at(l.ToolOut()), -0.00128977, 5e-9)
	near(t, "tool drop at a rear post", at(l.ToolDrop(1)), at(l.FrontDrop())-4.5*3.4375e-4, 1e-15)
}

// A saddle's indicator carried 2 from its middle over an unworn way 2.5 behind the front one, the ends as above: the
// line through the front ends at +2, 0.004 − 2·0.004/11, less 2.5 times the roll, 0.00241335.
func TestLineAwayFromTheTool(t *testing.T) {
	s := bed.Saddle{BearingLength: 11, ToolOffset: -1}
	// left and right of a tip 2 after the middle
	ends := map[float64][2]float64{-7.5: {0.006, 0.002}, 3.5: {0.002, 0.0005}}
	front := func(z float64) float64 { return ends[z][0] }
	rear := func(z float64) float64 { return ends[z][1] }
	curves := map[bed.Curve]func(float64) float64{bed.Front: front, bed.Rear: rear}
	roll := s.Mean(bed.Front, 2).Plus(s.Mean(bed.Rear, 2).Times(-1)).Times(1.0 / 8)
	got := take(s.Line(bed.Front, 2).Plus(roll.Times(-2.5)), 0, curves, [bed.Scalars]float64{})
	near(t, "reading", got, 0.00241335, 5e-9)
}

// A full bearing on a parabola and on a cubic, in closed form: over a length L about m the mean of z² is m² + L²/12
// and its least-squares slope 2m; the mean of z³ is m³ + mL²/4 and its slope 3m² + 3L²/20.
func TestFullBearingClosedForm(t *testing.T) {
	const length, offset, tool = 250.0, -40.0, 300.0
	s := bed.Saddle{BearingLength: length, Bearing: bed.Full, ToolOffset: offset}
	m := tool - offset
	square := map[bed.Curve]func(float64) float64{bed.Front: func(z float64) float64 { return 1e-6 * z * z }}
	cube := map[bed.Curve]func(float64) float64{bed.Front: func(z float64) float64 { return 1e-9 * z * z * z }}
	none := [bed.Scalars]float64{}
	near(t, "mean of the square", take(s.Mean(bed.Front, offset), tool, square, none), 1e-6*(m*m+length*length/12),
		1e-8)
	near(t, "line of the square", take(s.Line(bed.Front, offset), tool, square, none),
		1e-6*(m*m+length*length/12+2*m*offset), 1e-8)
	near(t, "mean of the cube", take(s.Mean(bed.Front, offset), tool, cube, none), 1e-9*(m*m*m+m*length*length/4), 1e-8)
	near(t, "line of the cube", take(s.Line(bed.Front, offset), tool, cube, none),
		1e-9*(m*m*m+m*length*length/4+offset*(3*m*m+3*length*length/20)), 1e-8)
}

// Whatever the bearing, a straight bed is followed exactly; and a point saddle does not know its offset.
func TestStraightBedIsFollowed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(-1, 1).Draw(t, "a"), rapid.Float64Range(-1e-3, 1e-3).Draw(t, "b")
		s := bed.Saddle{
			BearingLength: rapid.SampledFrom([]float64{0, 1, 300}).Draw(t, "length"),
			Bearing:       rapid.SampledFrom([]bed.Bearing{bed.Ends, bed.Full}).Draw(t, "bearing"),
			ToolOffset:    rapid.Float64Range(-100, 100).Draw(t, "offset"),
		}
		z := rapid.Float64Range(-500, 500).Draw(t, "z")
		line := func(z float64) float64 { return a + b*z }
		curves := map[bed.Curve]func(float64) float64{bed.Shift: line}
		if got := take(s.Line(bed.Shift, s.ToolOffset), z, curves,
			[bed.Scalars]float64{}); math.Abs(got-line(z)) > 1e-10 {
			t.Fatalf("the line at the tool is %g, want %g", got, line(z))
		}
		middle := z - s.ToolOffset
		if s.BearingLength == 0 {
			middle = z
		}
		if got := take(s.Mean(bed.Shift, s.ToolOffset), z, curves,
			[bed.Scalars]float64{}); math.Abs(got-line(middle)) > 1e-10 {
			t.Fatalf("the mean is %g, want %g", got, line(middle))
		}
	})
}

// Twist alone rolls the saddle by twist·z: out by guide height times that, down by minus the tool's distance behind
// the front way.
func TestTwist(t *testing.T) {
	l := bed.Lathe{CentreHeight: 150, Span: 220, Setback: 110, Saddle: bed.Saddle{BearingLength: 280, ToolOffset: -30}}
	var scalars [bed.Scalars]float64
	scalars[bed.Twist] = 5e-8
	near(t, "tool out", take(l.ToolOut(), 400, nil, scalars), 150*5e-8*400, 1e-15)
	near(t, "tool drop", take(l.ToolDrop(40), 400, nil, scalars), -(110-20)*5e-8*400, 1e-15)
}

func drawSum(t *rapid.T, name string) bed.Sum {
	s := bed.Of(bed.Scalar(rapid.IntRange(0, int(bed.Slopes)-1).Draw(t, name+" scalar"))).Times(rapid.Float64Range(-2,
		2).Draw(t, name+" per length"))
	for i := range rapid.IntRange(0, 4).Draw(t, name+" terms") {
		c := bed.Curve(rapid.IntRange(0, int(bed.Curves)-1).Draw(t, fmt.Sprint(name, " curve ", i)))
		saddle := bed.Saddle{BearingLength: rapid.SampledFrom([]float64{0, 10}).Draw(t,
			fmt.Sprint(name, " length ", i)),
			Bearing: rapid.SampledFrom([]bed.Bearing{bed.Ends, bed.Full}).Draw(t, fmt.Sprint(name, " bearing ", i))}
		offset := rapid.SampledFrom([]float64{-3, 0, 2}).Draw(t, fmt.Sprint(name, " offset ", i))
		s = s.Plus(saddle.Line(c, offset)).Plus(saddle.Rocked(offset).Times(float64(i - 1)))
	}
	return s
}

// Sums add and multiply as the numbers that they stand for.
func TestSumAlgebra(t *testing.T) {
	curves := map[bed.Curve]func(float64) float64{}
	for c := range bed.Curves {
		curves[c] = func(z float64) float64 { return math.Sin(z/7+float64(c)) + float64(c) }
	}
	scalars := [bed.Scalars]float64{0.3, -0.2, 0.7, bed.Seating: 0.4}
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawSum(t, "a"), drawSum(t, "b")
		f := rapid.Float64Range(-3, 3).Draw(t, "f")
		z := rapid.Float64Range(-50, 50).Draw(t, "z")
		of := func(s bed.Sum) float64 { return take(s, z, curves, scalars) }
		va, vb := of(a), of(b)
		for what, p := range map[string][2]float64{
			"a + b": {of(a.Plus(b)), va + vb}, "b + a": {of(b.Plus(a)), va + vb}, "f·a": {of(a.Times(f)), f * va},
			"f·(a + b)": {of(a.Plus(b).Times(f)), f * (va + vb)}, "0·a": {of(a.Times(0)), 0},
		} {
			if math.Abs(p[0]-p[1]) > 1e-9*(1+math.Abs(p[1])) {
				t.Fatalf("%s = %g, want %g", what, p[0], p[1])
			}
		}
		if none := a.Plus(a.Times(-1)); len(none.Terms)+len(none.Rocks) != 0 ||
			none.PerLength != [bed.Slopes]float64{} {
			t.Fatalf("a − a leaves %+v", none)
		}
		if of(a) != va || of(b) != vb {
			t.Fatal("an operand was changed")
		}
	})
}
