package testcut

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/turning"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/accord"
	"wornway/profile/document"
	"wornway/profile/length"
)

type CheckJobJSON struct {
	shop.HeadJSON
	Features    []CheckedFeatureJSON `json:"features"`
	Verdict     string               `json:"verdict"`
	ChiSquare   *float64             `json:"chi_square"`
	Freedom     *int                 `json:"freedom"`
	Probability *float64             `json:"probability"`
	Assumed     []string             `json:"assumed"`
	Warnings    []string             `json:"warnings"`
}

// CheckedFeatureJSON is one feature beside its prediction, or why it is not compared.
type CheckedFeatureJSON struct {
	Name     string  `json:"name"`
	Compared bool    `json:"compared"`
	Why      *string `json:"why"`
	*CheckedJSON
}

// bareDifferences makes room for the features' names: people have the measured diameters before them, and read the
// differences.
func bareDifferences(t show.Table) show.Table {
	for i := range t.Columns {
		if t.Columns[i].Key == "diameter" {
			t.Columns[i].Data = true
		}
	}
	return t
}

// overall says how the part as a whole compares.
func overall(p *shop.Part, checks []*compensate.Check, all accord.Result, stated bool) string {
	what, agree, not := fmt.Sprintf("The %d features", len(checks)), "agree", "do not agree"
	if len(checks) == 1 {
		what, agree, not = "The part", "agrees", "does not agree"
	}
	switch {
	case !stated:
		return what + " cannot be judged as a whole, as the wear has no ±."
	case all.Probability >= compensate.Alarm:
		return fmt.Sprintf("%s %s with the prediction as a whole (%s).", what, agree, say.ByChance(all))
	}
	return fmt.Sprintf("%s %s with the prediction as a whole (%s).", what, not, say.ByChance(all))
}

// Causes returns what says of a taper what would make it where the tailstock's centre carries the work; nil where it
// does not.
func Causes(p *shop.Part) func(slope float64) string {
	switch p.Held.Way {
	case work.Centres:
		between := p.JobFile.Job.Part.Length
		return func(slope float64) string {
			off := compensate.TailstockFor(p.Held.Machine.Lathe, slope, between)
			side := "toward the operator"
			if off < 0 {
				side = "away from the operator"
			}
			return fmt.Sprintf("A tailstock's centre that stands %s further %s than was taken would make it.",
				p.Small(math.Abs(off)), side)
		}
	case work.ChuckAndCentre:
		return func(float64) string {
			return "A tailstock's centre that stands elsewhere than was taken would make it."
		}
	}
	return nil
}

// featureAt returns the number of the feature at a position on the drawing, mm, with that name where one is given; or
// what is wrong with it.
func featureAt(p *shop.Part, z float64, called string) (number int, message, hint string) {
	const near = 0.01 // mm: what rounding of a position may make
	var there []int
	var names []string
	for i, f := range p.JobFile.Job.Features {
		names = append(names, f.Name)
		if z >= f.From-near && z <= f.To+near && (called == "" || strings.EqualFold(called, f.Name)) {
			there = append(there, i)
		}
	}
	switch {
	case len(there) == 1:
		return there[0], "", ""
	case len(there) > 1:
		return 0, "several features lie there", "name the one that was measured in a column feature"
	case called != "" && !slices.ContainsFunc(names, func(n string) bool { return strings.EqualFold(n, called) }):
		return 0, fmt.Sprintf("%q is no feature of the job", called), "it has " + word.List(names)
	case called != "":
		return 0, fmt.Sprintf("%s does not lie on %s", p.At(z), called),
			"positions count from the part's headstock end, as on the drawing"
	}
	return 0, fmt.Sprintf("no feature lies at %s", p.At(z)),
		"positions count from the part's headstock end, as on the drawing"
}

// Measured reads what was measured of a part, by its features' numbers, with positions from the spindle nose.
func Measured(p *shop.Part, name string, data []byte, readingUnit string) (map[int]compensate.TestCut, error) {
	rows, err := document.ReadRows(name, bytes.NewReader(data),
		document.RowOptions{Text: map[string]bool{"feature": true}, Optional: map[string]bool{"feature": true}})
	if err != nil {
		return nil, err
	}
	named, at, size := rows.Column("feature"), rows.Column("position"), rows.Column("diameter")
	if at < 0 || size < 0 {
		return nil, refuse.With(name+": has no column "+map[bool]string{true: "position", false: "diameter"}[at < 0],
			flags.PartColumns)
	}
	unit := p.In
	scale := unit.MM()
	if readingUnit != "" {
		u, err := length.ParseUnit(readingUnit)
		if err != nil {
			return nil, refuse.Usage(fmt.Sprintf("--reading-unit %s: must be in, thou, mm or um",
				word.Visible(readingUnit)),
				"")
		}
		scale = u.MM()
	}
	const most = 400
	if rows.Len() > most {
		return nil, refuse.With(fmt.Sprintf("%s: holds %d measurements, and at most %d can be judged together", name,
			rows.Len(), most), "give the mean of neighbours, or every few of them")
	}
	out := map[int]compensate.TestCut{}
	var bad document.Faults
	for i := range rows.Len() {
		z, d := unit.ToMM(rows.Number(i, at)), rows.Number(i, size)*scale
		called := ""
		if named >= 0 {
			called = rows.Text(i, named)
		}
		n, message, hint := featureAt(p, z, called)
		switch {
		case message != "":
			bad = append(bad, rows.Fault(i, at, message, hint))
			continue
		case math.Abs(d-p.JobFile.Job.Features[n].Diameter) > 0.1*p.JobFile.Job.Features[n].Diameter:
			bad = append(bad, rows.Fault(i, size, fmt.Sprintf("is far from the %s that %s has",
				p.At(p.JobFile.Job.Features[n].Diameter), p.JobFile.Job.Features[n].Name),
				"whole diameters are wanted; --reading-unit says their unit"))
			continue
		}
		if p.Held.EndForEnd {
			z = p.JobFile.Job.Part.Length - z
		}
		t := out[n]
		t.At, t.Diameter = append(t.At, p.ToEnd(p.Held.At+z)), append(t.Diameter, d)
		out[n] = t
	}
	if len(bad) > 0 {
		return nil, bad
	}
	return out, nil
}

