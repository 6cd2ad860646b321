package profile

import (
	"fmt"
	"math"

	"wornway/profile/bed"
	"wornway/profile/document"
	"wornway/profile/form"
)

// The range of centre height over way span outside which the tool asks: common practice has 0.6 to 1.0.
const (
	leastRatio = 0.4
	mostRatio  = 1.3
)

// longestBed, mm, is more than any: 100 m.
const longestBed = 1e5

func (r *reader) lathe(t *document.Table) {
	l := &r.profile.Lathe
	l.Name, _ = r.Name(t, "name")
	positive := form.Limit{Required: true, Above: form.Zero}
	l.Bed.CentreHeight = r.Length(t, "centre_height", positive, 0)
	l.Bed.Span = r.Length(t, "way_span", positive, 0)
	l.Bed.Setback = r.Length(t, "axis_setback", form.Limit{}, l.Bed.Span/2)
	r.setback(t)
	if v, ok := r.Choice(t, "tool_post", "front", "rear"); ok {
		l.Bed.RearPost = v == "rear"
	}
	r.ways(t)
	if v, ok := r.Number(t, "twist_uncertainty", form.Limit{AtLeast: form.Zero}); ok {
		l.TwistUncertainty, l.TwistStated = v/r.Unit.MM(), true
	}
	if v, ok := t.Table("front_way"); ok {
		l.Bed.V = r.vee(v)
	}
	if s, ok := t.Table("saddle"); ok {
		l.Bed.Saddle = r.saddle(s)
		l.Seating = r.seating(s, l.Bed.Saddle)
	} else if !t.Has("saddle") {
		t.Missing("saddle", "write a header [lathe.saddle] and under it bearing_length; 0 takes the saddle as a "+
			"point at the tool")
	}
	l.CrossSlide = r.slide(t, "cross_slide")
	l.Compound = r.slide(t, "compound")
	if s, ok := t.Table("tailstock"); ok {
		l.Tailstock = r.tailstock(s)
	}
	if s, ok := t.Table("spindle"); ok {
		l.Spindle = r.spindle(s)
	}
	if s, ok := t.Table("holding"); ok {
		l.Holding = r.holding(s)
	}
	r.ratio(t)
}

// setback warns of a spindle that would not stand over the bed.
func (r *reader) setback(t *document.Table) {
	l := r.profile.Lathe.Bed
	if !t.Has("axis_setback") || l.Span == 0 {
		return
	}
	switch {
	case l.Setback <= 0:
		r.Warn(t, "axis_setback", how("lathe.axis_setback"),
			"the spindle axis would lie in front of the bed, where the operator stands")
	case l.Setback >= l.Span:
		r.Warn(t, "axis_setback", how("lathe.axis_setback"), "the spindle axis would lie behind the bed")
	}
}

// ratio warns of a centre height and a way span that hardly belong to one lathe.
func (r *reader) ratio(t *document.Table) {
	if key, message, hint := Proportion(r.profile.Lathe.Bed); message != "" {
		r.Warn(t, key, hint, "%s", message)
	}
}

// Proportion says whether a centre height and a way span hardly belong to one lathe: the key in question, what is odd
// and what to do about it. The message is empty where there is nothing to say.
func Proportion(l bed.Lathe) (key, message, hint string) {
	if l.CentreHeight == 0 || l.Span == 0 {
		return "", "", "" // a fault already
	}
	hint = "measure both again: centre height from the front way's contacts up to the spindle axis, way span between " +
		"the two ways' contact centres"
	const usual = "the centre height is %.2f times the way span, where 0.6 to 1.0 is usual. "
	ratio := l.GuideHeight() / l.Span
	const edge = 1e-9 // what is on the edge lies within
	switch {
	case ratio > mostRatio+edge:
		return "centre_height", fmt.Sprintf(usual+"Is it the swing, which is twice the height, that was written down?",
			ratio), hint
	case ratio < leastRatio-edge:
		return "way_span", fmt.Sprintf(usual+"Is it the whole width of the bed that was written down?", ratio), hint
	}
	return "", "", ""
}

