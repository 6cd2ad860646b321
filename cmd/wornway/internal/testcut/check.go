package testcut

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile"
)

// Comparison is a part beside its prediction, ready to be shown.
type Comparison struct {
	*shop.Bench
	*compensate.Check
	Cut     *profile.Cut
	Seated  say.Basis
	Answer  []string
	remarks []string
	JSON    checkJSON
	Table   show.Table
	Causes  func(slope float64) string // what would make a taper; nil: for work that the spindle alone holds
}

func (r *Comparison) Remark(format string, args ...any) {
	r.remarks = append(r.remarks, fmt.Sprintf(format, args...))
}

type checkJSON struct {
	Format int    `json:"format"`
	Lathe  string `json:"lathe"`
	Unit   string `json:"unit"`
	Date   string `json:"date"`
	CheckedJSON
	Added    *AddedJSON `json:"added"`
	Assumed  []string   `json:"assumed"`
	Warnings []string   `json:"warnings"`
}

// CheckedJSON is how one length compares with its prediction.
type CheckedJSON struct {
	Held         string             `json:"held"`
	HeldAt       *float64           `json:"held_at"`
	SetAt        float64            `json:"set_at"`
	Diameter     float64            `json:"diameter"`
	CentreHeight *float64           `json:"centre_height"` // null: not known, as of collars alone
	ToolHeight   float64            `json:"tool_height"`
	Stations     []checkStationJSON `json:"stations"`
	Verdict      string             `json:"verdict"`
	ChiSquare    *float64           `json:"chi_square"`
	Freedom      *int               `json:"freedom"`
	Probability  *float64           `json:"probability"`
	Taper        *checkTaperJSON    `json:"taper"`
	Looks        string             `json:"looks"`
}

type checkStationJSON struct {
	Position    float64  `json:"position"`
	Diameter    float64  `json:"diameter"`
	Measured    float64  `json:"measured"`
	Predicted   float64  `json:"predicted"`
	Difference  float64  `json:"difference"`
	Uncertainty *float64 `json:"uncertainty"`
	En          *float64 `json:"en"`
	UMeasured   float64  `json:"u_measured"`
	UPredicted  *float64 `json:"u_predicted"`
}

type checkTaperJSON struct {
	Slope       float64  `json:"slope"`
	Uncertainty float64  `json:"uncertainty"`
	ChiSquare   float64  `json:"chi_square"`
	Freedom     int      `json:"freedom"`
	Probability *float64 `json:"probability"`
}

type AddedJSON struct {
	Survey int      `json:"survey"`
	From   float64  `json:"from"`
	To     float64  `json:"to"`
	Before *float64 `json:"uncertainty_before"`
	After  float64  `json:"uncertainty_after"`
}

