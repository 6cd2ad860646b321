package ways

import (
	"fmt"
	"strings"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/length"
)

func (a *outlook) Report(given shop.Particulars) show.Report {
	in := a.In.From
	j := aheadJSON{Format: 1, Lathe: a.Lathe.Name, Unit: a.In.String(), From: in(a.cut.From), To: in(a.cut.To),
		Diameter:  in(a.cut.Diameter),
		Tolerance: answer.Null(in(a.cut.Tolerance), a.cut.Tolerance > 0), Blind: a.blind, Surveys: []aheadRowJSON{},
		Warnings: []string{}}
	r := show.Report{Warnings: say.Warned(a.Bench), Assumed: a.assumed(), Usual: say.MeasureCautions}
	j.Warnings, j.Assumed = append(j.Warnings, r.Warnings...), r.Assumed
	surveys, effort := a.tables()
	r.Tables = []show.Table{surveys, effort}
	if a.Out == nil {
		r.Answer = []string{fmt.Sprintf("Every survey that wornway knows is in the profile already between %s and "+
			"%s; none is left to suggest.", a.Bare(a.cut.From), a.At(a.cut.To))}
		if a.without > 0 {
			r.Answer = []string{fmt.Sprintf("None of the surveys that are left between %s and %s can be made with "+
				"these tools.", a.Bare(a.cut.From), a.At(a.cut.To))}
			r.Next = []string{"Without --with it says which would help most, and what it takes."}
		}
		r.JSON = j
		return r
	}
	now := in(a.Out.Now)
	j.Now, j.Lean = &now, answer.Null(a.lean, a.lean > 0)
	j.First = &a.Candidates[a.Out.First].Method
	if s := a.second(); s >= 0 {
		j.Second = &a.Candidates[s].Method
	}
	for n, i := range a.order() {
		row := a.row(i)
		j.Surveys = append(j.Surveys, row)
		if s := a.second(); n > 0 && i != s && row.ShrinksBy < little && (row.Possible == nil || !*row.Possible) {
			surveys.Fine = append(surveys.Fine, n)
		}
		surveys.Rows, effort.Rows = append(surveys.Rows, a.shrinks(i, row)), append(effort.Rows, a.takes(i))
	}
	if a.quick != nil {
		j.Quick = &aheadQuickJSON{in(a.quickAfter), quickMinutes, profile.Together(a.quick).Block}
	}
	r.Answer = a.sentences()
	r.Tables, r.JSON = []show.Table{surveys, effort}, j
	r.Remarks, r.Notes = a.remarks()
	r.Next = []string{fmt.Sprintf("To take it: wornway record %s --method %s%s.",
		a.File, a.Candidates[a.Out.First].Method, given.Ask(a.Units, a.cut))}
	return r
}

// little is the share of the ± by which a survey shrinks it at least to stand in a short answer.
const little = 0.05

// row is one survey for JSON.
func (a *outlook) row(i int) aheadRowJSON {
	in, k := a.In.From, a.Candidates[i]
	row := aheadRowJSON{Method: k.Method, What: k.What, Touches: k.Touches, After: in(a.Out.After[i]),
		ShrinksBy: 1 - a.Out.After[i]/a.Out.Now, WithFirst: in(a.Out.Then[i]),
		Possible: a.possible(a.Out.After[i]), PossibleWithFirst: a.possible(a.Out.Then[i]), Spindle: k.Spindle(),
		Tools: k.Tools, Power: k.Power, Minutes: k.Minutes, Positions: []float64{}, Block: k.Block}
	for _, z := range k.At {
		row.Positions = append(row.Positions, in(z))
	}
	return row
}

