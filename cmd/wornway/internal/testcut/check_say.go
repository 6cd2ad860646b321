package testcut

import (
	"fmt"
	"math"
	"strings"

	"wornway/cmd/wornway/internal/say"
	"wornway/compensate"
	"wornway/profile/length"
)

// came says what the work came out like, whatever was predicted of it, and whether that keeps within its tolerance; 0:
// none was asked.
func (r *Comparison) came(tolerance float64) string {
	least, greatest := r.Extremes()
	by := greatest.Diameter - least.Diameter
	s := fmt.Sprintf("As measured, the work varies by %s from %s to %s", r.Small(by), r.Bare(r.Stations[0].Position),
		r.At(r.Stations[len(r.Stations)-1].Position))
	if r.Small(by) != r.Small(0) {
		s += ", biggest at " + r.At(greatest.Position)
	}
	switch {
	case tolerance > 0 && by <= tolerance:
		s += fmt.Sprintf(": good, within its %s", r.Small(tolerance))
	case tolerance > 0:
		s += fmt.Sprintf(": not good, as its tolerance is %s", r.Small(tolerance))
	}
	return s + "."
}

// Say puts the answer into sentences.
func (r *Comparison) Say(t compensate.TestCut) {
	largest := r.Stations[0]
	for _, s := range r.Stations {
		if math.Abs(s.Difference) > math.Abs(largest.Difference) {
			largest = s
		}
	}
	what := "The cut"
	switch loose := len(t.Loose) > 0; {
	case loose && !r.Cut.As.Held.Gripped():
		what = "But for a straight taper, which work between centres has by their own doing, the cut"
	case loose:
		what = "But for how the tailstock's centre stood, which nobody knows, the cut"
	}
	switch r.Verdict {
	case compensate.Unknown:
		r.Answer = append(r.Answer, fmt.Sprintf("The cut is off most at %s: %s. Whether that is more than chance "+
			"cannot be said, as the wear has no ±.", r.At(largest.Position), r.off(largest.Difference)))
	case compensate.Agrees:
		s := fmt.Sprintf("%s agrees with the prediction (%s).", what, say.ByChance(r.Whole))
		if len(t.Loose) == 0 {
			s += fmt.Sprintf(" It is off most at %s: %s, %s.", r.At(largest.Position), r.off(largest.Difference),
				r.PlusMinus(largest.U, true))
		}
		r.Answer = append(r.Answer, s)
		r.weak(largest)
	case compensate.Tapers:
		b := r.Straight.Terms[0]
		beside := ""
		if len(t.Loose) > 0 {
			beside = "how the tailstock's centre stood and "
		}
		r.Answer = append(r.Answer,
			fmt.Sprintf("The cut agrees with the prediction but for "+beside+"a straight taper of %s, ± %s, %s than "+
				"predicted.", r.Taper(b.Value), r.perLength(2*b.U), r.Bigger(b.Value)),
			fmt.Sprintf("As it stands it does not agree (%s); without that taper it does (%s).", say.ByChance(r.Whole),
				say.ByChance(r.Straight)),
			r.because(b.Value))
	case compensate.Differs:
		w := r.Stations[r.Sign.Worst]
		r.Answer = append(r.Answer, fmt.Sprintf("%s does not agree with the prediction (%s). Against its ± it "+
			"is furthest off at %s: %s, %s.", what, say.ByChance(r.Whole), r.At(w.Position), r.off(w.Difference),
			r.PlusMinus(w.U, true)))
		if s := r.looks(t); s != "" {
			r.Answer = append(r.Answer, s)
		}
	}
}

// weak says where an agreement says little.
func (r *Comparison) weak(largest compensate.CheckStation) {
	for _, s := range r.Stations {
		const times = 3.0 // so many times surer is the cut: it can teach the profile
		if s.UPredicted > times*s.UMeasured && s.UMeasured > 0 {
			r.Remark("The cut is much surer than the prediction: with --add the profile learns from it.")
			return
		}
	}
}

