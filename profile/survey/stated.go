package survey

import (
	"math"

	"wornway/profile/bed"
)

// statedU is the standard uncertainty of stated drops where none is given, mm: half a thou, common practice, no source.
const statedU = 0.0127

// stated is the drops themselves, by a method that nobody wrote down. Columns front, rear, shift, or outer and inner in
// place of front and shift.
func stated() Method {
	return Method{
		Name: "stated", Columns: []string{"position"}, Also: []string{"front", "rear", "shift", "outer", "inner"},
		U: statedU, Why: "half a thou: common practice, no source",
		New: func(k *Keys) func(Row) []Equation {
			type column struct {
				index int
				sees  bed.Sum
			}
			var columns []column
			for _, name := range []string{"front", "rear", "outer", "inner"} {
				if i := k.Column(name); i >= 0 {
					columns = append(columns, column{i, k.way("columns", name)})
				}
			}
			if i := k.Column("shift"); i >= 0 {
				columns = append(columns, column{i, bed.At(bed.Shift, 0)})
			}
			if len(columns) == 0 {
				k.Table.Fault("columns", "add front, rear or shift", "nothing is said of the wear")
			}
			return func(r Row) []Equation {
				z := k.position(r)
				var out []Equation
				for _, c := range columns {
					if v := r.Numbers[c.index]; !math.IsNaN(v) {
						out = append(out, Equation{Position: z, Parts: []Part{{c.sees, z, 1}}, Reading: v * k.scale,
							U: k.u})
					}
				}
				return out
			}
		},
	}
}
