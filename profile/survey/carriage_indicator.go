package survey

import "wornway/profile/bed"

// carriageIndicator is an indicator carried by the saddle, its tip on a tailstock way. A sinking saddle pushes the
// plunger in, a sinking way lets it out: reading = zero + (how far the saddle has sunk over the way) − (the way's
// drop). Twist turns saddle and way alike and is not seen.
func carriageIndicator() Method {
	return Method{
		Name: "carriage-indicator", Columns: []string{"position", "reading"}, Also: []string{"back", "reference"},
		Runs: true,
		U:    0.003, Why: "a 0.01 mm dial indicator repeats within 3 µm and retraces within 3 µm (JIS B 7503)",
		Unseen: "an indicator from way to way sees only how the carriage ways lie against the tailstock ways: a drop " +
			"or roll common to both, shift, lean and twist it does not see",
		New: func(k *Keys) func(Row) []Equation {
			base := k.base()
			touch := k.Choice("touch", true, "tail-front", "tail-rear")
			way, behind := bed.TailFront, base.FrontSetback
			if touch == "tail-rear" {
				way, behind = bed.TailRear, base.RearSetback
			}
			sees := k.Lathe.Sunk(k.TipOffset(k.Lathe.Saddle.ToolOffset), behind).Plus(bed.TailDrop(way).Times(-1))
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
