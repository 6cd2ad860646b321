package making

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/ways"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/plan"
	"wornway/compensate/work"
)

// Report puts the plans into words and tables.
func (p *Plans) Report() show.Report {
	best := p.Result.Plans[0]
	r := show.Report{Answer: []string{p.advice(best), p.verdict(best)}, Assumed: p.assumed(best),
		Limits: p.limits(best), Warnings: p.Warnings(), Usual: say.CutCautions, Cautions: p.cautions(best)}
	r.Tables = []show.Table{p.features(best)}
	if len(p.Result.Plans) > 1 {
		r.Answer = append(r.Answer, p.other(best, p.Result.Plans[1]))
		r.Tables = append(r.Tables, p.plans())
	}
	r.Remarks = append(append(p.heldBack(best), p.survey(best)...), p.helps(best)...)
	r.Remarks = append(r.Remarks, "± holds 19 times in 20, for the diameter along the feature.")
	r.Notes = []string{fmt.Sprintf("%s were looked at, the %d most promising ways drawn at random with all that is "+
		"not known.", word.Count(p.Result.Looked, "position"), p.Result.Drawn)}
	r.Remarks = append(append(r.Remarks, p.onFinished(best)...), p.trueness(best)...)
	for _, why := range p.refusals() {
		r.Remarks = append(r.Remarks, "Not possible: "+why+".")
	}
	r.JSON = p.JSON(r)
	return r
}

// refusals are the ways of holding that cannot be, each with why not.
func (p *Plans) refusals() []string {
	var out []string
	for _, r := range p.Result.Refused {
		out = append(out, fmt.Sprintf("%s, %s: %s", p.Question.Lathes[r.Lathe].Name, r.Way.Words(),
			r.Why.Words(p.About)))
	}
	return out
}

// advice says what to do.
func (p *Plans) advice(k plan.Plan) string {
	s := ""
	if len(p.Lathes) > 1 {
		s = "Make it on “" + p.Question.Lathes[k.Lathe].Name + "”. "
	}
	for i, u := range k.SetUps {
		hold := p.hold(u)
		switch {
		case len(k.SetUps) > 1 && i == 0:
			hold = "First " + hold + ", and turn " + word.List(p.named(u.Features))
		case i > 0:
			hold = "Then " + hold + ", and turn " + word.List(p.named(u.Features))
		default:
			hold = word.Upper(hold)
		}
		s += hold + ". "
	}
	return s + word.Upper(p.size(k)) + "."
}

// hold says how the part is held in one set-up.
func (p *Plans) hold(u plan.Clamping) string { return say.Hold(p.Units, p.File.Job.Part, u.Mounting) }

// size says how the features are brought to size.
func (p *Plans) size(k plan.Plan) string {
	s := "measure each feature and set the dial at it"
	first := p.once(k)
	switch {
	case len(k.Features) == 1:
		s = "measure it and set the dial at " + p.About(k.Features[0].SetAt)
	case first != "":
		s = fmt.Sprintf("measure at %s and go to the others by the dial", first)
	}
	if k.Dial != nil && k.Dial.Compound {
		s += fmt.Sprintf("; use the compound, turned to %.2f° from the bed's axis", k.Dial.Angle*180/math.Pi)
	}
	if k.Moves == 0 {
		return s + "; nothing is dialled along the way"
	}
	return s + fmt.Sprintf("; %s along the way, as the run sheet lists them", word.Count(k.Moves, "setting"))
}

// once names the features that are measured where others are sized from them by the dial; empty where each is measured.
func (p *Plans) once(k plan.Plan) string {
	var out []string
	for _, u := range k.SetUps {
		by := false
		for _, f := range k.Features {
			by = by || f.ByDial && slices.Contains(u.Features, f.Number)
		}
		if by {
			out = append(out, p.named(u.Features[:1])...)
		}
	}
	return word.List(out)
}

// named are the names of features by their numbers.
func (p *Plans) named(numbers []int) []string {
	var out []string
	for _, n := range numbers {
		out = append(out, p.File.Job.Features[n].Name)
	}
	return out
}

// verdict says how sure the plan is.
func (p *Plans) verdict(k plan.Plan) string {
	what := whatIs(k)
	switch {
	case !k.Stated && k.Holds:
		return fmt.Sprintf("As computed, %s then held; how sure that is cannot be said, as the wear of this lathe "+
			"has no ±.", what)
	case !k.Stated:
		return fmt.Sprintf("Even so it is not held as computed: %s goes furthest beyond its limits.", k.Weakest().Name)
	case k.Holds:
		s := fmt.Sprintf("The chance is %s that %s then held", word.Percent(k.Probability), what)
		if r := p.recalled(k); len(r) > 0 {
			return s + fmt.Sprintf(", if the limits of %s are as they are taken to be: they are from memory, and no "+
				"promise rests on them.", word.List(r))
		}
		return s + "."
	}
	return "Not promised: " + p.odds(k)
}

