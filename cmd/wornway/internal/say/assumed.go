package say

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/document"
	"wornway/profile/length"
	"wornway/profile/survey"
)

// Basis is how the saddle sits along a cut, in the words of warnings and of what was assumed.
// Limits are what of it limits the answer, in few words.
type Basis struct{ Assumed, Limits, Warnings []string }

// Cut is a cut with the positions at which it is told of.
type Cut struct {
	Curve    *compensate.Curve
	Stations []float64
}

// Terms is what is taken for granted of how work is set up, in sentences.
type Terms struct {
	set    string   // where diameters are measured and the dial set
	axis   []string // about what the work turns
	open   string   // what about it is not known and could matter
	openBy float64  // by how much it could, mm; 0 for nothing
	bends  string   // what of the give under the cut is counted
}

// Assumed says what the answer for a cut takes for granted, at the positions of its table.
func Assumed(l *shop.Bench, c *compensate.Curve, stations []float64) Basis {
	return AssumedOfAll(l, Stiff(SetHere(l, c), l, c), Cut{c, stations})
}

// SetHere says where a length is measured and the dial set.
func SetHere(l *shop.Bench, c *compensate.Curve) string {
	return fmt.Sprintf("The diameter is measured and the dial set at %s; the error there is zero by definition.",
		l.At(c.SetAt))
}

// Stiff is what is taken for granted where no cut bends the work.
func Stiff(set string, l *shop.Bench, longest *compensate.Curve) Terms {
	open, by := unread(l, longest)
	return Terms{set, Axis(l, longest), open, by, "The give of work, tool and machine under the cut, heat and the " +
		"wear of the tool are left out."}
}

// About are the same terms for work that turns about another axis than the spindle's.
func (g Terms) About(axis ...string) Terms {
	g.axis, g.open, g.openBy = axis, "", 0
	return g
}

// AssumedOfAll says what the answer for cuts that are set up alike takes for granted.
func AssumedOfAll(l *shop.Bench, g Terms, cuts ...Cut) Basis {
	if l.Collars != nil {
		return ofCollars(l, g)
	}
	s := Basis{Assumed: []string{g.set}}
	once := func(to *[]string, sentences ...string) {
		for _, s := range sentences {
			if !slices.Contains(*to, s) {
				*to = append(*to, s)
			}
		}
	}
	say := func(format string, args ...any) { once(&s.Assumed, fmt.Sprintf(format, args...)) }
	seats := make([]compensate.Seating, len(cuts))
	matter, differ, past, spread := 0.0, 0.0, false, 0.0
	for i, k := range cuts {
		seats[i] = k.Curve.Seating(k.Stations)
		matter = math.Max(matter, seats[i].HeightMatter)
		past = past || seats[i].Past
		spread = math.Max(spread, k.Curve.Taper().Spread)
		differ = math.Max(differ, seats[i].EndsDiffer)
	}
	say("The tool stands %s when it is set. 0.1 mm (0.004 in) higher or lower would change the diameter error by up "+
		"to %s.",
		Height(l, cuts[0].Curve.ToolHeight), l.Small(matter))
	s.Assumed = append(s.Assumed, g.axis...)
	limit := func(format string, args ...any) { once(&s.Limits, fmt.Sprintf(format, args...)) }
	matters := func(mm float64) bool { return mm > spread/10 && mm > 0.5e-3 }
	s.Limits = Departs(l)
	if g.openBy > 0 && matters(g.openBy) {
		once(&s.Limits, g.open)
	}
	if matters(matter) {
		limit("The tool's height: 0.1 mm (0.004 in) higher or lower would change the diameter by up to %s.",
			l.Small(matter))
	}
	s.Assumed = append(s.Assumed, Geometry(l)...)
	s.Assumed = append(s.Assumed, Wear(l)...)
	if past {
		ownError := ""
		if len(l.Surveys) == 0 && l.Stated.Uncertainty != nil {
			ownError = ", as sure as anywhere on it"
		}
		first, last := l.Machine.Wear.Range()
		say("The saddle's bearing runs past the wear that is known, %s to %s; beyond that the wear at its end is "+
			"taken%s.", l.Bare(first), l.At(last), ownError)
		limit("The saddle runs past the wear that is known, %s to %s. %s", l.Bare(first), l.At(last), within(l, cuts))
	}
	if len(l.Surveys) > 0 {
		for _, k := range cuts {
			by := k.Curve.UnwornMatter()
			for _, w := range datum(l, k.Curve, by) {
				once(&s.Assumed, w)
				if matters(by) {
					once(&s.Limits, w)
				}
			}
		}
	}
	if differ > 0.5e-3 && l.Lathe.Seating == nil {
		say("The saddle is taken to give a little and rest on both ends of the rear way. A stiff one that rests on "+
			"the higher end would change the diameter by up to %s; press on one rear corner and then on the other to "+
			"see which it is, and write it down as seating.",
			l.Small(differ))
		if matters(differ) {
			limit("A saddle too stiff to rest on both ends of the rear way would change the diameter by up to %s: "+
				"press on its rear corners to see.", l.Small(differ))
		}
	}
	once(&s.Assumed, Crossed(l, cuts...)...)
	for _, k := range cuts {
		once(&s.Limits, Crosses(l, k.Curve.From, k.Curve.To, k.Curve.SetAt)...)
	}
	s.Assumed = append(s.Assumed, g.bends)
	for _, seat := range seats {
		if seat.ProudSure && seat.Proud.Value > compensate.ProudLimit {
			once(&s.Warnings, fmt.Sprintf(
				"with the tool at %s the %s way stands %s above the line between the saddle's ends: the saddle may "+
					"rock there, and the answer is then not to be trusted",
				l.Near(seat.Proud.Position), seat.ProudWay, l.Small(seat.Proud.Value)))
		}
	}
	s.Warnings = append(s.Warnings, Warned(l)...)
	return s
}

