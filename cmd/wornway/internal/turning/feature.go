package turning

import (
	"fmt"
	"math"
	"slices"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/length"
)

type PredictJobJSON struct {
	shop.HeadJSON
	Features []FeatureJSON `json:"features"`
	Assumed  []string      `json:"assumed"`
	Warnings []string      `json:"warnings"`
}

// FeatureJSON is one feature of a part: what its length comes out like, or why it is not turned.
type FeatureJSON struct {
	Name   string  `json:"name"`
	Turned bool    `json:"turned"`
	Why    *string `json:"why"`
	*LengthJSON
	*LimitsJSON
}

// LimitsJSON is what is asked of a feature beside its spread, and what bending under the cut has to do with it.
type LimitsJSON struct {
	Bending          *float64 `json:"bending"`
	Lower            *float64 `json:"lower"`
	Upper            *float64 `json:"upper"`
	LimitsLeave      *float64 `json:"limits_leave"`
	TaperLimit       *float64 `json:"taper_limit"`
	TaperProbability *float64 `json:"taper_probability"`
}

// NotTurned says of a feature why it is not turned.
func NotTurned(p *shop.Part, feature int) string {
	f := p.Held.Features[feature]
	return f.Name + ": not turned like this: " + f.Hidden + "."
}

// Remarks say how the numbers for a part's features are to be read.
func Remarks(p *shop.Part, stated bool) []string {
	out := []string{fmt.Sprintf("Positions count from the spindle nose; the part's headstock end lies at %s.",
		p.At(p.Held.At))}
	if stated {
		out = append(out, say.SureOfDial)
	}
	return out
}

// Add adds a feature's stations to the table of all.
func Add(p *shop.Part, t *show.Table, name string, one prediction) {
	bent := p.Held.Push != nil
	if t.Columns == nil {
		t.Columns = append([]show.Column{{Head: "feature", Key: "feature", Left: true, Words: true}},
			one.Table.Columns...)
		for i := range t.Columns {
			switch c := &t.Columns[i]; c.Key {
			case "tool_out", "tool_drop":
				c.Data = true // for a part they are too much to read
			case "diameter_error":
				c.Head = "diameter\nerror, " + p.SmallName()
			}
		}
		if bent {
			last := len(t.Columns) - 1
			t.Columns = append(t.Columns[:last:last], show.Column{Head: "of it\nbending, " + p.SmallName(),
				Key: "bending"}, t.Columns[last])
		}
	}
	ends := []int{0, len(one.Table.Rows) / 2, len(one.Table.Rows) - 1}
	for i, row := range one.Table.Rows {
		if !slices.Contains(ends, i) {
			t.Fine = append(t.Fine, len(t.Rows))
		}
		row = append([]show.Cell{{Text: name, Value: name}}, row...)
		if bent {
			last := len(row) - 1
			b := *one.JSON.Stations[i].Bending
			row = append(row[:last:last], show.Cell{Text: p.Cell(p.In.ToMM(b)), Value: b}, row[last])
		}
		t.Rows = append(t.Rows, row)
	}
}

// Limits says what else is asked of a feature, and what bending has to do with its spread; held is false where a limit
// is not kept. spread is what is computed, mm, and ends are the feature's two ends as they are cut.
func Limits(p *shop.Part, c *compensate.Curve, spread float64, ends []compensate.Spot) (sentences []string,
	j LimitsJSON,
	held bool) {
	in := p.In.From
	held = true
	tell := func(format string, args ...any) { sentences = append(sentences, fmt.Sprintf(format, args...)) }
	if c.Push != nil {
		_, bent := c.Shares(c.Spaced())
		j.Bending = answer.Null(in(bent), true)
		if s := p.Small(bent); s == p.Small(0) {
			tell("Bending under the cut adds nothing.")
		} else {
			tell("Bending under the cut alone would make it vary by %s.", s)
		}
	}
	if c.Feature.Taper > 0 {
		j.TaperLimit = answer.Null(in(c.Feature.Taper), true)
		within, stated := c.AlikeWithin(ends[0], ends[1], c.Feature.Taper)
		j.TaperProbability = answer.Null(within, stated)
		what := fmt.Sprintf("the two ends differ by no more than %s", p.Small(c.Feature.Taper))
		switch ok := math.Abs(c.At(ends[0].Position, ends[0].Setting)-c.At(ends[1].Position,
			ends[1].Setting)) <= c.Feature.Taper; {
		case !stated && ok:
			tell("As computed %s; how sure that is cannot be said, as the wear has no ±.", what)
		case !stated:
			tell("It is not held that %s.", what)
			held = false
		case within < compensate.Promised:
			tell("The probability that %s is %s: that cannot be promised.", what, word.Percent(within))
			held = false
		default:
			tell("The probability that %s is %s.", what, word.Percent(within))
		}
	}
	if s := c.Size; s != nil {
		left := s.Upper - s.Lower - spread
		j.Lower, j.Upper, j.LimitsLeave = answer.Null(in(c.Diameter+s.Lower), true),
			answer.Null(in(c.Diameter+s.Upper), true),
			answer.Null(in(left), true)
		limits := length.Diameter(c.Diameter+s.Lower, p.In) + " to " + length.Diameter(c.Diameter+s.Upper, p.In) +
			" " + p.In.String()
		if c.Fit != "" {
			limits += " (" + c.Fit + map[bool]string{true: ", from memory"}[c.Recalled] + ")"
		}
		if left >= 0 {
			tell("Of its limits, %s, that leaves %s for measuring and setting.", limits, p.Small(left))
		} else {
			tell("Its limits, %s, are not held: they are %s apart.", limits, p.Small(s.Upper-s.Lower))
			held = false
		}
	}
	return sentences, j, held
}
