package compensate_test

import (
	"math"
	"testing"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

func mustWear(t testing.TB, z []float64, curves map[bed.Curve][]float64) *wear.Wear {
	t.Helper()
	w, err := wear.New(z, curves)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s = %.10g, want %.10g within %g", what, got, want, within)
	}
}

// A point saddle that goes from an unworn place to one where the front has dropped 5 and the rear 2 thousandths. Worked by hand, in inches, which the
// code does not notice: roll = 0.003/9.5; tool out = 7·roll; tool down = 0.005 − 4.1·roll; the radius by Pythagoras.
func TestPointSaddleByHand(t *testing.T) {
	m := compensate.Machine{
		Lathe: bed.Lathe{CentreHeight: 7, Span: 9.5, Setback: 4.6},
		Wear: mustWear(t, []float64{0, 1, 9, 10}, map[bed.Curve][]float64{
			bed.Front: {0.005, 0.005, 0, 0}, bed.Rear: {0.002, 0.002, 0, 0}}),
		Axis: compensate.SpindleAxis(),
	}
	c, err := m.Curve(compensate.Cut{Feature: work.Feature{From: 0, To: 10, Diameter: 1}, SetAt: 10})
	if err != nil {
		t.Fatal(err)
	}
	s := c.Station(0.5)
	near(t, "roll", s.Roll, 3.157895e-4, 1e-10)
	near(t, "tool out", s.ToolOut, 0.002210526, 1e-9)
	near(t, "tool drop", s.ToolDrop, 0.003705263, 1e-9)
	near(t, "diameter error", s.DiameterError, 0.004448389, 1e-9)
	if s.Stated {
		t.Error("an uncertainty appeared that nobody stated")
	}
}
