package main

import (
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/length"
)

type predictJobJSON struct {
	headJSON
	Features []featureJSON `json:"features"`
	Assumed  []string      `json:"assumed"`
	Warnings []string      `json:"warnings"`
}

// featureJSON is one feature of a part: what its length comes out like, or why it is not turned.
type featureJSON struct {
	Name   string  `json:"name"`
	Turned bool    `json:"turned"`
	Why    *string `json:"why"`
	*lengthJSON
	*limitsJSON
}

// limitsJSON is what is asked of a feature beside its spread, and what bending under the cut has to do with it.
type limitsJSON struct {
	Bending          *float64 `json:"bending"`
	Lower            *float64 `json:"lower"`
	Upper            *float64 `json:"upper"`
	LimitsLeave      *float64 `json:"limits_leave"`
	TaperLimit       *float64 `json:"taper_limit"`
	TaperProbability *float64 `json:"taper_probability"`
}

// predictJob is predict for a job's part.
func predictJob(e *env.Env, c *cobra.Command, file string, o *predictOptions) error {
	p, err := putOn(e, c, file, &o.job, &o.cut.tool)
	if err != nil {
		return err
	}
	cuts, err := p.cuts(c, o.cut.every)
	if err != nil {
		return err
	}
	if len(cuts) == 0 {
		return p.nothing()
	}
	r := show.Report{Answer: []string{p.where()}, Cautions: holdingCautions(p.file.Job.Part, p.bench.JawsFront, p.held)}
	j := predictJobJSON{headJSON: p.head()}
	table := show.Table{Name: "stations"}
	held, stated := true, false
	var all []seen
	for i, f := range p.held.Features {
		if f.Hidden != "" {
			r.Answer = append(r.Answer, p.notTurned(i))
			j.Features = append(j.Features, featureJSON{Name: f.Name, Why: &f.Hidden})
			continue
		}
		k := cuts[i]
		all = append(all, k)
		one := p.predict(k.curve, k.stations)
		also, limits, kept := p.limits(k.curve, one.taper.Spread, k.curve.Ends())
		held, stated = held && one.held && kept, stated || one.taper.Stated
		r.Answer = append(r.Answer, f.Name+": "+strings.Join(append(one.answer, also...), " "))
		j.Features = append(j.Features, featureJSON{Name: f.Name, Turned: true, lengthJSON: &one.json.lengthJSON,
			limitsJSON: &limits})
		p.add(&table, f.Name, one)
	}
	r.Tables = []show.Table{table}
	r.Remarks = p.remarks(stated)
	seat := p.assumed("Each feature is measured and the dial set at its tailstock end; the error there is zero by "+
		"definition.", all...)
	r.Assumed, r.Warnings = seat.assumed, seat.warnings
	j.Assumed, j.Warnings = r.Assumed, append([]string{}, r.Warnings...)
	r.JSON = j
	return e.EmitHeld(o.out, r, "stations", held)
}

// notTurned says of a feature why it is not turned.
func (p *onLathe) notTurned(feature int) string {
	f := p.held.Features[feature]
	return f.Name + ": not turned like this: " + f.Hidden + "."
}

// remarks say how the numbers for a part's features are to be read.
func (p *onLathe) remarks(stated bool) []string {
	out := []string{fmt.Sprintf("Positions count from the spindle nose; the part's headstock end lies at %s.",
		p.At(p.held.At))}
	if stated {
		out = append(out, atK2)
	}
	return out
}

// add adds a feature's stations to the table of all.
func (p *onLathe) add(t *show.Table, name string, one prediction) {
	bent := p.held.Push != nil
	if t.Columns == nil {
		t.Columns = append([]show.Column{{Head: "feature", Key: "feature", Left: true, Words: true}},
			one.table.Columns...)
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
	for i, row := range one.table.Rows {
		row = append([]show.Cell{{Text: name, Value: name}}, row...)
		if bent {
			last := len(row) - 1
			b := *one.json.Stations[i].Bending
			row = append(row[:last:last], show.Cell{Text: p.Cell(p.In.ToMM(b)), Value: b}, row[last])
		}
		t.Rows = append(t.Rows, row)
	}
}

// limits says what else is asked of a feature, and what bending has to do with its spread; held is false where a limit
// is not kept. spread is what is computed, mm, and ends are the feature's two ends as they are cut.
func (p *onLathe) limits(c *compensate.Curve, spread float64, ends []compensate.Held) (sentences []string, j limitsJSON,
	held bool) {
	in := p.In.From
	held = true
	say := func(format string, args ...any) { sentences = append(sentences, fmt.Sprintf(format, args...)) }
	if c.Push != nil {
		_, bent := c.Shares(c.Spaced())
		j.Bending = answer.Null(in(bent), true)
		if s := p.Small(bent); s == p.Small(0) {
			say("Bending under the cut makes nothing of it.")
		} else {
			say("Bending under the cut alone would make a spread of %s.", s)
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
			say("As computed %s; how sure that is cannot be said, as the wear has no ±.", what)
		case !stated:
			say("It is not held that %s.", what)
			held = false
		case within < asPromised:
			say("The probability that %s is %s: that cannot be promised.", what, word.Percent(within))
			held = false
		default:
			say("The probability that %s is %s.", what, word.Percent(within))
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
			say("Of its limits, %s, the spread leaves %s for measuring and setting.", limits, p.Small(left))
		} else {
			say("Its limits, %s, are not held: they are %s apart.", limits, p.Small(s.Upper-s.Lower))
			held = false
		}
	}
	return sentences, j, held
}
