package turning

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/length"
)

// Part names a part of the error.
func (x *Explanation) Part(p compensate.Origin) string {
	if v, _, _ := x.C.Wear.Seating(); p == compensate.FromSeat && (v < 0 || v > 1) { // no saddle sits so
		return "the saddle's seating reads " + map[bool]string{true: "below 0", false: "above 1"}[v < 0] +
			", which is noise"
	}
	return map[compensate.Origin]string{
		compensate.FromShift:  "the saddle goes sideways with the front way",
		compensate.FromFront:  "the saddle rolls as the front way drops",
		compensate.FromRear:   "the saddle rolls back as the rear way drops",
		compensate.FromSeat:   "the saddle rides on one end of the rear way",
		compensate.FromTwist:  "the saddle rolls with the bed's twist",
		compensate.FromAxis:   "the work's axis lies to one side",
		compensate.FromPush:   "the cut pushes the work away",
		compensate.FromHeight: "the tool's point sinks",
	}[p]
}

// answer says what comes out, what matters most and what hardly matters.
func (x *Explanation) answer() []string {
	e := x.Here.DiameterError
	if x.Here.Position == x.C.SetAt {
		return []string{fmt.Sprintf("At %s the diameter was measured and the dial set: the error there is zero by "+
			"definition.", x.At(x.C.SetAt))}
	}
	way := "bigger"
	if e < 0 {
		way = "smaller"
	}
	var out []string
	const expanded = 2 // the ± that people see
	if x.Here.Stated && math.Abs(e) <= expanded*x.Here.Uncertainty {
		out = append(out, fmt.Sprintf("At %s the error lies within its ±: the work may be bigger or smaller there. "+
			"What follows explains the likeliest number.", x.At(x.Here.Position)))
	}
	out = append(out, fmt.Sprintf("At %s the work comes out %s %s than at %s, where it was measured, %s.",
		x.At(x.Here.Position), x.Small(math.Abs(e)), way, x.At(x.C.SetAt),
		x.PlusMinus(x.Here.Uncertainty, x.Here.Stated)))
	parts := x.C.Portions(x.Here, x.Set)
	slices.SortStableFunc(parts, func(a, b compensate.Portion) int {
		return cmp.Compare(math.Abs(b.Error),
			math.Abs(a.Error))
	})
	if parts[0].Error == 0 {
		return append(out, "Nothing moves the tool against the work here.")
	}
	s := fmt.Sprintf("What matters most is that %s: %s on the diameter.", x.Part(parts[0].Origin),
		x.Signed(parts[0].Error))
	if parts[1].Error*parts[0].Error < 0 && math.Abs(parts[1].Error) > math.Abs(parts[0].Error)/4 {
		s += fmt.Sprintf(" Against that, %s: %s.", x.Part(parts[1].Origin), x.Signed(parts[1].Error))
	}
	out = append(out, s)
	var little []string
	for _, p := range parts[1:] {
		if p.Error != 0 && math.Abs(p.Error) < math.Abs(parts[0].Error)/20 {
			little = append(little, fmt.Sprintf("that %s (%s)", x.Part(p.Origin), x.Signed(p.Error)))
		}
	}
	if len(little) > 0 {
		out = append(out, "What hardly matters: "+word.List(little)+".")
	}
	return out
}

// Signed writes a small error with its sign and unit.
func (x *Explanation) Signed(mm float64) string {
	s := x.Small(mm)
	if mm > 0 && s != x.Small(0) {
		s = "+" + s
	}
	return s
}

