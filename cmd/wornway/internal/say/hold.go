package say

import (
	"fmt"
	"math"

	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate/setup"
	"wornway/compensate/work"
	"wornway/profile"
)

// Hold says how to hold a part.
func Hold(w word.Units, part *work.Part, u *setup.Mounting) string {
	s := ""
	if u.EndForEnd {
		s = "turn the part end for end and "
	}
	switch u.Way {
	case work.Centres:
		s += fmt.Sprintf("hold it between centres, %s apart", w.At(part.Length))
	case work.ChuckAndCentre:
		s += fmt.Sprintf("hold it in the chuck, its far end on the tailstock's centre, with its headstock end %s",
			w.FromNose(u.At))
	default:
		s += fmt.Sprintf("hold it in the chuck with its headstock end %s, so that it stands out of the jaws by %s",
			w.FromNose(u.At), w.About(u.Overhang))
		if part.Stock > 0 {
			s += fmt.Sprintf(" (%.1f diameters)", u.Overhang/part.Stock)
		}
	}
	if u.Steady != nil {
		s += fmt.Sprintf(", with the steady at %s", w.About(*u.Steady))
	}
	if u.SetOver != 0 {
		s += ", with the tailstock " + w.SetOver(u.SetOver)
	}
	return s
}

// Near says from where work in the chuck stands out.
func Near(l *shop.Bench) string {
	if l.Lathe.Holding == nil {
		return "the spindle nose"
	}
	return "the jaws"
}

// Slender cautions about a length of work so long and thin that it bends; nothing where it does not, or is not known
// to.
func Slender(b *setup.Bar) []string {
	if b == nil || !b.Way.Tailed() && !b.Far {
		return nil
	}
	return word.Said(slender(b.Diameters))
}

// slender cautions about work so many diameters long between its supports, whose bending is not counted; empty where
// that is usual. From where on it takes a steady: common practice, no source.
func slender(diameters float64) string {
	const usual = 12
	if diameters <= usual {
		return ""
	}
	return fmt.Sprintf("Work %s diameters long bends away from the tool in its middle, which no number here counts: "+
		"set a steady and cut lightly.", word.Fixed(diameters, 1))
}

// HoldingCautions are those that a way of holding a part asks for; front is where the front of the jaws lies, mm.
func HoldingCautions(part *work.Part, front float64, u *setup.Mounting) []string {
	var out []string
	if u.Way == work.Chuck && u.Steady == nil && u.Overhang > profile.UsualOverhang*part.Stock {
		out = append(out, fmt.Sprintf("The part hangs out by more than %g diameters with its end free; %s. Light "+
			"cuts, and stand clear of it when starting.", profile.UsualOverhang, outRule))
	}
	if u.Way.Tailed() && u.Steady == nil && u.Push == nil && part.Stock > 0 {
		out = append(out, word.Said(slender(u.Overhang/part.Stock))...)
	}
	const deep = 400 // mm from the jaws: from there stock may stand out of the back of a spindle
	if u.Way.Gripped() && !u.EndForEnd && front-(u.At+part.Length-part.StockLength) > deep {
		out = append(out, "Stock that reaches out of the back of the spindle must be short or supported: it whips.")
	}
	return out
}

// Holding say what is taken for granted of how work is held.
func Holding(l *shop.Bench, tailed, gripped bool) []string {
	var out []string
	h := l.Lathe.Holding
	if gripped && (h == nil || h.ChuckTurning == 0) {
		out = append(out, "The chuck is taken not to give: chuck_pull, chuck_gave and chuck_pulled_at in "+
			"[lathe.holding] say how much it does.")
	}
	if tailed {
		switch t := l.Lathe.Tailstock; {
		case t == nil || math.IsNaN(t.AlignedAt):
			out = append(out, "The tailstock's centre is taken to stand where it was aligned: aligned_at in "+
				"[lathe.tailstock] says where that was.")
		default:
			out = append(out, fmt.Sprintf("The tailstock's centre was aligned at %s, parallel to the unworn bed; its "+
				"base bears on the two ends of its own worn ways.", l.At(t.AlignedAt)))
		}
		out = append(out, fmt.Sprintf("Aligning and setting over are taken to be sure to %s each, 19 times in 20 "+
			"(common practice, no source).", l.PlusMinus(setup.AlignedU, true)))
	}
	return out
}
