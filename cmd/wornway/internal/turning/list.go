package turning

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/sheet"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/length"
)

// phoneWidth is how wide plain text for a telephone is at most, in characters.
const phoneWidth = 40

// Promise is what is said of a tolerance.
type Promise struct {
	Says        string // empty where none was asked
	Held        bool   // it is kept, or none was asked
	why         string // it is not promised, beside words which say that it is not; empty: what is said
	probability *float64
}

// Reason is why it is not promised.
func (p Promise) Reason() string { return cmp.Or(p.why, p.Says) }

// Promised says whether the length keeps its tolerance with these settings.
func (r Correction) Promised() Promise {
	t := r.K.Curve.Tolerance
	if t <= 0 {
		return Promise{Held: true}
	}
	// As the ladder has it: one list has one probability.
	rung := r.K.Ladder[r.K.Chosen]
	says, held := say.Holds(r.Bench, r.K.Curve, r.with(), r.K.MovesSpread, rung.Promise, rung.Stated)
	if better := r.better(); held && better != "" {
		says = strings.TrimSuffix(says, ".") + "; " + better
	}
	p := Promise{Says: says, Held: held, probability: answer.Null(rung.Promise.Within, rung.Stated)}
	if !held {
		p.why = say.Unpromised(r.Bench, r.K.Curve, r.K.MovesSpread, rung.Promise, rung.Stated)
		p.Says += " Cut a little over size, measure along it in the lathe, and dial the last cut by what you find."
	}
	return p
}

// And adds what else is said of it, and whether that is kept.
func (p Promise) And(says string, held bool) Promise {
	why := ""
	if !p.Held {
		why = p.Reason()
	}
	if !held {
		why = strings.Join(word.Said(why, says), " ")
	}
	return Promise{Says: strings.Join(word.Said(p.Says, says), " "), Held: p.Held && held, why: why,
		probability: p.probability}
}

// with says how many settings the list has, for a sentence to go on with.
func (r Correction) with() string {
	switch n := len(r.K.Moves); n {
	case 0:
		return " with nothing dialled"
	case 1:
		return " with this setting"
	default:
		return fmt.Sprintf(" with these %d settings", n)
	}
}

// better says what more settings would make of the chance to keep a tolerance that the list keeps; empty where they
// would make nothing of it that the words show.
func (r Correction) better() string {
	this, best := r.K.Ladder[r.K.Chosen], r.K.Ladder[r.K.Chosen]
	const more = 0.02
	for _, l := range r.K.Ladder[r.K.Chosen+1:] {
		if l.Sound() && l.Promise.Within > best.Promise.Within+more {
			best = l
		}
	}
	if chance := word.Percent(best.Promise.Within); chance != word.Percent(this.Promise.Within) {
		return fmt.Sprintf("%s would make it %s.", word.Count(best.Turns(), "setting"), chance)
	}
	return ""
}

// Alarm is what is to be known before anything is dialled: in few words, and why.
type Alarm struct{ Big, Why string }

// Alarms are those of a length.
func (r Correction) Alarms(p Promise) []Alarm {
	var out []Alarm
	if in := say.InJaws(r.Bench, r.K.Curve); in != "" {
		out = append(out, Alarm{"INSIDE THE CHUCK", in})
	}
	if far := say.Out(r.Bench, r.K.Curve); far != "" {
		out = append(out, Alarm{"NEEDS THE TAILSTOCK", far})
	}
	if !p.Held && p.Says != "" {
		out = append(out, Alarm{"NOT PROMISED", p.Reason()})
	}
	return out
}

// Reads is what the dial stands at, counted from the zero: in, as it counts, or out of it.
func (r Correction) Reads(setting int) string {
	switch mm := r.Dial.Reading(setting); {
	case setting == 0:
		return "0"
	case mm < 0:
		return r.short(-mm) + " out"
	default:
		return r.short(mm)
	}
}

// short writes where the dial stands as it is said on the shop floor: thousandths without a nought before the point,
// hundredths of a millimetre with it.
func (r Correction) short(mm float64) string {
	s := r.Units.Dial(mm)
	if r.In == length.Inch {
		s = strings.TrimPrefix(s, "0")
	}
	return s
}

// Work is what is turned, in few words.
func (r Correction) Work() string {
	c := r.K.Curve
	what := fmt.Sprintf("Ø %s, %s to %s", r.Diameter(c.Diameter), r.BareAbout(c.From), r.About(c.To))
	if c.Bore {
		return "Bore " + what
	}
	return what
}

// Stops are what is done at the dial along one length or feature.
type Stops struct {
	Correction        // K only where something is dialled
	What       string // is turned, in few words
	SetAt, Aim float64
	ByDial     string // from which feature the dial goes on to this one; empty: it is measured
	Feed       compensate.Feed
	Alarms     []Alarm
}

