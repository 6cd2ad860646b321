package compensate_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"wornway/compensate"
)

// The lathe with an 11 in saddle, worked by hand in inches: at its two ends front 0.006 and 0.002, rear 0.002 and
// 0.0005, shift −0.002 and 0.001, unworn where it was set. Means 0.004 and 0.00125; roll (0.004 − 0.00125)/8; at
// the tool, an inch before the middle, the shift is −0.0005 − 0.003/11. On the diameter: the shift makes
// 2·(−0.000772727) = −0.001545455, the front's drop 2·6·0.004/8 = 0.006, the rear's −2·6·0.00125/8 =
// −0.001875: together 2·0.00128977; the rest is the sinking by 0.00316051, about 0.00316051²/0.5 = 0.00002.
func TestStepsByHand(t *testing.T) {
	c := onItsEnds(t)
	here, set := c.Steps(10), c.Steps(50)
	near(t, "left end", here.Ends[0].Position, 5.5, 1e-12)
	near(t, "right end", here.Ends[1].Position, 16.5, 1e-12)
	near(t, "left front", here.Ends[0].Front, 0.006, 1e-15)
	near(t, "right shift", here.Ends[1].Shift, 0.001, 1e-15)
	near(t, "front mean", here.FrontMean, 0.004, 1e-15)
	near(t, "rear mean", here.RearMean, 0.00125, 1e-15)
	want := map[compensate.Origin]float64{compensate.FromShift: -0.001545455, compensate.FromFront: 0.006,
		compensate.FromRear: -0.001875, compensate.FromTwist: 0, compensate.FromAxis: 0, compensate.FromPush: 0,
		compensate.FromHeight: 0.00002}
	sum := 0.0
	for _, p := range c.Portions(here, set) {
		near(t, string(p.Origin), p.Error, want[p.Origin], 6e-7)
		sum += p.Error
	}
	near(t, "sum", sum, c.At(10, 0), 1e-15)
}

// On any lathe the roll is that of the means and the twist, the flanks' losses make the drop and the shift, and the
// parts add up to what predict says, to 1e-12 mm.
func TestStepsAddUp(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for range 200 {
		b := randomBench(r, 12)
		m := b.machine(t)
		cut := b.randomCut(r, 200)
		cut.Push = &compensate.Push{By: func(z float64) float64 { return 1e-5 * math.Abs(z) }}
		c := mustCurve(t, m, cut)
		z := cut.From + r.Float64()*200
		here, set := c.Steps(z), c.Steps(c.SetAt)
		near(t, "roll", here.Roll, (here.FrontMean-here.RearMean)/m.Lathe.Span+here.Twist, 1e-15)
		for _, e := range here.Ends {
			if v := m.Lathe.V; v != nil {
				drop, shift := v.Motion(e.Outer, e.Inner)
				near(t, "drop from the flanks", drop, e.Front, 1e-14)
				near(t, "shift from the flanks", shift, e.Shift, 1e-14)
			}
		}
		sum := 0.0
		for _, p := range c.Portions(here, set) {
			sum += p.Error
		}
		near(t, "sum of the parts", sum, c.Station(z).DiameterError, 1e-12)
		// What moves out is what the parts but the last say: half of it on the radius.
		out := (sum - c.Portions(here, set)[6].Error) / 2
		near(t, "out", out, here.Out, 1e-13)
	}
}
