package survey

import "wornway/profile/bed"

// saddleRock is how far the saddle's rear goes down where it is pressed: one rear corner is pressed and then the other,
// an indicator at the corner, and the reading is how far that differs. A saddle that gives bears on both ends and does
// not move; a stiff one that rides on the end that stands higher goes down at the other by all that the ways under its
// ends differ. reading = seating·|difference|, see bed.Seating, straight between the two: derived, no source. It has
// no zero of its own. Without readings of the ways it says little.
func saddleRock() Method {
	return Method{
		Name: "saddle-rock", Columns: []string{"position", "reading"}, Also: []string{"back"},
		U: 0.005, Why: "saddle and oil film give some micrometres under the hand: common practice, no source",
		Unseen: "pressing on the saddle's rear corners sees how the saddle sits, where the ways are known; it sees " +
			"nothing of the wear by itself",
		New: func(k *Keys) func(Row) []Equation {
			if !k.Lathe.Saddle.Rocks() {
				k.Table.Fault("method", "leave the survey out, or see whether bearing and bearing_length are right",
					"needs a saddle that bears on two ends")
			}
			sees := k.Lathe.Saddle.Rocked(k.Lathe.Saddle.ToolOffset)
			return func(r Row) []Equation {
				v, u := k.reading(r)
				z := k.position(r)
				return []Equation{{Position: z, Parts: []bed.Addend{sees.At(z, 1)}, Reading: v, U: u}}
			}
		},
	}
}