// steps are the steps from the ways to the diameter, with their numbers put in. Everything that is shown is a field of
// what was computed.
func (x *Explanation) steps() []stepRowJSON {
	l, h, s := x.C.Lathe, x.Here, x.Set
	post := ""
	if l.RearPost {
		post = "−"
	}
	behind := l.Setback - l.Post()*x.C.Diameter/2
	var out []stepRowJSON
	add := func(step, formula, numbers, result string) {
		out = append(out, stepRowJSON{step, formula, numbers, result})
	}
	line := "line through the saddle's two ends, at the tool"
	if l.Saddle.BearingLength == 0 {
		line = "as the way, right at the tool"
	}
	ends := func(of func(compensate.End) float64) string {
		if h.Ends[0].Position == h.Ends[1].Position {
			return x.Small(of(h.Ends[0]))
		}
		return fmt.Sprintf("%s and %s there", x.Cell(of(h.Ends[0])), x.Small(of(h.Ends[1])))
	}
	add("front sinks", line, ends(func(e compensate.End) float64 { return e.Front }), x.Small(h.Front))
	add("goes sideways", line, ends(func(e compensate.End) float64 { return e.Shift }), x.Small(h.Shift))
	formula := "(mean front drop − mean rear drop) / way span"
	numbers := fmt.Sprintf("(%s − %s) / %s", x.Cell(h.FrontMean), x.Small(h.RearMean), x.At(l.Span))
	if h.Rocked != 0 {
		formula, numbers = formula+" + how it sits", numbers+" + "+x.mrad(h.Rocked)
	}
	if h.Twist != 0 {
		formula, numbers = formula+" + twist", numbers+" + "+x.mrad(h.Twist)
	}
	add("rolls", formula, numbers, x.mrad(h.Roll))
	add("tool out", post+"(shift + H · roll)", fmt.Sprintf("%s(%s + %s · %s)", post, x.Small(h.Shift),
		x.At(l.GuideHeight()), x.mrad(h.Roll)), x.Small(h.ToolOut))
	add("tool sinks", "front drop − roll · distance behind the front way",
		fmt.Sprintf("%s − %s · %s", x.Small(h.Front), x.mrad(h.Roll), x.At(behind)), x.Small(h.ToolDrop))
	out2, down2 := fmt.Sprintf("%s − %s", x.Cell(h.ToolOut), x.Small(s.ToolOut)),
		fmt.Sprintf("%s − %s", x.Cell(h.ToolDrop), x.Small(s.ToolDrop))
	formula = "out here − out where it was set"
	formulaDown := "sunk here − sunk where it was set"
	if d := -l.Post() * (h.AxisOut - s.AxisOut); d != 0 {
		formula, out2 = formula+", less the axis's own way", out2+", axis "+x.Signed(d)
	}
	if d := h.Pushed - s.Pushed; d != 0 {
		formula, out2 = formula+", with the push of the cut", out2+", push "+x.Signed(d)
	}
	if d := h.AxisUp - s.AxisUp; d != 0 {
		formulaDown, down2 = formulaDown+", with the axis's own way", down2+", axis "+x.Signed(d)
	}
	add("out since set", formula, out2, x.Small(h.Out))
	add("down since set", formulaDown, down2, x.Small(h.Down))
	r := x.C.Diameter / 2
	add("radius cut", "√((X + out)² + (height − down)²)",
		fmt.Sprintf("set at X %s, height %s", x.Diameter(math.Sqrt((r-x.C.ToolHeight)*(r+x.C.ToolHeight))),
			x.Diameter(x.C.ToolHeight)), x.radius(h.Radius))
	add("diameter error", "2 · (radius − "+x.Diameter(r)+")",
		fmt.Sprintf("2 · (%s − %s)", x.radius(h.Radius), x.Diameter(r)), x.Small(h.DiameterError))
	return out
}

// mrad writes an angle in thousandths, which are thou per inch and µm per mm.
func (x *Explanation) mrad(rad float64) string {
	return length.Fixed(1000*rad, 4) + " mrad"
}

// radius writes a radius with two digits more than a micrometer reads.
func (x *Explanation) radius(mm float64) string {
	decimals := 5
	if x.In == length.Inch {
		decimals = 6
	}
	return length.Fixed(x.In.From(mm), decimals) + " " + x.In.String()
}
