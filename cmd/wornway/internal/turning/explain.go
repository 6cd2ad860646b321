package turning

import (
	"fmt"
	"slices"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/bed"
	"wornway/profile/length"
)

// Explanation is one position taken apart.
type Explanation struct {
	*shop.Bench
	C         *compensate.Curve
	Here, Set compensate.Steps
}

type ExplainJSON struct {
	Format       int           `json:"format"`
	Lathe        string        `json:"lathe"`
	Unit         string        `json:"unit"`
	At           float64       `json:"at"`
	SetAt        float64       `json:"set_at"`
	From         float64       `json:"from"`
	To           float64       `json:"to"`
	Diameter     float64       `json:"diameter"`
	Bore         bool          `json:"bore"`
	CentreHeight float64       `json:"centre_height"`
	ToolHeight   float64       `json:"tool_height"`
	Here         stepsJSON     `json:"here"`
	Set          stepsJSON     `json:"set"`
	Error        float64       `json:"diameter_error"`
	Uncertainty  *float64      `json:"uncertainty"`
	Steps        []stepRowJSON `json:"steps"`
	Portions     []portionJSON `json:"portions"`
	Changes      []changeJSON  `json:"changes"`
	Assumed      []string      `json:"assumed"`
	Warnings     []string      `json:"warnings"`
}

// stepsJSON are the steps' numbers at one position, in the file's unit and radians.
type stepsJSON struct {
	Position  float64   `json:"position"`
	Ends      []endJSON `json:"ends"`
	Front     float64   `json:"front"`
	Shift     float64   `json:"shift"`
	FrontMean float64   `json:"front_mean"`
	RearMean  float64   `json:"rear_mean"`
	Rocked    float64   `json:"rocked"` // of the roll, by how the saddle sits
	Twist     float64   `json:"twist"`
	Roll      float64   `json:"roll"`
	ToolOut   float64   `json:"tool_out"`
	ToolDrop  float64   `json:"tool_drop"`
	AxisOut   float64   `json:"axis_out"`
	AxisUp    float64   `json:"axis_up"`
	Radius    float64   `json:"radius"`
}

type endJSON struct {
	Position float64  `json:"position"`
	Front    float64  `json:"front"`
	Rear     float64  `json:"rear"`
	Shift    float64  `json:"shift"`
	Outer    *float64 `json:"outer"`
	Inner    *float64 `json:"inner"`
}

type stepRowJSON struct {
	Step    string `json:"step"`
	Formula string `json:"formula"`
	Numbers string `json:"numbers"`
	Result  string `json:"result"`
}

type portionJSON struct {
	Part  string   `json:"part"`
	Error float64  `json:"diameter_error"`
	Share *float64 `json:"share"`
}

type changeJSON struct {
	What  string  `json:"what"`
	Error float64 `json:"diameter_error"`
}

func (x *Explanation) numbers(s compensate.Steps) stepsJSON {
	in := x.In.From
	j := stepsJSON{Position: in(s.Position), Front: in(s.Front), Shift: in(s.Shift), FrontMean: in(s.FrontMean),
		RearMean: in(s.RearMean), Rocked: s.Rocked, Twist: s.Twist, Roll: s.Roll,
		ToolOut: in(s.ToolOut), ToolDrop: in(s.ToolDrop), AxisOut: in(s.AxisOut), AxisUp: in(s.AxisUp),
		Radius: in(s.Radius)}
	for _, e := range s.Ends {
		v := x.C.Lathe.V != nil
		j.Ends = append(j.Ends, endJSON{in(e.Position), in(e.Front), in(e.Rear),
			in(e.Shift), answer.Null(in(e.Outer), v),
			answer.Null(in(e.Inner), v)})
	}
	return j
}

