package main

import (
	"fmt"
	"math"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/bed"
	"wornway/profile/length"
)

type explainOptions struct {
	cut flags.Cut
	at  length.Length
	out env.Output
}

func newExplain(e *env.Env) *cobra.Command {
	o := &explainOptions{}
	c := &cobra.Command{
		Use:   "explain PROFILE --at P --from A --to B --diameter D",
		Short: "Show step by step how the wear reaches the diameter at one place",
		Long: `Explain takes one position of what predict says apart: from the metal that the ways have lost, over what the saddle
makes of it, to the tool's point, the radius and the diameter; each step with its formula, the numbers put in and
the result. It ends with the share of each part in the error, and with what the error would be on other work, with
the tool at another height, or on a lathe of other dimensions with the same wear.`,
		Example: `  wornway explain demo.toml --at 8in --from 4in --to 12in --diameter 1in
  wornway explain demo.toml --at 200mm --from 100mm --to 300mm --diameter 25mm --json`,
		Args: flags.OneProfile, GroupID: "learn",
		Annotations: map[string]string{"instance": "PROFILE --at 8in --from 4in --to 12in --diameter 1in"},
		RunE:        func(c *cobra.Command, args []string) error { return runExplain(e, c, args[0], o) },
	}
	o.cut.Flags(c)
	c.Flags().Var(&o.at, "at", "position to explain (required)")
	hide := c.Flags().Lookup("every")
	hide.Hidden = true
	o.out.Flags(c)
	return c
}

func runExplain(e *env.Env, c *cobra.Command, file string, o *explainOptions) error {
	if err := flags.Need(c, "at", "from", "to", "diameter"); err != nil {
		return err
	}
	l, cut, err := o.cut.Open(e, c, file)
	if err != nil {
		return err
	}
	if err := flags.Sane("at", &o.at, l.In); err != nil {
		return err
	}
	at := l.ToEnd(o.at.MM(l.In))
	if !(at >= cut.From && at <= cut.To) {
		return refuse.Usage(fmt.Sprintf("--at %s: lies outside the length from %s to %s",
			o.at.String(), l.Bare(cut.From),
			l.At(cut.To)), "give a position on the length, or a longer length")
	}
	curve, err := l.Machine.Curve(cut)
	if err != nil {
		return l.Explain(err)
	}
	x := explained{Bench: l, c: curve, here: curve.Steps(at), set: curve.Steps(curve.SetAt)}
	return e.Emit(o.out, x.report(), "steps")
}

// explained is one position taken apart.
type explained struct {
	*shop.Bench
	c         *compensate.Curve
	here, set compensate.Steps
}

