package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate/jobfile"
	"wornway/compensate/plan"
	"wornway/compensate/setup"
	"wornway/profile/length"
)

type planOptions struct {
	measuring length.Length
	sheet     bool
	slips     flags.Slips
	out       env.Output
}

func newPlan(e *env.Env) *cobra.Command {
	o := &planOptions{}
	c := &cobra.Command{
		Use:   "plan JOB PROFILE…",
		Short: "Plan a whole part: on which lathe, how held, where on the bed",
		Long: `Plan looks for the best way to make a part that is described in a job file: on which of the lathes given, how
held, how far out, which end first, measured at each seat or once, with nothing dialled, with corrections or
with the tailstock set over. All features count together. It gives its advice first, then what each feature is
expected to come out like, the next best ways, and what holds the result back.

With --sheet it writes the run sheet of the best plan: what to do in which order, where to stop and measure,
and what to expect there.`,
		Example: `  wornway plan shaft.toml demo.toml
  wornway plan shaft.toml demo.toml --sheet
  wornway plan shaft.toml demo.toml second.toml --json`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) < 2 {
				return refuse.Usage("which job, and on which lathe? Give the job's file and one profile or more",
					"for instance: wornway plan shaft.toml demo.toml")
			}
			return nil
		},
		GroupID: "work",
		RunE:    func(c *cobra.Command, args []string) error { return runPlan(e, c, args[0], args[1:], o) },
	}
	f := c.Flags()
	f.SortFlags = false
	f.BoolVar(&o.sheet, "sheet", false, "write the run sheet of the best plan")
	f.Var(&o.measuring, "measuring", "standard uncertainty of a measured diameter (default 2um)")
	o.slips.Flags(f)
	o.out.Flags(c)
	o.out.Draws(c)
	return c
}

// anotherWay is what to do where a part cannot be held.
const anotherWay = "let it be held in other ways, turned end for end (end_for_end), made of longer stock " +
	"(stock_length), or give another lathe"

func runPlan(e *env.Env, c *cobra.Command, job string, profiles []string, o *planOptions) error {
	defer e.Progress("looking at every way")()
	file, err := e.Job(job)
	if err != nil {
		return err
	}
	p, err := search(e, file, profiles, o)
	if err != nil {
		return err
	}
	if c.Flags().Changed("measuring") {
		if p.question.Measuring = o.measuring.MM(file.Unit); !(p.question.Measuring >= 0 && p.question.Measuring < 1) {
			return refuse.Usage(fmt.Sprintf("--measuring %s: must not be less than zero, nor more than a millimetre",
				o.measuring.String()), "a micrometer is good for some 2um")
		}
	}
	if p.result, err = p.question.Search(); err != nil {
		hint := "see that the lathes and the job belong together"
		if errors.Is(err, plan.ErrNothingAsked) {
			hint = "give a feature its fit, or upper and lower, or the spread or taper that it may have"
		}
		return refuse.With(job+": "+err.Error(), hint)
	}
	if len(p.result.Plans) == 0 {
		for _, r := range p.refusals() {
			e.Complain(r, anotherWay)
		}
		const message = "there is no way to hold the part on what was given so that all its features can be turned"
		j := p.json(show.Report{Answer: []string{word.Upper(message) + "."},
			Assumed: []string{}, Warnings: p.warnings()})
		return e.Cannot(o.out, j, job+": "+message, anotherWay)
	}
	r, first := p.report(), "features"
	if o.sheet {
		r, first = p.sheet(), "steps"
	}
	if err := e.Draw(o.out, p.figure); err != nil {
		return err
	}
	if err := e.Emit(o.out, r, first); err != nil {
		return err
	}
	if !p.result.Plans[0].Holds {
		return refuse.NotHeld
	}
	return nil
}

