package survey

// lightGap is the light seen under a straightedge held before a lamp: none up to 3 µm, some up to 40 µm, wide up to
// 200 µm (common practice, no source).
func lightGap() Method {
	return Method{
		Name: "light-gap", Columns: []string{"position", "light"}, Words: []string{"light"},
		U: 0.001, Why: "the eye's judgement beside the steps none, some and wide: common practice, no source",
		Unseen: "a straightedge sees only how a way bends between its two contacts",
		New: func(k *Keys) func(Row) []Equation {
			e := newEdge(k)
			light := k.Column("light")
			limits := map[string][2]float64{"none": {0, 0.003}, "some": {0.003, 0.040}, "wide": {0.040, 0.200}}
			return func(r Row) []Equation {
				l := limits[r.Words[light]]
				return []Equation{e.gap(k.position(r), l[0], l[1], k.u)}
			}
		},
	}
}
