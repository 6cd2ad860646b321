package main

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/show"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/estimate"
	"wornway/profile/length"
	"wornway/profile/survey"
	"wornway/profile/wear"
)

type aheadJSON struct {
	Format    int             `json:"format"`
	Lathe     string          `json:"lathe"`
	Unit      string          `json:"unit"`
	From      float64         `json:"from"`
	To        float64         `json:"to"`
	Diameter  float64         `json:"diameter"`
	Tolerance *float64        `json:"tolerance"`
	Now       float64         `json:"now"`
	First     *string         `json:"first"`
	Second    *string         `json:"second"`
	Surveys   []aheadRowJSON  `json:"surveys"`
	Quick     *aheadQuickJSON `json:"quick"`
	Assumed   []string        `json:"assumed"`
	Warnings  []string        `json:"warnings"`
}

type aheadRowJSON struct {
	Method            string    `json:"method"`
	Touches           string    `json:"touches"`
	After             float64   `json:"after"`
	ShrinksBy         float64   `json:"shrinks_by"`
	WithFirst         float64   `json:"with_first"`
	Possible          *bool     `json:"possible"`
	PossibleWithFirst *bool     `json:"possible_with_first"`
	Spindle           bool      `json:"spindle"`
	Tools             string    `json:"tools"`
	Power             bool      `json:"power"`
	Minutes           int       `json:"minutes"`
	Positions         []float64 `json:"positions"`
	Block             string    `json:"block"`
}

type aheadQuickJSON struct {
	After float64 `json:"after"`
	Block string  `json:"block"`
}

// openAhead reads a profile to plan surveys by: one without readings and wear serves too, and blind is then true.
func (e *env) openAhead(name string) (l *lathe, blind bool, err error) {
	l, err = e.openLathe(name, nil)
	var none noWear
	if !errors.As(err, &none) {
		return l, false, err
	}
	p := none.profile
	ways := p.Lathe.Ways
	flat := map[bed.Curve][]float64{bed.Front: {0, 0}, bed.Shift: {0, 0}, bed.Rear: {0, 0}}
	w, err := wear.New([]float64{ways.From, ways.To}, flat)
	if err != nil {
		return nil, false, err
	}
	return &lathe{Profile: p, estimate: &estimate.Result{Wear: w}, words: words{p.Unit},
		machine: compensate.Machine{Lathe: p.Lathe.Bed, Wear: w, Axis: compensate.SpindleAxis()}}, true, nil
}

// ahead is a look ahead on its way into a report.
type ahead struct {
	*lathe
	cut        compensate.Cut
	blind      bool
	candidates []profile.Candidate
	out        *estimate.Outlook
	quick      *profile.Candidate
	quickAfter float64
}

func runAhead(e *env, c *cobra.Command, file string, o *wearOptions) error {
	l, blind, err := e.openAhead(file)
	if err != nil {
		return err
	}
	cut, err := o.ahead(c, l)
	if err != nil {
		return err
	}
	a, err := l.look(cut, blind)
	if err != nil {
		return err
	}
	return e.emit(o.out, a.report(), "surveys")
}

// ahead puts the flags of --for together.
func (o *wearOptions) ahead(c *cobra.Command, l *lathe) (compensate.Cut, error) {
	var cut compensate.Cut
	from, to, err := twoPositions("for", o.stretch, "for instance --for 4in,12in", l.unit)
	if err != nil {
		return cut, err
	}
	for _, f := range []struct {
		name string
		l    *length.Length
	}{{"diameter", &o.diameter}, {"tolerance", &o.tolerance}} {
		if err := sane(f.name, f.l, l.unit); err != nil {
			return cut, err
		}
		if c.Flags().Changed(f.name) && !(f.l.Number > 0) {
			return cut, usageError{fmt.Sprintf("--%s %s: must be greater than zero", f.name, f.l.String()), ""}
		}
	}
	if err := thick(&o.diameter, l.unit); err != nil {
		return cut, err
	}
	diameter := usualDiameter(l.unit)
	if c.Flags().Changed("diameter") {
		diameter = o.diameter.MM(l.unit)
	}
	from, to = l.toEnd(from), l.toEnd(to)
	const shortest = 5 // mm: surveys lie further apart than that
	if to-from < shortest {
		return cut, usageError{fmt.Sprintf("--for %s: is too short to be surveyed", o.stretch), "give a length of a quarter of an inch (6 mm) or more"}
	}
	return compensate.Cut{Feature: work.Feature{From: from, To: to, Diameter: diameter, Tolerance: o.tolerance.MM(l.unit)}, SetAt: to}, nil
}

