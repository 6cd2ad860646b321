package say

import (
	"fmt"
	"math"

	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile"
	"wornway/profile/collars"
	"wornway/profile/length"
)

// outRule says how far work may stand out of the jaws with its end free, in diameters, alike wherever it stands out too
// far.
var outRule = fmt.Sprintf("%g is usual, %g is the limit", profile.UsualOverhang, profile.MostOverhang)

// Unsupported cautions whoever is to cut work with its end free.
var Unsupported = fmt.Sprintf("Unsupported stock: about %g diameters out of the chuck is usual, %g is the limit.",
	profile.UsualOverhang, profile.MostOverhang)

// Out says, where a length of work or a bar stands too far out of the jaws, that it needs the tailstock; empty
// otherwise.
func Out(l *shop.Bench, c *compensate.Curve) string {
	k := l.Collars
	if k == nil {
		return barOut(l, c)
	}
	if k.How.Held.Tailed() {
		return ""
	}
	_, last := k.Range()
	bar, work := k.Out(last), (c.To-k.Jaws)/c.Diameter
	what, out := "The length reaches", work
	if bar > work {
		what, out = "The collars reach", bar
	}
	if out <= profile.UsualOverhang+0.05 {
		return ""
	}
	return fmt.Sprintf("%s %s diameters out of the jaws (%s): put the bar and the work on the tailstock's centre, "+
		"and cut the collars again. --held chuck-and-centre is only for collars that were cut with the centre in.",
		what, word.Fixed(out, 1), outRule)
}

// barOut says it of a length on a lathe whose profile is known.
func barOut(l *shop.Bench, c *compensate.Curve) string {
	b := l.Bar
	if b == nil || !b.Far {
		return ""
	}
	own := ""
	if most := l.Anyhow().Overhang; most != profile.UsualOverhang {
		own = fmt.Sprintf("; longest_overhang of this lathe is %s", word.Fixed(most, 1))
	}
	return fmt.Sprintf("The work stands %s diameters out of %s (%s%s): put it on the tailstock's centre (--held "+
		"chuck-and-centre).", word.Fixed(b.Diameters, 1), Near(l), outRule, own)
}

// InJaws says it where a length that the chuck holds begins behind the front of its jaws; empty otherwise.
func InJaws(l *shop.Bench, c *compensate.Curve) string {
	const much = 0.05 // mm
	if l.Bar == nil || !l.Bar.Way.Gripped() || l.Lathe.Holding == nil || c.From >= l.Lathe.Holding.JawsFront-much {
		return ""
	}
	return fmt.Sprintf("The length begins at %s, inside the chuck: its jaws end at %s. Stop the tool short of them, "+
		"and move the length or the work further out.", l.At(c.From), l.At(l.Lathe.Holding.JawsFront))
}

// Wider says why a profile's ± is wider than that of a table of the same collars.
const Wider = "A profile predicts work of any kind, held in any way. So its ± also counts what is not known of how " +
	"the bar was held and gave way, of the spindle and of how the saddle sits: for work like the bar, held alike, " +
	"the table of collars by itself is surer."

// OfCuts says it where turned bars are all that the profile knows of the bed; empty where they are not.
func OfCuts(l *shop.Bench) string {
	if l.Collars != nil || l.Stated != nil || len(l.Surveys) == 0 {
		return ""
	}
	for _, s := range l.Surveys {
		if s.Method != profile.TestCut {
			return ""
		}
	}
	return "All that is known of this bed comes from turned bars. " + Wider
}

// OtherWork says what is different for work that is not like the collars' bar; empty where it is like it.
func OtherWork(l *shop.Bench, c *compensate.Curve) string {
	k := l.Collars
	if k == nil || l.LikeBar {
		return ""
	}
	push, u := k.Push()
	s := fmt.Sprintf("This work is not like the bar of %s. How far the bar gave way to the cut, %s at most and "+
		"%s, is taken out; how far this work will give way is not counted",
		length.Diameter(k.Diameter(), l.In)+" "+l.In.String(), l.Small(push), l.PlusMinus(u, true))
	if !c.Bore {
		s += fmt.Sprintf(": up to %s, cut as the bar was", l.Small(k.Gives(c.From, c.To, c.Diameter)))
	}
	return s + "."
}

// gives is how far work that is not like the collars' bar may give way, which no probability counts, mm on diameter; 0
// where what there is to know of it is counted.
func gives(l *shop.Bench, c *compensate.Curve) float64 {
	if l.Collars == nil || l.LikeBar || c.Bore {
		return 0
	}
	return l.Collars.Gives(c.From, c.To, c.Diameter)
}