// Fill makes the table and the JSON.
func (r *Comparison) Fill(t compensate.TestCut) {
	in := r.In.From
	j := checkJSON{Format: 1, Lathe: r.Profile.Lathe.Name, Unit: r.In.String(),
		CheckedJSON: CheckedJSON{Held: string(r.Cut.As.Held),
			HeldAt: answer.Null(in(t.HeldAt), true), SetAt: in(r.Curve.SetAt),
			Diameter:     in(r.Curve.Diameter),
			CentreHeight: answer.Null(in(r.Curve.Lathe.CentreHeight), r.Collars == nil),
			ToolHeight:   in(r.Curve.ToolHeight),
			Verdict:      string(r.Verdict),
			Looks:        string(r.Sign.Looks)}}
	if !r.Cut.Date.IsZero() {
		j.Date = word.Day(r.Cut.Date)
	}
	stated := r.Verdict != compensate.Unknown
	if stated {
		j.ChiSquare, j.Freedom, j.Probability = answer.Null(r.Whole.ChiSquare, true), &r.Whole.Freedom,
			answer.Null(r.Whole.Probability, true)
	}
	if len(r.Straight.Terms) > 0 {
		s := r.Straight
		j.Taper = &checkTaperJSON{s.Terms[0].Value, s.Terms[0].U, s.ChiSquare,
			s.Freedom, answer.Null(s.Probability, true)}
	}
	small := r.SmallName()
	r.Table = show.Table{Name: "stations", Columns: []show.Column{
		{Head: "at, " + r.UnitName(), Key: "position"},
		{Head: "diameter, " + r.UnitName(), Key: "diameter", Spare: true},
		{Head: "measured, " + small, Key: "measured", Spare: true},
		{Head: "predicted, " + small, Key: "predicted"}, {Head: "difference, " + small, Key: "difference"},
		{Head: "±, " + small, Key: "uncertainty"}, {Head: "E_n", Key: "en", Full: true},
		{Key: "u_measured", Data: true}, {Key: "u_predicted", Data: true}}}
	for i, s := range r.Stations {
		v := checkStationJSON{in(s.Position), in(s.Diameter), in(s.Measured), in(s.Predicted), in(s.Difference),
			answer.Null(in(s.U), stated), answer.Null(s.En, stated), in(s.UMeasured),
			answer.Null(in(s.UPredicted), stated)}
		j.Stations = append(j.Stations, v)
		en := "–"
		switch {
		case i == r.Set:
			en = "set here"
		case stated:
			en = word.Fixed(s.En, 2)
		}
		r.Table.Rows = append(r.Table.Rows, []show.Cell{{Text: r.Bare(s.Position), Value: v.Position},
			{Text: r.Size(s.Diameter), Value: v.Diameter}, {Text: r.Cell(s.Measured), Value: v.Measured},
			{Text: r.Cell(s.Predicted), Value: v.Predicted}, {Text: r.Cell(s.Difference), Value: v.Difference},
			{Text: r.Expanded(s.U, stated), Value: v.Uncertainty}, {Text: en, Value: v.En}, {Value: v.UMeasured},
			{Value: v.UPredicted}})
	}
	r.JSON = j
}

func (r *Comparison) Report() show.Report {
	r.JSON.Assumed, r.JSON.Warnings = r.Seated.Assumed, append([]string{}, r.Seated.Warnings...)
	of := "of prediction and measurement"
	if !math.IsNaN(r.Cut.As.HeldAt) {
		of = "of prediction, measurement and push-off"
	}
	remarks := []string{"All are differences to where the dial was set. ± holds 19 times in 20, for the difference; " +
		"it is " +
		of + " together. The answer judges all positions at once."}
	notes := []string{overU}
	if r.Verdict != compensate.Unknown {
		notes = append(notes, say.ChiSquare("", r.Whole))
	}
	if r.Verdict == compensate.Tapers {
		notes = append(notes, say.ChiSquare(" without the taper", r.Straight))
	}
	return show.Report{Answer: r.Answer, Tables: []show.Table{r.Table}, Remarks: append(remarks, r.remarks...),
		Notes:   notes,
		Assumed: r.Seated.Assumed, Limits: r.Seated.Limits, Warnings: r.Seated.Warnings, Usual: Cautions, JSON: r.JSON}
}

const overU = "E_n is the difference over its ±: within ±1 the two agree at that position."

var Cautions = []string{
	"Measure with the spindle stopped and the work at rest. Chuck key out, no gloves, sleeves rolled tight, no loose " +
		"hair. The shop's own rules and local codes come first.",
	say.Unsupported,
}