// within says what to do where the saddle runs past the wear that is known in some of the cuts.
func within(l *shop.Bench, cuts []Cut) string {
	first, last := l.Machine.Wear.Range()
	left, right := l.Machine.Lathe.Saddle.Reach()
	from, to := math.Inf(1), math.Inf(-1)
	for _, k := range cuts {
		from = math.Min(from, math.Min(k.Curve.From, k.Curve.SetAt))
		to = math.Max(to, math.Max(k.Curve.To, k.Curve.SetAt))
	}
	var keep, read []string
	if from+left < first {
		keep = append(keep, fmt.Sprintf("no nearer to the headstock than %s", l.About(first-left)))
		if from+left >= l.Lathe.Ways.From {
			read = append(read, "from "+l.About(from+left))
		}
	}
	if to+right > last {
		keep = append(keep, fmt.Sprintf("no further out than %s", l.About(last-right)))
		if to+right <= l.Lathe.Ways.To {
			read = append(read, "to "+l.About(to+right))
		}
	}
	s := "Cut " + strings.Join(keep, " and ")
	if len(read) == len(keep) {
		s += ", or read the ways " + strings.Join(read, " and ") + " first"
	}
	return s + "."
}

// crossed is the damage that the saddle's bearing runs over while the tool goes from one position to another.
func crossed(l *shop.Bench, from, to float64) []profile.Damage {
	var out []profile.Damage
	left, right := l.Machine.Lathe.Saddle.Reach()
	for _, d := range l.Damage {
		if d.From < to+right && d.To > from+left {
			out = append(out, d)
		}
	}
	return out
}