// Report puts the position into a report.
func (x *Explanation) Report() show.Report {
	in := x.In.From
	seat := say.Assumed(x.Bench, x.C, []float64{x.Here.Position})
	r := show.Report{Answer: x.answer(), Assumed: seat.Assumed, Limits: seat.Limits, Warnings: seat.Warnings}
	j := ExplainJSON{Format: 1, Lathe: x.Lathe.Name, Unit: x.In.String(), At: in(x.Here.Position),
		SetAt: in(x.C.SetAt), From: in(x.C.From), To: in(x.C.To), Diameter: in(x.C.Diameter), Bore: x.C.Bore,
		CentreHeight: in(x.C.Lathe.CentreHeight), ToolHeight: in(x.C.ToolHeight), Here: x.numbers(x.Here),
		Set: x.numbers(x.Set), Error: in(x.Here.DiameterError),
		Uncertainty: answer.Null(in(x.Here.Uncertainty), x.Here.Stated),
		Assumed:     r.Assumed, Warnings: append([]string{}, r.Warnings...)}
	steps := show.Table{Name: "steps", Title: "Step by step:", Full: true,
		Columns: []show.Column{{Head: "step", Key: "step", Left: true},
			{Head: "how, with the numbers", Key: "formula", Left: true, Words: true},
			{Head: "result", Key: "result", Left: true}, {Key: "numbers", Data: true}}}
	for _, s := range x.steps() {
		j.Steps = append(j.Steps, s)
		steps.Rows = append(steps.Rows, []show.Cell{{Text: s.Step, Value: s.Step},
			{Text: s.Formula + " = " + s.Numbers, Value: s.Formula}, {Text: s.Result, Value: s.Result},
			{Value: s.Numbers}})
	}
	parts := x.C.Portions(x.Here, x.Set)
	against := slices.ContainsFunc(parts, func(p compensate.Portion) bool { return p.Error*x.Here.DiameterError < 0 })
	share := show.Column{Head: "share", Key: "share"}
	if against { // shares of a small rest of large parts would be below nothing and beyond all
		share = show.Column{Key: "share", Data: true}
	}
	portions := show.Table{Name: "portions", Title: "What the error is made of:",
		Columns: []show.Column{{Head: "part", Key: "part", Left: true},
			{Head: "on the diameter, " + x.SmallName(), Key: "diameter_error"}, share}}
	for _, p := range parts {
		if p.Error == 0 {
			continue
		}
		o := portionJSON{string(p.Origin), in(p.Error), answer.Null(p.Error/x.Here.DiameterError,
			x.Here.DiameterError != 0)}
		j.Portions = append(j.Portions, o)
		share := "–"
		if o.Share != nil {
			share = length.Fixed(100**o.Share, 0) + " %"
		}
		portions.Rows = append(portions.Rows, []show.Cell{{Text: x.Part(p.Origin), Value: o.Part},
			{Text: x.Cell(p.Error), Value: o.Error}, {Text: share, Value: o.Share}})
	}
	changes := show.Table{Name: "changes", Title: "What would change it:",
		Columns: []show.Column{{Head: "with", Key: "what", Left: true},
			{Head: "error, " + x.SmallName(), Key: "diameter_error"}}}
	for _, k := range x.changes() {
		j.Changes = append(j.Changes, changeJSON{k.what, in(k.error)})
		changes.Rows = append(changes.Rows, []show.Cell{{Text: k.what, Value: k.what},
			{Text: x.Cell(k.error), Value: in(k.error)}})
	}
	r.Tables = []show.Table{x.ends(), steps, portions, changes}
	r.Remarks = []string{"What would change it is calculated from the wear as it is; on another lathe the same " +
		"survey would mean another wear."}
	r.Notes = []string{"Out is plus away from the work's axis, a drop is plus down, a shift is plus toward the " +
		"operator."}
	if v := x.C.Lathe.V; v != nil {
		r.Notes = append(r.Notes, fmt.Sprintf("The V's drop and shift follow from what its flanks have lost, at "+
			"right angles to them: drop = (outer · sin %[2]s + inner · sin %[1]s) / sin %[3]s, shift = (inner · cos "+
			"%[1]s − outer · cos %[2]s) / sin %[3]s.",
			word.Degrees(v.Outer), word.Degrees(v.Inner), word.Degrees(v.Outer+v.Inner)))
	}
	r.JSON = j
	return r
}

