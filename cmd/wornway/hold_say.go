package main

import (
	"fmt"

	"wornway/cmd/wornway/internal/word"
	"wornway/compensate/setup"
	"wornway/compensate/work"
)

// holdIt says how to hold a part.
func holdIt(w word.Units, part *work.Part, u *setup.Held) string {
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

// holdingCautions are those that a way of holding a part asks for; front is where the front of the jaws lies, mm.
func holdingCautions(part *work.Part, front float64, u *setup.Held) []string {
	var out []string
	const usual = 3
	if u.Way == work.Chuck && u.Steady == nil && u.Overhang > usual*part.Stock {
		out = append(out, "The part hangs out by more than 3 diameters with its end free; 5 is the limit. Light "+
			"cuts, and stand clear of it when starting.")
	}
	const deep = 400 // mm from the jaws: from there stock may stand out of the back of a spindle
	if u.Way.Gripped() && !u.EndForEnd && front-(u.At+part.Length-part.StockLength) > deep {
		out = append(out, "Stock that reaches out of the back of the spindle must be short or supported: it whips.")
	}
	return out
}
