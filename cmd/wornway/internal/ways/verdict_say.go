package ways

import (
	"fmt"
	"math"
	"strings"

	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/length"
)

// verdict is what is said of a lathe to somebody who thinks of buying it, or owns it.
type verdict struct {
	*shop.Bench
	all       []compensate.Capability
	stated    bool
	condition *compensate.Condition // nil: the bed is too short to be judged
	worst     hollow
}

// judge works out how worn the lathe is.
func (v *verdict) judge() error {
	n := 150.0
	if v.In == length.Inch {
		n = 6 * 25.4
	}
	from, to := v.Reach()
	if to-from < n {
		return nil
	}
	c, err := v.Machine.Condition(n, shop.UsualDiameter(v.In), from, to)
	if err != nil {
		return v.Explain(err)
	}
	v.condition = &c
	return nil
}

// names of the classes, as a first line has them and as keys.
var (
	classWords = map[compensate.Class]string{compensate.LittleWorn: "little worn",
		compensate.UsuallyWorn: "worn as is usual for a used lathe", compensate.MuchWorn: "much worn",
		compensate.PastTurning: "past turning to size without a regrind",
		compensate.NotKnown:    "not known from this look"}
	classKeys = map[compensate.Class]string{compensate.LittleWorn: "little-worn",
		compensate.UsuallyWorn: "usual", compensate.MuchWorn: "much-worn", compensate.PastTurning: "past-turning",
		compensate.NotKnown: "not-known"}
)

func (v *verdict) json() classJSON {
	j := classJSON{Name: classKeys[compensate.NotKnown], Probabilities: map[string]float64{},
		Limits: map[string]float64{}}
	limits, _ := compensate.ClassLimits()
	for k, l := range limits {
		j.Limits[classKeys[compensate.Class(k)]] = v.In.From(l)
	}
	c := v.condition
	if c == nil {
		return j
	}
	j.Name, j.Length, j.Spread = classKeys[c.Class], v.In.From(c.Length), v.In.From(c.Computed)
	if c.Stated {
		j.Likely = &[2]float64{v.In.From(c.Spread[0]), v.In.From(c.Spread[1])}
		for k, p := range c.Probability {
			j.Probabilities[classKeys[compensate.Class(k)]] = p
		}
	}
	return j
}

// words put the answer into the report: how worn, then what to expect of it as it stands, corrected and reground, and
// which work it will and will not do.
func (v *verdict) words(r *show.Report) {
	if len(v.all) == 0 {
		r.Answer = []string{"The known wear is too short for any of the usual part lengths; nothing can be said of " +
			"what this lathe will turn."}
		return
	}
	if v.condition != nil {
		r.Answer = append(r.Answer, v.class())
	}
	r.Answer = append(append(r.Answer, v.expect()...), v.workWords())
	for _, d := range v.Damage {
		r.Answer = append(r.Answer, fmt.Sprintf("There is damage on the %s way, %s to %s%s; no number here "+
			"counts it.",
			d.Way, v.Bare(d.From), v.At(d.To), word.Note(d.Note)))
	}
	r.Steps = []string{"After a regrind the saddle sits lower: apron, leadscrew and feed shaft no longer line up, " +
		"nor does the tailstock's height, until they are set or packed again."}
}

// class is the first line.
func (v *verdict) class() string {
	c := v.condition
	s := word.Upper(classWords[c.Class])
	if c.Class == compensate.NotKnown {
		var may []string
		for k, p := range c.Probability {
			const worth = 0.05
			if p >= worth {
				may = append(may, fmt.Sprintf("%s (%s)", classWords[compensate.Class(k)], word.Percent(p)))
			}
		}
		s = "What was read does not tell how worn it is: " + strings.Join(may, ", or ")
	} else if c.Stated {
		s += fmt.Sprintf(" (%s sure)", word.Percent(c.Probability[c.Class]))
	}
	s += fmt.Sprintf(". A %s length varies by %s at its worst place, from %s", v.At(c.Length), v.Small(c.Computed),
		v.Near(c.WorstFrom))
	if c.Stated {
		s += fmt.Sprintf(", 19 times in 20 by %s to %s", v.Cell(c.Spread[0]), v.Small(c.Spread[1]))
	}
	s += "."
	if k := v.worst; k.drop > 0 {
		s += fmt.Sprintf(" The %s way is deepest at %s, %s down", k.way, v.About(k.position), v.Small(k.drop))
		if v.stated {
			return s + k.sure()
		}
		s += "."
	}
	return s
}