// usualDiameter is what is reckoned with where none is given, mm: 1 in, 25 mm.
func usualDiameter(u length.Unit) float64 {
	if u == length.Inch {
		return length.Inch.ToMM(1)
	}
	return 25
}

// look works out what each survey would leave.
func (l *lathe) look(cut compensate.Cut, blind bool) (*ahead, error) {
	curve, err := l.machine.Curve(cut)
	if err != nil {
		return nil, l.explain(err)
	}
	a := &ahead{lathe: l, cut: cut, blind: blind}
	if a.candidates, err = l.Candidates(cut.From, cut.To, cut.Diameter); err != nil || len(a.candidates) == 0 {
		return a, err
	}
	const places = 9
	var aims [][]survey.Part
	for i := range places - 1 { // at the last, where the tool is set, there is no error
		z := cut.From + (cut.To-cut.From)*float64(i)/(places-1)
		var parts []survey.Part
		for _, s := range curve.Sums(z) {
			parts = append(parts, survey.Part{Sum: s.Sum, At: s.At, Factor: s.Factor})
		}
		aims = append(aims, parts)
	}
	if a.out, err = l.Foresee(aims, a.candidates); err != nil || !blind {
		return a, err
	}
	quick, err := l.Quick(cut.From, cut.To, cut.Diameter)
	if err != nil {
		return nil, err
	}
	out, err := l.Foresee(aims, []profile.Candidate{quick})
	if err != nil {
		return nil, err
	}
	a.quick, a.quickAfter = &quick, out.After[0]
	return a, nil
}

// second returns the candidate that helps most beside the first; −1 where it is the only one.
func (a *ahead) second() int {
	best := -1
	for i, u := range a.out.Then {
		if i != a.out.First && (best < 0 || u < a.out.Then[best]) {
			best = i
		}
	}
	return best
}

// possible says whether a tolerance can be promised with a standard uncertainty: the full width of a normal distribution that holds 95 % is about four of them.
func (a *ahead) possible(u float64) *bool {
	if a.cut.Tolerance <= 0 {
		return nil
	}
	yes := 4*u <= a.cut.Tolerance
	return &yes
}

