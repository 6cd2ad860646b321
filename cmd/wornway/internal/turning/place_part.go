package turning

import (
	"math"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/work"
)

type PlaceJobJSON struct {
	Format   int                 `json:"format"`
	Job      string              `json:"job"`
	Lathe    string              `json:"lathe"`
	Unit     string              `json:"unit"`
	Features []PlacedFeatureJSON `json:"features"`
	Assumed  []string            `json:"assumed"`
	Warnings []string            `json:"warnings"`
}

// PlacedFeatureJSON is where one feature may lie, and the part with it.
type PlacedFeatureJSON struct {
	Name string `json:"name"`
	PlacesJSON
	At     float64            `json:"at"`      // of the part's headstock end, with the feature at its best place
	GoodAt []answer.RangeJSON `json:"good_at"` // likewise, where the feature's spread keeps within what is allowed
}

// SizeWidth is how far a feature's limits of size lie apart, mm; 0 where there are none.
func SizeWidth(f work.Feature) float64 {
	if f.Size == nil {
		return 0
	}
	return math.Max(0, f.Size.Upper-f.Size.Lower)
}

// PartAt says where the part's headstock end lies when a feature lies well.
func PartAt(l *shop.Bench, f work.Feature, places *compensate.Places) []string {
	s := "The part's headstock end then lies at " + l.About(places.Best.From-f.From)
	if len(places.Good) == 0 {
		return []string{s + "."}
	}
	var good []string
	for _, g := range places.Good {
		good = append(good, l.BareAbout(g.From-f.From)+" to "+l.About(g.To-f.From))
	}
	return []string{s + "; it keeps within that where it lies at " + word.List(good) + "."}
}

// WithPart adds to a table that begins with where a length lies where the part then lies, whose feature begins so far
// from its headstock end, mm.
func WithPart(l *shop.Bench, t show.Table, feature float64) show.Table {
	t.Columns = append([]show.Column{{Head: "part at, " + l.UnitName(), Key: "at"}}, t.Columns...)
	for i := range t.Columns {
		switch t.Columns[i].Key {
		case "bar":
			t.Columns[i].Data = true // features have scales of their own
		case "probability":
			t.Columns[i].Head = "held with"
		}
	}
	for i, row := range t.Rows {
		from, _ := row[0].Value.(float64)
		at := from - l.In.From(feature)
		t.Rows[i] = append([]show.Cell{{Text: l.BareAbout(l.In.ToMM(at)), Value: at}}, row...)
	}
	return t
}
