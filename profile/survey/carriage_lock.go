package survey

import (
	"math"

	"wornway/profile/bed"
)

// carriageLock is the drag of the carriage lock, tightened lightly at one place and left so while the carriage is slid: where the ways are less worn the saddle rises
// and the lock grips its unworn underside harder. rise = zero + scale·feel, with feel 1 where it drags and 2 where it is tight; 0 (free) and 3 (will not
// move) are limits. How much a step of feel is, is known within a factor of two.
func carriageLock() Method {
	const step = 0.0254 // mm of rise for a step of feel
	return Method{
		Name: "carriage-lock", Columns: []string{"position", "feel"},
		U: 0.35 * step, Why: "a hand tells a step of drag, about a thou of rise, from the next but not half a step: common practice, no source",
		Unseen: "the carriage lock feels only how the saddle rises and sinks as a whole, roughly",
		New: func(k *Keys) func(Row) []Equation {
			if !k.Table.Has("tightened_at") {
				k.Table.Missing("tightened_at", "where the carriage stood when the lock was tightened lightly")
			}
			k.Length("tightened_at", 0)
			offset := k.Lathe.Saddle.ToolOffset
			sees := k.Lathe.Saddle.Mean(bed.Front, offset).Plus(k.Lathe.Saddle.Mean(bed.Rear, offset)).Times(-0.5)
			zero := k.Zero()
			scale := k.Free(Term{Name: "scale", U: math.Ln2})
			feel := k.Column("feel")
			return func(r Row) []Equation {
				f := r.Numbers[feel]
				e := Equation{Position: k.position(r), U: k.u}
				switch f {
				case 0:
					f, e.Side = 0.5, AtMost
				case 3:
					f, e.Side = 2.5, AtLeast
				}
				e.Parts = []Part{{sees, e.Position, 1}}
				e.Shares = []Share{zero, {scale, -step * f}}
				e.Reading = step * f
				return []Equation{e}
			}
		},
	}
}