// tables returns the two tables without rows: what a survey leaves, and what it takes.
func (a *outlook) tables() (surveys, effort show.Table) {
	surveys = show.Table{Name: "surveys", Title: fmt.Sprintf("What each survey would leave of the ± on diameter, %s:",
		a.SmallName()), Columns: []show.Column{
		{Head: "survey", Key: "method", Left: true}, {Head: "± after", Key: "after"},
		{Head: "shrinks by", Key: "shrinks_by", Full: true},
		{Head: "with the first", Key: "with_first"}}}
	if a.cut.Tolerance > 0 {
		surveys.Columns = append(surveys.Columns, show.Column{Head: "enough for " + a.Small(a.cut.Tolerance),
			Key: "possible", Left: true, Spare: true})
	}
	surveys.Columns = append(surveys.Columns, show.Column{Head: "minutes", Key: "minutes"},
		show.Column{Head: "tools", Key: "tools", Left: true, Words: true, Spare: true})
	effort = show.Table{Name: "effort", Columns: []show.Column{{Key: "method", Data: true},
		{Key: "minutes", Data: true}, {Key: "tools", Data: true}, {Key: "machine", Data: true}}}
	return surveys, effort
}

func (a *outlook) shrinks(i int, row aheadRowJSON) []show.Cell {
	beside := show.Cell{Text: a.Cell(2 * a.Out.Then[i]), Value: row.WithFirst}
	if i == a.Out.First {
		beside.Text = "–"
	}
	cells := []show.Cell{{Text: row.Method, Value: row.Method}, {Text: a.Cell(2 * a.Out.After[i]), Value: row.After},
		{Text: word.Share(row.ShrinksBy), Value: row.ShrinksBy}, beside}
	if row.Possible != nil {
		text := "no"
		switch {
		case *row.Possible:
			text = "yes"
		case *row.PossibleWithFirst && !*a.possible(a.Out.After[a.Out.First]):
			text = "with the first"
		}
		cells = append(cells, show.Cell{Text: text, Value: *row.Possible})
	}
	return append(cells, show.Cell{Text: fmt.Sprint(row.Minutes), Value: row.Minutes},
		show.Cell{Text: row.Tools, Value: row.Tools})
}

func (a *outlook) takes(i int) []show.Cell {
	k, machine := a.Candidates[i], "isolated"
	if k.Power {
		machine = "under power"
	}
	return []show.Cell{{Value: k.Method}, {Value: k.Minutes}, {Value: k.Tools}, {Value: machine}}
}

// order lists the candidates, those that leave least first.
func (a *outlook) order() []int {
	var out []int
	for i := range a.Candidates {
		at := len(out)
		for at > 0 && a.Out.After[out[at-1]] > a.Out.After[i] {
			at--
		}
		out = append(out[:at], append([]int{i}, out[at:]...)...)
	}
	return out
}

// sentences are the answer.
func (a *outlook) sentences() []string {
	first := a.Candidates[a.Out.First]
	after, now := a.Out.After[a.Out.First], a.Out.Now
	over := fmt.Sprintf("the diameter from %s to %s", a.Bare(a.cut.From), a.At(a.cut.To))
	var out []string
	if after >= 0.98*now {
		out = append(out, fmt.Sprintf("No survey that is left would shrink the ± on %s, which is %s.", over,
			a.PlusMinus(now, true)))
	} else {
		out = append(out, fmt.Sprintf("Next, take %s. It takes about %d minutes%s.", Named(first), first.Minutes,
			powered(first)), fmt.Sprintf("Of the surveys not made yet it helps most. The ± on %s would come down to "+
			"about %s; %s.", over, a.bare(after), a.before()))
	}
	if s := a.second(); s >= 0 {
		if then := a.Out.Then[s]; then < 0.95*after {
			out = append(out, fmt.Sprintf("After it comes %s: the two together would leave about %s.",
				Named(a.Candidates[s]), a.bare(then)))
		} else {
			out = append(out, "After it, none of the others would shrink the ± by more than a twentieth.")
		}
	}
	if a.cut.Tolerance > 0 {
		out = append(out, a.toleranceWords())
	}
	if a.quick != nil {
		out = append(out, a.quickWords()...)
	}
	return out
}

// before says what the ± is before anything else is read.
func (a *outlook) before() string {
	if a.blind {
		return fmt.Sprintf("with nothing read, and a bed worn and twisted as usual, it is %s", a.bare(a.Out.Now))
	}
	return fmt.Sprintf("it is %s now", a.bare(a.Out.Now))
}

