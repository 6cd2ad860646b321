package survey

import "wornway/profile/bed"

// wayMicrometer is the thickness of a flat way between its top and an unworn underside: reading = zero +
// slope·position − the way's drop. How thick the way was made, and how parallel its underside is, is not known.
func wayMicrometer() Method {
	return Method{
		Name: "way-micrometer", Columns: []string{"position", "reading"}, Also: []string{"back"}, Runs: true,
		U: 0.003, Why: "a 0.01 mm micrometer read to a third of a division: common practice, no source",
		Unseen: "a micrometer over a way sees it but for a straight line",
		New: func(k *Keys) func(Row) []Equation {
			on := k.Choice("on", true, "rear", "front", "tail-front", "tail-rear")
			if on == "front" && k.Lathe.V != nil {
				k.Table.Fault("on", "read the flanks, or the drop by another method",
					"a micrometer needs a flat way: the top of a V does not wear")
			}
			sees := k.way("on", on).Times(-1)
			zero, slope := k.Zero(), k.Free(Term{Name: "slope", Flat: true})
			return func(r Row) []Equation {
				v, u := k.reading(r)
				z := k.position(r)
				return []Equation{{Position: z, Parts: []bed.Addend{sees.At(z, 1)},
					Shares: []Share{zero, {slope, z / 1000}}, Reading: v, U: u}}
			}
		},
	}
}