func (a *ahead) report() show.Report {
	in := a.unit.From
	j := aheadJSON{Format: 1, Lathe: a.Lathe.Name, Unit: a.unit.String(), From: in(a.cut.From), To: in(a.cut.To), Diameter: in(a.cut.Diameter),
		Tolerance: null(in(a.cut.Tolerance), a.cut.Tolerance > 0), Surveys: []aheadRowJSON{}, Warnings: []string{}}
	t := show.Table{Name: "surveys", Title: fmt.Sprintf("What each would leave of the ± on diameter, %s:", a.smallName()), Columns: []show.Column{
		{Head: "survey", Key: "method", Left: true}, {Head: "± after", Key: "after"}, {Head: "shrinks\nby", Key: "shrinks_by"}, {Head: "beside\nthe first", Key: "with_first"}}}
	if a.cut.Tolerance > 0 {
		t.Columns = append(t.Columns, show.Column{Head: "promises\n" + a.small(a.cut.Tolerance), Key: "possible", Left: true})
	}
	t.Columns = append(t.Columns, show.Column{Head: "minutes", Key: "minutes"}, show.Column{Head: "tools", Key: "tools", Left: true}, show.Column{Head: "machine", Key: "machine", Left: true, Spare: true})
	r := show.Report{Warnings: warningWords(a.Profile), Assumed: a.assumed(), Cautions: measureCautions}
	j.Warnings, j.Assumed = append(j.Warnings, r.Warnings...), r.Assumed
	if a.out == nil {
		r.Answer = []string{fmt.Sprintf("Every survey that wornway knows is in the profile already between %s and %s; none is left to suggest.", a.bare(a.cut.From), a.at(a.cut.To))}
		r.Tables, r.JSON = []show.Table{t}, j
		return r
	}
	j.Now = in(a.out.Now)
	for i, k := range a.candidates {
		row := aheadRowJSON{Method: k.Method, Touches: k.Touches, After: in(a.out.After[i]), ShrinksBy: 1 - a.out.After[i]/a.out.Now, WithFirst: in(a.out.Then[i]),
			Possible: a.possible(a.out.After[i]), PossibleWithFirst: a.possible(a.out.Then[i]), Spindle: k.Spindle(), Tools: k.Tools, Power: k.Power, Minutes: k.Minutes, Block: k.Block}
		for _, z := range k.At {
			row.Positions = append(row.Positions, in(z))
		}
		j.Surveys = append(j.Surveys, row)
	}
	for _, i := range a.order() {
		k, row := a.candidates[i], j.Surveys[i]
		machine := "isolated"
		if k.Power {
			machine = "under power"
		}
		beside := show.Cell{Text: a.cell(2 * a.out.Then[i]), Value: row.WithFirst}
		if i == a.out.First {
			beside = show.Cell{Text: "–"}
		}
		cells := []show.Cell{{Text: k.Method, Value: k.Method}, {Text: a.cell(2 * a.out.After[i]), Value: row.After}, {Text: share(row.ShrinksBy), Value: row.ShrinksBy}, beside}
		if row.Possible != nil {
			cells = append(cells, show.Cell{Text: promise(*row.Possible, *row.PossibleWithFirst, i == a.out.First), Value: *row.Possible})
		}
		t.Rows = append(t.Rows, append(cells, show.Cell{Text: fmt.Sprint(k.Minutes), Value: k.Minutes}, show.Cell{Text: k.Tools, Value: k.Tools}, show.Cell{Text: machine, Value: machine}))
	}
	j.First = &a.candidates[a.out.First].Method
	if s := a.second(); s >= 0 {
		j.Second = &a.candidates[s].Method
	}
	if a.quick != nil {
		j.Quick = &aheadQuickJSON{in(a.quickAfter), a.quick.Block}
	}
	r.Answer = a.sentences()
	r.Tables, r.Remarks, r.JSON = []show.Table{t}, a.remarks(), j
	return r
}

// order lists the candidates, those that leave least first.
func (a *ahead) order() []int {
	var out []int
	for i := range a.candidates {
		at := len(out)
		for at > 0 && a.out.After[out[at-1]] > a.out.After[i] {
			at--
		}
		out = append(out[:at], append([]int{i}, out[at:]...)...)
	}
	return out
}

// share writes by how much a ± shrinks.
func share(x float64) string {
	const nothing = 0.005
	switch {
	case x < -nothing:
		return "grows"
	case x < nothing:
		return "0 %"
	}
	return fmt.Sprintf("%.0f %%", 100*x)
}

func promise(alone, beside, first bool) string {
	switch {
	case alone:
		return "yes"
	case beside && !first:
		return "with the first"
	}
	return "no"
}

