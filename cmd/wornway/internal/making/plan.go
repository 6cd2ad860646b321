package making

import (
	"fmt"
	"slices"

	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate/jobfile"
	"wornway/compensate/plan"
	"wornway/compensate/setup"
)

// Plans is a job with the lathes that it could be made on, and the plans that were found. All is said in the job's
// unit.
type Plans struct {
	word.Units
	File     *jobfile.File
	Lathes   []*shop.Bench
	Names    []string // as the profiles were opened
	Question plan.Question
	Result   *plan.Result
}

// assumed says what a plan takes for granted.
func (p *Plans) assumed(best plan.Plan) []string {
	l := p.Lathes[best.Lathe]
	tailed, gripped := false, false
	for _, s := range best.SetUps {
		tailed, gripped = tailed || s.Way.Tailed(), gripped || s.Way.Gripped()
	}
	out := []string{
		say.Bending(p.File.Job.Part.Cut, p.File.Job.Part.Cut.Pushed()),
		fmt.Sprintf("A diameter is measured to %s and the dial set to the nearest of its finest settings. Where "+
			"features are sized by the dial, its scale is taken as true between them.",
			p.PlusMinus(p.Question.Measuring, true)),
		fmt.Sprintf("The tool stops %s from jaws, dog and steady. A part turned end for end is taken to have been "+
			"cut to length, and features of one set-up to run true to each other. Whether carriage, tool post and "+
			"tailstock clear each other is not looked at.", p.At(setup.JawsClear)),
	}
	out = append(out, say.Holding(l, tailed, gripped)...)
	out = append(out, say.Geometry(l)...)
	out = append(out, say.Wear(l)...)
	for _, s := range p.limits(best) {
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return append(out, "Heat and the wear of the tool are left out.")
}

// limits say what limits a plan.
func (p *Plans) limits(best plan.Plan) []string {
	l := p.Lathes[best.Lathe]
	out := say.Departs(l)
	if r := p.recalled(best); len(r) > 0 {
		out = append(out, say.FromMemory(r))
	}
	for _, f := range best.Features {
		for _, s := range say.Crosses(l, f.From, f.To, f.SetAt) {
			if !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}

// Lacks say what cannot be turned, and why not, one sentence for each feature and lathe.
func (p *Plans) Lacks() []string {
	var out []string
	for _, k := range p.Result.Lacks {
		name := p.Question.Lathes[k.Lathe].Name
		if k.Feature < 0 {
			out = append(out, name+": each feature can be turned by itself, but not all of them in two set-ups")
			continue
		}
		s := name + ": " + p.File.Job.Features[k.Feature].Name + " cannot be turned"
		for i, r := range k.Why {
			s += map[bool]string{true: ": ", false: "; "}[i == 0] + r.Way.Words() + ", " + r.Why.Words(p.About)
		}
		out = append(out, s)
	}
	return out
}

// Nearest says which change would do.
func (p *Plans) Nearest() string {
	c := p.Result.Change
	if c == nil {
		return "no change of one or two things that is known here would do: another lathe, or the part in two pieces"
	}
	var what []string
	if c.Held != "" {
		what = append(what, "hold it "+c.Held.Words()+" (held)")
	}
	if c.EndForEnd {
		what = append(what, "let it be turned end for end (end_for_end = true)")
	}
	if c.Steady {
		what = append(what, "use a steady (steady = true in the profile's [lathe.holding])")
	}
	if c.Stock > 0 {
		what = append(what, fmt.Sprintf("make it of stock %s long (stock_length)", p.At(c.Stock)))
	}
	if c.Grip > 0 {
		what = append(what, fmt.Sprintf("hold only %s of it (grip), with lighter cuts", p.At(c.Grip)))
	}
	s := "the nearest change that would do: " + word.List(what)
	if len(p.Lathes) > 1 {
		s += ", on “" + p.Question.Lathes[c.Lathe].Name + "”"
	}
	return s
}

// Warnings are those of the job and of the lathes, each once.
func (p *Plans) Warnings() []string {
	out := say.Faults(p.File.Warnings)
	for _, l := range p.Lathes {
		out = append(out, say.Warned(l)...)
	}
	return append(out, p.collars()...)
}

// collars warns where two collars, which were cut on one lathe, show another force on each, as their chucks give
// differently.
func (p *Plans) collars() []string {
	var forces []string
	differ := false
	for i, l := range p.Question.Lathes {
		force, _, err := p.File.Job.Part.Cut.Force(l.Turning)
		if err != nil {
			return nil // said where the part is put on that lathe
		}
		forces = append(forces, fmt.Sprintf("%.0f N on “%s”", force, l.Name))
		differ = differ || i > 0 && l.Turning != p.Question.Lathes[0].Turning
	}
	if p.File.Job.Part.Cut.Collars == nil || !differ {
		return nil
	}
	return []string{fmt.Sprintf("The two collars are taken to have been cut on each lathe itself, whose chucks give "+
		"differently: then the cut pushes with %s. Give the job the force of the lathe they were cut on as "+
		"radial_force.", word.List(forces))}
}