// Stops are those of a length, what it is in few words.
func (r Correction) Stops(what string, p Promise) Stops {
	c := r.K.Curve
	return Stops{Correction: r, What: what, SetAt: c.SetAt, Aim: c.Diameter + r.K.Aim, Feed: r.K.Feed,
		Alarms: r.Alarms(p)}
}

// Lines are the stops as plain text, a stop on a line: what is turned, the zero and what to aim for, the feed, and what
// is to be known before; then each stop with what to turn and what the dial reads after it.
func (s Stops) Lines() []string {
	zero := fmt.Sprintf("At %s: cut to %s", s.About(s.SetAt), s.Diameter(s.Aim))
	switch {
	case len(s.moves()) > 0 && s.ByDial == "":
		zero += ", dial to 0"
	case s.ByDial != "":
		zero = fmt.Sprintf("At %s: by the dial from %s to %s, then dial to 0", s.About(s.SetAt), s.ByDial,
			s.Diameter(s.Aim))
	}
	out := []string{s.What, zero, "Feed toward the " + say.FeedName(s.Feed)}
	for _, a := range s.Alarms {
		out = append(out, a.Big+": "+a.Why)
	}
	for _, m := range s.moves() {
		back := ""
		if m.TakeUp {
			back = " *"
		}
		out = append(out, fmt.Sprintf("%s: %s %s, reads %s%s", s.Mark(m.Position), strings.ToUpper(direction(m.Change)),
			word.Fraction(math.Abs(s.Dial.Divisions(m.Change))), s.Reads(m.Setting), back))
	}
	if len(s.moves()) == 0 {
		out = append(out, "NOTHING TO DIAL")
	}
	return out
}

// SetOver says how the compound is set before all else; nothing where the cross slide's dial is turned.
func (r Correction) SetOver() []string {
	if r.Dial.Angle == 0 {
		return nil
	}
	return []string{"First set the compound to " + word.Degrees(r.Dial.Angle)}
}

// moves are those along it.
func (s Stops) moves() []compensate.Move {
	if s.K == nil {
		return nil
	}
	return s.K.Moves
}

// Foot says in what the stops are counted, and how to turn back where one of them does.
func Foot(all ...Stops) []string {
	if len(all) == 0 {
		return nil
	}
	s := all[0]
	counts := "radius"
	if s.Dial.Diameter {
		counts = "diameter"
	}
	out := []string{fmt.Sprintf("One division is %s on %s", s.Division(s.Dial.Division), counts)}
	if s.Dial.Angle != 0 {
		out[0] = fmt.Sprintf("One division of the compound is %s on %s", s.Division(s.Dial.Division), counts)
	}
	for _, s := range all {
		if !slices.ContainsFunc(s.moves(), func(m compensate.Move) bool { return m.TakeUp }) {
			continue
		}
		back := "* turns back: " + s.TakeOut(s.K.Curve.Bore)
		if s.K.Curve.Bore {
			back = "* in a bore, turns back: " + s.TakeOut(true)
		}
		if !slices.Contains(out, back) {
			out = append(out, back)
		}
	}
	return out
}

// List is the correction of a length as plain text for a telephone.
func (r Correction) List(p prediction) (show.Report, bool) {
	promise := r.Promised()
	s := r.Stops(r.Work()+" from the nose", promise)
	lines := slices.Concat(r.SetOver(), s.Lines(), Foot(s))
	left := fmt.Sprintf("Leaves %s of %s", r.Cell(r.K.MovesSpread), r.Small(r.K.Before))
	if len(r.K.Moves) == 0 {
		left = "Varies by " + r.Small(r.K.Before)
	}
	lines = append(lines, left+", "+r.PlusMinus(p.Taper.UEnds, p.Taper.Stated))
	if k := r.K.Ladder[r.K.Chosen]; k.Stated {
		lines = append(lines, "19 times in 20 within "+r.Small(k.Limit()))
	}
	if promise.Held && promise.Says != "" {
		lines = append(lines, promise.Says)
	}
	lines = append(lines, word.Said(say.OtherWork(r.Bench, r.K.Curve))...)
	limits := append(say.Crossed(r.Bench, say.Cut{Curve: r.K.Curve}), p.Seated.Warnings...)
	return ListOf(lines, append(word.Said(r.coarse()), limits...)), promise.Held
}

// ListOf is plain text for a telephone. What is wrong stands before the stops, so that it is read before a dial is
// turned.
func ListOf(lines, warnings []string) show.Report {
	var all []string
	for _, w := range warnings {
		all = append(all, "Warning: "+w)
	}
	if len(all) > 0 {
		all = append(all, "")
	}
	return show.Report{Answer: append(all, lines...), Remarks: []string{sheet.Stale}, Cautions: []string{sheet.Careful},
		Widest: phoneWidth}
}