// sentences are the answer.
func (a *ahead) sentences() []string {
	first := a.candidates[a.out.First]
	after, now := a.out.After[a.out.First], a.out.Now
	over := fmt.Sprintf("the diameter from %s to %s", a.bare(a.cut.From), a.at(a.cut.To))
	nothing := fmt.Sprintf("which is %s now", a.plusMinus(now, true))
	if a.blind {
		nothing = fmt.Sprintf("where, with nothing read, %s is to be expected of what wear is usually like", a.plusMinus(now, true))
	}
	var out []string
	if after >= 0.98*now {
		out = append(out, fmt.Sprintf("No survey that is left would shrink the ± on %s, which is %s.", over, a.plusMinus(now, true)))
	} else {
		out = append(out, fmt.Sprintf("Of the surveys not made yet %s helps most: it would leave %s on %s, %s. It takes about %d minutes%s.",
			named(first), a.plusMinus(after, true), over, nothing, first.Minutes, powered(first)))
	}
	if s := a.second(); s >= 0 {
		if then := a.out.Then[s]; then < 0.95*after {
			out = append(out, fmt.Sprintf("After it, %s helps most: the two together would leave %s.", named(a.candidates[s]), a.plusMinus(then, true)))
		} else {
			out = append(out, "After it, none of the others would shrink the ± by more than a twentieth.")
		}
	}
	if a.cut.Tolerance > 0 {
		out = append(out, a.toleranceWords())
	}
	if a.quick != nil {
		out = append(out, a.quickWords())
	}
	return out
}

func named(c profile.Candidate) string {
	if c.Touches == "" {
		return c.Method
	}
	return fmt.Sprintf("%s (%s)", c.Method, c.Touches)
}

func powered(c profile.Candidate) string {
	if c.Power {
		return ", the machine under power"
	}
	return ", the machine isolated"
}

// toleranceWords says which survey would make the promise of a tolerance possible.
func (a *ahead) toleranceWords() string {
	t := a.small(a.cut.Tolerance)
	if *a.possible(a.out.Now) && !a.blind {
		return fmt.Sprintf("The ± of now is narrow enough to promise %s, if the dial is turned as correct says.", t)
	}
	least := -1
	for i, u := range a.out.After {
		if *a.possible(u) && (least < 0 || a.candidates[i].Minutes < a.candidates[least].Minutes) {
			least = i
		}
	}
	if least >= 0 {
		return fmt.Sprintf("To promise %s the ± has to come down to %s; of those that do it alone %s takes the least time, about %d minutes.",
			t, a.plusMinus(a.cut.Tolerance/4, true), named(a.candidates[least]), a.candidates[least].Minutes)
	}
	if s := a.second(); s >= 0 && *a.possible(a.out.Then[s]) {
		return fmt.Sprintf("No survey alone makes it possible to promise %s, for which the ± has to come down to %s; %s and %s together do.",
			t, a.plusMinus(a.cut.Tolerance/4, true), named(a.candidates[a.out.First]), named(a.candidates[s]))
	}
	return fmt.Sprintf("Neither one survey nor two make it possible to promise %s, for which the ± has to come down to %s: size such work where it lies.", t, a.plusMinus(a.cut.Tolerance/4, true))
}

// quickWords says what ten minutes at a strange lathe give.
func (a *ahead) quickWords() string {
	return fmt.Sprintf("In ten minutes at a strange lathe, with the carriage lock (five places), a level across the saddle (five places) and a straightedge before a lamp (once on each way), the ± would come down to %s. "+
		"That tells a bed that is worn by much from one that is not; it finds neither the spindle's lean nor all of the shift, and it promises no work finer than about %s over this length.",
		a.plusMinus(a.quickAfter, true), a.small(4*a.quickAfter))
}