// ends is the table of the ways under the saddle's ends, here and where the tool was set.
func (x *Explanation) ends() show.Table {
	t := show.Table{Name: "ends", Title: "The ways under the saddle:", Full: true,
		Columns: []show.Column{{Head: "tool at, " + x.UnitName(), Key: "tool"},
			{Head: "end at, " + x.UnitName(), Key: "position"}}}
	small := ", " + x.SmallName()
	if x.C.Lathe.V != nil {
		t.Columns = append(t.Columns, show.Column{Head: "lost outer" + small, Key: "outer"},
			show.Column{Head: "lost inner" + small, Key: "inner"})
	}
	t.Columns = append(t.Columns, show.Column{Head: "front drop" + small, Key: "front"},
		show.Column{Head: "shift" + small, Key: "shift"}, show.Column{Head: "rear drop" + small, Key: "rear"})
	in := x.In.From
	for _, s := range []compensate.Steps{x.Here, x.Set} {
		ends := s.Ends[:]
		if ends[0].Position == ends[1].Position {
			ends = ends[:1]
		}
		for _, e := range ends {
			row := []show.Cell{{Text: x.Bare(s.Position), Value: in(s.Position)},
				{Text: x.Bare(e.Position), Value: in(e.Position)}}
			values := []float64{e.Front, e.Shift, e.Rear}
			if x.C.Lathe.V != nil {
				values = append([]float64{e.Outer, e.Inner}, values...)
			}
			for _, v := range values {
				row = append(row, show.Cell{Text: x.Cell(v), Value: in(v)})
			}
			t.Rows = append(t.Rows, row)
		}
	}
	return t
}

// change is what the error would be if something were otherwise, mm.
type change struct {
	what  string
	error float64
}

// changes tries other work, another tool height and other dimensions of the lathe.
func (x *Explanation) changes() []change {
	var out []change
	z := x.Here.Position
	cut := func(what string, f func(*compensate.Cut)) {
		k := x.C.Cut
		f(&k)
		if c, err := x.C.Machine.Curve(k); err == nil {
			out = append(out, change{what, c.At(z, 0)})
		}
	}
	lathe := func(what string, f func(*bed.Lathe)) {
		if c, err := x.C.WithLathe(f); err == nil {
			out = append(out, change{what, c.At(z, 0)})
		}
	}
	cut(fmt.Sprintf("work of %s", x.Diameter(x.C.Diameter/4)), func(k *compensate.Cut) { k.Diameter /= 4 })
	cut(fmt.Sprintf("work of %s", x.Diameter(x.C.Diameter*4)), func(k *compensate.Cut) { k.Diameter *= 4 })
	const raised = 0.5 // mm
	cut(fmt.Sprintf("the tool set %s lower", x.Bare(raised)+" "+x.UnitName()),
		func(k *compensate.Cut) { k.ToolHeight -= raised })
	cut(fmt.Sprintf("the tool set %s higher", x.Bare(raised)+" "+x.UnitName()),
		func(k *compensate.Cut) { k.ToolHeight += raised })
	lathe("the spindle a tenth higher over the ways", func(l *bed.Lathe) { l.CentreHeight *= 1.1 })
	lathe("the ways a tenth further apart", func(l *bed.Lathe) { l.Span *= 1.1 })
	if x.C.Lathe.Saddle.BearingLength > 0 {
		lathe("a saddle half as long again", func(l *bed.Lathe) { l.Saddle.BearingLength *= 1.5 })
		lathe("a saddle that is a point at the tool", func(l *bed.Lathe) { l.Saddle.BearingLength = 0 })
	}
	lathe(map[bool]string{true: "the tool post in front", false: "the tool post behind the work"}[x.C.Lathe.RearPost],
		func(l *bed.Lathe) { l.RearPost = !l.RearPost })
	return out
}
