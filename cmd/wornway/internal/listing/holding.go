package listing

import (
	"math"
	"strconv"

	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/length"
)

// holdingValues lists what the lathe has for holding work, with what is taken where the file says nothing; nothing for
// nil. Wear does not depend on it.
func holdingValues(h *profile.Workholding, w word.Units) []ValueJSON {
	if h == nil {
		return nil
	}
	var out []ValueJSON
	add := func(key string, value any, text string) { out = append(out, ValueJSON{key, value, text}) }
	in := w.In.From
	add("jaws_front", in(h.JawsFront), w.At(h.JawsFront))
	if math.IsInf(h.JawsDepth, 0) {
		add("jaws_depth", nil, "not given: stock goes through the spindle")
	} else {
		add("jaws_depth", in(h.JawsDepth), w.At(h.JawsDepth))
	}
	if math.IsNaN(h.HeadstockCentre) {
		add("headstock_centre", nil, "not given: nothing is turned between centres")
	} else {
		add("headstock_centre", in(h.HeadstockCentre), w.At(h.HeadstockCentre))
	}
	add("longest_overhang", h.LongestOverhang, strconv.FormatFloat(h.LongestOverhang, 'f', -1, 64)+" diameters")
	add("tailstock_travel", []float64{in(h.TailstockTravel.From), in(h.TailstockTravel.To)},
		w.Bare(h.TailstockTravel.From)+" to "+w.At(h.TailstockTravel.To))
	if h.GreatestSetOver == 0 {
		add("greatest_set_over", 0.0, "the tailstock cannot be set over")
	} else {
		add("greatest_set_over", in(h.GreatestSetOver), w.At(h.GreatestSetOver))
	}
	if h.ChuckTurning == 0 {
		add("chuck", nil, "taken as rigid")
	} else { // as one would feel it at an arm of 100 mm, which is some 4 in
		const pull = 100.0
		arm := 100.0
		if w.In == length.Inch {
			arm = 101.6
		}
		add("chuck", h.ChuckTurning, "gives "+w.Small(h.ChuckTurning*pull*arm*arm)+" to 100 N at "+
			""+w.At(arm)+" from the jaws")
	}
	steady := "none"
	if h.Steady {
		steady = "there is one"
	}
	add("steady", h.Steady, steady)
	return out
}
