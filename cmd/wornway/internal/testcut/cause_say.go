package testcut

import (
	"fmt"
	"math"
	"strings"

	"wornway/cmd/wornway/internal/word"
	"wornway/compensate/cause"
	"wornway/profile/length"
)

// Called names a cause.
func (k *Inquiry) Called(of cause.Kind) string {
	switch of {
	case cause.AsSurveyed:
		return "the bed as surveyed"
	case cause.WornOn:
		return "more wear than surveyed"
	case cause.Twist:
		return "twist since the survey"
	case cause.Lean:
		return "a spindle that leans"
	case cause.SetOver:
		return "the tailstock to a side"
	case cause.TailHeight:
		return "the tailstock low or high"
	case cause.PushOff:
		return "push-off"
	case cause.Radius:
		return "radius read for diameter"
	case cause.LevelSign:
		return "a level read the wrong way"
	}
	return "something else"
}

// names puts the causes of an explanation together.
func (k *Inquiry) names(e cause.Explanation) string {
	var out []string
	for _, c := range e.Causes {
		out = append(out, k.Called(c))
	}
	return strings.Join(out, " with ")
}

// Strength is how strong a cause is, for people and for files: value and standard uncertainty in a unit.
type Strength struct {
	amount, plusMinus, tail string
	Value, u                float64
	In                      string // empty: it has none
}

func (s Strength) String() string {
	if s.In == "" {
		return "–"
	}
	return s.amount + ", " + s.plusMinus + s.tail
}

// Bare leaves the ± out.
func (s Strength) Bare() string {
	if s.In == "" {
		return "–"
	}
	return s.amount + s.tail
}

func (k *Inquiry) Strength(f cause.Found) Strength {
	over := k.LeanOver()
	side := func(v float64) string {
		if v < 0 {
			return "away from the operator"
		}
		return "toward the operator"
	}
	small := func(mm, u float64, tail string) Strength {
		return Strength{k.Small(math.Abs(mm)), k.PlusMinus(u, true), tail, k.In.From(mm), k.In.From(u), ""}
	}
	switch f.Kind {
	case cause.WornOn:
		return Strength{fmt.Sprintf("%.0f %% more", 100*f.Size), fmt.Sprintf("± %.0f %%", 200*f.U), "", f.Size, f.U,
			"share of the wear"}
	case cause.Twist:
		const perMetre = 1e6 // mm/m in a metre
		v, u := f.Size/cause.Span*perMetre, f.U/cause.Span*perMetre
		lean := "toward the operator"
		if v < 0 {
			lean = "away from the operator"
		}
		return Strength{length.Fixed(math.Abs(v), 3) + " mm/m in a metre", "± " + length.Fixed(2*u, 3),
			", leaning " + lean + " at the tailstock", v, u, "mm/m per metre"}
	case cause.Lean, cause.SetOver:
		s := small(f.Size/cause.Span*over, f.U/cause.Span*over, fmt.Sprintf(" over %s, %s", k.At(over), side(f.Size)))
		s.In = fmt.Sprintf("%s over %s", k.In, k.At(over))
		return s
	case cause.TailHeight:
		v := math.Sqrt(f.Size)
		u := f.U / (2 * math.Max(v, math.Sqrt(f.U)))
		s := small(v/cause.Span*over, u/cause.Span*over, " over "+k.At(over))
		s.In = fmt.Sprintf("%s over %s", k.In, k.At(over))
		return s
	case cause.PushOff:
		s := small(f.Size, f.U, ", on diameter where it is greatest")
		s.In = k.In.String() + " on diameter"
		return s
	}
	return Strength{Value: math.NaN(), u: math.NaN()}
}

// ground says by what a cause is known.
func (k *Inquiry) ground(f cause.Found) string {
	centres, propped, chucked, level := false, false, false, false
	light, deep := math.Inf(1), 0.0
	for _, c := range k.Cuts {
		switch {
		case len(c.As.Positions) == 0:
			level = level || c.Set.Method.Level
		case !c.As.Held.Gripped():
			centres = true
		case c.As.Held.Tailed():
			propped = true
		default:
			chucked = true
		}
		if c.As.Depth > 0 {
			light, deep = math.Min(light, c.As.Depth), math.Max(deep, c.As.Depth)
		}
	}
	const differ = 2.0 // times deeper
	var s string
	switch f.Kind {
	case cause.AsSurveyed:
		return "nothing has to be added to what the profile foretells"
	case cause.WornOn:
		s = "it has the shape of the wear in the profile, in every cut, light or deep"
	case cause.Twist, cause.Lean:
		s = "a straight taper in what the spindle holds"
		if centres {
			s += ", and none of it between centres"
		}
		if propped {
			s += "; on the tailstock's centre what is left once the bar bends to it"
		}
		switch {
		case level && f.Kind == cause.Twist:
			s += "; a level on the saddle reads it too"
		case level:
			s += "; a level on the saddle reads nothing of it"
		}
	case cause.SetOver:
		s = "a straight taper only between centres"
		if propped {
			s = "only where the tailstock's centre carries the bar, in the shape in which it follows"
		}
	case cause.TailHeight:
		s = "only between centres, bigger toward the tailstock with the square of the distance"
		if propped {
			s = "only where the tailstock's centre carries the bar, bigger toward it by more and more"
		}
	case cause.PushOff:
		s = "with the cube of the distance from the jaws"
		if !chucked {
			s = "bigger in the middle between what holds both ends"
		}
		if deep >= differ*light {
			s = "it goes with the depth of cut, and " + s
		} else {
			s += "; no two cuts differ in depth, which would tell most"
		}
	case cause.Radius:
		if f.Survey < 0 {
			return "all cuts agree once their differences are doubled"
		}
		return k.Files[f.Survey] + " agrees once its differences are doubled"
	case cause.LevelSign:
		return fmt.Sprintf("the cuts agree once survey %d of the profile is read the other way round (--accept-slip "+
			"%d:sign)", f.Survey, f.Survey)
	case cause.Other:
		return "a smooth error with the shape of none of these, wear that the survey missed, or measurements far " +
			"worse than stated"
	}
	if f.Seen < cause.Unseen {
		s += "; these measurements hardly see it: its probability is little more than what is usual anyway"
	}
	return s
}

