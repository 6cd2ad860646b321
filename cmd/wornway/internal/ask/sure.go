package ask

import (
	"fmt"
	"math"
	"slices"

	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/bed"
	"wornway/profile/estimate"
)

// forecast is the survey under way seen ahead: prepared once, for the stations that there are then.
type forecast struct {
	of  string // what it was prepared for
	run *estimate.Run
}

// sure says how sure the work is by the readings so far, and which station would tell most next.
func (r *Recording) sure(l *shop.Bench) {
	if len(r.survey.Work) == 0 {
		return
	}
	enough, hopeless := false, false
	if r.survey.Work[0].Tolerance > 0 {
		enough, hopeless = r.sureness(l)
	}
	r.enough = enough
	if !enough && !hopeless {
		r.tells(l)
	}
}

// sureness says how sure the work is to keep within its tolerance: of several lengths, the one that is least so.
func (r *Recording) sureness(l *shop.Bench) (enough, hopeless bool) {
	least := compensate.Sureness{Probability: 2}
	var of compensate.Cut
	for _, cut := range r.survey.Work {
		s, stated, err := l.Machine.Sure(cut, l.Dial(), l.RuleStep())
		if err != nil || !stated {
			r.tell(Sure, fmt.Sprintf("How sure %s is cannot be said by these readings.", r.length(cut)))
			return false, false
		}
		if s.Probability < least.Probability {
			least, of = s, cut
		}
	}
	what := fmt.Sprintf("that the bed lets %s come out within %s", r.length(of), r.Small(of.Tolerance))
	if l.Dial() != nil {
		what += ", the dial set as correct says"
	}
	if !r.told["bed alone"] {
		r.told["bed alone"] = true
		defer r.tell(Sure, "That is of the bed and the spindle alone: how the work gives way to the cut is left out.")
	}
	// no rounding up to what it is not
	percent := fmt.Sprintf("%d %%", int(math.Floor(100*least.Probability)))
	switch {
	case least.Probability >= compensate.Promised:
		r.tell(Sure, fmt.Sprintf("Enough: %s sure %s. done ends the survey.", percent, what))
		return true, false
	case least.Spread > of.Tolerance:
		r.tell(Sure, fmt.Sprintf("%s sure %s: by what was read so far it varies by %s there.", percent, what,
			r.Small(least.Spread)))
	default:
		r.tell(Sure, fmt.Sprintf("%s sure %s.", percent, what))
	}
	return false, false
}

func (r *Recording) length(c compensate.Cut) string {
	return fmt.Sprintf("work from %s to %s", r.Bare(c.From), r.At(c.To))
}

// tells says which of the stations that are left would tell most of the work.
func (r *Recording) tells(l *shop.Bench) {
	left := r.Under.Left
	place := r.index()
	block := r.Under.Ahead()
	if block == "" || place < 0 || len(left) == 0 || r.Under.Word("bow") != "" {
		return
	}
	var aims [][]bed.Addend
	for _, cut := range r.survey.Work {
		curve, err := l.Machine.Curve(cut)
		if err != nil {
			return
		}
		aims = append(aims, shop.Aims(curve)...)
	}
	rows := len(r.Under.Rows)
	run, at, err := r.ahead(place, block, aims)
	if err != nil {
		return
	}
	read := func(more int) func(row int) bool {
		return func(row int) bool {
			return slices.Contains(at[:rows], row) || more >= 0 && row == at[rows+more]
		}
	}
	now, err := run.Left(read(-1))
	if err != nil {
		return
	}
	after := make([]float64, len(left))
	for i := range left {
		if after[i], err = run.Left(read(i)); err != nil {
			return
		}
	}
	best := slices.Index(after, slices.Min(after))
	const hardly = 0.98 // of the ±, below which a station is worth going to
	switch {
	case after[best] > hardly*now && rows > 2 && r.told["hardly"]:
	case after[best] > hardly*now && rows > 2:
		r.told["hardly"] = true
		r.tell(Tells, "None of the stations left would tell much more. "+r.another())
	case best == 0:
		r.tell(Tells, "The next station tells most.")
	default:
		r.turn.Goes = "at " + r.short(left[best])
		r.tell(Tells, fmt.Sprintf("The station at %s tells most next. To go there, type: %s", r.place(left[best]),
			r.turn.Goes))
	}
}

// another says how a further survey is proposed.
func (r *Recording) another() string {
	c := r.survey.Work[0]
	return fmt.Sprintf("After done, another method may: wornway record %s%s.", r.File, r.survey.Given.Ask(r.Units, c))
}

// finished says that the survey is done, and by which commands to go on, first what comes first.
func (r *Recording) finished(readings int) {
	r.tell(Plain, fmt.Sprintf("Done: %s in %s.", word.Count(readings, "reading"), r.File))
	if r.doubtful() {
		r.tell(Odd, "Something may be wrong with a whole survey, such as a sign turned round. See what it is before "+
			"anything is cut by it:")
		r.tell(Command, "wornway wear "+r.File)
	}
	if len(r.survey.Work) == 0 {
		r.tell(Command, "Next, the wear, what to measure next for a length, and what to dial for it:")
		r.tell(Command, "wornway wear "+r.File)
		r.tell(Command, "wornway wear "+r.File+" --for FROM,TO")
		r.tell(Command, "wornway correct "+r.File+" --from FROM --to TO --diameter D")
		return
	}
	c := r.survey.Work[0]
	if r.enough {
		r.tell(Command, "Next, what to dial:")
	} else {
		r.tell(Command, "Next, which method would help most now, and what to dial by what is known so far:")
		r.tell(Command, "wornway record "+r.File+r.survey.Given.Ask(r.Units, c))
	}
	r.tell(Command, "wornway correct "+r.File+r.survey.Given.Turn(r.Units, c))
}

// doubtful says whether the readings fit better with a slip in a whole survey, or with worn metal where it is taken as
// unworn. What cannot be estimated yet is not doubted.
func (r *Recording) doubtful() bool {
	e, err := r.known()
	if err != nil {
		return false
	}
	d, err := e.Slips()
	return err == nil && d.Amiss()
}

// ahead returns the run with its stations, prepared where they are others than before, and which row each station is,
// those that were read first.
func (r *Recording) ahead(place int, block string, aims [][]bed.Addend) (*estimate.Run, []int, error) {
	all := slices.Clone(r.Under.Left)
	for i := range r.Under.Rows {
		all = slices.Insert(all, i, r.Under.Rows[i].At)
	}
	names := make([]string, len(all))
	for i, s := range all {
		names[i] = fmt.Sprint([]float64(s))
	}
	sorted := slices.Sorted(slices.Values(names))
	of := fmt.Sprint(r.Under.Number, sorted)
	if r.seen.run == nil || r.seen.of != of {
		run, err := r.Profile.ForeseeRun(place, block, aims)
		if err != nil {
			return nil, nil, err
		}
		r.seen = forecast{of: of, run: run}
		r.rowOf = map[string][]int{}
		for i, n := range names {
			r.rowOf[n] = append(r.rowOf[n], i+1)
		}
	}
	used := map[string]int{}
	at := make([]int, len(names))
	for i, n := range names {
		at[i] = r.rowOf[n][used[n]]
		used[n]++
	}
	return r.seen.run, at, nil
}

// planned are stations for the work, in the file's unit; nil where none is named, or the method needs more than that.
func (r *Recording) planned() []float64 {
	var all []float64
	for _, c := range r.survey.Work {
		for _, z := range r.Profile.Planned(r.Method.Name, c.From, c.To, c.Diameter) {
			all = append(all, shop.Tidy(r.In.From(z)))
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}
