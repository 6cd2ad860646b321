package compensate_test

import (
	"math"
	"testing"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
)

// A machine of which one thing alone is wrong makes a taper, by the same geometry that every prediction is made with;
// that taper names the thing again.
func TestTaperNamesItsCause(t *testing.T) {
	for _, rear := range []bool{false, true} {
		l := bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100, Saddle: bed.Saddle{BearingLength: 280},
			RearPost: rear}
		cut := compensate.Cut{Feature: work.Feature{From: 100, To: 300, Diameter: 25}, SetAt: 300}
		slope := func(k bed.Scalar, value float64) float64 {
			w := mustWear(t, []float64{-200, 1000}, nil).WithScalar(k, value)
			return mustCurve(t, compensate.Machine{Lathe: l, Wear: w, Axis: compensate.SpindleAxis()}, cut).
				Taper().Line.Slope
		}
		for _, lean := range []float64{2e-5, -3e-5} {
			near(t, "lean", compensate.LeanFor(l, slope(bed.LeanOut, lean)), lean, 1e-9)
		}
		for _, twist := range []float64{2e-7, -1e-7} {
			near(t, "twist", math.Abs(compensate.TwistFor(l, slope(bed.Twist, twist))), math.Abs(twist), 1e-10)
		}
	}
}

// By hand: 0.02 mm of set-over toward the operator takes that off the radius at the tailstock's end and nothing at the
// headstock's, 0.04 mm on the diameter over 400 mm: a slope of -1e-4.
func TestTailstockForATaper(t *testing.T) {
	near(t, "set-over", compensate.TailstockFor(bed.Lathe{}, -1e-4, 400), 0.02, 1e-12)
	near(t, "set-over, rear post", compensate.TailstockFor(bed.Lathe{RearPost: true}, 1e-4, 400), 0.02, 1e-12)
}

// 10 µm under one end of the front bearing lower its middle by 5 µm, which rolls the saddle by 5 µm over the span;
// at the guide height that moves the tool by 5 · 150/200 = 3.75 µm, and the diameter by twice as much.
func TestUnwornMatter(t *testing.T) {
	l := bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100, Saddle: bed.Saddle{BearingLength: 280}}
	m := compensate.Machine{Lathe: l, Wear: mustWear(t, []float64{-200, 1000}, nil), Axis: compensate.SpindleAxis()}
	c := mustCurve(t, m, compensate.Cut{Feature: work.Feature{From: 100, To: 300, Diameter: 25}, SetAt: 300})
	near(t, "change", c.UnwornMatter(), 0.0075, 1e-12)
}