// remarks are what stands under the table.
func (a *ahead) remarks() []string {
	first := a.candidates[a.out.First]
	var at []string
	for _, z := range first.At {
		at = append(at, a.bare(z))
	}
	out := []string{fmt.Sprintf("Where to read %s: at %s %s. --json gives its [[survey]] block, and every other's, to paste into the profile.", first.Method, strings.Join(at, ", "), a.unit)}
	if !a.knowsSpindle() {
		// 0.02 mm over 300 mm is what lathes of normal accuracy are allowed, by a textbook that is named in DEVELOPERS.md.
		const usual = 0.02 / 300
		var with []string
		for _, c := range a.candidates {
			if c.Spindle() {
				with = append(with, c.Method)
			}
		}
		s := fmt.Sprintf("The ± is of the bed alone where nothing reads the spindle: one out by 0.02 mm over 300 mm would add %s over this length.", a.small(2*usual*(a.cut.To-a.cut.From)))
		if len(with) > 0 {
			s += " In the rows of " + strings.Join(with, ", ") + " the lean counts too."
		}
		out = append(out, s)
	}
	if a.Stated != nil && len(a.Surveys) == 0 {
		out = append(out, "The stated drops count here as one survey more, as they will once readings stand beside them; until then predict takes each entry by itself, and its ± is wider.")
	}
	return append(out, "± is at k = 2, the greatest over the length, of the difference to its tailstock end, where the tool is set. Minutes are common practice, for hands that have done it before.")
}

// knowsSpindle says whether the spindle's lean is in the ± already.
func (a *ahead) knowsSpindle() bool {
	if a.Lathe.Spindle.Uncertainty > 0 {
		return true
	}
	u, _ := a.uncertainty(bed.Of(bed.LeanOut), 1)
	return u > 0
}

// assumed is what the look ahead takes for granted.
func (a *ahead) assumed() []string {
	out := []string{fmt.Sprintf("Work of %s diameter, held by the spindle alone, the tool on centre height and set at %s.", a.at(a.cut.Diameter), a.at(a.cut.SetAt))}
	out = append(out, a.geometryWords()...)
	if a.blind {
		out = append(out, "Nothing has been read yet: wear is taken to be what it usually is, some thou, the front way more than the rear, dying out within a foot or two (common practice, no source). On a bed that is worn less or more than usual every ± is smaller or greater in proportion.")
	} else {
		out = append(out, a.wearWords()...)
	}
	return append(out, "Each survey is taken to be as sure as its method usually is, and to agree with what has been read.")
}

// measureCautions go with what is done at the machine.
var measureCautions = []string{
	"Measure, level and indicate with the spindle stopped and the machine isolated. Chuck key out, no gloves, sleeves rolled tight.",
	"A test cut is turning: guards in place, eyes protected, nothing long unsupported. The shop's own rules and local codes come first.",
}

// twoPositions reads two positions with a comma between, mm.
func twoPositions(flag, given, example string, u length.Unit) (from, to float64, err error) {
	both := strings.Split(given, ",")
	if len(both) != 2 {
		return 0, 0, usageError{fmt.Sprintf("--%s %s: must be two positions with a comma between, from and to", flag, visible(given)), example + "; decimals have a point"}
	}
	var mm [2]float64
	for i := range mm {
		v, err := length.Parse(both[i])
		var fault *length.Error
		switch {
		case errors.As(err, &fault):
			hint := example
			if fault.Hint != "" {
				hint = fault.Hint + "; " + example
			}
			return 0, 0, usageError{fmt.Sprintf("--%s %s: %q %s", flag, visible(given), both[i], fault.What), hint}
		case err != nil:
			return 0, 0, usageError{fmt.Sprintf("--%s %s: %v", flag, visible(given), err), example}
		}
		if err := sane(flag, &v, u); err != nil {
			return 0, 0, err
		}
		mm[i] = v.MM(u)
	}
	if !(mm[0] < mm[1]) || math.IsNaN(mm[1]-mm[0]) {
		return 0, 0, usageError{fmt.Sprintf("--%s %s: the first must lie nearer to the headstock", flag, given), example}
	}
	return mm[0], mm[1], nil
}
