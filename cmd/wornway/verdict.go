package main

import (
	"fmt"
	"math"
	"slices"

	"wornway/cmd/wornway/internal/show"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/length"
)

type verdictJSON struct {
	Format   int              `json:"format"`
	Lathe    string           `json:"lathe"`
	Unit     string           `json:"unit"`
	Diameter float64          `json:"diameter"`
	Lengths  []verdictRowJSON `json:"lengths"`
	Deepest  *deepestJSON     `json:"deepest"`
	Damage   []string         `json:"damage"`
	Unseen   []string         `json:"unseen"`
	Assumed  []string         `json:"assumed"`
	Warnings []string         `json:"warnings"`
}

// verdictRowJSON is what a length comes out within: with 95 % probability where the wear has a ±.
type verdictRowJSON struct {
	Length        float64  `json:"length"`
	Anywhere      float64  `json:"anywhere"`
	AtBest        float64  `json:"at_best"`
	Best          float64  `json:"best_from"`
	Corrected     *float64 `json:"corrected_anywhere"`
	CorrectedBest *float64 `json:"corrected_at_best"`
	RegrindLean   float64  `json:"regrind_lean"`
	Probable      bool     `json:"probable"`
}

// judged is what the lathe does to one length. Lengths mm, on diameter; NaN where there is no dial.
type judged struct {
	length                         float64
	anywhere, best                 float64 // what the spread keeps within as it stands: at the worst place and at the best
	bestFrom                       float64
	corrected, bestCorrected, lean float64
}

func runVerdict(e *env, file string, o *wearOptions) error {
	l, err := e.openLathe(file, nil)
	if err != nil {
		return err
	}
	r, err := l.verdictReport()
	if err != nil {
		return err
	}
	return e.emit(o.out, r, "lengths")
}

// usualLengths are the part lengths that are told of, mm.
func usualLengths(u length.Unit) []float64 {
	if u != length.Inch {
		return []float64{25, 50, 100, 150, 250, 500}
	}
	out := []float64{1, 2, 4, 6, 10, 20}
	for i := range out {
		out[i] = length.Inch.ToMM(out[i])
	}
	return out
}

// judge works out what each usual length comes out within.
func (l *lathe) judge() ([]judged, error) {
	from, to := l.reach()
	var out []judged
	for _, n := range usualLengths(l.unit) {
		if n > to-from {
			continue
		}
		p := compensate.Placing{Length: n, Work: work.Feature{Diameter: usualDiameter(l.unit)}, From: from, To: to}
		s, err := l.machine.Span(p)
		if err != nil {
			return nil, l.explain(err)
		}
		v := judged{length: n, bestFrom: s.BestSpread.From}
		for _, at := range []struct {
			place             compensate.Tapered
			stands, corrected *float64
		}{{s.WorstSpread, &v.anywhere, &v.corrected}, {s.BestSpread, &v.best, &v.bestCorrected}} {
			cut := compensate.Cut{Feature: work.Feature{From: at.place.From, To: at.place.To, Diameter: p.Work.Diameter}, SetAt: at.place.To}
			if err := l.within(cut, at.stands, at.corrected); err != nil {
				return nil, err
			}
		}
		u, _ := l.uncertainty(bed.Of(bed.LeanOut), 1)
		v.lean = 2 * n * (math.Abs(l.machine.Wear.Scalar(bed.LeanOut)) + 2*u)
		out = append(out, v)
	}
	return out, nil
}