// Part compares what was measured of a part's features, u mm sure each, with what is predicted for them. file is named
// where something is wrong with it; atGiven says that somebody said where the part lay.
func Part(p *shop.Part, file string, measured map[int]compensate.TestCut, u float64, atGiven bool) (
	show.Report, error) {
	out := show.Report{Answer: []string{""}, Usual: Cautions}
	if !atGiven && p.Held.Way.Gripped() {
		out.Answer = append(out.Answer, fmt.Sprintf("Where the part lay was not given: its headstock end is taken to "+
			"have been at %s. If it was not, say so with --at.", p.At(p.Held.At)))
	}
	j := CheckJobJSON{HeadJSON: shop.Head(p)}
	var checks []*compensate.Check
	var cuts []say.Cut
	for i, f := range p.Held.Features {
		why := f.Hidden
		if why == "" && len(measured[i].At) < 2 {
			why = "it was measured in fewer than two places"
		}
		if why != "" {
			if len(measured[i].At) > 0 || f.Hidden == "" && f.Asked() {
				out.Answer = append(out.Answer, f.Name+": not compared: "+why+".")
			}
			j.Features = append(j.Features, CheckedFeatureJSON{Name: f.Name, Why: &why})
			continue
		}
		t := measured[i]
		t.U, t.HeldAt, t.SetAt, t.ToolHeight, t.Bore, t.Push = u, math.NaN(), math.NaN(), p.JobFile.Job.ToolHeight,
			f.Bore, p.Held.Push
		t.Tailed = p.Held.Way.Tailed()
		k, err := p.Held.Machine.Check(t)
		var few compensate.TooFewError
		switch {
		case errors.As(err, &few):
			return show.Report{}, refuse.With(fmt.Sprintf("%s: %s was measured at one position only", file, f.Name),
				"measure it at both ends at the least, or leave it out")
		case err != nil:
			return show.Report{}, p.Explain(err)
		}
		checks = append(checks, k)
		cuts = append(cuts, say.Cut{Curve: k.Curve, Stations: t.At})
		r := &Comparison{Bench: p.Bench, Check: k, Cut: &profile.Cut{}, Causes: Causes(p)}
		r.Cut.As.Held, r.Cut.As.HeldAt = p.Held.Way, math.NaN()
		r.Answer = []string{r.came(f.Tolerance)}
		r.Say(t)
		r.Fill(t)
		out.Answer = append(out.Answer, f.Name+": "+word.Lower(strings.Join(r.Answer, " ")))
		j.Features = append(j.Features, CheckedFeatureJSON{Name: f.Name, Compared: true,
			CheckedJSON: &r.JSON.CheckedJSON})
		turning.Gather(&out, f.Name, bareDifferences(r.Table))
	}
	if len(checks) == 0 {
		return show.Report{}, refuse.With(file+
			": no feature that can be turned like this was measured in two places or more",
			"measure each at both ends at the least; --at, --held and --end-for-end say how the part was held")
	}
	all, stated, err := compensate.CheckAll(checks, u)
	if err != nil {
		return show.Report{}, err
	}
	out.Answer[0] = overall(p, checks, all, stated)
	j.Verdict = string(compensate.Unknown)
	if stated {
		j.ChiSquare, j.Freedom, j.Probability = answer.Null(all.ChiSquare, true),
			&all.Freedom, answer.Null(all.Probability, true)
		j.Verdict = string(compensate.Agrees)
		if all.Probability < compensate.Alarm {
			j.Verdict = string(compensate.Differs)
		}
	}
	out.Remarks = []string{
		fmt.Sprintf("Calculated for the part held %s, its headstock end at %s. Positions here count from the spindle "+
			"nose; those measured count from the part's headstock end, as on the drawing.", p.Held.Way.Words(),
			p.At(p.Held.At)),
		"All are differences to each feature's measurement nearest to the tailstock. ± holds 19 times in 20, for the " +
			"difference; it is of prediction and measurement together.",
	}
	out.Notes = []string{overU}
	if stated {
		out.Notes = append(out.Notes, say.ChiSquare(" of all", all))
	}
	seat := say.AssumedOf(p,
		"Each feature is compared with its own measurement nearest to the tailstock, wherever the dial "+
			"was set for it.", cuts...)
	out.Assumed, out.Limits, out.Warnings = seat.Assumed, seat.Limits, seat.Warnings
	j.Assumed, j.Warnings = out.Assumed, append([]string{}, out.Warnings...)
	out.JSON = j
	return out, nil
}