// limits say where the classes end.
func (v *verdict) limits() []string {
	if v.condition == nil {
		return nil
	}
	limits, settings := compensate.ClassLimits()
	return []string{fmt.Sprintf("Classes go by what a %s length varies by at its worst place. Little worn: to %s, "+
		"what a new lathe's spindle may be out over it (Schlesinger and a textbook, second-hand). Usual: to %s, "+
		"which %d settings of the dial in the length bring back to that. Much worn: to %s, which takes %d. More "+
		"nobody turns in one finishing pass: past turning to size without a regrind. The last two limits are ours. "+
		"A class is named where it is probable enough.", v.At(v.condition.Length), v.Small(limits[0]),
		v.Small(limits[1]), settings[1],
		v.Small(limits[2]), settings[2])}
}

// told are the lengths that sentences report: the shortest and 6 in or 150 mm, or the longest before.
func (v *verdict) told() []compensate.Capability {
	short, long := v.all[0], v.all[min(regrindTold-1, len(v.all)-1)]
	if short.Length == long.Length {
		return []compensate.Capability{short}
	}
	return []compensate.Capability{short, long}
}

// expect says what to expect as it stands, corrected and reground.
func (v *verdict) expect() []string {
	told := v.told()
	long := told[len(told)-1]
	within := func(of func(c compensate.Capability) (anywhere, best float64), from bool) string {
		s := ""
		for i, c := range told {
			if i > 0 {
				s += "; "
			}
			anywhere, best := of(c)
			s += fmt.Sprintf("a %s length keeps within %s anywhere and %s at its best place", v.At(c.Length),
				v.Small(anywhere), v.Small(best))
			if from {
				s += fmt.Sprintf(" (from about %s)", v.Near(c.BestFrom))
			}
		}
		return s
	}
	begin, sure := "As it stands", " How sure that is cannot be said, as the wear has no ±."
	if math.IsNaN(long.Reground) { // what the spindle adds is not known
		begin += ", as far as the bed goes"
	}
	if v.stated {
		sure = " That holds 19 times in 20."
	}
	out := []string{fmt.Sprintf("%s, %s.%s", begin,
		within(func(c compensate.Capability) (float64, float64) { return c.Anywhere, c.Best }, true), sure)}
	switch {
	case math.IsNaN(long.Corrected):
		out = append(out, "What corrections at the dial would bring cannot be said: the profile has no "+
			"[lathe.cross_slide].")
	case correctsNothing(v.Bench, v.all) && v.stated:
		out = append(out, "Correcting at the dial gains nothing yet over any of these lengths, as well as the wear is "+
			"known so far (what to measure next: wornway wear --for).")
	case correctsNothing(v.Bench, v.all):
		out = append(out, "Correcting at the dial gains nothing over any of these lengths.")
	default:
		s := fmt.Sprintf("With the dial corrected, %s.",
			within(func(c compensate.Capability) (float64, float64) { return c.Corrected, c.BestCorrected }, false))
		const little = 0.7 // of the spread is left
		if v.stated && long.Corrected > little*long.Anywhere {
			s += fmt.Sprintf(" Over %s much of that is not wear but what is not known of it: measure more first.",
				v.At(long.Length))
		}
		out = append(out, s)
	}
	return append(out, v.reground(long))
}

// reground says what of the error a regrind would take away, and what it would not.
func (v *verdict) reground(c compensate.Capability) string {
	const gone = "A regrind takes away the bed's part. The spindle"
	if math.IsNaN(c.Reground) {
		return fmt.Sprintf("%s was never measured: 0.02 mm in 300 mm would add %s over %s.", gone,
			v.Small(compensate.UsualLean(c.Length)), v.At(c.Length))
	}
	return fmt.Sprintf("%s leaves up to %s over %s unless it is set right with the bed.", gone, v.Small(c.Reground),
		v.At(c.Length))
}

