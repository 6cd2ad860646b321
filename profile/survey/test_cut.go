package survey

import (
	"math"

	"wornway/profile/bed"
)

// PushOffName is the name of the term that stands for work that gives way to the cut.
const PushOffName = "push-off"

// pushOff is how far a cutting force may bend work away from the tool at the furthest collar, standard, mm on diameter:
// common practice, no source.
const pushOff = 0.02

// testCut is a bar turned at one setting of the dial and measured along its length: diameter = what was set + 2·(tool
// out − s·lean·position), s the post's sign, and the second order of the tool's drop. Where it stands out of a chuck,
// bending under the cut adds a term that grows with the cube of the distance from held_at.
func testCut() Method {
	return Method{
		Name: "test-cut", Columns: []string{"position", "diameter"},
		U: 0.002, Why: "a 0.01 mm micrometer on a turned collar, the mean of two readings: common practice, no source",
		Unseen: "a test cut sees shift and roll together, less the spindle's lean",
		New: func(k *Keys) func(Row) []Equation {
			lean, slope := bed.Of(bed.LeanOut), -1
			up := bed.Of(bed.LeanUp)
			if k.Choice("held", false, "spindle", "centres") == "centres" {
				lean, up, slope = bed.Sum{}, bed.Sum{}, k.Free(Term{Name: "slope", Flat: true})
			}
			k.Length("depth", 0)
			k.Length("feed", 0)
			heldAt, bends := k.Length("held_at", 0), k.Table.Has("held_at")
			push := -1
			if bends {
				push = k.Free(Term{Name: PushOffName, U: pushOff})
			}
			zero := k.Zero()
			out := k.Lathe.ToolOut().Plus(lean.Times(-k.Lathe.Post()))
			position, diameter := k.Column("position"), k.Column("diameter")
			// The second order is counted from the collar nearest to the tailstock, where a cut begins and is set; the
			// push-off's size is that at the furthest collar.
			collar := func(r Row) (z, d float64) {
				return k.Unit.ToMM(r.Numbers[position]),
					r.Numbers[diameter] * k.scale
			}
			var z0, d0, reach float64
			look := func() {
				for _, r := range k.rows {
					z, d := collar(r)
					if d0 == 0 || z > z0 || z == z0 && d < d0 {
						z0, d0 = z, d
					}
					reach = math.Max(reach, math.Abs(z-heldAt))
				}
				reach = math.Max(reach, 100)
			}
			return func(r Row) []Equation {
				if d0 == 0 {
					look()
				}
				z, d := collar(r)
				e := Equation{Position: z, Parts: []Part{{out, z, 2}}, Shares: []Share{zero}, Reading: d - d0, U: k.u}
				if slope >= 0 {
					e.Shares = append(e.Shares, Share{slope, z / 1000})
				}
				if push >= 0 {
					e.Shares = append(e.Shares, Share{push, math.Pow(math.Abs(z-heldAt)/reach, 3)})
				}
				set, err := bed.SetTo(d0, 0)
				if err == nil {
					down := k.Lathe.ToolDrop(d0).Plus(up)
					e.Exact = func(w Values) float64 {
						o, o0 := w.Value(out, z), w.Value(out, z0)
						return 2*o0 + set.DiameterError(o-o0, w.Value(down, z)-w.Value(down, z0))
					}
				}
				return []Equation{e}
			}
		},
	}
}