// planned is a job with the lathes that it could be made on, and the plans that were found. All is said in the job's
// unit.
type planned struct {
	word.Units
	file     *jobfile.File
	lathes   []*shop.Bench
	names    []string // as the profiles were opened
	question plan.Question
	result   *plan.Result
}

// search opens the lathes. What is wrong with any of them is told of all at once.
func search(e *env.Env, file *jobfile.File, profiles []string, o *planOptions) (*planned, error) {
	p := &planned{Units: word.Units{In: file.Unit}, file: file, names: profiles,
		question: plan.Question{Job: file.Job, Measuring: shop.UsualMeasuring}}
	var wrong []error
	opened := map[string]bool{}
	for _, name := range profiles {
		if opened[name] {
			return nil, refuse.Usage(fmt.Sprintf("%q is given twice", name), "name each lathe once")
		}
		opened[name] = true
		l, err := flags.Open(e, name, o.slips, nil)
		if err != nil {
			wrong = append(wrong, err)
			continue
		}
		l.Units = p.Units
		h, err := l.Holder()
		if err != nil {
			wrong = append(wrong, err)
			continue
		}
		p.lathes, p.question.Lathes = append(p.lathes, l), append(p.question.Lathes, h)
	}
	if len(wrong) > 0 {
		for _, err := range wrong[:len(wrong)-1] {
			e.Report(err)
		}
		return nil, wrong[len(wrong)-1]
	}
	return p, nil
}

// assumed says what a plan takes for granted.
func (p *planned) assumed(best plan.Plan) []string {
	l := p.lathes[best.Lathe]
	tailed, gripped := false, false
	for _, s := range best.SetUps {
		tailed, gripped = tailed || s.Way.Tailed(), gripped || s.Way.Gripped()
	}
	out := []string{
		"Bending under the cut: " + p.file.Job.Part.Cut.Source +
			". Shear, the part's own weight and the give of centres, tailstock, steady and tool are left out.",
		fmt.Sprintf("A diameter is measured to %s and the dial set to the nearest of its finest settings. Where "+
			"features are sized by the dial, its scale is taken as true between them.",
			p.PlusMinus(p.question.Measuring, true)),
		fmt.Sprintf("The tool stops %s from jaws, dog and steady. A part turned end for end is taken to have been "+
			"cut to length; how true features of two set-ups run to each other is not reckoned, nor whether "+
			"carriage, tool post and tailstock clear each other.", p.At(setup.JawsClear)),
	}
	if r := p.recalled(best); len(r) > 0 {
		out = append(out, say.FromMemory(r))
	}
	out = append(out, say.Holding(l, tailed, gripped)...)
	out = append(out, say.Geometry(l)...)
	out = append(out, say.Wear(l)...)
	return append(out, "Heat and the wear of the tool are not reckoned with.")
}

// warnings are those of the job and of the lathes, each once.
func (p *planned) warnings() []string {
	out := say.Faults(p.file.Warnings)
	for _, l := range p.lathes {
		out = append(append(out, say.Conflicts(l)...), say.Warnings(l.Profile)...)
	}
	return append(out, p.collars()...)
}

// collars warns where two collars, which were cut on one lathe, tell of another force on each, as their chucks give
// differently.
func (p *planned) collars() []string {
	var forces []string
	differ := false
	for i, l := range p.question.Lathes {
		force, _, err := p.file.Job.Part.Cut.Force(l.Turning)
		if err != nil {
			return nil // said where the part is put on that lathe
		}
		forces = append(forces, fmt.Sprintf("%.0f N on “%s”", force, l.Name))
		differ = differ || i > 0 && l.Turning != p.question.Lathes[0].Turning
	}
	if p.file.Job.Part.Cut.Collars == nil || !differ {
		return nil
	}
	return []string{fmt.Sprintf("The two collars are taken to have been cut on each lathe itself, whose chucks give "+
		"differently: then the cut pushes with %s. Give the job the force of the lathe they were cut on as "+
		"radial_force.", word.List(forces))}
}
