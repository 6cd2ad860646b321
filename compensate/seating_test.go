package compensate_test

import (
	"math"
	"testing"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// seated returns the error curve of a cut from 100 to 300 on a lathe whose saddle is 100 long, the tool over its
// middle.
func seated(t *testing.T, bearing bed.Bearing, curves map[bed.Curve][]float64, cov wear.Covariance) *compensate.Curve {
	t.Helper()
	var z []float64
	for i := range 9 {
		z = append(z, float64(i)*50)
	}
	m := compensate.Machine{Lathe: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100,
		Saddle: bed.Saddle{BearingLength: 100, Bearing: bearing}},
		Wear: mustWear(t, z, curves), Axis: compensate.SpindleAxis()}
	if cov != nil {
		m.Wear = m.Wear.WithCovariance(cov)
	}
	return mustCurve(t, m, compensate.Cut{Feature: work.Feature{From: 100, To: 300, Diameter: 30}, SetAt: 300})
}

// A ridge: the rear way is 0.02 down at 150 and 250 and not worn at 200 between them. A saddle whose middle stands at
// 200 spans these two, and the ridge stands 0.02 above its chord.
func TestRidgeStandsProud(t *testing.T) {
	c := seated(t, bed.Ends, map[bed.Curve][]float64{bed.Front: {0, 0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.07, 0.08},
		bed.Rear: {0, 0, 0, 0.02, 0, 0.02, 0, 0, 0}}, nil)
	s := c.Seating([]float64{100, 150, 200, 250, 300})
	near(t, "proud", s.Proud.Value, 0.02, 1e-15)
	near(t, "where", s.Proud.Position, 200, 0)
	if s.ProudWay != bed.Rear {
		t.Errorf("the %s way stands proud", s.ProudWay)
	}
	if !(s.Proud.Value > compensate.ProudLimit) {
		t.Error("a ridge of 0.02 may rock")
	}
	// Bearing on its whole length it has no ends to rock on; in a plain hollow nothing stands proud.
	if s = seated(t, bed.Full, map[bed.Curve][]float64{bed.Rear: {0, 0, 0, 0.02, 0, 0.02, 0, 0, 0}},
		nil).Seating([]float64{200}); s.Proud.Value != 0 {
		t.Errorf("proud %g under a full bearing", s.Proud.Value)
	}
	if s = seated(t, bed.Ends, map[bed.Curve][]float64{bed.Front: {0, 0, 0.01, 0.03, 0.04, 0.03, 0.01, 0, 0}},
		nil).Seating([]float64{200}); s.Proud.Value != 0 {
		t.Errorf("proud %g in a hollow", s.Proud.Value)
	}
}

// The rolls under the saddle's two ends: with the tool at 200 the front is 0.04 down at 150 and 0 at 250, the rear
// nowhere: rolls 0.04/200 and 0. The greater is half of 0.0002 over their mean, which on the diameter is 150·0.0002 in
// all, and the tool's point sinks less by 0.0001·85, which on 30 mm is 0.0001 of that; where it was set, at 300, both
// ends are unworn.
func TestEndsDiffer(t *testing.T) {
	curves := map[bed.Curve][]float64{bed.Front: {0, 0, 0, 0.04, 0, 0, 0, 0, 0}}
	at := []float64{200}
	const second = 3e-5 // mm: what sinking makes on this diameter
	near(t, "ends differ", seated(t, bed.Ends, curves, nil).Seating(at).EndsDiffer, 150*0.04/200, second)
	// Where an uncertainty is stated it has this.
	near(t, "ends differ, stated", seated(t, bed.Ends, curves, rowsOf(9, 0.001)).Seating(at).EndsDiffer, 0, 0)
	near(t, "ends differ, full", seated(t, bed.Full, curves, nil).Seating(at).EndsDiffer, 0, 0)
	// The saddle takes the greater roll where it was set too: at 100 the rolls differ by 0.04/200, at 300 by 0.03/200,
	// and what is left is the difference.
	curves = map[bed.Curve][]float64{bed.Front: {0, 0, 0, 0.04, 0, 0.03, 0, 0, 0}}
	near(t, "ends differ", seated(t, bed.Ends, curves, nil).Seating([]float64{100}).EndsDiffer, 150*(0.04-0.03)/200,
		second)
	// A point saddle has no ends.
	c := seated(t, bed.Ends, curves, nil)
	c.Lathe.Saddle.BearingLength = 0
	if s := c.Seating([]float64{100}); s.EndsDiffer != 0 || s.Past {
		t.Errorf("a point saddle's ends differ by %g", s.EndsDiffer)
	}
}

// Bearings 50 to either side of the tool: cuts from 50 to 350 keep them on the bed from 0 to 400.
func TestPast(t *testing.T) {
	c := seated(t, bed.Ends, map[bed.Curve][]float64{bed.Front: make([]float64, 9)}, nil)
	for _, k := range []struct {
		from, to, set float64
		want          bool
	}{{50, 350, 350, false}, {49, 300, 300, true}, {50, 351, 300, true}, {100, 300, 40, true}, {100, 300, 360, true}} {
		d := mustCurve(t, c.Machine, compensate.Cut{Feature: work.Feature{From: k.from, To: k.to, Diameter: 30},
			SetAt: k.set})
		if got := d.Seating([]float64{k.from}).Past; got != k.want {
			t.Errorf("from %g to %g, set at %g: past %v", k.from, k.to, k.set, got)
		}
	}
}

// Both ways 0.1 down, D 4: a tool stated on centre makes 2·(√(4 + 0.01) − 2); 0.1 low, √(4 − 0.01) out and 0.2
// down; 0.1 high it would come to the same height as it was set at below. The greater of the two changes counts.
func TestHeightMatter(t *testing.T) {
	m := compensate.Machine{Lathe: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100},
		Axis: compensate.SpindleAxis(),
		Wear: mustWear(t, []float64{0, 100, 200, 300}, map[bed.Curve][]float64{bed.Front: {0.1, 0.1, 0, 0},
			bed.Rear: {0.1, 0.1, 0, 0}})}
	cut := compensate.Cut{Feature: work.Feature{From: 0, To: 300, Diameter: 4}, SetAt: 300}
	on := 2 * (math.Sqrt(4+0.01) - 2)
	low := 2*math.Sqrt(4-0.01+0.04) - 4
	high := 2*math.Sqrt(4-0.01) - 4
	want := math.Max(math.Abs(low-on), math.Abs(high-on))
	near(t, "height matters", mustCurve(t, m, cut).Seating([]float64{0, 50, 300}).HeightMatter, want, 1e-13)

	// On work so small that the tool 0.1 off would miss it, the height that cannot be is left out, and nothing fails.
	cut.Diameter, cut.ToolHeight = 0.3, 0.1
	got := mustCurve(t, m, cut).Seating([]float64{50}).HeightMatter
	x := func(h float64) float64 { return 2*math.Sqrt(0.15*0.15-h*h+(h-0.1)*(h-0.1)) - 0.3 }
	near(t, "height matters on small work", got, math.Abs(x(0)-x(0.1)), 1e-13)
}
