package survey

import (
	"math"

	"wornway/profile/bar"
	"wornway/profile/bed"
)

// barTilt is how far a test bar may stand askew in the spindle, per length, standard, unless it was read in two
// positions half a turn apart.
const barTilt = 3e-5

// bar adds what a test bar leaves open: its tilt, or where it is held between centres the direction of that axis.
func (k *Keys) bar(lean bed.Scalar) (sees bed.Sum, tilt int, factor float64) {
	switch {
	case k.Held(bar.Chuck, bar.Centres) == bar.Centres:
		return bed.Sum{}, k.Free(Term{Name: "slope", Flat: true}), 1e-3
	case k.Flag("turned"):
		return bed.Of(lean), -1, 0
	}
	return bed.Of(lean), k.Free(Term{Name: "tilt", U: 1}), barTilt
}

func withTilt(shares []Share, tilt int, weight float64) []Share {
	if tilt < 0 {
		return shares
	}
	return append(shares, Share{tilt, weight})
}

// barSide is an indicator on the saddle, its tip on the operator's side of a test bar at centre height. A saddle that
// moves or rolls toward the operator lets the plunger out: reading = zero − (shift at the tip + guide height·(roll +
// twist·position)) + lean·position.
func barSide() Method {
	return Method{
		Name: "bar-side", Columns: []string{"position", "reading"}, Also: []string{"back"}, Runs: true,
		U: 0.003, Why: "a 0.01 mm dial indicator repeats within 3 µm and retraces within 3 µm (JIS B 7503)",
		Unseen: "a test bar's side sees shift and roll together, less the spindle's lean",
		New: func(k *Keys) func(Row) []Equation {
			offset := k.TipOffset(k.Lathe.Saddle.ToolOffset)
			lean, tilt, factor := k.bar(bed.LeanOut)
			roll := k.Lathe.RollAt(offset).Plus(bed.Of(bed.Twist))
			sees := k.Lathe.Saddle.Line(bed.Shift, offset).Plus(roll.Times(k.Lathe.GuideHeight())).Times(-1).Plus(lean)
			zero, drift := k.Zero(), k.drift()
			return func(r Row) []Equation {
				v, u := k.reading(r)
				z := k.position(r)
				return []Equation{{Position: z, Parts: []bed.Addend{sees.At(z, 1)},
					Shares: withTilt(drift.add(r, zero), tilt, factor*z), Reading: v, U: u}}
			}
		},
	}
}

// barTop is an indicator on the saddle, its tip on top of a test bar. A sinking saddle pushes the plunger in: reading =
// zero + (how far the saddle has sunk under the spindle axis) + lean·position − the bar's own sag.
func barTop() Method {
	return Method{
		Name: "bar-top", Columns: []string{"position", "reading"}, Also: []string{"back"}, Runs: true,
		U: 0.003, Why: "a 0.01 mm dial indicator repeats within 3 µm and retraces within 3 µm (JIS B 7503)",
		Unseen: "a test bar's top sees how the saddle sinks under the spindle axis, less the spindle's lean; it " +
			"hardly matters to a diameter",
		New: func(k *Keys) func(Row) []Equation {
			offset := k.TipOffset(k.Lathe.Saddle.ToolOffset)
			lean, tilt, factor := k.bar(bed.LeanUp)
			sees := k.Lathe.Sunk(offset, k.Lathe.Setback).Plus(bed.Of(bed.Twist).Times(-k.Lathe.Setback)).Plus(lean)
			sag := k.sag()
			if tilt >= 0 && factor != barTilt {
				sag = func(float64) float64 { return 0 } // held between centres it does not hang as a cantilever
			}
			zero, drift := k.Zero(), k.drift()
			return func(r Row) []Equation {
				v, u := k.reading(r)
				z := k.position(r)
				return []Equation{{Position: z, Parts: []bed.Addend{sees.At(z, 1)},
					Shares: withTilt(drift.add(r, zero), tilt, factor*z), Reading: v + sag(z), U: u}}
			}
		},
	}
}

// sag returns how far a solid steel bar that stands out of the spindle has sunk under its own weight at a position, mm:
// a cantilever under a uniform load w, w·x²·(6L² − 4Lx + x²)/(24EI) at x from its root, taken at the spindle
// nose. Source: beam tables; at the free end wL⁴/8EI (Machinery's Handbook, 31st ed., p. 269, case 10, as cited).
func (k *Keys) sag() func(z float64) float64 {
	d, overhang := k.Length("bar_diameter", 0), k.Length("bar_overhang", 0)
	if d <= 0 || overhang <= 0 {
		return func(float64) float64 { return 0 }
	}
	const (
		modulus = 206000.0          // N/mm², steel
		weight  = 7850e-9 * 9.80665 // N/mm³
	)
	second := math.Pi * math.Pow(d, 4) / 64
	load := weight * math.Pi * d * d / 4
	return func(z float64) float64 {
		x := math.Min(math.Max(z, 0), overhang)
		return load * x * x * (6*overhang*overhang - 4*overhang*x + x*x) / (24 * modulus * second)
	}
}
