package main

import (
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/length"
)

// work is the diameters that --any-work is for, mm.
func (o *chartOptions) work(u length.Unit) ([]float64, error) {
	text := o.diameters
	if text == "" {
		text = map[length.Unit]string{length.Inch: "0.5in,1in,2in", length.Millimetre: "12mm,25mm,50mm"}[u]
	}
	const most = 5 // columns that a card has room for
	var out []float64
	for _, s := range strings.Split(text, ",") {
		v, err := length.Parse(s)
		if err != nil || !(v.MM(u) > flags.Thinnest) || v.MM(u) > flags.Longest {
			return nil, refuse.Usage(fmt.Sprintf("--diameters %s: %q is no diameter", word.Visible(text), s),
				"for instance --diameters 10mm,25mm,50mm")
		}
		out = append(out, v.MM(u))
	}
	if len(out) > most {
		return nil, refuse.Usage(fmt.Sprintf("--diameters %s: has more than %d", word.Visible(text), most),
			"print further ones on a card of their own")
	}
	return out, nil
}

// anyWork prints a table of what the dial stands at along the bed for some diameters, counted from one place where it
// is set.
func (p *printing) anyWork(e *env.Env, c *cobra.Command, o *chartOptions, k carded) error {
	work, err := o.work(k.In)
	if err != nil {
		return err
	}
	var columns []carded
	for _, d := range work {
		cut := k.k.Curve.Cut
		cut.Diameter = d
		one, err := cardOf(e, c, k.Bench, k.Machine, cut, o)
		if err != nil {
			return err
		}
		columns = append(columns, one)
	}
	left, right := paper.Margin, p.Paper.Width-paper.Margin
	foot := p.Paper.Height - paper.Margin
	rows := columns[0].k.Table
	y := 0.0
	step := figures.Height + 2.4
	feed := map[bool]string{true: "tailstock", false: "headstock"}[k.k.Feed == compensate.TowardTailstock]
	notes := []string{k.dialNote(), fmt.Sprintf("IN and OUT are totals in divisions, against the setting at %s; feed "+
		"toward the %s; – is less than the finest setting.", k.About(k.k.Curve.SetAt), feed)}
	if t := k.k.Curve.Taper(); t.Stated {
		notes = append(notes, fmt.Sprintf("Not known of the wear: %s on the diameter between the ends (k = 2).",
			k.PlusMinus(t.UEnds, true)))
	}
	if !k.held && k.promise != "" {
		notes = append(notes, "NOT PROMISED. "+k.promise)
	}
	notes = append(notes, k.surveyed()+" "+stale, careful, testCut)
	room := 0.0
	for _, n := range notes {
		room += float64(len(p.Lines(right-left, plain, n))) * plain.Lead()
	}
	first := math.Max(p.Width(figures, k.About(rows[0].Position)),
		p.Width(figures, k.About(rows[len(rows)-1].Position))) + 6
	width := (right - left - first) / float64(len(columns))
	for i, row := range rows {
		if i == 0 || y+step > foot-room-2 {
			p.Page()
			y = p.Wrap(left, paper.Margin+heading.Height, right-left, heading, "Any work: the dial along the bed") - 1
			y = p.Wrap(left, y, right-left, plain, k.Lathe.Name)
			p.Text(left, y+3, strong, "at")
			for n, one := range columns {
				p.Right(left+first+float64(n+1)*width-2, y+3, strong, "Ø "+one.Diameter(work[n]))
			}
			y += 5
			p.Line(left, y, right, y)
			y += 1
			at := foot - room + plain.Lead()
			for _, n := range notes {
				at = p.Wrap(left, at, right-left, plain, n)
			}
			p.Floor(foot - room)
		}
		p.Text(left, y+figures.Height, figures, k.About(row.Position))
		for n, one := range columns {
			s := "–"
			switch v := one.k.Table[i].Setting; {
			case v > 0:
				s = "IN " + word.Fraction(one.dial.Divisions(v))
			case v < 0:
				s = "OUT " + word.Fraction(one.dial.Divisions(-v))
			}
			p.Right(left+first+float64(n+1)*width-2, y+figures.Height, figures, s)
		}
		y += step
	}
	return nil
}