// whatIs is what a plan holds, with its verb.
func whatIs(k plan.Plan) string {
	if len(k.Features) == 1 {
		return k.Features[0].Name + " is"
	}
	return fmt.Sprintf("all %d features are", len(k.Features))
}

// odds say how far a plan is from what can be promised.
func (p *Plans) odds(k plan.Plan) string {
	s := fmt.Sprintf("the chance is %s that %s held, and 95 %% is asked.", word.Percent(k.Probability),
		whatIs(k))
	if w := k.Weakest(); len(k.Features) > 1 {
		s += fmt.Sprintf(" The weakest is %s, with %s.", w.Name, word.Percent(w.Probability))
	}
	return s
}

// recalled are the fits of a plan's features whose limits are from memory.
func (p *Plans) recalled(k plan.Plan) []string {
	var out []string
	for _, f := range k.Features {
		if f.Recalled && !slices.Contains(out, f.Fit) {
			out = append(out, f.Fit)
		}
	}
	return out
}

// held says in few words how a plan's set-ups are held.
func (p *Plans) held(k plan.Plan) string {
	var out []string
	for _, u := range k.SetUps {
		w := map[work.Holding]string{work.Chuck: "chuck", work.ChuckAndCentre: "chuck and centre",
			work.Centres: "centres"}[u.Way]
		if u.Steady != nil {
			w += ", steady"
		}
		if u.SetOver != 0 {
			w += ", set over " + p.Small(math.Abs(u.SetOver))
		}
		out = append(out, w)
	}
	s := strings.Join(slices.Compact(out), ", then ")
	if len(k.SetUps) > 1 {
		s += ", twice"
		if k.SetUps[0].EndForEnd != k.SetUps[1].EndForEnd {
			s += ", turned"
		}
	} else if k.SetUps[0].EndForEnd {
		s += ", end for end"
	}
	return s
}

// kindWords names a plan by what makes it different.
func (p *Plans) kindWords(k plan.Plan) string {
	s := p.held(k)
	if k.Dial != nil && k.Dial.Compound {
		s += ", sized by the compound"
	}
	if p.once(k) != "" {
		s += ", measured once"
	}
	if k.Moves > 0 {
		s += ", " + word.Count(k.Moves, "setting") + " dialled"
	}
	return s
}

// other says what the next best plan would cost or save.
func (p *Plans) other(best, next plan.Plan) string {
	s := "Next best: " + p.kindWords(next)
	if len(p.Lathes) > 1 {
		s += ", on “" + p.Question.Lathes[next.Lathe].Name + "”"
	}
	if best.Stated && next.Stated {
		s += fmt.Sprintf(", with a chance of %s", word.Percent(next.Probability))
	}
	switch d := next.Effort - best.Effort; {
	case d > 0:
		s += "; it costs more effort"
	case d < 0:
		s += "; it would save effort"
	}
	return s + "."
}

// heldBack says what keeps the best plan from being surer.
func (p *Plans) heldBack(k plan.Plan) []string {
	const worth, sure = 0.005, 0.99
	if k.Probability > sure {
		return nil
	}
	var out []string
	for _, h := range k.HeldBack {
		if h.Without-k.Probability < worth {
			continue
		}
		w := k.Weakest()
		with := fmt.Sprintf("the chance would be %s", word.Percent(h.Without))
		switch h.Cause {
		case plan.ByWear:
			out = append(out, fmt.Sprintf("the wear at %s, which makes %s along it (without it %s)", w.Name,
				p.Small(w.Wear), with))
		case plan.ByBending:
			out = append(out, fmt.Sprintf("the bending under the cut, %s along %s (with a stiff part %s)",
				p.Small(w.Bending), w.Name, with))
		case plan.BySurvey:
			l := p.Lathes[k.Lathe]
			out = append(out, fmt.Sprintf("that the wear is not known better (if it were, %s; wornway wear %s --for "+
				"%s,%s ranks what to measure)", with, p.Names[k.Lathe], l.BareAbout(w.From)+p.In.String(),
				l.BareAbout(w.To)+p.In.String()))
		case plan.ByDial:
			out = append(out, fmt.Sprintf("the dial, whose finest setting makes %s on the diameter (with a finer one "+
				"%s)", p.Small(k.Dial.Limit()), with))
		case plan.ByHolding:
			out = append(out, fmt.Sprintf("that the part is held twice, in %s (if it ran true again, %s; job.jaws "+
				"says how the chuck finds it again)", p.again(k), with))
		case plan.ByMeasuring:
			out = append(out, fmt.Sprintf("the measuring of the diameter (if it were exact, %s)", with))
		}
	}
	if len(out) == 0 {
		return nil
	}
	const most = 3
	lead := "What holds it back most: "
	return []string{lead + word.List(out[:min(most, len(out))]) + "."}
}

// again says in what the part is held once more.
func (p *Plans) again(k plan.Plan) string {
	if k.SetUps[1].Way.Gripped() {
		return p.File.Job.Part.Jaws.Words()
	}
	return "the centres"
}