// off says how far a diameter is from its prediction.
func (r *Comparison) off(mm float64) string {
	s := r.Small(math.Abs(mm))
	switch {
	case s == r.Small(0):
		return "as predicted"
	case mm > 0:
		return s + " bigger than predicted"
	}
	return s + " smaller than predicted"
}

// perLength writes an expanded uncertainty of a taper, without its sign, in the unit that people are told first.
func (r *Comparison) perLength(u float64) string {
	text := length.Taper(u, r.In)
	return strings.TrimPrefix(text, "+")
}

// because says what would make such a taper.
func (r *Comparison) because(slope float64) string {
	if r.Causes != nil {
		return r.Causes(slope)
	}
	return r.taperCauses(slope)
}

// taperCauses says what would make such a taper: numbers that follow from the slope alone.
func (r *Comparison) taperCauses(slope float64) string {
	l := r.Curve.Lathe
	lean := compensate.LeanFor(l, slope)
	side := "toward the operator"
	if lean < 0 {
		side = "away from the operator"
	}
	by := fmt.Sprintf("%s by %s over %s", side, r.Small(math.Abs(lean)*r.LeanOver()), r.At(r.LeanOver()))
	const apart = " A test bar tells them apart: indicate along it, turn it half round, and indicate again."
	if k := r.Collars; k != nil { // of ways and heights nothing is known, so no twist can be put in numbers
		if k.How.Held.Tailed() {
			return "This cut and the collars differ by a taper: the tailstock's centre stands elsewhere than it did " +
				"for the collars, or one of the two was held otherwise than was said."
		}
		return "This cut and the collars differ by a taper: the headstock is out of line since the collars were cut " +
			"(a spindle that leans " + by + " more would do it), the bed was levelled anew, or one of the two was " +
			"held otherwise than was said." + apart
	}
	s := fmt.Sprintf("A spindle that leans %s more than in the profile would explain it. So would a bed that "+
		"levelling has twisted since the survey, by %s %s.", by, r.Units.Twist(math.Abs(compensate.TwistFor(l, slope))),
		r.TwistUnit())
	if r.Machine.LeanU() == 0 {
		s += " The profile knows nothing of the spindle's lean, so such a taper is to be expected."
	}
	return s + apart
}

// looks says what the differences look like.
func (r *Comparison) looks(t compensate.TestCut) string {
	k := r.Sign
	amount := fmt.Sprintf("%s, %s", r.Small(math.Abs(k.Size)), r.PlusMinus(k.U, true))
	last := r.Stations[len(r.Stations)-1]
	switch k.Looks {
	case compensate.OneStation:
		where := r.Stations[k.Station]
		side := "big"
		if k.Size < 0 {
			side = "small"
		}
		if k.Station == r.Set {
			return fmt.Sprintf("All others agree if the diameter at %s, with which they are compared, was measured "+
				"too %s by %s: measure it again.", r.At(where.Position), side, amount)
		}
		return fmt.Sprintf("All others agree; the diameter at %s alone is too %s by %s: measure it again.",
			r.At(where.Position), side, amount)
	case compensate.PushOff:
		s := fmt.Sprintf("It grows toward the free end as push-off does, up to %s at %s.", amount, r.At(last.Position))
		if !math.IsNaN(t.HeldAt) {
			s += " That is beyond what is allowed for with held_at."
		}
		return s + " Push-off depends on the depth of cut and wear does not: a much lighter cut tells."
	case compensate.MoreBarrel:
		s := fmt.Sprintf("Beside a straight taper it is bigger in the middle than predicted, by %s: wear there "+
			"that no reading showed would do that.", amount)
		if t.Tailed {
			s += " So would a cut that pushes harder than is usual: held at both ends, work gives way most between " +
				"them. A much lighter cut tells."
		}
		return s
	case compensate.MoreWaist:
		return fmt.Sprintf("Beside a straight taper it is smaller in the middle than predicted, by %s: wear there "+
			"that was overrated, or that goes on beyond the ends, would do that.", amount)
	}
	if len(r.Stations) < 4 {
		return "So few positions do not tell what it looks like: turn four or five collars."
	}
	return "It looks like nothing in particular. Measure again, and see with wornway wear whether the surveys agree " +
		"with each other."
}