// further are what could be done next, in words.
var further = map[collars.Proposal]string{
	collars.AnotherDepth: "another cut over the same collars, twice as deep (columns cut and depth tell them apart)",
	collars.AnotherCut:   "another cut, with the dial set again (a column cut numbers them)",
	collars.BetweenThem:  "another cut with collars halfway between these (a column cut numbers the cuts: 1, 2, …)",
}

// Further says which next measurement would lower the ± along a length most; empty where nothing would by much.
func Further(l *shop.Bench, c *compensate.Curve) string {
	if l.Collars == nil {
		return ""
	}
	next, now, then := l.Collars.Next(c.From, c.To, c.SetAt, l.LikeBar)
	const little = 0.9
	if then > little*now {
		s := "No further cut would lower the ± by much. To know the bed beyond the collars, take a level to the " +
			"saddle and the lathe's five measures"
		return s + fmt.Sprintf(" (wornway new bench.toml --from %s --reading-unit UNIT).", l.File)
	}
	return fmt.Sprintf("What would help most: %s; it would bring the ± of the diameter, on the average along this "+
		"length, down from %s to about %s.", further[next], l.Small(2*now), l.Small(2*then))
}

// ofCollars says what an answer from collars alone takes for granted.
func ofCollars(l *shop.Bench, g Terms) Basis {
	k := l.Collars
	s := Basis{Assumed: []string{g.set}}
	first, last := k.Range()
	how := k.How.Held.Words()
	if !k.How.Held.Tailed() {
		how += " alone"
	}
	jaws := "the jaws ended"
	if !k.How.Held.Gripped() {
		jaws = "the headstock's centre stood"
	}
	at := fmt.Sprintf("%s at %s", jaws, l.At(k.Jaws))
	if math.IsNaN(k.How.HeldAt) {
		at = fmt.Sprintf("%s is taken as %s, as --held-at does not say", map[bool]string{true: "its centre",
			false: "the end of the jaws"}[!k.How.Held.Gripped()], l.At(k.Jaws))
	}
	u := k.How.U
	if u == 0 {
		u = collars.UsualU
	}
	s.Assumed = append(s.Assumed,
		fmt.Sprintf("All is taken from %s in %s, %s to %s, on a bar of %s; of ways and heights nothing is known. %s",
			word.Count(k.Rows(), "collar"), word.Count(len(k.Cuts), "cut"), l.Bare(first), l.At(last),
			length.Diameter(k.Diameter(), l.In)+" "+l.In.String(), holdsFor),
		fmt.Sprintf("The bar was held %s, as the work is; %s.", how, at),
		fmt.Sprintf("One diameter is measured %s, 19 times in 20. Between collars the curve is as smooth as a worn "+
			"bed makes it; how smooth is averaged over.", l.PlusMinus(u, true)))
	if k.Repeat > 0 {
		s.Assumed = append(s.Assumed, fmt.Sprintf("The cuts repeat to about %s beyond that.",
			l.PlusMinus(k.Repeat, true)))
	}
	if l.LikeBar {
		s.Assumed = append(s.Assumed, "The work is like the bar and cut alike: what the bar gave way to the cut is "+
			"in the numbers. A deeper cut or a duller tool pushes harder.")
	}
	s.Assumed = append(s.Assumed, "Heat and the wear of the tool are left out.")
	s.Warnings = odd(l)
	return s
}

// odd says which collars stand out, and what to do.
func odd(l *shop.Bench) []string {
	k := l.Collars
	var out []string
	for _, o := range k.Odd {
		cut := ""
		if len(k.Cuts) > 1 {
			cut = fmt.Sprintf(" of cut %d", o.Cut)
		}
		s := fmt.Sprintf("The collar at %s%s is %s %s than the others lead to expect, %s. A bed hardly does "+
			"that from one collar to the next.", l.At(o.Position), cut,
			l.Small(math.Abs(o.Off)), bigger(o.Off), l.PlusMinus(o.U, true))
		if math.Abs(math.Abs(o.Off)-thimble(l.Units)) < 2*o.U {
			s += fmt.Sprintf(" It fits if the thimble was read a turn off (%s).", l.At(thimble(l.Units)))
		}
		what := "It is left out: measure"
		if o.Kept {
			what = "It counts all the same, as it may be right: measure"
		}
		out = append(out, s+" "+what+" it again before you cut by this.")
	}
	if k.Wild {
		out = append(out, "More collars stand out than can be left out: measure them all again.")
	}
	return out
}

// thimble is by how much a turn opens a micrometer, mm: common practice, no source.
func thimble(w word.Units) float64 {
	if w.In == length.Inch {
		return length.Inch.ToMM(0.025)
	}
	return 0.5
}

func bigger(by float64) string {
	if by < 0 {
		return "smaller"
	}
	return "bigger"
}