// within finds what a cut's spread keeps within, as it stands and with the cross slide's dial: the upper end of the interval that holds it with 95 % probability, or where the wear has
// no ± what was computed.
func (l *lathe) within(cut compensate.Cut, stands, corrected *float64) error {
	curve, err := l.machine.Curve(cut)
	if err != nil {
		return l.explain(err)
	}
	least, greatest := curve.Extremes(cut.From, cut.To, 0)
	*stands, *corrected = greatest.Value-least.Value, math.NaN()
	if s, ok := curve.Sample(curve.Spaced(), 0); ok {
		*stands = math.Max(*stands, s.Spread[1])
	}
	slide := l.Lathe.CrossSlide
	if slide == nil {
		return nil
	}
	dial := compensate.Dial{Diameter: slide.Diameter, Division: slide.Division, Finest: slide.Finest, Backlash: slide.Backlash}
	k, err := l.machine.Correct(cut, compensate.Correcting{Dial: dial, SetAtStart: true, Every: []float64{cut.From, cut.To}, Round: l.roundSteps()})
	if err != nil {
		return l.explain(err)
	}
	*corrected = k.MovesSpread
	if s, ok := k.Curve.Sample(k.MovesAt(dial.Step()), 0); ok {
		*corrected = math.Max(*corrected, s.Spread[1])
	}
	*corrected = math.Min(*corrected, *stands) // nobody has to turn the dial
	return nil
}

func (l *lathe) verdictReport() (show.Report, error) {
	r := show.Report{Warnings: warningWords(l.Profile), Assumed: append(l.geometryWords(), l.wearWords()...), Cautions: cutCautions}
	vs, err := l.judge()
	if err != nil {
		return r, err
	}
	in, stated := l.unit.From, l.machine.Wear.Stated()
	diameter := usualDiameter(l.unit)
	j := verdictJSON{Format: 1, Lathe: l.Lathe.Name, Unit: l.unit.String(), Diameter: in(diameter), Lengths: []verdictRowJSON{},
		Damage: l.damageWords(), Unseen: append(l.unseenWords(), l.neverSeen()...), Warnings: append([]string{}, r.Warnings...), Assumed: r.Assumed}
	small := l.smallName()
	t := show.Table{Name: "lengths", Title: fmt.Sprintf("What a length at %s diameter keeps within, %s of spread on diameter:", l.at(diameter), small), Columns: []show.Column{
		{Head: "length, " + l.inch(), Key: "length"}, {Head: "anywhere", Key: "anywhere"}, {Head: "at its best\nplace", Key: "at_best"}, {Head: "which begins\nat, " + l.inch(), Key: "best_from"},
		{Head: "corrected,\nanywhere", Key: "corrected_anywhere"}, {Head: "corrected,\nat its best", Key: "corrected_at_best"}}}
	for _, v := range vs {
		row := verdictRowJSON{in(v.length), in(v.anywhere), in(v.best), in(v.bestFrom), null(in(v.corrected), true), null(in(v.bestCorrected), true), in(v.lean), stated}
		j.Lengths = append(j.Lengths, row)
		cell := func(x float64) show.Cell {
			if math.IsNaN(x) {
				return show.Cell{Text: "–"}
			}
			return show.Cell{Text: l.cell(x), Value: in(x)}
		}
		t.Rows = append(t.Rows, []show.Cell{{Text: l.bare(v.length), Value: row.Length}, cell(v.anywhere), cell(v.best), {Text: l.bareAbout(v.bestFrom), Value: row.Best}, cell(v.corrected), cell(v.bestCorrected)})
	}
	if way, z, drop := l.deepest(); drop > 0 {
		u, known := l.uncertainty(bed.At(way, 0), z)
		j.Deepest = &deepestJSON{way.String(), in(z), in(drop), null(in(u), known)}
	}
	r.Answer = l.verdictWords(vs, stated)
	r.Tables, r.JSON = []show.Table{t}, j
	remarks := j.Damage
	if len(l.Damage) > 0 { // the answer has it
		remarks = nil
	}
	r.Remarks = slices.Concat(remarks, j.Unseen, l.proofWords(stated))
	return r, nil
}