// bare is the ± of a standard uncertainty without its sign, for where "±" has been said.
func (a *outlook) bare(u float64) string { return strings.TrimPrefix(a.PlusMinus(u, true), "± ") }

// Named is a survey with what is done for it, where it is first spoken of.
func Named(c profile.Candidate) string {
	if c.Touches == "" {
		return fmt.Sprintf("%s (%s)", c.Method, c.What)
	}
	return fmt.Sprintf("%s (%s: %s)", c.Method, c.What, c.Touches)
}

func powered(c profile.Candidate) string {
	if c.Power {
		return ", with the machine under power"
	}
	return ", with the machine isolated"
}

// toleranceWords says which survey would make the promise of a tolerance possible.
func (a *outlook) toleranceWords() string {
	t := a.Small(a.cut.Tolerance)
	if *a.possible(a.Out.Now) && !a.blind {
		return fmt.Sprintf("The ± is narrow enough already to promise %s, if the dial is turned as correct says.", t)
	}
	least := -1
	for i, u := range a.Out.After {
		if *a.possible(u) && (least < 0 || a.Candidates[i].Minutes < a.Candidates[least].Minutes) {
			least = i
		}
	}
	if least >= 0 {
		return fmt.Sprintf("To promise %s the ± has to come down to %s. Of the surveys that do it alone %s takes the "+
			"least time, about %d minutes.",
			t, a.bare(a.cut.Tolerance/4), a.Candidates[least].Method, a.Candidates[least].Minutes)
	}
	if s := a.second(); s >= 0 && *a.possible(a.Out.Then[s]) {
		return fmt.Sprintf("No survey alone makes it possible to promise %s, for which the ± has to come down to %s; "+
			"%s and %s together do.",
			t, a.bare(a.cut.Tolerance/4), a.Candidates[a.Out.First].Method, a.Candidates[s].Method)
	}
	return fmt.Sprintf("No one survey nor any two can bring the ± down to %s, which a promise of %s needs. Cut such "+
		"work a little over size, measure it along its length in the lathe, and dial the last cut by what you find.",
		a.bare(a.cut.Tolerance/4), t)
}

// quickMinutes is what the short look at a strange lathe takes, for hands that have done it before: common practice, no
// source.
const quickMinutes = 10

// quickWords says what a short look gives: what it can promise and what it cannot.
func (a *outlook) quickWords() []string {
	finest := a.bare(2 * a.quickAfter)
	return []string{fmt.Sprintf("At a strange lathe, ten minutes with the carriage lock, a level and a straightedge "+
		"would bring the ± down to about %s. "+
		"That tells a bed that is much worn from one that is not. It promises no work finer than %s over this "+
		"length, and it finds neither the spindle's lean nor how the front way has shifted.",
		a.bare(a.quickAfter), finest)}
}

// quickSteps say how the short look is made.
func (a *outlook) quickSteps() []string {
	if a.quick == nil {
		return nil
	}
	var out []string
	for _, c := range a.quick {
		at := a.positions(c.At)
		switch c.Method {
		case "carriage-lock":
			out = append(out, fmt.Sprintf("feel the lock at %s (tighten it lightly where the carriage slides "+
				"easiest, and leave it so)", at))
		case "saddle-level":
			out = append(out, fmt.Sprintf("read a level across the saddle with the tool at %s", at))
		case "light-gap":
			out = append(out, fmt.Sprintf("lay the edge from %s to %s on each of them (%s), note where it rests, and "+
				"look for light at %s", a.Bare(c.Rests[0][0]), a.At(c.Rests[0][1]), c.Touches, at))
		}
	}
	return []string{"The ten minutes, the machine isolated: " + strings.Join(out, "; ") + "."}
}

// positions lists positions with their unit.
func (a *outlook) positions(at []float64) string {
	var out []string
	for _, z := range at {
		out = append(out, a.Bare(z))
	}
	return strings.Join(out, ", ") + " " + a.In.String()
}