// answer says what it is, or that it cannot be told, and what would tell.
func (k *Inquiry) answer() []string {
	var out []string
	first := k.Causes[0]
	switch {
	case k.Decided && first.Kind == cause.AsSurveyed:
		out = append(out, fmt.Sprintf("The bed as surveyed explains these cuts (%s): no other cause is needed.",
			word.Percent(first.Probability)))
	case k.Decided && first.Kind == cause.Other:
		out = append(out, fmt.Sprintf("It is none of the causes that are known here (%s): look for wear that the "+
			"survey missed, a loose gib, a worn tool, heat, or measure again.", word.Percent(first.Probability)))
	case k.Decided:
		s := fmt.Sprintf("It is %s (%s)", k.Called(first.Kind), word.Percent(first.Probability))
		if t := k.Strength(first); t.In != "" {
			s += ": " + t.String()
		}
		out = append(out, s+".")
		const likely = 0.5
		if second := k.Causes[1]; second.Probability >= likely {
			out = append(out, fmt.Sprintf("Beside it there is most likely %s (%s): %s.", k.Called(second.Kind),
				word.Percent(second.Probability), k.Strength(second)))
		}
	default:
		var of []string
		for _, f := range k.Causes {
			const worth, most = 0.1, 3
			if f.Probability >= worth && len(of) < most {
				of = append(of, fmt.Sprintf("%s %s", k.Called(f.Kind), word.Percent(f.Probability)))
			}
		}
		if len(of) == 0 {
			of = []string{k.Called(first.Kind) + " " + word.Percent(first.Probability)}
		}
		out = append(out, "These cuts cannot tell yet which it is: "+strings.Join(of, ", ")+".")
	}
	if s := k.same(); s != "" {
		out = append(out, s)
	}
	if s := k.next(); s != "" {
		out = append(out, s)
	}
	return out
}

// same names causes that matter here and look alike.
func (k *Inquiry) same() string {
	const matters = 0.05
	p := map[cause.Kind]float64{}
	for _, f := range k.Causes {
		p[f.Kind] = f.Probability
	}
	var out []string
	for _, a := range k.Alike {
		if p[a[0]] >= matters && p[a[1]] >= matters {
			out = append(out, fmt.Sprintf("%s from %s", k.Called(a[0]), k.Called(a[1])))
		}
	}
	if len(out) == 0 {
		return ""
	}
	return "These cuts tell " + strings.Join(out, ", and ") + " only by how strong each would have to be."
}

// next says which cut or reading would tell most.
func (k *Inquiry) next() string {
	a, b := k.Rivals()
	if k.Decided || len(k.told) == 0 {
		return ""
	}
	t, f := k.told[0], k.further[0]
	const little = 0.5 // of the sum for both: not enough to make even odds two to one
	if t.Separation < little {
		return fmt.Sprintf("No one further cut or reading of the usual ones would tell %s from %s.", k.names(a),
			k.names(b))
	}
	span := fmt.Sprintf("from %s to %s", k.Bare(f.From), k.At(f.To))
	what := "five collars from the chuck, a cut of " + k.At(f.Depth) + " deep"
	switch f.Name {
	case "centres":
		what = "five collars between centres, a cut of " + k.At(f.Depth) + " deep"
	case "saddle-level":
		what = "a level on the saddle"
	case "bar-side":
		what = "an indicator along a test bar, the mean of two runs half a turn apart"
	}
	apart, known := k.Small(t.Apart), k.PlusMinus(t.U, true)
	if f.Name == "saddle-level" {
		const perMetre = 1000
		apart, known = length.Fixed(t.Apart*perMetre, 3)+" mm/m", "± "+length.Fixed(2*t.U*perMetre, 3)+" mm/m"
	}
	return fmt.Sprintf("What would best tell %s from %s: %s, %s. Between %s and %s they differ by about %s there, "+
		"which would be known to %s.", k.names(a), k.names(b), what, span, k.Bare(t.From), k.At(t.To), apart, known)
}