type explainJSON struct {
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

func (x *explained) numbers(s compensate.Steps) stepsJSON {
	in := x.In.From
	j := stepsJSON{Position: in(s.Position), Front: in(s.Front), Shift: in(s.Shift), FrontMean: in(s.FrontMean),
		RearMean: in(s.RearMean), Twist: s.Twist, Roll: s.Roll,
		ToolOut: in(s.ToolOut), ToolDrop: in(s.ToolDrop), AxisOut: in(s.AxisOut), AxisUp: in(s.AxisUp),
		Radius: in(s.Radius)}
	for _, e := range s.Ends {
		v := x.c.Lathe.V != nil
		j.Ends = append(j.Ends, endJSON{in(e.Position), in(e.Front), in(e.Rear),
			in(e.Shift), answer.Null(in(e.Outer), v),
			answer.Null(in(e.Inner), v)})
	}
	return j
}

// report puts the position into a report.
func (x *explained) report() show.Report {
	in := x.In.From
	seat := say.Assumed(x.Bench, x.c, []float64{x.here.Position})
	r := show.Report{Answer: x.answer(), Assumed: seat.Assumed, Warnings: seat.Warnings}
	j := explainJSON{Format: 1, Lathe: x.Lathe.Name, Unit: x.In.String(), At: in(x.here.Position),
		SetAt: in(x.c.SetAt), From: in(x.c.From), To: in(x.c.To), Diameter: in(x.c.Diameter), Bore: x.c.Bore,
		CentreHeight: in(x.c.Lathe.CentreHeight), ToolHeight: in(x.c.ToolHeight), Here: x.numbers(x.here),
		Set: x.numbers(x.set), Error: in(x.here.DiameterError),
		Uncertainty: answer.Null(in(x.here.Uncertainty), x.here.Stated),
		Assumed:     r.Assumed, Warnings: append([]string{}, r.Warnings...)}
	steps := show.Table{Name: "steps", Title: "Step by step:",
		Columns: []show.Column{{Head: "step", Key: "step", Left: true},
			{Head: "how, with the numbers", Key: "formula", Left: true, Words: true},
			{Head: "result", Key: "result", Left: true}, {Key: "numbers", Data: true}}}
	for _, s := range x.steps() {
		j.Steps = append(j.Steps, s)
		steps.Rows = append(steps.Rows, []show.Cell{{Text: s.Step, Value: s.Step},
			{Text: s.Formula + " = " + s.Numbers, Value: s.Formula}, {Text: s.Result, Value: s.Result},
			{Value: s.Numbers}})
	}
	portions := show.Table{Name: "portions", Title: "What the error is made of:",
		Columns: []show.Column{{Head: "part", Key: "part", Left: true},
			{Head: "on the diameter, " + x.SmallName(), Key: "diameter_error"}, {Head: "share", Key: "share"}}}
	for _, p := range x.c.Portions(x.here, x.set) {
		if p.Error == 0 {
			continue
		}
		o := portionJSON{string(p.Part), in(p.Error), answer.Null(p.Error/x.here.DiameterError,
			x.here.DiameterError != 0)}
		j.Portions = append(j.Portions, o)
		share := "–"
		if o.Share != nil && math.Abs(*o.Share) < 100 {
			share = length.Fixed(100**o.Share, 0) + " %"
		}
		portions.Rows = append(portions.Rows, []show.Cell{{Text: x.part(p.Part), Value: o.Part},
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
	r.Remarks = []string{"Out is plus away from the work's axis, a drop is plus down, a shift is plus toward the " +
		"operator. What would change it is reckoned with the wear as it is; on another lathe the same survey would " +
		"tell another wear."}
	if v := x.c.Lathe.V; v != nil {
		r.Remarks = append(r.Remarks, fmt.Sprintf("The V's drop and shift follow from what its flanks have lost, at "+
			"right angles to them: drop = (outer · sin %[2]s + inner · sin %[1]s) / sin %[3]s, shift = (inner · cos "+
			"%[1]s − outer · cos %[2]s) / sin %[3]s.",
			word.Degrees(v.Outer), word.Degrees(v.Inner), word.Degrees(v.Outer+v.Inner)))
	}
	r.JSON = j
	return r
}

// ends is the table of the ways under the saddle's ends, here and where the tool was set.
func (x *explained) ends() show.Table {
	t := show.Table{Name: "ends", Title: "The ways under the saddle:",
		Columns: []show.Column{{Head: "tool at, " + x.UnitName(), Key: "tool"},
			{Head: "end at, " + x.UnitName(), Key: "position"}}}
	small := ", " + x.SmallName()
	if x.c.Lathe.V != nil {
		t.Columns = append(t.Columns, show.Column{Head: "lost outer" + small, Key: "outer"},
			show.Column{Head: "lost inner" + small, Key: "inner"})
	}
	t.Columns = append(t.Columns, show.Column{Head: "front drop" + small, Key: "front"},
		show.Column{Head: "shift" + small, Key: "shift"}, show.Column{Head: "rear drop" + small, Key: "rear"})
	in := x.In.From
	for _, s := range []compensate.Steps{x.here, x.set} {
		ends := s.Ends[:]
		if ends[0].Position == ends[1].Position {
			ends = ends[:1]
		}
		for _, e := range ends {
			row := []show.Cell{{Text: x.Bare(s.Position), Value: in(s.Position)},
				{Text: x.Bare(e.Position), Value: in(e.Position)}}
			values := []float64{e.Front, e.Shift, e.Rear}
			if x.c.Lathe.V != nil {
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
func (x *explained) changes() []change {
	var out []change
	z := x.here.Position
	cut := func(what string, f func(*compensate.Cut)) {
		k := x.c.Cut
		f(&k)
		if c, err := x.c.Machine.Curve(k); err == nil {
			out = append(out, change{what, c.At(z, 0)})
		}
	}
	lathe := func(what string, f func(*bed.Lathe)) {
		if c, err := x.c.WithLathe(f); err == nil {
			out = append(out, change{what, c.At(z, 0)})
		}
	}
	cut(fmt.Sprintf("work of %s", x.Diameter(x.c.Diameter/4)), func(k *compensate.Cut) { k.Diameter /= 4 })
	cut(fmt.Sprintf("work of %s", x.Diameter(x.c.Diameter*4)), func(k *compensate.Cut) { k.Diameter *= 4 })
	const raised = 0.5 // mm
	cut(fmt.Sprintf("the tool set %s lower", x.Bare(raised)+" "+x.UnitName()),
		func(k *compensate.Cut) { k.ToolHeight -= raised })
	cut(fmt.Sprintf("the tool set %s higher", x.Bare(raised)+" "+x.UnitName()),
		func(k *compensate.Cut) { k.ToolHeight += raised })
	lathe("the spindle a tenth higher over the ways", func(l *bed.Lathe) { l.CentreHeight *= 1.1 })
	lathe("the ways a tenth further apart", func(l *bed.Lathe) { l.Span *= 1.1 })
	if x.c.Lathe.Saddle.BearingLength > 0 {
		lathe("a saddle half as long again", func(l *bed.Lathe) { l.Saddle.BearingLength *= 1.5 })
		lathe("a saddle that is a point at the tool", func(l *bed.Lathe) { l.Saddle.BearingLength = 0 })
	}
	lathe(map[bool]string{true: "the tool post in front", false: "the tool post behind the work"}[x.c.Lathe.RearPost],
		func(l *bed.Lathe) { l.RearPost = !l.RearPost })
	return out
}
