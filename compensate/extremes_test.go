package compensate_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
)

// The curve, its stations and its extremes against the written-out equations, for every kind of saddle.
func TestCurveAndExtremesAgainstPlainCalculation(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 1))
	for i := range 150 {
		b := randomBench(r, 3+r.IntN(40))
		cut := b.randomCut(r, 20+r.Float64()*400)
		want := b.plain().errors(cut)
		c := mustCurve(t, b.machine(t), cut)
		setting := r.Float64()*0.1 - 0.05
		for range 5 {
			z := cut.From + r.Float64()*(cut.To-cut.From)
			near(t, "error", c.At(z, setting), want(z, setting), 1e-11)
			near(t, "error at a station", c.Station(z).DiameterError, want(z, 0), 1e-11)
			near(t, "radius at a station", 2*c.Station(z).Radius-cut.Diameter, want(z, 0), 1e-11)
		}
		near(t, "error where it was set", c.At(cut.SetAt, 0), 0, 0)

		least, greatest := c.Extremes(cut.From, cut.To, setting)
		lo, hi := sampled(cut.From, cut.To, 4000, func(z float64) float64 { return want(z, setting) })
		// A sample can miss an extreme, though by far less than 1e-5, but not exceed it by more than the hunt's own
		// nearness, 1e-7.
		if least.Value > lo+1e-7 || greatest.Value < hi-1e-7 || least.Value < lo-1e-5 || greatest.Value > hi+1e-5 {
			t.Errorf("bench %d: extremes %g, %g; sampled %g, %g", i, least.Value, greatest.Value, lo, hi)
		}
		for _, e := range []compensate.Extreme{least, greatest} {
			if e.Position < cut.From || e.Position > cut.To {
				t.Errorf("bench %d: extreme at %g, outside %g to %g", i, e.Position, cut.From, cut.To)
			}
			near(t, "value at the extreme's position", want(e.Position, setting), e.Value, 2e-7)
		}
		near(t, "spread", c.Spread(), c.Taper().Spread, 1e-12)
	}
}

// Of equal extremes the one nearest to the headstock is given: by symmetry two hollows of one depth.
func TestExtremesNearestToTheHeadstock(t *testing.T) {
	m := compensate.Machine{Lathe: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100},
		Wear: mustWear(t, []float64{0, 100, 200, 300, 400}, map[bed.Curve][]float64{bed.Front: {0, 0.05, 0, 0.05, 0}}),
		Axis: compensate.SpindleAxis()}
	c := mustCurve(t, m, compensate.Cut{Feature: work.Feature{From: 0, To: 400, Diameter: 20}, SetAt: 0})
	least, greatest := c.Extremes(0, 400, 0)
	near(t, "least at", least.Position, 0, 0)
	near(t, "greatest at", greatest.Position, 100, 0)
	if math.IsNaN(least.Value) || least.Value != 0 {
		t.Errorf("least is %g, want 0", least.Value)
	}
}

func TestCurveRefuses(t *testing.T) {
	m := compensate.Machine{Lathe: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100},
		Wear: mustWear(t, []float64{0, 400}, nil), Axis: compensate.SpindleAxis()}
	good := compensate.Cut{Feature: work.Feature{From: 0, To: 400, Diameter: 20}, SetAt: 400}
	mustCurve(t, m, good)
	for what, change := range map[string]func(*compensate.Cut){
		"from before the survey":   func(c *compensate.Cut) { c.From = -1 },
		"to after the survey":      func(c *compensate.Cut) { c.To = 401 },
		"set outside the survey":   func(c *compensate.Cut) { c.SetAt = 500 },
		"set nowhere":              func(c *compensate.Cut) { c.SetAt = math.NaN() },
		"from after to":            func(c *compensate.Cut) { c.From, c.To = c.To, c.From },
		"no length":                func(c *compensate.Cut) { c.From = c.To },
		"no diameter":              func(c *compensate.Cut) { c.Diameter = 0 },
		"endless diameter":         func(c *compensate.Cut) { c.Diameter = math.Inf(1) },
		"tolerance below zero":     func(c *compensate.Cut) { c.Tolerance = -1 },
		"tool above the work":      func(c *compensate.Cut) { c.ToolHeight = 10 },
		"tool below the work":      func(c *compensate.Cut) { c.ToolHeight = -10.5 },
		"tool height not a number": func(c *compensate.Cut) { c.ToolHeight = math.NaN() },
	} {
		c := good
		change(&c)
		if _, err := m.Curve(c); err == nil {
			t.Errorf("%s was taken", what)
		}
	}
}