// verdictWords says what the lathe will turn.
func (l *lathe) verdictWords(vs []judged, stated bool) []string {
	if len(vs) == 0 {
		return []string{"The known wear is too short for any of the usual part lengths; nothing can be said of what this lathe will turn."}
	}
	short, long := vs[0], vs[min(3, len(vs)-1)]
	sure := " (as computed: the wear has no ±, so how sure that is cannot be said)"
	if stated {
		sure = ", with 95 % probability"
	}
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	both := func(v judged, anywhere, best float64) string {
		return fmt.Sprintf("%s anywhere within %s and at its best place within %s", l.at(v.length), l.small(anywhere), l.small(best))
	}
	lengths := func(pick func(v judged) (anywhere, best float64)) string {
		a, b := pick(short)
		s := both(short, a, b)
		if long.length > short.length {
			a, b = pick(long)
			s += "; " + both(long, a, b)
		}
		return s
	}
	say("As it stands this lathe turns %s%s.", lengths(func(v judged) (float64, float64) { return v.anywhere, v.best }), sure)
	if math.IsNaN(short.corrected) {
		say("What corrections at the dial would bring cannot be said: the profile has no [lathe.cross_slide].")
	} else {
		say("Corrected at the cross slide's dial it turns %s.", lengths(func(v judged) (float64, float64) { return v.corrected, v.bestCorrected }))
	}
	out = append(out, l.afterRegrind(long)...)
	if stated && !math.IsNaN(long.corrected) && long.corrected > 0.7*long.anywhere {
		say("What is not known of the wear counts for much of that: over %s corrections gain little until more is measured; wear --for says what.", l.at(long.length))
	}
	for _, d := range l.Damage {
		say("There is damage on the %s way, %s to %s%s, which is in none of these numbers.", d.Way, l.bare(d.From), l.at(d.To), note(d.Note))
	}
	return out
}

// afterRegrind says what of the error a regrind would take away, and what it would not.
func (l *lathe) afterRegrind(v judged) []string {
	s := fmt.Sprintf("After a regrind that leaves the ways straight, the bed's part of that is gone: over %s up to %s.", l.at(v.length), l.small(v.anywhere))
	u, _ := l.uncertainty(bed.Of(bed.LeanOut), 1)
	if l.machine.Wear.Scalar(bed.LeanOut) == 0 && u == 0 {
		const usual = 0.02 / 300
		s += fmt.Sprintf(" What stays is the spindle's lean, which nothing here has measured (0.02 mm over 300 mm would make %s of it)", l.small(2*usual*v.length))
	} else {
		s += fmt.Sprintf(" What stays is the spindle's lean, up to %s over that length unless it is set right with the bed", l.small(v.lean))
	}
	return []string{s + ", and whatever is not the bed: spindle bearings, gibs, and the give of work and tool."}
}

// damageWords tells of the damage that was seen.
func (l *lathe) damageWords() []string {
	out := []string{}
	for _, d := range l.Damage {
		out = append(out, fmt.Sprintf("Damage seen: %s way, %s to %s%s.", d.Way, l.bare(d.From), l.at(d.To), note(d.Note)))
	}
	if len(out) == 0 {
		out = append(out, "The profile notes no damage: whether somebody looked for it, it does not say.")
	}
	return out
}

// neverSeen is what no survey of the ways can tell.
func (l *lathe) neverSeen() []string {
	var out []string
	if len(l.Surveys) == 0 {
		out = append(out, "The drops are as somebody stated them; no readings stand behind them here.")
	}
	return append(out, "Not seen at all: spindle bearings, gibs and the saddle's own faces, leadscrew and nuts, the tailstock's height and barrel, cracks, and how the bed was set up when it was measured. Look at them before money changes hands.")
}

// proofWords say how the numbers are to be read.
func (l *lathe) proofWords(stated bool) []string {
	s := "Anywhere is at the worst place from the spindle nose on; the tool is set at the length's tailstock end, the work held by the spindle alone."
	if stated {
		s += " The spread stays within these numbers with at least 95 % probability by what is known of the wear."
	}
	return []string{s, "This is no acceptance test: no limit of a standard is applied. The proof is in a cut: turn a bar, measure it, and compare it with what predict says."}
}