// Compare compares a cut with what is predicted for it.
func Compare(l *shop.Bench, cut *profile.Cut, t compensate.TestCut, file string) (*Comparison, error) {
	if l.Collars != nil && len(t.At) > 0 {
		part := work.Feature{Diameter: t.Diameter[0], To: slices.Max(t.At), Bore: t.Bore}
		if err := l.For(part); err != nil {
			return nil, err
		}
		if l.LikeBar { // what the bar gave way is in the prediction, and so is how the centre stood
			t.Shared, t.Loose = nil, nil
		}
	}
	m := l.Machine
	loose := len(t.Loose) > 0
	if loose && !cut.As.Held.Gripped() {
		m.Axis = compensate.Axis{} // from centre to centre, wherever those stand
	}
	k, err := m.Check(t)
	var few compensate.TooFewError
	switch {
	case errors.As(err, &few):
		hint := "three to five collars tell a curve from a taper"
		if loose {
			hint = "on the tailstock's centre work may come out askew by any amount; what is left of three collars " +
				"or more speaks of the bed"
		}
		return nil, refuse.With(fmt.Sprintf("%s: the part was measured at %s only", file,
			word.Count(few.Places, "position")), hint)
	case err != nil:
		return nil, l.Explain(err)
	}
	r := &Comparison{Bench: l, Check: k, Cut: cut}
	var at []float64
	for _, s := range k.Stations {
		at = append(at, s.Position)
	}
	terms := say.Stiff(say.SetHere(l, k.Curve), l, k.Curve)
	switch {
	case loose && !cut.As.Held.Gripped():
		terms = terms.About("The work is held between centres, whose line may lie askew by any amount: a straight " +
			"taper says nothing of the bed, and only what is left beside one is judged. The tailstock stays where " +
			"it is.")
	case loose:
		b := cut.As.Bar()
		terms = terms.About(fmt.Sprintf("The work is held in the chuck, from %s on, and on the tailstock's centre at "+
			"%s. Where that centre stood is not known: the shape to which it bends the work says nothing of the bed, "+
			"and only what is left beside it is judged. The tailstock stays where it is.", l.At(b.Near), l.At(b.Far)))
	}
	r.Seated = say.AssumedOfAll(l, terms, say.Cut{Curve: k.Curve, Stations: at})
	r.Answer = append([]string{r.came(0)}, word.Said(say.Out(l, k.Curve))...)
	r.Say(t)
	r.Answer = append(r.Answer, word.Said(say.OtherWork(l, k.Curve))...)
	r.Fill(t)
	return r, nil
}

// Learn says what the profile p has learnt from the cut: it compares the ± on the diameter over the cut's length
// before and after.
func (r *Comparison) Learn(p *profile.Profile, after, before *shop.Bench, file string) error {
	in := r.In.From
	k := r.Curve
	later, err := after.Machine.Curve(k.Cut)
	if err != nil {
		return after.Explain(err)
	}
	last := len(after.Surveys) - 1
	number := after.Surveys[last].Number
	day := "without a date"
	if d := after.Surveys[last].Date; !d.IsZero() {
		day = "dated " + word.Day(d)
	}
	out := &AddedJSON{Survey: number, From: in(k.From), To: in(k.To), After: in(later.GreatestU())}
	s := fmt.Sprintf("Added as survey %d of %s: a test-cut with %s from %s to %s, %s; the previous version is %s.bak.",
		number, file, word.Count(len(r.Check.Stations), "diameter"), r.Bare(k.From), r.At(k.To), day, file)
	earlier, lean := k, ""
	if !r.Cut.As.Held.Tailed() && before.Machine.Wear.Stated() {
		// What a ± leaves out as long as no reading sees the spindle must not make the one that counts it look worse.
		open, err := shop.NewBench(p.WithLeanOpen(), file)
		if err != nil {
			return err
		}
		if earlier, err = open.Machine.Curve(k.Cut); err != nil {
			return open.Explain(err)
		}
		lean = ", the spindle's lean counted in both"
	}
	if !before.Machine.Wear.Stated() {
		s += fmt.Sprintf(" The diameter from %s to %s was predicted without a ±; now it is known %s at the least.",
			r.Bare(k.From), r.At(k.To), r.PlusMinus(later.GreatestU(), true))
	} else {
		out.Before = answer.Null(in(earlier.GreatestU()), true)
		s += fmt.Sprintf(" The ± on the diameter from %s to %s goes from %s to %s%s.", r.Bare(k.From), r.At(k.To),
			r.PlusMinus(earlier.GreatestU(), true), r.PlusMinus(later.GreatestU(), true), lean)
	}
	r.Answer = append(r.Answer, s)
	if r.Verdict == compensate.Differs {
		r.Answer = append(r.Answer, "As the cut and the profile do not agree, look at wornway wear "+
			""+file+": it says which reading is out of line.")
	}
	r.JSON.Added = out
	return nil
}
