package survey

import "wornway/profile/bed"

const (
	levelU   = 0.2 // divisions
	levelWhy = "a bubble is read to a fifth of a division: common practice, no source"
)

// levelAlong is a level set along one way on two feet: plus where its tailstock side is high. reading = zero − (drop
// under one foot less drop under the other) over their distance.
func levelAlong() Method {
	return Method{
		Name: "level-along", Columns: []string{"from", "to", "reading"}, Also: []string{"back", "reference"},
		Level: true, U: levelU, Why: levelWhy,
		Unseen: "a level along a way sees that way but for a straight line",
		New: func(k *Keys) func(Row) []Equation {
			sees := k.way("on", k.Choice("on", true, "front", "rear", "tail-front", "tail-rear"))
			zero := k.Zero()
			from, to := k.Column("from"), k.Column("to")
			return func(r Row) []Equation {
				v, u := k.reading(r)
				a, b := k.Unit.ToMM(r.Numbers[from]), k.Unit.ToMM(r.Numbers[to])
				return []Equation{{Position: (a + b) / 2, Shares: []Share{zero}, Reading: v, U: u,
					Parts: []bed.Addend{sees.At(b, -1/(b-a)), sees.At(a, 1/(b-a))}}}
			}
		},
	}
}

// levelAcross is a level on a bridge over both carriage ways: plus where the operator's side is high. reading = zero
// − (front − rear)/span − twist·position.
func levelAcross() Method {
	return Method{
		Name: "level-across", Columns: []string{"position", "reading"}, Also: []string{"back", "reference"},
		Level: true, Runs: true, U: levelU, Why: levelWhy,
		Unseen: "a level across the ways sees the front's drop less the rear's, and twist as well as wear",
		New: func(k *Keys) func(Row) []Equation {
			sees := bed.At(bed.Front, 0).Plus(bed.At(bed.Rear,
				0).Times(-1)).Times(-1 / k.Lathe.Span).Plus(bed.Of(bed.Twist).Times(-1))
			zero := k.Zero()
			return func(r Row) []Equation {
				v, u := k.reading(r)
				z := k.position(r)
				return []Equation{{Position: z, Parts: []bed.Addend{sees.At(z, 1)}, Shares: []Share{zero},
					Reading: v, U: u}}
			}
		},
	}
}

// saddleLevel is a level that rides on the saddle, across it: it reads the roll itself, plus where the operator's side
// is high. reading = zero − roll, twist included. The position is the tool's.
func saddleLevel() Method {
	return Method{
		Name: "saddle-level", Columns: []string{"position", "reading"}, Also: []string{"back", "reference"},
		Level: true, Runs: true, U: levelU, Why: levelWhy,
		Unseen: "a level on the saddle sees the front's drop less the rear's, and twist as well as wear",
		New: func(k *Keys) func(Row) []Equation {
			sees := k.Lathe.Roll().Times(-1)
			zero := k.Zero()
			return func(r Row) []Equation {
				v, u := k.reading(r)
				z := k.position(r)
				return []Equation{{Position: z, Parts: []bed.Addend{sees.At(z, 1)}, Shares: []Share{zero},
					Reading: v, U: u}}
			}
		},
	}
}
