package say

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/estimate"
	"wornway/profile/length"
	"wornway/profile/survey"
)

// accepted say which slips are taken to have been made.
func accepted(l *shop.Bench) []string {
	var out []string
	for _, a := range l.Accepted {
		name := "[wear]"
		if a.Number != profile.StatedDrops {
			name = fmt.Sprintf("Survey %d", a.Number)
		}
		out = append(out, fmt.Sprintf("%s is read as if %s (--accept-slip). If that is so, mend it in the "+
			"profile.", name, a.If))
	}
	return out
}

// grown says where a way would stand higher than when it was new.
func grown(l *shop.Bench) []string {
	var out []string
	for _, g := range l.Estimate.Grown {
		out = append(out, fmt.Sprintf("By these readings the %s way at %s would stand %s higher than where it is "+
			"unworn, %s. Ways only lose metal: look for a slip, or see whether the stretches taken as unworn are worn.",
			g.Curve, l.At(g.Position), l.Small(g.Rise), l.PlusMinus(g.U, true)))
	}
	return out
}

// Warned is what the readings of a lathe and its file warn of.
func Warned(l *shop.Bench) []string {
	out, sure := doubt(l)
	if !sure { // otherwise what else does not agree comes of that, or is seen once it is undone
		out = append(out, Conflicts(l)...)
	}
	return append(out, Warnings(l.Profile)...)
}

// InDoubt says in a word that wear doubts the readings, or that a collar stands out; empty where all is well.
func InDoubt(l *shop.Bench) string {
	if l.Collars != nil {
		if len(l.Collars.Odd) == 0 {
			return ""
		}
		return fmt.Sprintf("THE COLLAR AT %s STANDS OUT: measure it again.", l.At(l.Collars.Odd[0].Position))
	}
	if said, _ := doubt(l); len(said) == 0 {
		return ""
	}
	return "THE READINGS ARE IN DOUBT: see " + Wearing(l) + "."
}

// Wearing is the command that says what is wrong with readings.
func Wearing(l *shop.Bench) string {
	if l.File == "-" {
		return "wornway wear"
	}
	return "wornway wear " + l.File
}

// doubt says in few words that a slip with a survey is suspected, or wear where there should be none: what wear says at
// length. It says whether that is sure. Readings that cannot be searched are not doubted.
func doubt(l *shop.Bench) (out []string, sure bool) {
	d, err := l.Estimate.Slips()
	if err != nil || !d.Amiss() {
		return nil, false
	}
	see := fmt.Sprintf(" See %s before you cut by this.", Wearing(l))
	probably := func(p float64) string {
		if p > 0.5 {
			return "probably"
		}
		return "perhaps"
	}
	if w := d.Worn; w != nil && w.Probability > estimate.WorthSaying {
		how := probably(w.Probability)
		if sure = w.Sure(); sure {
			how = "by the readings"
		}
		out = append(out, fmt.Sprintf("The stretch from %s to %s is taken as unworn, but %s it is worn itself; all "+
			"drops count from there.%s", l.Bare(w.From), l.At(w.To), how, see))
	}
	if sure || d.Likely() <= estimate.WorthSaying {
		return out, sure
	}
	first := d.Slips[0]
	if d.Sure {
		_, file := l.Surveyed(first.Survey)
		return append(out, fmt.Sprintf("%s fits only if %s; do not trust this until that is mended.%s",
			SurveyName(l, first.Survey, l.Estimate.Surveys[first.Survey], file), first.If, see)), true
	}
	return append(out, fmt.Sprintf("One survey is %s wrong as a whole, for instance with its sign turned round "+
		"(%.0f %%).%s", probably(d.Likely()), 100*d.Likely(), see)), false
}

