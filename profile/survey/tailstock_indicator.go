package survey

import (
	"math"
	"wornway/profile/bed"
)

// tailstockIndicator is an indicator carried by the tailstock, its tip on a carriage way or a flank of the V. A sinking
// base pushes the plunger in, a worn way lets it out: reading = zero + (how far the base has sunk over the way) −
// (the way's drop). On a flank the plunger stands square to it, reading the base's sinking times the cosine less the
// metal lost, or vertically, reading that divided by the cosine.
func tailstockIndicator() Method {
	return Method{
		Name: "tailstock-indicator", Columns: []string{"position", "reading"}, Also: []string{"back", "reference"},
		Runs: true,
		U:    0.003, Why: "a 0.01 mm dial indicator repeats within 3 µm and retraces within 3 µm (JIS B 7503)",
		Unseen: "an indicator from way to way sees only how the carriage ways lie against the tailstock ways: a drop " +
			"or roll common to both, shift, lean and twist it does not see",
		New: func(k *Keys) func(Row) []Equation {
			base := k.base()
			touch := k.Choice("touch", true, "front", "rear", "outer", "inner")
			plunger := k.Choice("plunger", false, "square", "vertical")
			behind := 0.0
			if touch == "rear" {
				behind = k.Lathe.Span
			}
			sunk := base.Sunk(k.TipOffset(0), behind)
			sees := k.way("touch", touch).Times(-1)
			cos := 1.0
			if v := k.Lathe.V; v != nil && touch == "outer" {
				cos = math.Cos(v.Outer)
			} else if v != nil && touch == "inner" {
				cos = math.Cos(v.Inner)
			}
			sees = sees.Plus(sunk.Times(cos))
			if plunger == "vertical" {
				sees = sees.Times(1 / cos)
			}
			zero, drift := k.Zero(), k.drift()
			return func(r Row) []Equation {
				v, u := k.reading(r)
				z := k.position(r)
				return []Equation{{Position: z, Parts: []bed.Addend{sees.At(z, 1)}, Shares: drift.add(r, zero),
					Reading: v, U: u}}
			}
		},
	}
}
