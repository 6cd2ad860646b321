package survey

import (
	"math"

	"wornway/profile/bed"
	"wornway/profile/wear"
)

// statedU is the standard uncertainty of stated drops where none is given, mm: half a thou, common practice, no source.
const statedU = 0.0127

// UsualReach is how far apart errors of stated drops go together where it is not given, mm: 3 in, set by this project.
// Whoever measures or draws a curve is off over a hand's breadth alike, and a foot away is so anew.
const UsualReach = 75

// Reach reads how far apart errors of stated drops go together.
func (k *Keys) Reach() wear.Reach {
	const shortest = 1 // mm: nobody states wear more finely
	reach := k.Length("reach", UsualReach)
	if reach < shortest {
		k.Table.Fault("reach", "it is a length along the bed: places closer than this are wrong together",
			"must not be less than %s", k.least())
		return UsualReach
	}
	if ways := k.Ways[1] - k.Ways[0]; k.Table.Has("reach") && ways > 0 && reach > ways {
		k.Table.Fault("reach", "check the number and the file's unit; what all the bed is off by alike changes no "+
			"taper, and is left out of uncertainty", "is longer than the bed")
		return UsualReach
	}
	return wear.Reach(reach)
}

// stated is the drops themselves, by a method that nobody wrote down. Columns front, rear, shift, or outer and inner in
// place of front and shift.
//
// Errors of rows that lie close to each other go together. Each row is taken as independent of the others, as readings
// are, but as so much less sure that all together say no more: see [wear.Reach.Crowded].
func stated() Method {
	return Method{
		Name: "stated", Columns: []string{"position"}, Also: []string{"front", "rear", "shift", "outer", "inner"},
		U: statedU, Why: "half a thou: common practice, no source",
		New: func(k *Keys) func(Row) []Equation {
			type column struct {
				index int
				sees  bed.Sum
				less  map[float64]float64 // by position: how much less sure a row is than its entry
			}
			var columns []column
			for _, name := range []string{"front", "rear", "outer", "inner"} {
				if i := k.Column(name); i >= 0 {
					columns = append(columns, column{index: i, sees: k.way("columns", name)})
				}
			}
			if i := k.Column("shift"); i >= 0 {
				columns = append(columns, column{index: i, sees: bed.At(bed.Shift, 0)})
			}
			if len(columns) == 0 {
				k.Table.Fault("columns", "add front, rear or shift", "nothing is said of the wear")
			}
			k.reach = k.Reach()
			// crowd finds it once all rows are known.
			crowd := func(c *column) {
				var at []float64
				for _, r := range k.rows {
					if !math.IsNaN(r.Numbers[c.index]) {
						at = append(at, k.position(r))
					}
				}
				c.less = make(map[float64]float64, len(at))
				for i, n := range k.reach.Crowded(at) {
					c.less[at[i]] = math.Sqrt(n)
				}
			}
			return func(r Row) []Equation {
				z := k.position(r)
				var out []Equation
				for i := range columns {
					c := &columns[i]
					if c.less == nil {
						crowd(c)
					}
					if v := r.Numbers[c.index]; !math.IsNaN(v) {
						out = append(out, Equation{Position: z, Parts: []bed.Addend{c.sees.At(z, 1)},
							Reading: v * k.scale, U: k.u * c.less[z]})
					}
				}
				return out
			}
		},
	}
}
