package profile

import (
	"math"

	"wornway/profile/document"
	"wornway/profile/form"
)

// How work stands out of the jaws, in diameters: 3 is the common rule, 5 the limit (common practice, no source).
const (
	UsualOverhang = 3.0
	MostOverhang  = 5.0
)

// Plausible values for what holds work, mm and radians per N·mm (common practice, no source).
const (
	deepestChuck  = 500  // a chuck's jaws hardly stand further from the nose
	mostSetOver   = 100  // of a tailstock
	softestChuck  = 1e-6 // 100 N on a stub of 100 mm would move it by 1 mm
	shortestReach = 1    // where a stub can be pulled, from the jaws
	leastPull     = 1    // N
)

// Workholding is what the lathe has for holding work. Lengths in mm from the spindle nose.
type Workholding struct {
	JawsFront       float64 // the front face of the jaws
	JawsDepth       float64 // how far stock may reach in behind it; +Inf: through the spindle
	HeadstockCentre float64 // the point of the centre in the spindle; NaN: not given
	LongestOverhang float64 // of work in the jaws alone, in diameters
	TailstockTravel Range   // where the point of the tailstock's centre can stand
	TravelStated    bool    // the file says so; otherwise that is anywhere on the bed
	GreatestSetOver float64 // of the tailstock, to either side; 0: it cannot be set over
	// how far work turns in the jaws under a moment, radians per N·mm; 0: not known, taken as rigid
	ChuckTurning float64
	Steady       bool // there is a steady rest
}

func (r *reader) holding(t *document.Table) *Workholding {
	l := r.profile.Lathe
	known := l.Ways != (Range{})
	h := &Workholding{
		JawsFront:       r.Length(t, "jaws_front", form.Limit{Required: true}, 0),
		JawsDepth:       r.Length(t, "jaws_depth", form.Limit{AtLeast: form.Zero}, math.Inf(1)),
		HeadstockCentre: r.Length(t, "headstock_centre", form.Limit{}, math.NaN()),
		LongestOverhang: UsualOverhang,
		TailstockTravel: l.Ways,
		GreatestSetOver: r.Length(t, "greatest_set_over", form.Limit{AtLeast: form.Zero}, 0),
	}
	if v, ok := r.Number(t, "longest_overhang", form.Limit{Above: form.Zero}); ok {
		if h.LongestOverhang = v; v > MostOverhang {
			t.Fault("longest_overhang", "longer work can climb out of the jaws: give its end a centre, or a steady "+
				"rest", "is too much: 5 diameters is the limit")
		}
	}
	if v, ok := t.Bool("steady"); ok {
		h.Steady = v.V
	}
	for _, p := range []struct {
		key string
		at  float64
	}{{"jaws_front", h.JawsFront}, {"headstock_centre", h.HeadstockCentre}} {
		switch {
		case known && p.at >= l.Ways.To:
			t.Fault(p.key, how("lathe.holding."+p.key), "leaves no room for work: lathe.bed ends before it")
		case p.at < 0:
			r.Warn(t, p.key, how("lathe.holding."+p.key), "it lies behind the spindle nose")
		case p.at > deepestChuck:
			r.Warn(t, p.key, "check the number and the file's unit",
				"more than 500 mm (20 in) from the spindle nose is unusual")
		}
	}
	if h.GreatestSetOver > mostSetOver {
		r.Warn(t, "greatest_set_over", how("lathe.holding.greatest_set_over"),
			"a tailstock that goes over by more than 100 mm (4 in) is unusual")
	}
	r.travel(t, h, known)
	r.chuck(t, h)
	return h
}

// travel reads where the tailstock's centre can stand.
func (r *reader) travel(t *document.Table, h *Workholding, known bool) {
	v, ok := t.Numbers("tailstock_travel")
	if !ok {
		return
	}
	if len(v.V) != 2 {
		t.Fault("tailstock_travel", how("lathe.holding.tailstock_travel"), "must be two positions, from and to")
		return
	}
	g, ok := r.stretch(t, "tailstock_travel", v.V[0], v.V[1])
	if !ok || !known {
		return
	}
	if ways := r.profile.Lathe.Ways; !ways.holds(g.From) || !ways.holds(g.To) {
		t.Fault("tailstock_travel", "keep it within bed, or make bed longer", "%v to %v lies outside lathe.bed", v.V[0],
			v.V[1])
		return
	}
	h.TailstockTravel, h.TravelStated = g, true
	if g.To <= h.HeadstockCentre || g.To <= h.JawsFront {
		r.Warn(t, "tailstock_travel", how("lathe.holding.tailstock_travel"),
			"it ends before the work begins: nothing fits between it and the headstock")
	}
}

// chuck reads what a pull at a stub in the jaws showed. All of it is needed, or none.
func (r *reader) chuck(t *document.Table, h *Workholding) {
	keys := []string{"chuck_pull", "chuck_gave", "chuck_pulled_at"}
	given := 0
	for _, k := range keys {
		if t.Has(k) {
			given++
		}
	}
	if given == 0 {
		return
	}
	needed := form.Limit{Required: true, Above: form.Zero}
	force, ok1 := r.Force(t, keys[0], needed)
	gave := r.Length(t, keys[1], form.Limit{Required: true, AtLeast: form.Zero}, 0)
	at := r.Length(t, keys[2], needed, 0)
	if !ok1 || at == 0 {
		return
	}
	if force < leastPull {
		t.Fault(keys[0], how("lathe.holding.chuck_pull"), "is too little to tell how a chuck gives")
		return
	}
	if at < shortestReach {
		t.Fault(keys[2], how("lathe.holding.chuck_pulled_at"), "is too near to the jaws to tell how they give")
		return
	}
	h.ChuckTurning = gave / (force * at * at)
	if h.ChuckTurning > softestChuck {
		r.Warn(t, keys[1], "pull at a stub that is short and as thick as the jaws take, and check the numbers",
			"so soft a grip is unusual: a pull of 100 N at 100 mm would move the work by more than 1 mm")
	}
}