// Conflicts says which readings and surveys do not agree with the others. What goes for several surveys alike is said
// of them together.
func Conflicts(l *shop.Bench) []string {
	var out []string
	alone, torn := doubted(l, sureDoubt, 1), doubted(l, slightDoubt, sureDoubt)
	const several = 3
	if len(alone) >= several {
		out = append(out, fmt.Sprintf("%s do not agree with the others: their readings count as %s times less sure, "+
			"which widens the ±.", surveyNames(l, alone), factors(l, alone)))
	}
	if len(torn) >= several {
		out = append(out, fmt.Sprintf("%s contradict each other, and the readings do not tell which is wrong; the ± "+
			"covers that. If one alone were wrong, it would count as %s times less sure.", surveyNames(l, torn),
			factors(l, torn)))
	}
	for i, a := range l.Estimate.Surveys {
		_, file := l.Surveyed(i)
		said := len(alone) >= several && slices.Contains(alone, i) || len(torn) >= several && slices.Contains(torn, i)
		out = append(out, disagreement(l, i, a, file, said)...)
	}
	return append(out, grown(l)...)
}

// doubted returns the surveys that disagree and are doubted with more than one probability, up to another.
func doubted(l *shop.Bench, more, most float64) (of []int) {
	for i, a := range l.Estimate.Surveys {
		if a.Disagrees() && a.Doubt > more && a.Doubt <= most {
			of = append(of, i)
		}
	}
	return of
}

// surveyNames names several surveys; of very many it says how many they are.
func surveyNames(l *shop.Bench, of []int) string {
	const most = 8
	if len(of) > most {
		return fmt.Sprintf("%d of the %d surveys", len(of), len(l.Estimate.Surveys))
	}
	var names []string
	for _, i := range of {
		_, file := l.Surveyed(i)
		names = append(names, SurveyName(l, i, l.Estimate.Surveys[i], file))
	}
	return word.List(names)
}

// factors says how much less sure several surveys count.
func factors(l *shop.Bench, of []int) string {
	least, most := math.Inf(1), 0.0
	for _, i := range of {
		f := l.Estimate.Surveys[i].Factor
		least, most = math.Min(least, f), math.Max(most, f)
	}
	if word.Times(least) == word.Times(most) {
		return word.Times(least)
	}
	return word.Times(least) + " to " + word.Times(most)
}

// disagreement names the readings that do not fit, and the survey where it does not fit as a whole and that was not
// said already.
func disagreement(l *shop.Bench, i int, a estimate.Agreement, file string, said bool) []string {
	where := SurveyName(l, i, a, file)
	const much = 2.0 // times what is expected: no single reading stands out, but the survey as a whole does
	off := a.RMS / a.Expected
	var out []string
	switch {
	case said:
	case a.Disagrees() && a.Doubt > sureDoubt:
		out = append(out, fmt.Sprintf("%s does not agree with the others: its readings count as %s times less "+
			"sure, which widens the ±.", where, word.Times(a.Factor)))
	case a.Disagrees() && a.Doubt >= slightDoubt:
		out = append(out, fmt.Sprintf("%s and others contradict each other, and the readings do not tell which is "+
			"wrong; the ± covers both. If it alone were wrong, it would count as %s times less sure.", where,
			word.Times(a.Factor)))
	case a.Factor == 1 && len(a.Outliers) == 0 && a.Expected > 0 && off > much:
		out = append(out, fmt.Sprintf("%s hardly agrees with the others: its readings are %s times as far off as "+
			"expected.", where, word.Times(off)))
	}
	m, _ := survey.Find(a.Method)
	for k, o := range a.Outliers {
		const few = 3
		if o.Doubt < slightDoubt && (a.Disagrees() || k >= few) {
			continue // said of the survey as a whole
		}
		s := fmt.Sprintf("%s, row %d, at %s, is off by %.1f times its uncertainty", where, o.Row, l.At(o.Position),
			math.Abs(o.Sigma))
		switch {
		case o.Aside:
			s += " and is left out: read it again."
		case o.Doubt >= slightDoubt:
			s += fmt.Sprintf(", and so is the only reading of another survey to compare it with. The chance that this "+
				"is the wrong one is %.0f %%; the ± covers both. Read both again.", 100*o.Doubt)
		default:
			s += ": read it again."
		}
		if slip := m.Misread(o.Reading, o.Off, o.U); slip != "" {
			s += " It fits if " + slip + "."
		}
		out = append(out, s)
	}
	return out
}