// Crossed says which damage the saddle crosses in any of the cuts.
func Crossed(l *shop.Bench, cuts ...Cut) []string {
	var out []string
	for _, k := range cuts {
		for _, d := range crossed(l, math.Min(k.Curve.From, k.Curve.SetAt), math.Max(k.Curve.To, k.Curve.SetAt)) {
			s := fmt.Sprintf("The saddle crosses the damage of the %s way at %s to %s%s; none of these numbers "+
				"includes it.", d.Way, l.Bare(d.From), l.At(d.To), word.Note(d.Note))
			if !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}

// Crosses says it in few words, and where: damage that the saddle's bearing runs over while the tool is at these
// positions and between them.
func Crosses(l *shop.Bench, positions ...float64) []string {
	var out []string
	for _, d := range crossed(l, slices.Min(positions), slices.Max(positions)) {
		out = append(out, fmt.Sprintf("The saddle crosses damage of the %s way at %s to %s; no number "+
			"counts it.", d.Way, l.Bare(d.From), l.At(d.To)))
	}
	return out
}

// datum says where the saddle runs over ways that were taken to be unworn, and what it would change if they were
// not.
func datum(l *shop.Bench, c *compensate.Curve, matter float64) []string {
	left, right := c.Lathe.Saddle.Reach()
	from, to := math.Min(c.From, c.SetAt)+left, math.Max(c.To, c.SetAt)+right
	for _, u := range l.Lathe.Unworn {
		if u.From >= to || u.To <= from || left == right {
			continue
		}
		return []string{fmt.Sprintf("The saddle's bearing runs over ways from %s to %s that are taken to be unworn, "+
			"and what a saddle runs over wears: %s of wear there on one way would change the diameter by about %s.",
			l.BareAbout(math.Max(u.From, from)), l.About(math.Min(u.To, to)), l.Small(compensate.WearTried),
			l.Small(matter))}
	}
	return nil
}

// Warnings are the warnings of a profile as people are told them.
func Warnings(p *profile.Profile) []string { return Faults(p.Warnings) }

// Faults puts warnings into sentences.
func Faults(fs []document.Fault) []string {
	var out []string
	for _, f := range fs {
		s := f.Error()
		if !strings.HasSuffix(s, "?") {
			s += "."
		}
		if f.Hint != "" {
			s += " " + word.Upper(f.Hint) + "."
		}
		out = append(out, s)
	}
	return out
}

// Height says where the tool's point is against centre height.
func Height(l *shop.Bench, mm float64) string {
	switch {
	case mm > 0:
		return length.Diameter(mm, l.In) + " " + l.In.String() + " above centre"
	case mm < 0:
		return length.Diameter(-mm, l.In) + " " + l.In.String() + " below centre"
	}
	return "on centre height"
}

// Axis says how the work is held and what is known of the spindle's lean.
func Axis(l *shop.Bench, c *compensate.Curve) []string {
	if l.Collars != nil {
		return nil // the collars have seen it
	}
	if b := l.Bar; b != nil && b.Way.Tailed() {
		axis := tailedAxis(l, b.Way, l.Anyhow().Headstock, c.To)
		axis = append(axis, fmt.Sprintf("The work is taken to be a bar of %s that ends on the centre at %s.",
			l.Diameter(c.Diameter), l.At(c.To)))
		return append(axis, Holding(l, true, b.Way.Gripped())...)
	}
	if !leanKnown(l) {
		span := c.To - c.From
		return []string{fmt.Sprintf("The work is held by the spindle alone, which is taken to stand parallel to the "+
			"unworn bed; the ± is of the bed alone. A spindle out by 0.02 mm over 300 mm would add %s over %s; one "+
			"run along a test bar removes this.",
			l.Small(compensate.UsualLean(span)), l.At(span))}
	}
	return []string{"The work is held by the spindle alone, " + Lean(l)}
}

// unread says what a spindle that nothing has measured could add, and how much that is, mm; 0 where its lean is known
// or does not matter.
func unread(l *shop.Bench, c *compensate.Curve) (string, float64) {
	if l.Collars != nil || l.Bar != nil && l.Bar.Way.Tailed() || leanKnown(l) {
		return "", 0
	}
	span := c.To - c.From
	by := compensate.UsualLean(span)
	return fmt.Sprintf("The spindle was never measured: 0.02 mm in 300 mm would add %s over %s.",
		l.Small(by), l.At(span)), by
}

// leanKnown says whether anything is known of the spindle's lean.
func leanKnown(l *shop.Bench) bool {
	w := l.Machine.Wear
	return w.Scalar(bed.LeanOut) != 0 || w.Scalar(bed.LeanUp) != 0 || l.Machine.LeanU() != 0
}

// Lean says of the spindle what is known of its lean.
func Lean(l *shop.Bench) string {
	if !leanKnown(l) {
		return "which is taken to stand parallel to the unworn bed."
	}
	w := l.Machine.Wear
	out, u := w.Scalar(bed.LeanOut), l.Machine.LeanU()
	from := "taken from the profile"
	if len(l.Surveys) > 0 && u != l.Lathe.Spindle.Uncertainty {
		from = "estimated with the wear"
	}
	return fmt.Sprintf("whose lean is %s: %s per %s toward the operator, ± %s, 19 times in 20.", from,
		l.Small(out*l.LeanOver()), l.At(l.LeanOver()), l.Small(2*u*l.LeanOver()))
}

// Geometry says by which geometry the wear reaches the tool.
func Geometry(l *shop.Bench) []string {
	g := l.Machine.Lathe
	h := fmt.Sprintf("The spindle axis is %s above the front way's contacts", l.At(g.CentreHeight))
	if d := g.GuideHeight() - g.CentreHeight; d != 0 {
		h += fmt.Sprintf(" and %s above where the flanks' normals meet", l.At(g.GuideHeight()))
	}
	out := []string{h + fmt.Sprintf("; it lies %s behind the front way; the ways are %s apart.", l.At(g.Setback),
		l.At(g.Span))}
	switch {
	case g.Saddle.BearingLength == 0:
		out = append(out, "The saddle is taken as a point at the tool.")
	case g.Saddle.Bearing == bed.Full:
		out = append(out, fmt.Sprintf("The saddle bears over its full %s; the tool's tip stands %s.",
			l.At(g.Saddle.BearingLength), l.ToolOffset(g.Saddle.ToolOffset)))
	default:
		out = append(out, fmt.Sprintf("The saddle bears near its two ends, %s apart; the tool's tip stands %s.",
			l.At(g.Saddle.BearingLength), l.ToolOffset(g.Saddle.ToolOffset)))
	}
	return out
}

// Wear says what the wear rests on.
func Wear(l *shop.Bench) []string {
	if len(l.Surveys) > 0 {
		return append(surveys(l), accepted(l)...)
	}
	source := "the profile itself"
	if l.Stated.File != "" {
		source = l.Stated.File
	}
	s := fmt.Sprintf("The wear is as stated in %s: %s", source, word.Count(l.Stated.Rows.Len(), "row"))
	if u := l.Stated.Uncertainty; u != nil {
		s += fmt.Sprintf(", %s everywhere, 19 times in 20. Places closer than %s are taken to be wrong together, "+
			"those further apart each by itself", length.PlusMinus(*u, l.In), Reach(l.Stated, l.Units))
	} else {
		s += ", without a ±"
	}
	out := []string{s + ". Between rows it follows a monotone cubic. " + holdsFor}
	out = append(out, notGiven(l)...)
	if l.Lathe.TwistUncertainty == 0 {
		out = append(out, "The bed is taken not to be twisted.")
	}
	return out
}

// Departs says what of the wear is taken otherwise than it was read.
func Departs(l *shop.Bench) []string { return append(accepted(l), notGiven(l)...) }

// notGiven says which curves stated wear leaves out.
func notGiven(l *shop.Bench) []string {
	if l.Stated == nil || len(l.Surveys) > 0 {
		return nil
	}
	var missing []string
	for _, c := range []struct{ curve, or string }{{"front", "outer"}, {"rear", "rear"}, {"shift", "outer"}} {
		if l.Stated.Rows.Column(c.curve) < 0 && l.Stated.Rows.Column(c.or) < 0 {
			missing = append(missing, c.curve)
		}
	}
	if len(missing) == 0 {
		return nil
	}
	return []string{"The rows do not give " + strings.Join(missing, " and ") + "; each is taken as zero."}
}

// Reach says how far apart stated drops are off alike.
func Reach(s *profile.Stated, w word.Units) string {
	if s.Reach == survey.UsualReach {
		return "75 mm (3 in)"
	}
	return w.At(float64(s.Reach))
}

const holdsFor = "It holds for this saddle, these gibs and this levelling."

// surveys says which readings the wear is estimated from, and what was taken as known beside them.
func surveys(l *shop.Bench) []string {
	list := ""
	for i, s := range l.Estimate.Surveys {
		if i > 0 {
			list += ", "
		}
		name := s.Method
		if l.Numbers()[i] == profile.StatedDrops {
			name = "[wear]"
		}
		list += fmt.Sprintf("%s (%s)", name, word.Count(s.Rows, "row"))
	}
	datum := ""
	for i, u := range l.Lathe.Unworn {
		if i > 0 {
			datum += " and "
		}
		datum += fmt.Sprintf("%s to %s", l.Bare(u.From), l.At(u.To))
	}
	given := ""
	if !l.Lathe.UnwornStated {
		given = ", as the profile does not say where"
	}
	together := ""
	if l.Stated != nil {
		together = fmt.Sprintf("Rows of [wear] closer than %s are taken to be wrong together. ",
			Reach(l.Stated, l.Units))
	}
	return []string{
		"The wear is one estimate from " + list + ". " + together + holdsFor,
		"The ways are taken to be unworn from " + datum + given +
			". Wear is taken to change smoothly along the bed; the readings say how smoothly.",
	}
}

// SureOfDial says how a ± on the diameter is to be read.
const SureOfDial = "± holds 19 times in 20, for the difference to where the dial was set."