// workWords say which work the lathe will do, and which not.
func (v *verdict) workWords() string {
	tolerances := shop.UsualTolerances(v.In)
	seats := tolerances[0] // of a bearing
	longest := func(of func(compensate.Capability) float64) (length float64, ok bool) {
		n := LongestWithin(v.all, seats, of)
		return n, !math.IsNaN(n)
	}
	as, anywhere := longest(func(c compensate.Capability) float64 { return c.Anywhere })
	best, chosen := longest(func(c compensate.Capability) float64 { return c.Best })
	dial, dialled := longest(func(c compensate.Capability) float64 { return c.BestCorrected })
	s := fmt.Sprintf("Seats within %s, as bearings need: ", v.Small(seats))
	switch {
	case anywhere:
		s += fmt.Sprintf("a %s length anywhere, and a %s length where the bed is best", v.At(as), v.At(best))
	case chosen:
		s += fmt.Sprintf("no usual length anywhere, but a %s length where the bed is best", v.At(best))
	case dialled:
		s += fmt.Sprintf("no usual length as it stands, but a %s length corrected where the bed is best", v.At(dial))
	default:
		s += "no usual length can be promised, corrected or not"
	}
	plain := tolerances[2]
	s += fmt.Sprintf(". Plain work within %s: ", v.Small(plain))
	if n := LongestWithin(v.all, plain, func(c compensate.Capability) float64 { return c.Anywhere }); math.IsNaN(n) {
		s += "no usual length anywhere."
	} else {
		s += fmt.Sprintf("a %s length anywhere.", v.At(n))
	}
	return s
}

// untested is what no look at the bed tests, what costs most to put right first, each with how one tries it. Common
// practice, no source.
var untested = []string{
	"headstock: bearings (lift the chuck with a bar against an indicator, the power off; then " +
		"run it until it is warm " +
		"and listen) and gears",
	"leadscrew and half nuts, which wear near the headstock as the bed does " +
		"(pull the carriage to and fro with the nuts " +
		"closed)",
	"tailstock: its height and line against the headstock, its barrel and clamp (a bar between centres)",
	"cross slide's screw and nut (backlash at the dial, in the middle and at the end of the travel)",
	"gibs and the slides' own faces (pull and push each slide by hand, at both ends)",
}

// further says what to measure in ten more minutes: of what takes no longer, that which leaves least open where the bed
// comes out worst.
func (v *verdict) further() []string {
	const minutes = 10
	c := v.condition
	if c == nil || !c.Stated {
		return []string{}
	}
	a, err := Look(v.Bench, compensate.Cut{Feature: work.Feature{From: c.WorstFrom, To: c.WorstFrom + c.Length,
		Diameter: shop.UsualDiameter(v.In)}, SetAt: c.WorstFrom + c.Length}, false, nil)
	if err != nil || a.Out == nil {
		return []string{} // nothing is left to suggest
	}
	best := -1
	for i, k := range a.Candidates {
		if k.Minutes <= minutes && (best < 0 || a.Out.After[i] < a.Out.After[best]) {
			best = i
		}
	}
	if best < 0 || a.Out.After[best] > 0.95*a.Out.Now {
		return []string{"Ten more minutes of measuring would tell little; wornway wear --for ranks what " +
			"takes longer."}
	}
	k := a.Candidates[best]
	return []string{fmt.Sprintf("In ten more minutes: %s, about %d minutes. It would bring the ± of what bed and "+
		"spindle do to the %s from %s on, where it comes out worst, from %s to %s.", Named(k), k.Minutes,
		v.At(c.Length), v.Near(c.WorstFrom), v.Small(2*a.Out.Now), v.Small(2*a.Out.After[best]))}
}

// basis says what stands behind the numbers where that is little.
func (v *verdict) basis() []string {
	if len(v.Surveys) == 0 {
		return []string{"The drops are as somebody stated them; no readings stand behind them."}
	}
	return nil
}

// notLooked is the same in few words, and proof what a look at the bed is not.
const notLooked = "Not looked at: headstock bearings and gears, leadscrew and half nuts, tailstock, cross slide's " +
	"screw and nut, gibs."

var proof = []string{"This is no acceptance test: turn a bar, measure it, and compare it with wornway predict."}

// reading says how the numbers are to be read.
func (v *verdict) reading() []string {
	return []string{
		"Anywhere is at the worst place from the spindle nose on; the tool is set at the length's tailstock " +
			"end, the work held by the spindle alone. A best place further out than the chuck can hold work by " +
			"itself, " +
			"about 3 diameters, needs the tailstock or a steady; how well those stand in line comes on top."}
}
