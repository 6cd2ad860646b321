package survey

import (
	"math"

	"wornway/profile/bed"
)

// carriageLock is the drag of the carriage lock, tightened lightly at one place and left so while the carriage is slid:
// where the ways are less worn the saddle rises and the lock grips its unworn underside harder. rise = zero +
// scale·feel, with feel 1 where it drags and 2 where it is tight; 0 (free) and 3 (will not move) are limits. How much
// a step of feel is, is known within a factor of two.
//
// A feel is not a value with an error of its own: the same feel is read all along while the rise changes by less than a
// step, and many stations that drag alike say no more of that than two. So it is two limits, half a step either way, of
// a step that may be twice the usual one; U is how sharply the hand tells them.
func carriageLock() Method {
	const (
		step  = 0.0254           // mm of rise for a step of feel: common practice, no source
		times = 2                // within such a factor
		wide  = times * step / 2 // from the middle of a step to its end, at the most
	)
	return Method{
		Name: "carriage-lock", Columns: []string{"position", "feel"},
		U: 0.35 * step, Why: "a hand tells a step of drag, about a thou of rise, from the next but not half a step: " +
			"common practice, no source; the step itself is counted apart",
		Unseen: "the carriage lock feels only how the saddle rises and sinks as a whole, roughly",
		New: func(k *Keys) func(Row) []Equation {
			if !k.Table.Has("tightened_at") {
				k.Table.Missing("tightened_at", "where the carriage stood when the lock was tightened lightly")
			}
			k.Length("tightened_at", 0)
			offset := k.Lathe.Saddle.ToolOffset
			sees := k.Lathe.Saddle.Mean(bed.Front, offset).Plus(k.Lathe.Saddle.Mean(bed.Rear, offset)).Times(-0.5)
			zero := k.Zero()
			// a rectangle, as for any two limits (GUM, 4.3.7)
			scale := k.Free(Term{Name: "scale", U: math.Log(times) / math.Sqrt(3)})
			feel := k.Column("feel")
			return func(r Row) []Equation {
				f := r.Numbers[feel]
				e := Equation{Position: k.position(r), U: k.u, Side: Between, Half: wide}
				switch f {
				case 0:
					f, e.Side, e.Half = 0.5, AtMost, 0
				case 3:
					f, e.Side, e.Half = 2.5, AtLeast, 0
				}
				e.Parts = []bed.Addend{sees.At(e.Position, 1)}
				e.Shares = []Share{zero, {scale, -step * f}}
				e.Reading = step * f
				return []Equation{e}
			}
		},
	}
}
