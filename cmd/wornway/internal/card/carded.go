package card

import (
	"fmt"
	"strings"

	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/sheet"
	"wornway/cmd/wornway/internal/turning"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/length"
)

// Entry is one length or feature with its corrections, to be put on paper.
type Entry struct {
	turning.Correction
	turning.Promise
	Name string // of the feature; empty for a length
	How  string // how the work is held, for a job
}

// workWords is what the card is for.
func workWords(k Entry) string {
	what := k.Work()
	if k.Name != "" {
		what = k.Name + ": " + what
	}
	return what
}

// setOver says how the compound is set before all else; empty where the cross slide's dial is turned.
func (k Entry) setOver() string {
	if k.Dial.Angle == 0 {
		return ""
	}
	return "COMPOUND TO " + word.Degrees(k.Dial.Angle)
}

// zero says where the dial is set to 0, and at what diameter.
func (k Entry) zero() string {
	c := k.K.Curve
	return fmt.Sprintf("AT %s CUT TO %s", k.About(c.SetAt), k.Diameter(k.aim()))
}

// aim is the diameter that is to be measured at the zero, mm.
func (k Entry) aim() float64 { return k.K.Curve.Diameter + k.K.Aim }

// feed says which way to feed.
func (k Entry) feed() string {
	zero := "DIAL 0, "
	if len(k.K.Moves) == 0 {
		zero = ""
	}
	if k.K.Feed == compensate.TowardTailstock {
		return zero + "FEED → tailstock"
	}
	return zero + "FEED ← headstock"
}

// noted is what belongs to the moves.
func noted(k Entry) []string {
	c := k.K.Curve
	t := c.Taper()
	left := fmt.Sprintf("Leaves %s of %s along it, ", k.Small(k.K.MovesSpread), k.Small(k.K.Before))
	if len(k.K.Moves) == 0 {
		left = fmt.Sprintf("Varies by %s along it, ", k.Small(k.K.Before))
	}
	if t.Stated {
		left += fmt.Sprintf("%s not known.", k.PlusMinus(t.UEnds, true))
	} else {
		left += "± not stated."
	}
	if k.Held && k.Says != "" {
		left += " " + k.Says
	}
	if k.How != "" {
		left += " Held " + k.How + "."
	}
	dial := "the slide's own way (radius)"
	if k.Dial.Diameter {
		dial = "diameter"
	}
	slide := "Dial"
	if k.Dial.Angle != 0 {
		slide = "Its dial"
	}
	left += fmt.Sprintf(" %s counts %s; %s makes %s.", slide, dial, word.Divisions(k.Dial.Finest),
		k.Small(k.Dial.Limit()))
	said := word.Said(say.InDoubt(k.Bench), left, k.geometry(), k.Surveyed(), say.OtherWork(k.Bench, c), sheet.Stale)
	return []string{strings.Join(said, " "), sheet.TestCut + ". " + collarOff + " " + sheet.Careful}
}

// withLadder returns notes with what each number of settings leaves before them, and after that without.
func withLadder(k Entry, notes []string) [][]string {
	if len(k.K.Ladder) < 2 {
		return [][]string{notes}
	}
	s := "Settings: spread left"
	for i, r := range k.K.Ladder {
		mark := map[bool]string{true: " (this list)"}[i == k.K.Chosen]
		s += fmt.Sprintf("%s %d: %s%s", map[bool]string{true: " –", false: ","}[i == 0], r.Settings, k.Cell(r.Spread),
			mark)
	}
	return [][]string{append([]string{s + " " + k.SmallName() + "; a turn back counts as two."}, notes...), notes}
}

// geometry is what the numbers were calculated with; empty where nothing is known of it.
func (k Entry) geometry() string {
	if k.Collars != nil {
		return ""
	}
	g := k.K.Curve.Lathe
	saddle := "saddle taken as a point"
	if g.Saddle.BearingLength > 0 {
		saddle = "saddle " + k.At(g.Saddle.BearingLength)
	}
	return fmt.Sprintf("Centre height %s, way span %s, %s.", k.At(g.CentreHeight), k.At(g.Span), saddle)
}

// DialNote says in few words what is turned.
func (k Entry) DialNote() string {
	name, counts := "cross slide", "the slide's own way (radius)"
	if k.Dial.Angle != 0 {
		name = fmt.Sprintf("compound at %s from the bed's axis", word.Degrees(k.Dial.Angle))
	}
	if k.Dial.Diameter {
		counts = "diameter"
	}
	return fmt.Sprintf("Dial: %s, counts %s. 1 division is %s; %s, the finest, makes %s on the diameter.", name, counts,
		k.Division(k.Dial.Division), word.Divisions(k.Dial.Finest), k.Small(k.Dial.Limit()))
}

// Surveyed says what the wear was found by.
func (k Entry) Surveyed() string {
	if k.Collars != nil {
		from, to := k.Collars.Range()
		return fmt.Sprintf("From collars alone, %s to %s, bar Ø %s.", k.Bare(from), k.At(to),
			k.Diameter(k.Collars.Diameter()))
	}
	if len(k.Surveys) == 0 {
		return "Wear as stated, not dated."
	}
	methods, seen := "", map[string]bool{}
	for _, s := range k.Surveys {
		if !seen[s.Method] {
			seen[s.Method] = true
			methods += ", " + s.Method
		}
	}
	s := "Surveyed by " + methods[2:]
	if _, _, last, _ := k.Dates(); !last.IsZero() {
		s += ", last on " + word.Day(last)
	}
	return s + "."
}

// unitWords names the unit as a reader of a drawing has it.
func (k Entry) unitWords() string {
	if k.In == length.Inch {
		return "inches"
	}
	return "mm"
}

// collarOff says what to do where the test collar does not measure as it should.
const collarOff = "Off by the same all along: set the dial anew. By more toward one end: do not use this, survey " +
	"again."