func (r *reader) ways(t *document.Table) {
	l := &r.profile.Lathe
	v, ok := t.Numbers("bed")
	switch {
	case ok && len(v.V) == 2:
		l.Ways, ok = r.stretch(t, "bed", v.V[0], v.V[1])
		if ok && l.Ways.To-l.Ways.From > longestBed {
			t.Fault("bed", "check the positions and the file's unit", "is longer than the bed of any lathe")
			l.Ways, ok = Range{}, false
		}
	case ok:
		t.Fault("bed", how("lathe.bed"), "must be two positions, from and to")
		ok = false
	case !t.Has("bed"):
		t.Missing("bed", how("lathe.bed"))
	}
	pairs, _ := t.Pairs("unworn")
	if !ok {
		return
	}
	for _, p := range pairs {
		g, ok := r.stretch(t, "unworn", p.V[0], p.V[1])
		if !ok {
			continue
		}
		if !l.Ways.holds(g.From) || !l.Ways.holds(g.To) {
			t.Fault("unworn", "keep it within bed, or make bed longer", "%v to %v lies outside bed", p.V[0], p.V[1])
			continue
		}
		l.Unworn = append(l.Unworn, g)
	}
	l.UnwornStated = t.Has("unworn")
	if !l.UnwornStated {
		part := (l.Ways.To - l.Ways.From) / 20
		l.Unworn = []Range{{l.Ways.From, l.Ways.From + part}, {l.Ways.To - part, l.Ways.To}}
	}
}

// The angles from horizontal between which flanks usually lie, and those at which the two usually meet, degrees. Common
// practice, no source: 45 on both sides is the commonest, and unequal flanks have some 25 and 65 or 35 and 55.
const (
	flattestFlank, steepestFlank = 20, 70
	sharpestVee, bluntestVee     = 60, 120
)

func (r *reader) vee(t *document.Table) *bed.V {
	odd := false
	angle := func(key string) float64 {
		v, ok := r.Number(t, key, form.Limit{Required: true})
		switch {
		case !ok:
			odd = true
		case v < 5 || v > 85:
			t.Fault(key, "degrees from horizontal: 45 is the commonest", "must lie between 5 and 85 degrees")
			odd = true
		case v < flattestFlank || v > steepestFlank:
			r.Warn(t, key, "measure from horizontal; where your protractor read from upright, take 90 minus what it "+
				"said", "a flank of %v degrees from horizontal is unusual: most have 45, and unequal ones 25 and 65 "+
				"or 35 and 55", v)
			odd = true
		}
		return v
	}
	outer, inner := angle("outer_angle"), angle("inner_angle")
	if met := 180 - outer - inner; !odd && (met < sharpestVee || met > bluntestVee) {
		r.Warn(t, "inner_angle", "measure both flanks again, each from horizontal", "the flanks would meet at %v "+
			"degrees, where 90 is usual", met)
	}
	return &bed.V{
		Outer:          outer * math.Pi / 180,
		Inner:          inner * math.Pi / 180,
		ContactSpacing: r.Length(t, "contact_spacing", form.Limit{AtLeast: form.Zero}, 0),
	}
}

// seating reads how the saddle sits, nil where the file does not say.
func (r *reader) seating(t *document.Table, s bed.Saddle) *float64 {
	v, ok := r.Number(t, "seating", form.Limit{AtLeast: form.Zero})
	switch {
	case !ok:
		return nil
	case v > 1:
		t.Fault("seating", how("lathe.saddle.seating"), "must lie between 0 and 1")
	case !s.Rocks() && v != 0:
		r.Warn(t, "seating", "leave it out, or see whether bearing and bearing_length are right",
			"a saddle that does not bear on two ends has no seating; it is not used")
	}
	return &v
}

func (r *reader) saddle(t *document.Table) bed.Saddle {
	s := bed.Saddle{
		BearingLength: r.Length(t, "bearing_length", form.Limit{Required: true, AtLeast: form.Zero}, 0),
		ToolOffset:    r.Length(t, "tool_offset", form.Limit{}, 0),
	}
	if v, ok := r.Choice(t, "bearing", "ends", "full"); ok && v == "full" {
		s.Bearing = bed.Full
	}
	const shortest = 1 // mm
	if s.BearingLength > 0 && s.BearingLength < shortest {
		t.Fault("bearing_length", "write 0 to take the saddle as a point at the tool", "is shorter than any saddle")
	}
	// Saddles are some 0.8 to 2 times as long as the ways are apart: common practice, no source.
	const leastSaddle, mostSaddle = 0.4, 4
	if span := r.profile.Lathe.Bed.Span; span > 0 && s.BearingLength >= shortest &&
		(s.BearingLength < leastSaddle*span || s.BearingLength > mostSaddle*span) {
		r.Warn(t, "bearing_length", how("lathe.saddle.bearing_length"),
			"the saddle would be %.2f times as long as the ways are apart, where 0.8 to 2 is usual",
			s.BearingLength/span)
	}
	// mm beyond the saddle's end, and of a short saddle half its length: tools rarely stand further out. Common
	// practice, no source
	const hand = 100
	if most := math.Min(s.BearingLength/2+hand, s.BearingLength); most > 0 && math.Abs(s.ToolOffset) > most {
		r.Warn(t, "tool_offset", how("lathe.saddle.tool_offset"), "the tool would stand far beyond the saddle's end")
	}
	if t.Has("tool_offset") && t.Has("bearing_length") && s.BearingLength == 0 && s.ToolOffset != 0 {
		r.Warn(t, "tool_offset", "give the bearing length",
			"it is not used: with bearing_length = 0 the saddle is a point at the tool")
	}
	return s
}