// trueness says how true the features of different set-ups run to each other.
func (p *Plans) trueness(k plan.Plan) []string {
	var out []string
	untold := func(begin string, k plan.Plan) {
		near, _ := work.Runs(k.SetUps[1].Way, p.File.Job.Part.Jaws, false)
		out = append(out, fmt.Sprintf("%s. Features of different set-ups then run out to each other by up to %s on an "+
			"indicator (%s; common practice, no source). A feature's runout and runout_to say how true it must run.",
			begin, p.Small(near), p.again(k)))
	}
	if k.Untold {
		untold("The part is gripped twice", k)
	}
	if o, ok := p.likelierGrippedTwice(k); ok {
		begin := "All sizes would be held"
		if !o.Holds {
			begin = "The sizes would be likelier held, with " + word.Percent(o.Probability) + ","
		}
		untold(begin+" if the part were gripped twice ("+p.held(o)+"), but such plans are ranked last, as the job "+
			"says nothing of runout", o)
	}
	for _, f := range k.Features {
		switch {
		case f.Runs == nil:
		case f.Runs.Limit == 0:
			out = append(out, fmt.Sprintf("%s and %s are turned in one set-up, and run true to each other as far as "+
				"the spindle does.", word.Upper(f.Name), f.RunoutTo))
		default:
			out = append(out, fmt.Sprintf("%s runs out to %s by up to %s as an indicator reads it (held once more in "+
				"%s; common practice, no source), where %s is asked.", word.Upper(f.Name), f.RunoutTo,
				p.Small(f.Runs.Limit), p.again(k), p.Small(f.Runout)))
		}
	}
	return out
}

// likelierGrippedTwice returns the likeliest plan that comes behind only since it grips the part twice and nothing is
// said of runout, and false where none does.
func (p *Plans) likelierGrippedTwice(k plan.Plan) (best plan.Plan, ok bool) {
	const worth = 0.05
	if k.Untold || k.Holds {
		return best, false
	}
	for _, o := range p.Result.Plans {
		if o.Untold && (o.Holds || o.Probability > k.Probability+worth) && (!ok || o.Probability > best.Probability) {
			best, ok = o, true
		}
	}
	return best, ok
}

// survey says which survey not yet made would help a plan most that the knowledge of the wear holds back: the one that
// leaves least of the ± at its weakest feature.
func (p *Plans) survey(k plan.Plan) []string {
	if k.Holds || len(k.HeldBack) == 0 || !slices.ContainsFunc(k.HeldBack,
		func(h plan.Hindrance) bool { return h.Cause == plan.BySurvey && h.Without > k.Probability+0.05 }) {
		return nil
	}
	l, w := p.Lathes[k.Lathe], k.Weakest()
	f := w.Feature
	f.Tolerance = 0
	a, err := ways.Look(l, compensate.Cut{Feature: f, SetAt: f.To}, false, nil)
	if err != nil || a.Out == nil {
		return nil // nothing is left to suggest
	}
	first := a.Candidates[a.Out.First]
	return []string{fmt.Sprintf("Of the surveys not yet made %s would tell most of %s: it would bring the ± of what "+
		"bed and spindle do there from %s to %s.", ways.Named(first), w.Name, p.Small(2*a.Out.Now),
		p.Small(2*a.Out.After[a.Out.First]))}
}

// helps says what else would promise more.
func (p *Plans) helps(best plan.Plan) []string {
	var out []string
	for _, h := range p.Result.Helps {
		switch {
		case !h.Plan.Stated || !best.Stated:
		case h.Steady && h.Plan.Probability > best.Probability+0.01:
			at := math.NaN()
			for _, u := range h.Plan.SetUps {
				if u.Steady != nil {
					at = *u.Steady
				}
			}
			out = append(out, fmt.Sprintf("A steady at %s would bring it to %s.", p.About(at),
				word.Percent(h.Plan.Probability)))
		case !h.Steady:
			out = append(out, fmt.Sprintf("On “%s” the best would be %s: %s.", p.Question.Lathes[h.Plan.Lathe].Name,
				word.Percent(h.Plan.Probability), p.kindWords(h.Plan)))
		}
	}
	return out
}

// cautions are those that the plan asks for.
func (p *Plans) cautions(k plan.Plan) []string {
	var out []string
	for _, u := range k.SetUps {
		for _, s := range say.HoldingCautions(p.File.Job.Part, p.Question.Lathes[k.Lathe].JawsFront, u.Mounting) {
			if !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}

// onFinished says which features that were finished in an earlier set-up jaws or dog hold in a later one.
func (p *Plans) onFinished(k plan.Plan) []string {
	var out []string
	for i, u := range k.SetUps {
		switch held := p.named(u.Finished); {
		case len(held) == 0:
		case u.Way.Gripped():
			out = append(out, fmt.Sprintf("In set-up %d the jaws hold %s, finished already: use soft jaws or "+
				"packing, and indicate the part true.", i+1, word.List(held)))
		default:
			out = append(out, fmt.Sprintf("In set-up %d the dog sits on %s, finished already: put a strip of copper "+
				"or brass under its screw.", i+1, word.List(held)))
		}
	}
	return out
}
