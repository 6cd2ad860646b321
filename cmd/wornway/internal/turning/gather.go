package turning

import (
	"slices"

	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
)

type CorrectJobJSON struct {
	shop.HeadJSON
	Features []CorrectedFeatureJSON `json:"features"`
	Assumed  []string               `json:"assumed"`
	Warnings []string               `json:"warnings"`
}

// CorrectedFeatureJSON is one feature of a part, corrected.
type CorrectedFeatureJSON struct {
	FeatureJSON
	*CorrectedJSON
}

// Gather adds a feature's table to the one of that name for all features; a short answer has the rows that it has of
// each.
func Gather(r *show.Report, feature string, t show.Table) {
	var to *show.Table
	for i := range r.Tables {
		if r.Tables[i].Name == t.Name {
			to = &r.Tables[i]
		}
	}
	if to == nil {
		r.Tables = append(r.Tables, show.Table{Name: t.Name, Full: t.Full,
			Columns: append([]show.Column{{Head: "feature", Key: "feature", Left: true, Words: true}}, t.Columns...)})
		to = &r.Tables[len(r.Tables)-1]
	}
	if len(t.Rows) > 0 || len(to.Rows) == 0 {
		to.Title = t.Title
	}
	shown := t.Shown()
	for i, row := range t.Rows {
		if !slices.Contains(shown, i) {
			to.Fine = append(to.Fine, len(to.Rows))
		}
		to.Rows = append(to.Rows, append([]show.Cell{{Text: feature, Value: feature}}, row...))
	}
}

// InOrder returns the tables of these names in this order, those without rows last.
func InOrder(tables []show.Table, names ...string) []show.Table {
	var out, empty []show.Table
	for _, n := range names {
		for _, t := range tables {
			switch {
			case t.Name != n:
			case len(t.Rows) == 0:
				empty = append(empty, t)
			default:
				out = append(out, t)
			}
		}
	}
	return append(out, empty...)
}