func (r *reader) slide(parent *document.Table, key string) *Slide {
	t, ok := parent.Table(key)
	if !ok {
		return nil
	}
	s := &Slide{Finest: 0.5, Backlash: math.NaN()}
	if v, ok := r.Choice(t, "dial", "diameter", "radius"); ok {
		s.Diameter = v == "diameter"
	} else if !t.Has("dial") {
		t.Missing("dial", how("lathe.cross_slide.dial"))
	}
	s.Division = r.Length(t, "division", form.Limit{Required: true, Above: form.Zero}, 0)
	if v, ok := r.Number(t, "finest", form.Limit{Above: form.Zero}); ok {
		s.Finest = v
	}
	s.Backlash = r.Length(t, "backlash", form.Limit{AtLeast: form.Zero}, s.Backlash)
	const coarsest, loosest = 0.15, 2.5 // mm; common practice, no source
	if s.Division > coarsest {
		r.Warn(t, "division", "it is the smallest mark of the dial, "+r.either("0.001 in", "0.02 mm")+
			" on many; check the number and the file's unit", "a division of more than %s is unusual",
			r.either("0.006 in", "0.15 mm"))
	}
	if s.Backlash > loosest {
		r.Warn(t, "backlash", how("lathe."+key+".backlash")+"; "+r.either("8 thou is 0.008 in", "0.2 mm is 0.2"),
			"a backlash of more than %s is unusual", r.either("0.1 in", "2.5 mm"))
	}
	return s
}

func (r *reader) tailstock(t *document.Table) *Tailstock {
	l := r.profile.Lathe.Bed
	return &Tailstock{
		FrontSetback: r.Length(t, "front_way_setback", form.Limit{}, l.Span/3),
		RearSetback:  r.Length(t, "rear_way_setback", form.Limit{}, l.Span*2/3),
		BaseLength:   r.Length(t, "base_length", form.Limit{Above: form.Zero}, l.Span),
		CentreOffset: r.Length(t, "centre_offset", form.Limit{}, 0),
		AlignedAt:    r.Length(t, "aligned_at", form.Limit{}, math.NaN()),
	}
}

func (r *reader) spindle(t *document.Table) Spindle {
	lean := func(key string, l form.Limit) float64 {
		v, _ := r.Number(t, key, l)
		const most = 0.001
		if math.Abs(v) > most {
			r.Warn(t, key, "a lean is per length: "+r.either("0.0008 in over 12 in",
				"0.02 mm over 300 mm")+" is 0.00007", "a lean of more than 1 in 1000 is unusual")
		}
		return v
	}
	return Spindle{lean("lean_out", form.Limit{}), lean("lean_up", form.Limit{}),
		lean("lean_uncertainty", form.Limit{AtLeast: form.Zero})}
}

func (r *reader) damage(t *document.Table) {
	var d Damage
	var ok bool
	if d.Way, ok = r.Choice(t, "way", "front", "rear", "tail-front", "tail-rear"); !ok && !t.Has("way") {
		t.Missing("way", `"front", "rear", "tail-front" or "tail-rear"`)
	}
	from, ok1 := r.Number(t, "from", form.Limit{Required: true})
	to, ok2 := r.Number(t, "to", form.Limit{Required: true})
	if ok1 && ok2 {
		if d.Range, ok = r.stretch(t, "to", from, to); ok &&
			!(r.profile.Lathe.Ways.holds(d.From) && r.profile.Lathe.Ways.holds(d.To)) {
			t.Fault("from", "positions count from the spindle nose", "the damage lies outside lathe.bed")
		}
	}
	if v, ok := t.Text("note"); ok {
		d.Note = v.V
	}
	r.profile.Damage = append(r.profile.Damage, d)
}