// remarks are what stands under the table, and those of the full answer.
func (a *outlook) remarks() (remarks, notes []string) {
	first := a.Candidates[a.Out.First]
	remarks = append(a.quickSteps(), fmt.Sprintf("Where to read %s: at %s.", first.Method, a.positions(first.At)))
	notes = []string{"The ± is the greatest over the length, of the difference to its tailstock end, where the tool " +
		"is set. Minutes are common practice, for hands that have done it before.",
		"--json gives the [[survey]] block of each survey, to paste into the profile."}
	if a.lean > 0 {
		remarks = append(remarks, a.leanWords())
	}
	if a.Stated != nil && len(a.Surveys) == 0 {
		notes = append(notes, "The stated drops count here as one more survey, as they will once readings stand "+
			"beside them. Until then predict takes the drops as they stand, and its ± is wider.")
	}
	// by simulated readings of beds as worn as is usual and three times as much; next.go has its own study
	about := "What a survey leaves depends on what it reads: each figure may be a fifth out either way."
	if a.blind {
		about = "What a survey leaves depends on what it reads: on a bed worn much more than usual it is half as " +
			"much again."
	}
	return append(remarks, about, "± holds 19 times in 20."), notes
}

// leanWords says how the spindle's lean counts where nothing knows it.
func (a *outlook) leanWords() string {
	length := a.cut.To - a.cut.From
	s := "The ± counts a spindle that leans as much as is usual, within 0.02 mm over 300 mm"
	if a.way() == work.Chuck {
		s += fmt.Sprintf(": %s by itself over this length", a.PlusMinus(2*length*a.lean, true))
	}
	if !a.blind && a.PlusMinus(a.bed, true) != a.PlusMinus(a.Out.Now, true) {
		s += fmt.Sprintf(". predict leaves the lean out until something has read it, and so says %s",
			a.PlusMinus(a.bed, true))
	}
	var with []string
	for _, c := range a.Candidates {
		if c.Spindle() {
			with = append(with, c.Method)
		}
	}
	if len(with) > 0 {
		s += ". Only " + strings.Join(with, " and ") + " would read it"
	}
	s += "."
	for i, c := range a.Candidates {
		if u := a.Out.After[i]; c.Spindle() && u > a.Out.Now {
			s += fmt.Sprintf(" Where the table says grows, the survey makes the lean count (± %s beforehand) and does "+
				"not read it well enough to make up for that.", a.bare(2*profile.UsualLean*length))
			break
		}
	}
	return s
}

// knowsSpindle says whether the spindle's lean is in the ± already.
func (a *outlook) knowsSpindle() bool {
	if a.Lathe.Spindle.Uncertainty > 0 {
		return true
	}
	u, _ := a.Uncertainty(bed.Of(bed.LeanOut), 1)
	return u > 0
}

// assumed is what the look ahead takes for granted.
func (a *outlook) assumed() []string {
	out := []string{fmt.Sprintf("Work of %s diameter, held %s, the tool on centre height and set at %s.",
		a.At(a.cut.Diameter), a.way().Words(), a.At(a.cut.SetAt))}
	if a.way().Tailed() {
		out = append(out, say.Holding(a.Bench, true, a.way().Gripped())...)
	}
	out = append(out, say.Geometry(a.Bench)...)
	if a.blind {
		out = append(out, "Nothing has been read yet: the wear is taken to be as is usual, some two thou on the "+
			"front way and half of that on the rear, dying out within a foot or two (common practice, no source). On "+
			"a bed that is worn more, every ± is greater; on one worn less it is smaller.")
	} else {
		out = append(out, say.Wear(a.Bench)...)
	}
	level := "0.0005 in/ft"
	if a.In != length.Inch {
		level = "0.02 mm/m"
	}
	return append(out, fmt.Sprintf("Each survey is taken to be as sure as its method usually is, levels having "+
		"divisions of %s, and to agree with what has been read.", level))
}