// What is said of a survey that is doubted with which probability.
const (
	sureDoubt   = 0.95
	slightDoubt = 0.05
)

// SurveyName says which survey is meant.
func SurveyName(l *shop.Bench, i int, a estimate.Agreement, file string) string {
	if file != "" {
		return file
	}
	return numberedName(l.Numbers()[i], a.Method)
}

// numberedName calls a survey by its number, and stated drops by their key.
func numberedName(number int, method string) string {
	if number == profile.StatedDrops {
		return "[wear]"
	}
	return fmt.Sprintf("Survey %d (%s)", number, method)
}

// RowName is numberedName for a table's row.
func RowName(number int, method string) string {
	if number == profile.StatedDrops {
		return "[wear]"
	}
	return fmt.Sprintf("%d: %s", number, method)
}

func IsLevel(method string) bool {
	m, _ := survey.Find(method)
	return m.Level
}

// Twisted says whether the bed is twisted by more than its ±.
func Twisted(l *shop.Bench) bool { return math.Abs(l.Estimate.Twist) > 2*l.Estimate.TwistU }

// Twist says how far the bed is twisted, which is levelling and not wear.
func Twist(l *shop.Bench) string {
	return fmt.Sprintf("The bed is twisted by %s ± %s %s: that is levelling, not wear, and is counted in what the "+
		"tool does.", l.Units.Twist(l.Estimate.Twist), l.Units.Twist(2*l.Estimate.TwistU), l.TwistUnit())
}

// Seated says how the saddle sits where the readings tell: better than six tenths of what is not known otherwise.
func Seated(l *shop.Bench) []string {
	const told = 0.35
	v, u, stated := l.Machine.Wear.Seating()
	if !stated || u == 0 || u > told {
		return nil
	}
	v = math.Max(0, math.Min(1, v)) // what noise takes beyond is no saddle
	return []string{fmt.Sprintf("By the readings the saddle's seating is %s ± %s. At 0 it gives and bears on both "+
		"ends of the rear way; at 1 it is stiff and rides on the higher end.",
		length.Fixed(v, 2), length.Fixed(2*u, 2))}
}

// Limits says what each method that was used cannot see by itself.
func Limits(l *shop.Bench) []string {
	var out []string
	for _, a := range l.Estimate.Surveys {
		m, _ := survey.Find(a.Method)
		if s := word.Upper(m.Unseen) + "."; m.Unseen != "" && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}

// Unseen says what no reading determines.
func Unseen(l *shop.Bench) []string {
	out, usual := []string{}, []string{}
	for _, u := range l.Estimate.Unseen {
		switch {
		case !u.Nowhere:
			where := fmt.Sprintf("from %s to %s", l.BareAbout(u.Seen[0]), l.About(u.Seen[1]))
			if u.Seen[0] == u.Seen[1] {
				where = "near " + l.About(u.Seen[0])
			}
			out = append(out, fmt.Sprintf("The readings tell %s only %s; beyond that it is taken from how beds "+
				"usually wear.",
				u.What, where))
		case u.Standard == 0:
			out = append(out, fmt.Sprintf("No reading tells %s; it is taken as the profile has it.", u.What))
		default:
			usual = append(usual, u.What)
		}
	}
	if n := len(usual); n > 0 {
		its := "its"
		if n > 1 {
			its, usual = "their", []string{strings.Join(usual[:n-1], ", ") + " or " + usual[n-1]}
		}
		out = append(out, fmt.Sprintf("No reading tells %s; %s ± is what is usual.", usual[0], its))
	}
	return out
}
